use crate::parameters::ParameterError;

/// Why windows were refused.
#[derive(Debug, thiserror::Error, PartialEq)]
pub enum WindowError {
    /// Somebody without whom there is no window.
    #[error("no usable track of {who}: there is no window to compute")]
    NoTrack {
        /// Who.
        who: &'static str,
    },
    /// Somebody is not seen when it matters.
    #[error("{who}, the passer or every defender is not seen at the release at {at_s:.2} s")]
    NotSeen {
        /// Who.
        who: String,
        /// When, s from the snap.
        at_s: f64,
    },
    /// A request outside its limits.
    #[error("{name} is {value} {unit}, outside {low} to {high}")]
    OutOfRange {
        /// Name.
        name: &'static str,
        /// Value given.
        value: f64,
        /// Unit.
        unit: &'static str,
        /// Least allowed.
        low: f64,
        /// Most allowed.
        high: f64,
    },
    /// Parameters outside their limits.
    #[error(transparent)]
    Parameters(#[from] ParameterError),
}
