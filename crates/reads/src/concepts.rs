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

/// What each eligible man ran until `until_s`, by slot; what the evaluator charted is certain. `released_s`: when the ball left the
/// passer's hand, s from the snap; a quick concept's ball is gone before a deep one's.
pub fn routes(
    board: &Board<'_>,
    until_s: f64,
    released_s: Option<f64>,
    charted: &[RouteCall],
    book: &Playbook,
) -> Vec<(String, RouteGuess)> {
    let alone: Vec<(String, RouteGuess)> = board
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
        .collect();
    together(&alone, released_s, book)
}

/// How much of what the others ran is believed to tell what one ran; the rest is left to the unusual. Ours, common practice, no source.
const TELLS: f64 = 0.8;
/// Within a concept, a route that is tagged to another one.
const TAGGED: f64 = 0.15;

/// What each man ran in the light of what the others ran: who sits at twelve yards outside a flat runs a curl.
fn together(
    alone: &[(String, RouteGuess)],
    released_s: Option<f64>,
    book: &Playbook,
) -> Vec<(String, RouteGuess)> {
    let turned = both_ways(book, released_s);
    let settled = |(slot, guess): &(String, RouteGuess)| {
        let others: Vec<_> = alone.iter().filter(|o| &o.0 != slot).cloned().collect();
        let shares = shares(&others, &turned);
        let mut routes = guess.routes.clone();
        for (id, share) in &mut routes {
            let usual = book.usual(id, slot);
            let told: f64 = turned
                .iter()
                .zip(&shares)
                .map(|((c, _), w)| {
                    w * match c.routes.get(slot) {
                        Some(r) if r == id => 1.0 - TAGGED + TAGGED * usual,
                        Some(_) => TAGGED * usual,
                        None => usual,
                    }
                })
                .sum();
            *share *= TELLS * told / usual + 1.0 - TELLS;
        }
        let sum: f64 = routes.iter().map(|r| r.1).sum();
        routes.iter_mut().for_each(|r| r.1 /= sum);
        routes.sort_by(|a, b| b.1.total_cmp(&a.1));
        (slot.clone(), RouteGuess { routes, turn: guess.turn })
    };
    alone.iter().map(settled).collect()
}

/// Seconds by which a ball leaves sooner or later than its drop has it, one spread: hurried, or held; common practice, no source.
const HELD_S: f64 = 0.5;
/// Spreads beyond which a ball was held or hurried so much that its time tells nothing more.
const HELD_MOST: f64 = 2.0;

/// Every concept as it is drawn and turned to the other side, with minus log likelihood of the ball's leaving when it did.
fn both_ways(book: &Playbook, released_s: Option<f64>) -> Vec<(Concept, f64)> {
    let untimely = |c: &Concept| {
        let (Some(at), Some(drop)) = (released_s, book.drop(&c.drop)) else { return 0.0 };
        let off = (drop.out[0] - at).max(at - drop.out[1]).max(0.0);
        0.5 * (off / HELD_S).min(HELD_MOST).powi(2)
    };
    book.concepts.iter().flat_map(|c| [(c.clone(), untimely(c)), (c.mirrored(), untimely(c))]).collect()
}

/// Share of a route guess that is one by that name, or of its shape by another.
fn ran(routes: &[(String, RouteGuess)], slot: &str, id: &str) -> Option<f64> {
    let guess = routes.iter().find(|r| r.0 == slot)?;
    Some(guess.1.routes.iter().filter(|r| kin(&r.0, id)).map(|r| r.1).sum::<f64>())
}

/// Share of each concept by what was run, 1 over all.
fn shares(routes: &[(String, RouteGuess)], concepts: &[(Concept, f64)]) -> Vec<f64> {
    let fits = |(concept, untimely): &(Concept, f64)| {
        let by = read_by(concept);
        let mut fits = -untimely;
        for (slot, _) in routes {
            let weight = if by.contains(&slot.as_str()) { 1.0 } else { BESIDE };
            let p = match concept.routes.get(slot) {
                Some(id) => ran(routes, slot, id).unwrap_or(0.0).max(OTHERWISE),
                None => NOBODY,
            };
            fits += weight * p.ln();
        }
        // Whom the concept is read by and who ran nothing.
        let missing = by.iter().filter(|s| !routes.iter().any(|r| &r.0 == *s)).count();
        fits + missing as f64 * OTHERWISE.ln()
    };
    let mut out: Vec<f64> = concepts.iter().map(fits).collect();
    let most = out.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    out.iter_mut().for_each(|s| *s = (*s - most).exp());
    let sum: f64 = out.iter().sum();
    out.iter_mut().for_each(|s| *s /= sum);
    out
}

/// Slots that half the plans of a concept or more look at first or second.
fn read_by(c: &Concept) -> Vec<&str> {
    let looked =
        |slot: &str| c.plans.iter().filter(|p| p.looks.iter().take(2).any(|l| l.slot == slot)).count();
    c.routes
        .iter()
        .filter(|(slot, route)| route.as_str() != "block" && 2 * looked(slot) >= c.plans.len())
        .map(|(slot, _)| slot.as_str())
        .collect()
}

/// Concepts that the routes look like, most likely first, at most five; none with fewer than two routes. `released_s` as in [`routes`].
pub fn concepts(
    routes: &[(String, RouteGuess)],
    released_s: Option<f64>,
    book: &Playbook,
) -> Vec<ConceptGuess> {
    if routes.len() < 2 {
        return Vec::new();
    }
    let turned = both_ways(book, released_s);
    let shares = shares(routes, &turned);
    let mut scored: Vec<ConceptGuess> = turned
        .into_iter()
        .zip(shares)
        .map(|((concept, _), share)| {
            let by = read_by(&concept);
            let agrees = |slot: &&str| {
                concept.routes.get(*slot).and_then(|id| ran(routes, slot, id)).is_some_and(|p| p >= AGREES)
            };
            let agree = by.iter().copied().filter(agrees).map(str::to_owned).collect();
            ConceptGuess { share, agree, read_by: by.len(), concept }
        })
        .collect();
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
