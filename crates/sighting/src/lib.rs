//! Pictures and cameras to observations of people.
//!
//! The empty field is learned from the clip itself: the camera's centre stays, so the same direction shows the same
//! grass in every frame, and whoever stands there leaves again ([`EmptyField`]). What differs from it, and is no shadow,
//! is explained by upright bodies that stand on the ground ([`Finder`]). No codecs: frames come as
//! [`picture::RgbView`] at a working size of the caller's choice.

pub mod ball;
mod bodies;
mod chart;
mod cloth;
mod differ;
mod empty;
mod finder;
mod kits;
mod share;
mod template;

pub use empty::{EmptyField, EmptyFieldBuilder};
pub use finder::{Finder, Layers};

use field::{Crown, RuleBook};

/// What the frames of a clip have in common.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Film {
    /// Size of the film's picture, px: that of the cameras.
    pub size: (u32, u32),
    /// Size of the frames handed in, px; the same shape.
    pub working: (u32, u32),
    /// Markings.
    pub rule_book: RuleBook,
    /// Rise of the field's middle.
    pub crown: Crown,
}

impl Film {
    /// Working px per film px.
    pub(crate) fn scale(&self) -> f64 {
        f64::from(self.working.0) / f64::from(self.size.0)
    }
}

/// A working size of at most 960 px across, even, for a film of `size` px: at 720p an upright player is about 50 px tall
/// in it. Common practice, no source.
pub fn working_size(size: (u32, u32)) -> (u32, u32) {
    const WIDEST: u32 = 960;
    if size.0 <= WIDEST {
        return size;
    }
    let height = (u64::from(size.1) * u64::from(WIDEST) / u64::from(size.0)) as u32;
    (WIDEST, (height / 2 * 2).max(2))
}
