use crate::RegisterError;
use field::{Landmark, LandmarkShape, RuleBook};
use geometry::Point2;
use geometry::frame::Pixel;
use serde::{Deserialize, Serialize};

/// Something painted, and where it was seen.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Click {
    /// What was clicked on.
    pub landmark: Landmark,
    /// Where, px.
    pub pixel: Point2<Pixel>,
    /// Standard deviation of the click in each image direction, px.
    pub sd_px: f64,
}

/// Size of the decoded picture, px.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PictureSize {
    /// Width, px.
    pub width: u32,
    /// Height, px.
    pub height: u32,
}

impl PictureSize {
    /// Refuses pictures that cannot show a field.
    ///
    /// # Errors
    /// `BadPicture` under 64 px in either direction.
    pub fn checked(self) -> Result<Self, RegisterError> {
        if self.width < 64 || self.height < 64 {
            return Err(RegisterError::BadPicture { width: self.width, height: self.height });
        }
        Ok(self)
    }
}

/// A click with its landmark's place looked up.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Mark {
    pub shape: LandmarkShape,
    pub pixel: Point2<Pixel>,
    pub sd_px: f64,
}

impl Mark {
    /// Independent equations it gives.
    pub fn equations(&self) -> usize {
        match self.shape {
            LandmarkShape::Point(_) => 2,
            LandmarkShape::Line { .. } => 1,
        }
    }
}

/// Looks up and checks every click.
pub(crate) fn marks(clicks: &[Click], size: PictureSize, book: RuleBook) -> Result<Vec<Mark>, RegisterError> {
    let size = size.checked()?;
    let (w, h) = (f64::from(size.width), f64::from(size.height));
    clicks
        .iter()
        .enumerate()
        .map(|(k, c)| {
            let click = k + 1;
            let bad = |name, value, limit: String| Err(RegisterError::BadClick { click, name, value, limit });
            // A little outside is allowed: snapping and deduced crossings may fall there.
            for (name, value, span) in [("x", c.pixel.x, w), ("y", c.pixel.y, h)] {
                if !(value >= -0.5 * span && value <= 1.5 * span) {
                    return bad(name, value, format!("within {} to {}", -0.5 * span, 1.5 * span));
                }
            }
            if !(c.sd_px >= 0.01 && c.sd_px <= 100.0) {
                return bad("standard deviation", c.sd_px, "within 0.01 to 100".to_owned());
            }
            let shape =
                c.landmark.shape(book).map_err(|reason| RegisterError::NoSuchLandmark { click, reason })?;
            Ok(Mark { shape, pixel: c.pixel, sd_px: c.sd_px })
        })
        .collect()
}
