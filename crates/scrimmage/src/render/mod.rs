//! The film of a stage: what a fixed, panning, zooming camera would record, with its truth.
//!
//! A [`Venue`] is painted once from a [`Look`]; [`shoot`] then films a stage there from a [`ViewSetup`]. Ground is read by
//! per-pixel inverse mapping through distortion and crown, so that paint lies where [`camera::Pinhole`] says to well under
//! a tenth of a pixel; bodies are shaded capsules sampled over the exposure.

mod backdrop;
mod ball;
mod body;
mod colour;
mod encode;
mod figure;
mod film;
mod font;
mod frame;
mod ground_pass;
mod lens;
mod light;
mod look;
mod noise;
mod overlay;
mod paint;
mod project;
mod props;
mod shadow;
mod texture;
mod turf;
mod venue;
mod view;

pub use encode::{Codec, Encode};
pub use film::{FilmTruth, FrameTruth, shoot};
pub use frame::{Exposure, Scratch, expose};
pub use lens::Frame;
pub use look::{Light, Look, Snow, Surround};
pub use overlay::{COUNTER_BITS, counter_square};
pub use venue::Venue;
pub use view::{Follow, Operator, ViewSetup};

use crate::stage::Stage;
use camera::Pinhole;

/// Shutter of pictures taken one by one, s.
const SNAPSHOT_SHUTTER_S: f64 = 1.0 / 120.0;

/// One picture from a camera that stands still, for tests and pictures.
pub fn render_frame(venue: &Venue, stage: &dyn Stage, pinhole: &Pinhole, time_s: f64) -> Frame {
    let e = Exposure::fixed(*pinhole, time_s, SNAPSHOT_SHUTTER_S, 0);
    expose(venue, stage, &e, &mut Scratch::default())
}
