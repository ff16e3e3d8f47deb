//! The camera of one frame from its clicks.

use super::ClipCameras;
use super::cameras::{Half, field_model, ground_sd};
use crate::{WorkError, Workbench};
use camera::{CameraEstimate, FrameQuality};
use field::{LandmarkShape, RuleBook};
use geometry::Point2;
use geometry::frame::Pixel;
use play::{Clip, ClipId, FieldMark, MarkId, View};
use register::{Click, KnownStation, PictureSize, RegisterError, StationPrior, solve_frame};
use serde::Serialize;

/// How far a click is from where the camera puts its paint.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct MarkResidual {
    /// The click.
    pub mark: MarkId,
    /// Distance, px.
    pub distance_px: f64,
    /// Where the camera puts the clicked paint (for a line, its nearest point), px.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub expected: Point2<Pixel>,
}

/// What solving a frame came to.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Solved {
    /// Film frame.
    pub frame: u32,
    /// Quality of the fit; `None` when it was refused.
    pub quality: Option<FrameQuality>,
    /// RMS distance of the clicks from the model, px.
    pub rms_px: Option<f64>,
    /// Standard error of a ground point at the lower middle of the picture, yd.
    pub ground_sd_yd: Option<f64>,
    /// Whether heights can be measured: the camera has a place, not only a map of the ground.
    pub has_heights: bool,
    /// Each click's distance.
    pub residuals: Vec<MarkResidual>,
    /// Why there is no camera, and what to click next.
    pub refused: Option<String>,
}

impl Workbench {
    /// Solves the camera of a frame from the clicks in it and keeps it.
    ///
    /// # Errors
    /// `Store`; a refusal by the clicks' arrangement is an answer, not an error.
    pub async fn solve(&self, clip: &ClipId, frame: u32) -> Result<Solved, WorkError> {
        let clip: Clip = self.store.get(clip.as_str()).await?;
        crate::clips::check_in_clip("the frame", f64::from(frame), &clip)?;
        let marks: Vec<FieldMark> = self.store.list_of(clip.id.as_str()).await?;
        let marks: Vec<FieldMark> = marks.into_iter().filter(|m| m.frame == frame).collect();
        let film = self.film(clip.film.as_str()).await?;
        let estimate = match self.solve_marks(&clip, &marks).await? {
            Ok(e) => e,
            Err(e) => {
                return Ok(Solved {
                    frame,
                    quality: None,
                    rms_px: None,
                    ground_sd_yd: None,
                    has_heights: false,
                    residuals: Vec::new(),
                    refused: Some(e.to_string()),
                });
            }
        };
        let game = self.game_of_clip(&clip).await?;
        let residuals = residuals(&estimate, &marks, game.rule_book);
        let (_, held) = self.keyed_cameras(&clip).await?;
        let mut cameras = ClipCameras::clone(&held);
        cameras.set(frame, estimate.clone());
        if !cameras.solved.contains(&frame) {
            cameras.solved.push(frame);
            cameras.solved.sort_unstable();
        }
        let key = self.camera_key(&clip).await?;
        self.put_cameras(&clip, key, cameras).await?;
        Ok(Solved {
            frame,
            quality: Some(estimate.quality),
            rms_px: Some(estimate.quality.rms_px),
            ground_sd_yd: ground_sd(&estimate, film.size()),
            has_heights: estimate.camera.pinhole().is_some(),
            residuals,
            refused: None,
        })
    }
    /// The camera that a frame's clicks give, with the game's camera place where it is known.
    pub(super) async fn solve_marks(
        &self,
        clip: &Clip,
        marks: &[FieldMark],
    ) -> Result<Result<CameraEstimate, RegisterError>, WorkError> {
        let game = self.game_of_clip(clip).await?;
        let film = self.film(clip.film.as_str()).await?;
        let size = PictureSize { width: film.size().0, height: film.size().1 };
        let clicks: Vec<Click> = marks.iter().map(click).collect();
        let general = general_prior(clip);
        let (mut others, mut own) = (Vec::new(), Vec::new());
        if let Some(view) = clip.view {
            for half in Half::BOTH {
                match self.station(&game.id, view, half, Some(&clip.id)).await? {
                    Some(other) => others.push(other),
                    None => own.extend(self.station(&game.id, view, half, None).await?),
                }
            }
        }
        // A place that other clips told needs the fewest clicks and is the surest. Where the clicks contradict it, this
        // clip may have been filmed from elsewhere, and they must stand alone. This clip's own place comes last: it
        // followed from the very clicks that may now have been corrected.
        let known = |k: Vec<KnownStation>| k.into_iter().map(StationPrior::Known);
        let priors: Vec<StationPrior> = known(others).chain([general]).chain(known(own)).collect();
        let field = field_model(&game);
        crate::error::blocking(move || {
            let mut refusal: Option<RegisterError> = None;
            for prior in priors {
                match solve_frame(&clicks, size, &field, &prior) {
                    Ok(estimate) => return Ok(Ok(estimate)),
                    // Too few clicks to stand alone is no news after a place was contradicted.
                    Err(RegisterError::TooFew { .. }) if refusal.is_some() => {}
                    Err(e) => refusal = Some(e),
                }
            }
            Ok::<_, WorkError>(Err(refusal.expect("at least one prior was tried")))
        })
        .await
    }
}

/// A kept mark as the register layer takes it.
pub(super) fn click(m: &FieldMark) -> Click {
    Click { landmark: m.landmark, pixel: m.pixel, sd_px: m.sd_px }
}

/// What the view says of where the camera stands.
pub(super) fn general_prior(clip: &Clip) -> StationPrior {
    match clip.view {
        Some(View::Sideline) => StationPrior::Sideline,
        Some(View::EndZone) => StationPrior::EndZone,
        None => StationPrior::Unknown,
    }
}

fn residuals(estimate: &CameraEstimate, marks: &[FieldMark], book: RuleBook) -> Vec<MarkResidual> {
    marks
        .iter()
        .filter_map(|m| {
            let expected = expected(estimate, m, book)?;
            Some(MarkResidual { mark: m.id.clone(), distance_px: expected.distance(m.pixel), expected })
        })
        .collect()
}

/// Where the camera puts a click's paint.
fn expected(estimate: &CameraEstimate, m: &FieldMark, book: RuleBook) -> Option<Point2<Pixel>> {
    let pixel = |g: Point2<geometry::frame::Ground>| estimate.camera.pixel_from_field(g.at_height(0.0));
    match m.landmark.shape(book).ok()? {
        LandmarkShape::Point(g) => pixel(g),
        LandmarkShape::Line { through, along } => {
            let g = estimate.camera.ground_from_pixel(m.pixel, 0.0)?;
            let near = through + along * (g - through).dot(along);
            // Perpendicular in the picture, where the distance is meant.
            let (a, b) = (pixel(near)?, pixel(near + along)?);
            let u = (b - a).unit()?;
            Some(a + u * (m.pixel - a).dot(u))
        }
    }
}
