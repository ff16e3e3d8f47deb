use serde::{Deserialize, Serialize};
use stats::Interval;

/// A parameter of the windows as a study's own throws have it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct FittedValue {
    /// Dotted name as in the parameter file; `arm.scatter` is a factor on the ball's scatter.
    pub name: String,
    /// What the program comes with.
    pub ours: f64,
    /// What the throws say, drawn toward ours.
    pub fitted: f64,
    /// 90% interval of the fitted value.
    pub interval: Interval,
}

/// Parameters of the windows fitted to a study's own throws. It changes nothing until the evaluator says so.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ReachFit {
    /// The fitted parameters.
    pub values: Vec<FittedValue>,
    /// Throws it rests on.
    pub throws: usize,
    /// Standard deviation, in log units, by which a parameter was expected to differ from ours; 0 keeps ours.
    pub shrinkage: f64,
    /// Whether windows are computed with it.
    pub used: bool,
}
