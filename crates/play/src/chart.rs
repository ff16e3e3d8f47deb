use crate::{PersonId, ThrowResult};
use serde::{Deserialize, Serialize};

/// A route as charted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct RouteCall {
    /// Who runs it: `L1`, `R2`, `B`.
    pub slot: String,
    /// Trade word, from the word list.
    pub route: String,
}

/// What the evaluator wrote of a play. Words come from the word lists but any word is kept as written; empty means not
/// charted.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(default)]
pub struct Chart {
    /// Set of the offense.
    pub formation: String,
    /// Motion or shift before the snap.
    pub motion: String,
    /// Protection.
    pub protection: String,
    /// Number of blockers, and of rushers.
    pub blockers: Option<u8>,
    /// Rush count.
    pub rushers: Option<u8>,
    /// Coverage shown before the snap.
    pub coverage_before: String,
    /// Coverage played.
    pub coverage_after: String,
    /// Concept.
    pub concept: String,
    /// Routes by slot.
    pub routes: Vec<RouteCall>,
    /// Read plans the evaluator would judge under, by id within the concept, the one he would use first.
    pub plans: Vec<String>,
    /// Pocket: clean, hurried, hit, moved.
    pub pocket: String,
    /// Drop.
    pub drop: String,
    /// Whom the ball was thrown to.
    pub target: Option<PersonId>,
    /// Result.
    pub result: Option<ThrowResult>,
    /// How it missed or was played: high, low, ahead, behind, wide, short, long, dropped, broken up.
    pub miss: String,
    /// Yards gained on the play.
    pub gain_yd: Option<f64>,
    /// Notes in the evaluator's words.
    pub notes: String,
}
