//! Estimates with intervals, agreement, seeded resampling; knows nothing of football.

mod estimate;
mod proportion;

pub use estimate::{Estimate, Interval};
pub use proportion::{Proportion, ProportionError};
