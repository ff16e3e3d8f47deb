//! Yards, seconds, angles and exact media time: conversions in one place.
//!
//! Lengths travel through the program as `f64` yards, times as `f64` seconds, angles as `f64`
//! radians; a name says so where it is not plain (`speed_mph`, `height_ft`). Media time is the
//! exception: it is an integer count of a rational tick, because 30000/1001 has no exact float.

mod convert;
mod frame_table;
mod media_time;
mod timecode;

pub use convert::*;
pub use frame_table::{FrameTable, FrameTableError};
pub use media_time::{MediaTime, Rate, RateError};
pub use timecode::{DropFrameRate, DropFrameTimecode};
