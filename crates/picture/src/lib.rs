//! Pixel buffers, gradients and ridges; no codecs, no football.
//!
//! Pictures are row-major, first row at the top. Positions are in the pixel frame of `docs/frames.md`: corner (0, 0), first
//! pixel's centre (0.5, 0.5).

mod blur;
mod gradient;
mod grass;
mod ground_mask;
mod image;
mod probe;
mod pyramid;
mod ridge;
mod strokes;

pub use blur::{box_blur, gaussian_blur};
pub use gradient::{Gradient, sobel};
pub use grass::{GrassRange, grass_mask};
pub use ground_mask::GroundMask;
pub use image::{GrayImage, GrayView, PictureError, Plane, RgbImage, RgbView};
pub use probe::{Probe, Ridge1, Scratch};
pub use pyramid::{Pyramid, halve, quarter_mean};
pub use ridge::{Ridge, RidgeSettings, ridges};
pub use strokes::{Stroke, strokes};
