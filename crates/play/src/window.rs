use crate::{Arc, PersonId};
use geometry::Point2;
use geometry::frame::Ground;
use serde::{Deserialize, Serialize};
use stats::Estimate;

/// The best ball to a receiver at a release time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Ball {
    /// Where to put it, yd.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub target: Point2<Ground>,
    /// Height to catch it at, ft.
    pub height_ft: f64,
    /// Release speed, mph.
    pub speed_mph: f64,
    /// Launch angle, degrees.
    pub launch_deg: f64,
    /// Time in the air, s.
    pub flight_s: f64,
    /// Shape.
    pub arc: Arc,
}

/// One receiver at one release time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct WindowCell {
    /// Release time, s from the snap.
    pub release_s: f64,
    /// How much later than the receiver the first defender could play the best ball, s; negative: he is first.
    pub margin_s: Estimate,
    /// The same as a distance at the defender's speed, yd.
    pub margin_yd: Estimate,
    /// Chance of a completion, 0 to 1.
    pub complete: Estimate,
    /// Chance of an interception, 0 to 1.
    pub intercept: Estimate,
    /// The ball it takes; `None` when no throw the arm allows reaches him.
    pub ball: Option<Ball>,
    /// The defender who would be first.
    pub defender: Option<PersonId>,
}

/// A receiver's windows over release time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ReceiverWindows {
    /// Whom to throw to.
    pub receiver: PersonId,
    /// In increasing release time.
    pub cells: Vec<WindowCell>,
}

impl ReceiverWindows {
    /// The cell nearest in time to `release_s`.
    pub fn nearest(&self, release_s: f64) -> Option<&WindowCell> {
        self.cells
            .iter()
            .min_by(|a, b| (a.release_s - release_s).abs().total_cmp(&(b.release_s - release_s).abs()))
    }
}
