use crate::{MarkId, View};
use serde::{Deserialize, Serialize};
use stats::Estimate;

/// An instant of a play that the job turns on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum MomentKind {
    /// The ball starts back.
    Snap,
    /// The last step of the drop lands.
    Set,
    /// The ball leaves the hand.
    Release,
    /// The ball reaches a hand or the ground.
    Arrival,
    /// A rusher first reaches the passer.
    FirstContact,
}

/// A moment as the evaluator marked it in one view.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct MomentMark {
    /// Unique in the study.
    pub id: MarkId,
    /// Which moment.
    pub moment: MomentKind,
    /// In which view.
    pub view: View,
    /// Film frame, fractional when it falls between two.
    pub frame: f64,
}

/// A moment on the play's clock.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Moment {
    /// Which.
    pub kind: MomentKind,
    /// Seconds from the snap.
    pub at_s: Estimate,
}
