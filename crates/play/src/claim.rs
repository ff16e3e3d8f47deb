use crate::{ClaimId, PlayId};
use serde::{Deserialize, Serialize};

/// Whether a claim speaks of a strength, a fault, or something to settle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Leaning {
    /// Does well.
    Strength,
    /// Does badly.
    Fault,
    /// Not known yet, and what film would tell.
    Open,
}

/// A figure that a claim rests on: which measure, over which plays.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Strand {
    /// Measure's name, for example "completions" or "feet error".
    pub measure: String,
    /// Plays it is taken over; all of them when empty.
    pub plays: Vec<PlayId>,
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
    /// Figures it rests on.
    pub strands: Vec<Strand>,
    /// Clips.
    pub evidence: Evidence,
    /// The evaluator says it is his impression, which the figures need not carry.
    pub impression: bool,
}
