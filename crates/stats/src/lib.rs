//! Estimates with intervals, agreement, seeded resampling; knows nothing of football.

mod estimate;
mod mean;
mod proportion;
mod resample;
mod scores;

pub use estimate::{Estimate, Interval};
pub use mean::mean_interval;
pub use proportion::{Proportion, ProportionError};
pub use resample::{bootstrap, quantile};
pub use scores::{Claimed, ReliabilityBin, SUREST, Scores, log_loss, reliability, scores};
