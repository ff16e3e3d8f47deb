//! Regressions and hierarchical models.

mod calibrate;
mod eiv;
mod hierarchy;
mod influence;
mod logistic;
mod normal;

pub use calibrate::{Calibrated, Measured, regression_calibration};
pub use eiv::{LEAST_RELIABLE, Line, errors_in_variables};
pub(crate) use hierarchy::share;
pub use hierarchy::{Cell, Family, Hierarchy, Spread};
pub use influence::{DECISIVE, Influence, most_influential};
pub use logistic::{Logistic, logistic};
pub use normal::{NormalNormal, normal_normal};
