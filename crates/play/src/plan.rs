use serde::{Deserialize, Serialize};

/// How a plan tells the passer to read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum PlanKind {
    /// Look at 1, then 2, 3 on the rhythm of the feet.
    Progression,
    /// Watch one defender in conflict and throw where he is not.
    Key,
    /// Middle open or closed picks the side.
    Picture,
    /// One-on-one, thrown on a count.
    Matchup,
}

/// When a look applies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Condition {
    /// Always.
    Always,
    /// Two deep or none: nobody in the deep middle.
    MiddleOpen,
    /// One deep defender in the middle.
    MiddleClosed,
    /// More rushers than blockers, or first contact due before the look.
    Pressured,
}

/// One look of a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Look {
    /// The route looked at, by the concept's route slot: `L1`, `R2`, `B`.
    pub slot: String,
    /// When the look applies.
    pub when: Condition,
    /// The look's place in the rhythm: seconds after set (progressions), or after the snap for hot throws, when the
    /// ball should leave.
    pub rhythm_s: f64,
    /// Slot of the other receiver who puts the key in conflict (key reads).
    pub against: Option<String>,
}

/// A read plan of a concept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Plan {
    /// Unique within its concept.
    pub id: String,
    /// In trade words.
    pub name: String,
    /// How it reads.
    pub kind: PlanKind,
    /// Looks in order.
    pub looks: Vec<Look>,
    /// Slot of the answer to pressure, if the plan has one.
    pub hot: Option<String>,
}
