//! A whole game lined up without clicks: every clip's field found and followed, then all clips settled together.

mod clip;
mod colour;
mod ends;
mod found;
mod job;
mod overview;
mod reading;
mod settle;

pub(crate) use found::Found;
pub(crate) use job::LineUpRequest;
pub(crate) use overview::FOUND;
pub use overview::{ClipStanding, GameLineUp, ShownCrown, Standing};
pub use reading::NewReading;
