//! Estimates with intervals, agreement, seeded resampling; knows nothing of football.

mod estimate;
mod mean;
mod proportion;

pub use estimate::{Estimate, Interval};
pub use mean::mean_interval;
pub use proportion::{Proportion, ProportionError};
