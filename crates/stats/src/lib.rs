//! Estimates with intervals, agreement, seeded resampling, hierarchical models; knows nothing of football.

mod alpha;
mod discovery;
mod estimate;
mod kappa;
mod mean;
pub mod models;
pub mod nuts;
mod pool;
mod proportion;
mod quadrature;
mod resample;
mod scores;
mod shrink;

pub use alpha::{AlphaScale, alpha};
pub use discovery::discovery_rate;
pub use estimate::{Estimate, Interval};
pub use kappa::{Weight, kappa, weighted_kappa};
pub use mean::mean_interval;
pub use models::{errors_in_variables, logistic, normal_normal};
pub use pool::{MOST_OCCASIONS, Pooled, pool_means, pool_shares};
pub use proportion::{Proportion, ProportionError};
pub use resample::{bootstrap, quantile};
pub use scores::{Claimed, ReliabilityBin, SUREST, Scores, log_loss, reliability, scores};
pub use shrink::james_stein;
