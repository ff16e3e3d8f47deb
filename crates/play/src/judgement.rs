use crate::PersonId;
use serde::{Deserialize, Serialize};
use stats::Estimate;

/// What a decision was under one plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// The plan's answer, in its rhythm.
    InRhythm,
    /// The plan's answer, after its rhythm.
    Behind,
    /// The plan's answer, before it could have been known.
    Ahead,
    /// Another throw, better than the plan's answer.
    Bettered,
    /// Another throw, as good within what can be told.
    Traded,
    /// Another throw, worse than the plan's answer.
    Passed,
    /// Into a window that was not there while another was.
    Forced,
    /// No throw was there.
    Bare,
    /// The measurements do not tell.
    Untold,
}

/// One look of the plan as the play turned out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Looked {
    /// Route slot.
    pub slot: String,
    /// When the plan's rhythm would have thrown it, s from the snap.
    pub at_s: f64,
    /// Margin then, s.
    pub margin_s: Option<Estimate>,
    /// Whether the plan's condition for the look held.
    pub applies: bool,
}

/// An outcome with its probability.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Weighed {
    /// Outcome.
    pub outcome: Outcome,
    /// Probability from repeated perturbation of the measurements, 0 to 1.
    pub probability: f64,
}

/// The program's judgement under one plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Judgement {
    /// The plan.
    pub plan: String,
    /// Its name.
    pub plan_name: String,
    /// Outcomes by probability, most likely first; they sum to 1.
    pub outcomes: Vec<Weighed>,
    /// The plan's answer at its time.
    pub answer: Option<PersonId>,
    /// The best other throw at release, when its margin beats the throw's by more than can be mistaken.
    pub better: Option<PersonId>,
    /// Value of the answer less value of the throw, expected points.
    pub value_gap: Option<Estimate>,
    /// Probability that pressure arrived before the answer's rhythm.
    pub pressure_first: Option<f64>,
    /// The looks.
    pub looks: Vec<Looked>,
    /// One sentence with the figures.
    pub reason: String,
}

/// The evaluator's own call, kept beside the program's.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct OwnCall {
    /// Under which plan.
    pub plan: String,
    /// His call.
    pub outcome: Outcome,
    /// Why, in his words.
    #[serde(default)]
    pub why: String,
}
