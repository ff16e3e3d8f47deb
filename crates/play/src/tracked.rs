use crate::{Finding, Moment, PersonId};
use serde::{Deserialize, Serialize};

/// A play's people and ball as a table of positions gave them; the evaluator imported it, nothing here was computed from film.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Tracked {
    /// The table it came from, by file name.
    pub source: String,
    /// How the table names the play.
    pub source_play: String,
    /// Samples per second.
    pub rate_hz: f64,
    /// Standard deviation of a position in each direction, yd.
    pub sd_yd: f64,
    /// People.
    pub people: Vec<TrackedPath>,
    /// The ball's ground point: seconds from the snap, x, y, yd in the field frame, in increasing time; may be empty.
    pub ball: Vec<[f64; 3]>,
    /// Moments that the table names or that follow from how the ball moved.
    pub moments: Vec<Moment>,
    /// Standard deviation of the measured velocities in each direction, yd/s; `None` where there are none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub velocity_sd_ydps: Option<f64>,
    /// What is missing or weak in its rows.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<Finding>,
}

/// Somebody's samples.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct TrackedPath {
    /// Whose.
    pub person: PersonId,
    /// Seconds from the snap, x, y, yd in the field frame, in increasing time.
    pub samples: Vec<[f64; 3]>,
    /// Velocity of each sample as the table has it, yd/s in the field frame; empty where it has none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub velocities: Vec<Option<[f64; 2]>>,
}
