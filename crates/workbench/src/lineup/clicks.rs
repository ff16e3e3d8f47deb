//! Clicks on paint.

use super::source::Source;
use crate::clips::check_in_clip;
use crate::films::Film;
use crate::marks::check_in_picture;
use crate::{WorkError, Workbench};
use field::Landmark;
use geometry::Point2;
use geometry::frame::Pixel;
use picture::GrayView;
use play::{Clip, ClipId, FieldMark, MarkId};
use serde::Deserialize;
use std::sync::Arc;
use store::{Change, Kind};

/// A click on paint, to keep.
#[derive(Clone, Copy, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct NewFieldMark {
    /// Film frame.
    pub frame: u32,
    /// What was clicked.
    pub landmark: Landmark,
    /// Where, px of the original.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
    /// Move the mark to the chalk near the click, to a fraction of a pixel.
    #[serde(default)]
    pub snap: bool,
}

/// Standard deviation of a click in a picture 1280 px wide, px in each direction; wider pictures are shown shrunk to
/// about that width. Common practice, no source.
const CLICK_SD_PX: f64 = 1.0;
/// How far from a click chalk is looked for in a picture 1280 px wide, px: a hasty click's miss.
const SNAP_RADIUS_PX: f64 = 12.0;

impl Workbench {
    /// The clicks of a clip.
    ///
    /// # Errors
    /// `Store`.
    pub async fn field_marks(&self, clip: &ClipId) -> Result<Vec<FieldMark>, WorkError> {
        self.store.get::<Clip>(clip.as_str()).await?;
        Ok(self.store.list_of(clip.as_str()).await?)
    }
    /// Keeps a click; one on the same point in the same frame moves. (Points on lines add up.)
    ///
    /// # Errors
    /// `Invalid` for paint that the rule book does not have, or a place outside clip or picture.
    pub async fn mark_field(&self, clip: &ClipId, new: NewFieldMark) -> Result<FieldMark, WorkError> {
        let _guard = self.editing.lock().await;
        let clip: Clip = self.store.get(clip.as_str()).await?;
        let game = self.game_of_clip(&clip).await?;
        new.landmark.shape(game.rule_book).map_err(|e| WorkError::Invalid(e.to_string()))?;
        check_in_clip("the mark", f64::from(new.frame), &clip)?;
        let film = self.film(clip.film.as_str()).await?;
        check_in_picture(new.pixel, film.size(), 0.0)?;
        let (pixel, sd_px) = self.placed(&film, &new).await?;
        let old: Vec<FieldMark> = self.store.list_of(clip.id.as_str()).await?;
        let on_line = matches!(
            new.landmark,
            Landmark::OnYardLine { .. } | Landmark::OnSideline { .. } | Landmark::OnHashRow { .. }
        );
        let same = old.iter().find(|m| !on_line && m.frame == new.frame && m.landmark == new.landmark);
        let id = match same {
            Some(m) => m.id.clone(),
            None => MarkId(self.id("m").await?),
        };
        let mark =
            FieldMark { id, clip: clip.id.clone(), frame: new.frame, landmark: new.landmark, pixel, sd_px };
        self.change("mark the field", clip.play.as_ref(), &[Change::put(&mark)]).await?;
        Ok(mark)
    }
    /// Deletes a click.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn delete_field_mark(&self, id: &MarkId) -> Result<(), WorkError> {
        let _guard = self.editing.lock().await;
        let mark: FieldMark = self.store.get(id.as_str()).await?;
        let clip: Option<Clip> = self.store.find(mark.clip.as_str()).await?;
        let play = clip.and_then(|c| c.play);
        self.change("delete a mark", play.as_ref(), &[Change::delete(Kind::FieldMark, id.as_str())]).await
    }
    /// Where a click is kept, and how sure that is, px: on the chalk near it when asked for and found, else as clicked.
    async fn placed(&self, film: &Arc<Film>, new: &NewFieldMark) -> Result<(Point2<Pixel>, f64), WorkError> {
        let scale = f64::from(film.size().0.max(1280)) / 1280.0;
        let as_clicked = (new.pixel, CLICK_SD_PX * scale);
        if !new.snap {
            return Ok(as_clicked);
        }
        let (tool, film, new) = (self.outside.tool.clone(), film.clone(), *new);
        crate::error::blocking(move || {
            let picture = Source::open(&tool, &film)?.frame(new.frame)?;
            let view = GrayView::new(picture.width, picture.height, &picture.data)
                .map_err(|e| WorkError::Broken(e.to_string()))?;
            let snapped = register::snap(view, new.pixel, new.landmark, SNAP_RADIUS_PX * scale);
            Ok::<_, WorkError>(snapped.map_or(as_clicked, |s| (s.pixel, s.sd_px)))
        })
        .await
    }
}
