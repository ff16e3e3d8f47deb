//! A whole game lined up without clicks: every clip's field found and followed, then all clips settled together.

mod clip;
mod colour;
mod ends;
mod found;
mod job;
mod reading;
mod settle;

pub(crate) use found::Found;
pub(crate) use job::LineUpRequest;
pub use reading::NewReading;
pub(crate) use settle::FOUND;
pub use settle::{ClipStanding, GameLineUp, ShownCrown, Standing};
