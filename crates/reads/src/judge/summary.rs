//! Several plans for one play.

use super::{JudgeInput, Parameters, judge};
use play::{Judgement, Outcome, Plan};

/// A play under several plans.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// One per plan, in the order given.
    pub judgements: Vec<Judgement>,
    /// One sentence over all of them, which does not pretend to know which was taught.
    pub summary: String,
}

/// Judges a play under each plan; the one the evaluator would use comes first.
pub fn judge_all<'p>(
    input: &JudgeInput<'_>,
    plans: impl IntoIterator<Item = &'p Plan>,
    p: &Parameters,
) -> Judged {
    let judgements: Vec<Judgement> = plans.into_iter().map(|plan| judge(input, plan, p)).collect();
    let summary = summary(&judgements);
    Judged { judgements, summary }
}

/// An outcome in the words of a sentence.
fn words(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::InRhythm => "in rhythm",
        Outcome::Behind => "behind",
        Outcome::Ahead => "ahead",
        Outcome::Bettered => "a better throw than its answer",
        Outcome::Traded => "as good as its answer",
        Outcome::Passed => "its answer passed over",
        Outcome::Forced => "forced",
        Outcome::Bare => "nothing there",
        Outcome::Untold => "untold",
    }
}

fn summary(judgements: &[Judgement]) -> String {
    if judgements.is_empty() {
        return "There is no read plan to judge under.".to_owned();
    }
    let mut groups: Vec<(Outcome, Vec<String>)> = Vec::new();
    for j in judgements {
        let Some(first) = j.outcomes.first() else { continue };
        let share = match first.outcome {
            Outcome::Untold => String::new(),
            _ => format!(" ({:.0}%)", 100.0 * first.probability),
        };
        let named = format!("\"{}\"{share}", j.plan_name);
        match groups.iter_mut().find(|g| g.0 == first.outcome) {
            Some(g) => g.1.push(named),
            None => groups.push((first.outcome, vec![named])),
        }
    }
    let parts: Vec<String> =
        groups.iter().map(|(o, plans)| format!("{} under {}", words(*o), plans.join(" and "))).collect();
    let mut text = parts.join("; ");
    if let Some(first) = text.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    format!("{text}; which way he was taught to read it is not known here.")
}
