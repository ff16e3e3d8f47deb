//! From the picture to the field and back.

use super::cameras::field_model;
use crate::{WorkError, Workbench};
use camera::CameraEstimate;
use geometry::frame::{Field, Ground, Pixel, Play as PlayFrame};
use geometry::{Covariance2, Point2, Point3};
use play::{Clip, ClipId};
use register::{PictureSize, ground_on_surface};
use serde::{Deserialize, Serialize};

/// A place in a picture.
#[derive(Clone, Copy, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct PixelSpot {
    /// Film frame.
    pub frame: u32,
    /// Where, px of the original.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
}

/// A place on the ground.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct GroundPlace {
    /// In the field frame, yd.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub point: Point2<Ground>,
    /// Covariance, yd²: the camera's and that of a click of 1 px.
    pub covariance: Covariance2,
    /// In the play frame (downfield, to the offense's left), yd; `None` until spot and direction are known.
    #[cfg_attr(feature = "schema", schema(value_type = Option<[f64; 2]>))]
    pub play_frame: Option<Point2<PlayFrame>>,
}

/// Places on the field, to be shown.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct FieldPoints {
    /// Film frame.
    pub frame: u32,
    /// In the field frame, yd.
    #[cfg_attr(feature = "schema", schema(value_type = Vec<[f64; 3]>))]
    pub points: Vec<Point3<Field>>,
}

impl Workbench {
    /// Where on the ground a pixel looks, and how sure that is.
    ///
    /// # Errors
    /// `NotReady` for a frame without a camera; `Invalid` for a pixel at or above the horizon.
    pub async fn ground(&self, id: &ClipId, spot: PixelSpot) -> Result<GroundPlace, WorkError> {
        let clip: Clip = self.store.get(id.as_str()).await?;
        let camera = self.camera_at(&clip, spot.frame).await?;
        let (width, height) = self.film(clip.film.as_str()).await?.size();
        let field = field_model(&self.game_of_clip(&clip).await?);
        let size = PictureSize { width, height };
        let found = ground_on_surface(&camera, size, &field, spot.pixel, 1.0);
        let (point, covariance) = found.ok_or_else(|| {
            WorkError::Invalid(format!("({}, {}) px does not look at the ground", spot.pixel.x, spot.pixel.y))
        })?;
        let play_frame = match &clip.play {
            Some(play) => {
                let play: play::Play = self.store.get(play.as_str()).await?;
                let book = self.game_of(&play).await?.rule_book;
                play.situation.play_from_field(book).map(|play_from_field| {
                    let p = play_from_field * point.at_height(0.0);
                    Point2::new(p.x, p.y)
                })
            }
            None => None,
        };
        Ok(GroundPlace { point, covariance, play_frame })
    }
    /// Where field points appear in a frame; `None` for those out of sight, or off the ground where the camera only knows
    /// the ground.
    ///
    /// # Errors
    /// `NotReady` for a frame without a camera.
    pub async fn pixels(
        &self,
        id: &ClipId,
        asked: FieldPoints,
    ) -> Result<Vec<Option<Point2<Pixel>>>, WorkError> {
        let clip: Clip = self.store.get(id.as_str()).await?;
        let camera = self.camera_at(&clip, asked.frame).await?;
        let game = self.game_of_clip(&clip).await?;
        let field = field_model(&game);
        let lift = camera.camera.pinhole().is_some();
        Ok(asked
            .points
            .into_iter()
            .map(|p| {
                let crown = if lift { field.crown.at(p.ground(), field.rule_book) } else { 0.0 };
                camera.camera.pixel_from_field(Point3::new(p.x, p.y, p.z + crown))
            })
            .collect())
    }
    async fn camera_at(&self, clip: &Clip, frame: u32) -> Result<CameraEstimate, WorkError> {
        self.cameras_of(clip).await?.get(frame).cloned().ok_or_else(|| {
            WorkError::NotReady(format!("frame {frame} of clip {} is not lined up with the field", clip.id))
        })
    }
}
