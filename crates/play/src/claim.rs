use crate::{ClaimId, GameId, PlayId};
use serde::{Deserialize, Serialize};

/// What a claim speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Leaning {
    /// Does well.
    Strength,
    /// Does badly.
    Fault,
    /// What to work on first.
    Work,
    /// Not known yet, and what film would tell.
    Open,
}

/// What is taught before what: feet and base carry the body and arm, and both must be in time before the decision can be blamed.
/// Common practice, no source; where a coach would argue, he sets another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// Feet and base.
    Feet,
    /// Body and arm.
    Body,
    /// Timing with the drop.
    Timing,
    /// Decisions.
    Decisions,
}

/// Keeps plays whose fact has one of the words.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Only {
    /// The fact.
    pub field: String,
    /// Its words.
    pub words: Vec<String>,
}

/// A figure that a claim rests on: a measure over some plays, alone or as one group of a question.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Strand {
    /// Fact or measure, for example "completions" or "feet-error".
    pub measure: String,
    /// Plays it is taken over; all of them when empty.
    #[serde(default)]
    pub plays: Vec<PlayId>,
    /// Only these games; all when empty.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub games: Vec<GameId>,
    /// Of a fact of many words: the one whose share is taken.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub word: Option<String>,
    /// What the plays are split by, when the claim rests on a question's answer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// Only plays with these words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub only: Vec<Only>,
    /// The group of that split which the claim speaks of; the answer as a whole when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub group: Option<String>,
}

/// The clips of a claim.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Evidence {
    /// That show it.
    pub supporting: Vec<PlayId>,
    /// That speak against it.
    pub against: Vec<PlayId>,
}

/// A statement of the verdict, in the evaluator's words.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Claim {
    /// Unique in the study.
    pub id: ClaimId,
    /// Place in the verdict.
    pub order: u32,
    /// The sentence.
    pub text: String,
    /// Leaning.
    pub leaning: Leaning,
    /// Of what to work on: when it is taught.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stage: Option<Stage>,
    /// Figures it rests on.
    pub strands: Vec<Strand>,
    /// Clips.
    pub evidence: Evidence,
    /// The evaluator says it is his impression, which the figures need not carry.
    pub impression: bool,
}
