use crate::{Outcome, PlayId};
use serde::{Deserialize, Serialize};

/// A decision that the evaluator calls a second time without seeing his first call or the program's.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Regrade {
    /// The play.
    pub play: PlayId,
    /// Under which plan.
    pub plan: String,
    /// His earlier call, as it stood when the set was picked.
    pub earlier: Outcome,
    /// When he made it, ms since 1970, where the history knows.
    pub earlier_ms: Option<i64>,
    /// His second call; `None` until made.
    pub again: Option<Outcome>,
    /// When he made that, ms since 1970.
    pub again_ms: Option<i64>,
}

/// Earlier decisions picked by seed to be called again, blind.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct RegradeSet {
    /// Unique in the study.
    pub id: String,
    /// Seed of the pick.
    pub seed: u64,
    /// When it was picked, ms since 1970.
    pub made_ms: i64,
    /// In the order of calling.
    pub items: Vec<Regrade>,
}

impl RegradeSet {
    /// Whether every decision was called again.
    pub fn finished(&self) -> bool {
        self.items.iter().all(|i| i.again.is_some())
    }
}
