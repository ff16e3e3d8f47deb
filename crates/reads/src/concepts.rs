//! Concepts proposed from routes. A proposal is the evaluator's to confirm; a route that he charted counts as certain.

use crate::board::Board;
use crate::playbook::{Concept, Playbook};
use crate::recognise::{self, RouteGuess};
use play::RouteCall;

/// A concept that the routes look like.
#[derive(Clone, Debug, PartialEq)]
pub struct ConceptGuess {
    /// The concept, turned to the side it was run to.
    pub concept: Concept,
    /// Its share among all concepts of the playbook, 0 to 1.
    pub share: f64,
    /// Slots that the concept is read by (the first looks of its plans) whose routes agree.
    pub agree: Vec<String>,
    /// How many slots it is read by.
    pub read_by: usize,
}

impl ConceptGuess {
    /// Whether it may stand in for a charted one: every slot that it is read by agrees, and no other concept is likelier
    /// than it by half.
    pub fn sure(&self) -> bool {
        self.read_by >= 2 && self.agree.len() == self.read_by && self.share >= SURE
    }
}

/// Share from which on a concept whose read slots all agree is sure; ours, common practice, no source.
const SURE: f64 = 0.5;
/// Share of a route from which on it agrees with the concept's.
const AGREES: f64 = 0.4;
/// A route that was seen and is not the concept's still may be one run badly.
const OTHERWISE: f64 = 0.03;
/// Somebody ran where the concept has nobody.
const NOBODY: f64 = 0.05;
/// What the routes count for that the plans do not look at first: they are tagged differently from week to week.
const BESIDE: f64 = 0.4;

/// One shape by two names, or to be told apart only by who runs it.
const KIN: [&[&str]; 7] = [
    &["go", "fade", "seam"],
    &["flat", "arrow", "back-flat"],
    &["hitch", "stop", "stick"],
    &["wheel", "rail"],
    &["mesh", "shallow"],
    &["check-down", "hook", "spot"],
    &["crosser", "over"],
];

/// Whether two routes are one shape by two names.
fn kin(a: &str, b: &str) -> bool {
    a == b || KIN.iter().any(|k| k.contains(&a) && k.contains(&b))
}

/// What each eligible man ran until `until_s`, by slot; what the evaluator charted is certain.
pub fn routes(
    board: &Board<'_>,
    until_s: f64,
    charted: &[RouteCall],
    book: &Playbook,
) -> Vec<(String, RouteGuess)> {
    board
        .receivers()
        .filter_map(|p| {
            let slot = recognise::slot_of(board, &p.id)?;
            let seen = recognise::route(board, &p.id, until_s, book);
            let own = charted.iter().find(|r| r.slot == slot && !r.route.trim().is_empty());
            let own = own.and_then(|r| book.routes.iter().find(|x| x.answers_to(&r.route)));
            let guess = match own {
                Some(r) => RouteGuess { routes: vec![(r.id.clone(), 1.0)], turn: seen.and_then(|g| g.turn) },
                None => seen?,
            };
            Some((slot, guess))
        })
        .collect()
}

/// Slots that the plans of a concept look at first and second.
fn read_by(c: &Concept) -> Vec<&str> {
    let mut slots: Vec<&str> = Vec::new();
    for look in c.plans.iter().flat_map(|p| p.looks.iter().take(2)) {
        let runs = c.routes.get(&look.slot).is_some_and(|r| r != "block");
        if runs && !slots.contains(&look.slot.as_str()) {
            slots.push(&look.slot);
        }
    }
    slots
}

/// Concepts that the routes look like, most likely first, at most five; none with fewer than two routes.
pub fn concepts(routes: &[(String, RouteGuess)], book: &Playbook) -> Vec<ConceptGuess> {
    if routes.len() < 2 {
        return Vec::new();
    }
    let ran = |slot: &str, id: &str| {
        let guess = routes.iter().find(|r| r.0 == slot)?;
        Some(guess.1.routes.iter().filter(|r| kin(&r.0, id)).map(|r| r.1).sum::<f64>())
    };
    let mut scored: Vec<ConceptGuess> = Vec::new();
    for c in &book.concepts {
        for concept in [c.clone(), c.mirrored()] {
            let by: Vec<String> = read_by(&concept).into_iter().map(str::to_owned).collect();
            let mut fits = 0.0;
            for (slot, _) in routes {
                let weight = if by.contains(slot) { 1.0 } else { BESIDE };
                let p = match concept.routes.get(slot) {
                    Some(id) => ran(slot, id).unwrap_or(0.0).max(OTHERWISE),
                    None => NOBODY,
                };
                fits += weight * p.ln();
            }
            // Whom the concept is read by and who ran nothing.
            let missing = by.iter().filter(|s| !routes.iter().any(|r| &r.0 == *s)).count();
            fits += missing as f64 * OTHERWISE.ln();
            let agree: Vec<String> = by
                .iter()
                .filter(|s| concept.routes.get(*s).and_then(|id| ran(s, id)).is_some_and(|p| p >= AGREES))
                .cloned()
                .collect();
            scored.push(ConceptGuess { share: fits, agree, read_by: by.len(), concept });
        }
    }
    let most = scored.iter().map(|s| s.share).fold(f64::NEG_INFINITY, f64::max);
    scored.iter_mut().for_each(|s| s.share = (s.share - most).exp());
    let sum: f64 = scored.iter().map(|s| s.share).sum();
    scored.iter_mut().for_each(|s| s.share /= sum);
    scored.sort_by(|a, b| b.share.total_cmp(&a.share));
    // A concept that is drawn the same to both sides is one proposal.
    let mut out: Vec<ConceptGuess> = Vec::new();
    for guess in scored {
        match out.iter_mut().find(|o| o.concept.id == guess.concept.id) {
            Some(first) => first.share += guess.share,
            None => out.push(guess),
        }
    }
    out.sort_by(|a, b| b.share.total_cmp(&a.share));
    out.truncate(5);
    out
}
