/// Input that was refused.
#[derive(Debug, thiserror::Error, PartialEq)]
pub enum MotionError {
    /// Outside the range the model is made for.
    #[error("{what} is {value} {unit}, outside {low} to {high} {unit}")]
    OutOfRange {
        /// What was given.
        what: &'static str,
        /// Value given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least accepted.
        low: f64,
        /// Most accepted.
        high: f64,
    },
}

/// `value` if it lies in `low..=high` (which no NaN does).
pub(crate) fn within(
    what: &'static str,
    value: f64,
    unit: &'static str,
    (low, high): (f64, f64),
) -> Result<f64, MotionError> {
    if (low..=high).contains(&value) {
        Ok(value)
    } else {
        Err(MotionError::OutOfRange { what, value, unit, low, high })
    }
}
