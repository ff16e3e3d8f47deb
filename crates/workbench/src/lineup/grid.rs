//! The field's lines drawn through a clip's cameras.

use super::cameras::field_model;
use crate::{WorkError, Workbench};
use field::StripeKind;
use geometry::Point2;
use geometry::frame::Pixel;
use play::{Clip, ClipId};
use register::{PictureSize, grid_polylines};
use serde::Serialize;

/// What a grid line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum GridKind {
    /// A full line every five yards.
    YardLine,
    /// A goal line.
    GoalLine,
    /// An end line.
    EndLine,
    /// A sideline.
    Sideline,
    /// The line along the hash marks.
    HashRow,
}

/// A line of the field in the picture.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct GridLine {
    /// What it is.
    pub kind: GridKind,
    /// Yard line's number as painted, or empty.
    pub label: String,
    /// x of a yard line in the field frame, yd.
    pub x: Option<f64>,
    /// A polyline, px of the original; only the part in and near the picture.
    #[cfg_attr(feature = "schema", schema(value_type = Vec<[f64; 2]>))]
    pub points: Vec<Point2<Pixel>>,
}

/// A frame's grid.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct GridFrame {
    /// Film frame.
    pub frame: u32,
    /// False when the camera should not be trusted without a look.
    pub trusted: bool,
    /// The lines.
    pub lines: Vec<GridLine>,
}

/// Yards between the points at which a line is projected; distortion and crown bend it between.
const STEP_YD: f64 = 2.5;
/// Most frames in one answer: half a minute of film.
const MOST_FRAMES: u32 = 1000;

impl Workbench {
    /// The field's lines in each frame from `from` to before `to` that has a camera.
    ///
    /// # Errors
    /// `Invalid` for more than 1000 frames.
    pub async fn grid(&self, id: &ClipId, from: u32, to: u32) -> Result<Vec<GridFrame>, WorkError> {
        if to.saturating_sub(from) > MOST_FRAMES {
            return Err(WorkError::Invalid(format!(
                "the grid of {} frames was asked for; at most {MOST_FRAMES} are given at once",
                to - from
            )));
        }
        let clip: Clip = self.store.get(id.as_str()).await?;
        let game = self.game_of_clip(&clip).await?;
        let (width, height) = self.film(clip.film.as_str()).await?.size();
        let size = PictureSize { width, height };
        let cameras = self.cameras_of(&clip).await?;
        let field = field_model(&game);
        crate::error::blocking(move || {
            Ok::<_, WorkError>(
                (from..to)
                    .filter_map(|frame| {
                        let camera = cameras.get(frame)?;
                        let lines = grid_polylines(&camera.camera, size, &field, STEP_YD)
                            .into_iter()
                            .filter_map(line);
                        let lines = lines.collect();
                        Some(GridFrame { frame, trusted: camera.quality.trusted, lines })
                    })
                    .collect(),
            )
        })
        .await
    }
}

fn line(l: register::GridLine) -> Option<GridLine> {
    let (kind, across) = match l.kind {
        StripeKind::YardLine => (GridKind::YardLine, true),
        StripeKind::GoalLine => (GridKind::GoalLine, true),
        StripeKind::EndLine => (GridKind::EndLine, true),
        StripeKind::Sideline => (GridKind::Sideline, false),
        StripeKind::Hash => (GridKind::HashRow, false),
        StripeKind::SidelineTick => return None,
    };
    let label = match (kind, l.yard_line) {
        (GridKind::GoalLine, _) => "goal".to_owned(),
        (_, Some(yard)) => yard.to_string(),
        (_, None) => String::new(),
    };
    let round = |v: f64| (v * 100.0).round() / 100.0;
    let points = l.points.iter().map(|p| Point2::new(round(p.x), round(p.y))).collect();
    Some(GridLine { kind, label, x: across.then_some(l.at), points })
}
