use crate::{Feet, Finding, Moment, Placement, ReceiverWindows, Seen, Throw, Track};
use serde::{Deserialize, Serialize};
use stats::Estimate;

/// When the rush reached the passer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Pressure {
    /// First rusher within reach of the passer, s from the snap.
    pub at_s: Seen<Estimate>,
    /// Who.
    pub rusher: Option<crate::PersonId>,
}

/// Everything measured of a play; computed from marks and cameras, never edited.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Measurement {
    /// On the play's clock.
    pub moments: Vec<Moment>,
    /// People.
    pub tracks: Vec<Track>,
    /// Ball.
    pub throw: Seen<Throw>,
    /// Feet.
    pub feet: Seen<Feet>,
    /// Where the ball arrived for its receiver.
    pub placement: Seen<Placement>,
    /// Windows.
    pub windows: Vec<ReceiverWindows>,
    /// Pressure.
    pub pressure: Pressure,
    /// What is missing or weak, and why.
    pub findings: Vec<Finding>,
}
