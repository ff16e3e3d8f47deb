//! Which plans to judge under: the chart's.

use crate::playbook::{Concept, Playbook};
use play::{Chart, Finding, Plan, Severity};

/// The charted concept, turned to the side it was run to: of the concepts that answer to the word, the one that shares
/// most of the charted routes. Where both sides were run alike it is the side of the charted target. `None` when the word is empty or not in the playbook.
pub fn concept_of(chart: &Chart, book: &Playbook) -> Option<Concept> {
    let routes = || chart.routes.iter().map(|r| (r.slot.as_str(), r.route.as_str()));
    let side =
        chart.target.as_ref().and_then(|t| t.as_str().chars().next()).filter(|c| matches!(c, 'L' | 'R'));
    let mut best: Option<((usize, usize), Concept)> = None;
    for c in book.concepts.iter().filter(|c| c.answers_to(&chart.concept)) {
        let turned = c.oriented(routes(), side, book);
        let agreement = turned.agreement(routes(), book);
        if best.as_ref().is_none_or(|b| agreement > b.0) {
            best = Some((agreement, turned));
        }
    }
    best.map(|b| b.1)
}

/// The plans to judge a play under, each with its concept turned to the side it was run to: those the chart names (by id
/// or name, in the chart's order), or every plan of the concept when it names none that the concept has. Empty when the
/// concept is not charted or not in the playbook.
pub fn plans_for(chart: &Chart, book: &Playbook) -> Vec<(Concept, Plan)> {
    let Some(concept) = concept_of(chart, book) else { return Vec::new() };
    let named: Vec<Plan> = chart.plans.iter().filter_map(|word| named(&concept, word).cloned()).collect();
    let plans = if named.is_empty() { concept.plans.clone() } else { named };
    plans.into_iter().map(|p| (concept.clone(), p)).collect()
}

/// What of the chart's concept and plans the playbook does not have.
pub fn unknown(chart: &Chart, book: &Playbook) -> Vec<Finding> {
    let weak = |code, message| Finding::new(Severity::Weak, code, message);
    if chart.concept.trim().is_empty() {
        return vec![weak(
            "no-concept",
            "the concept is not charted; there is no plan to judge under".to_owned(),
        )];
    }
    let Some(concept) = concept_of(chart, book) else {
        return vec![weak("unknown-concept", format!("the playbook has no concept \"{}\"", chart.concept))];
    };
    chart
        .plans
        .iter()
        .filter(|word| named(&concept, word).is_none())
        .map(|word| weak("unknown-plan", format!("\"{}\" has no read plan \"{word}\"", concept.name)))
        .collect()
}

fn named<'c>(concept: &'c Concept, word: &str) -> Option<&'c Plan> {
    let by_id = concept.plans.iter().find(|p| p.id.eq_ignore_ascii_case(word));
    by_id.or_else(|| concept.plans.iter().find(|p| p.name.eq_ignore_ascii_case(word)))
}
