//! Which plans to judge under when the evaluator has charted none: those of the concept that the routes look like, else a
//! generic progression. Either is said wherever a judgement rests on it.

use super::plans::plans_for;
use crate::board::Board;
use crate::concepts::{concepts, routes};
use crate::playbook::Playbook;
use crate::recognise::RouteGuess;
use play::{Chart, Condition, Look, Plan, PlanKind, RouteCall};
use serde::{Deserialize, Serialize};

/// What the plans rest on.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = JudgedOn))]
#[serde(rename_all = "kebab-case", tag = "on")]
pub enum Basis {
    /// The charted concept.
    Charted,
    /// A concept that is not charted but that the routes look like.
    Recognised {
        /// Its name.
        concept: String,
        /// Its share among the playbook's concepts, 0 to 1.
        share: f64,
    },
    /// Nobody's plan: each man as his route breaks.
    Generic,
    /// No plan at all: nobody's route is seen.
    #[default]
    Nothing,
}

/// Plans to judge under, and what they rest on.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Assumed {
    /// The plans, in order.
    pub plans: Vec<Plan>,
    /// What they rest on.
    pub basis: Basis,
}

/// Id of the generic plan.
pub const GENERIC: &str = "as-they-break";
/// From one look to the next, s: a hitch step; common practice, no source.
const NEXT_S: f64 = 0.35;
/// When a route without a break is looked at, s from the snap: as a fade or seam is thrown; common practice, no source.
const UNBROKEN_S: f64 = 1.7;
/// The ball leaves this long before the break, s: thrown to where he will be; common practice, no source.
const LEADS_S: f64 = 0.3;
/// An answer to pressure breaks within this depth, yd: the quick game; common practice, no source.
const HOT_YD: f64 = 6.5;

/// The charted plans; without a charted concept those of the recognised one, else the generic progression. `until_s`: end
/// of what is looked at, s from the snap; `released_s`: when the ball left, where it did; `set_s`: when the drop ended.
pub fn assumed(
    board: &Board<'_>,
    chart: &Chart,
    until_s: f64,
    released_s: Option<f64>,
    set_s: f64,
    book: &Playbook,
) -> Assumed {
    let charted = plans_for(chart, book);
    if !charted.is_empty() {
        return Assumed { plans: charted.into_iter().map(|p| p.1).collect(), basis: Basis::Charted };
    }
    // A word that the playbook does not have is the evaluator's: nothing is put in its place.
    if !chart.concept.trim().is_empty() {
        return Assumed::default();
    }
    let ran = routes(board, until_s, released_s, &chart.routes, book);
    if let Some(first) = concepts(&ran, released_s, book).into_iter().next().filter(|c| c.sure()) {
        let basis = Basis::Recognised { concept: first.concept.name.clone(), share: first.share };
        // Turned to its side by the same rule as a charted one.
        let as_charted = Chart {
            concept: first.concept.id.clone(),
            routes: ran
                .iter()
                .filter_map(|(slot, g)| {
                    Some(RouteCall { slot: slot.clone(), route: g.routes.first()?.0.clone() })
                })
                .collect(),
            target: chart.target.clone(),
            ..Chart::default()
        };
        let plans = plans_for(&as_charted, book).into_iter().map(|p| p.1).collect();
        return Assumed { plans, basis };
    }
    match generic(&ran, set_s) {
        Some(plan) => Assumed { plans: vec![plan], basis: Basis::Generic },
        None => Assumed::default(),
    }
}

/// A progression that nobody taught: each man as his route breaks, the back last.
fn generic(ran: &[(String, RouteGuess)], set_s: f64) -> Option<Plan> {
    let mut order: Vec<(bool, f64, &str)> = ran
        .iter()
        .filter(|(_, g)| g.routes.first().is_some_and(|r| r.0 != "block"))
        .map(|(slot, g)| {
            (slot.starts_with('B'), g.turn.map_or(UNBROKEN_S, |t| t.at_s - LEADS_S), slot.as_str())
        })
        .collect();
    if order.is_empty() {
        return None;
    }
    order.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut at = f64::NEG_INFINITY;
    let looks = order
        .iter()
        .map(|(_, broke, slot)| {
            at = (broke - set_s).max(0.0).max(at + NEXT_S);
            Look { slot: (*slot).to_owned(), when: Condition::Always, rhythm_s: at, against: None }
        })
        .collect();
    let quick = ran
        .iter()
        .filter_map(|(slot, g)| g.turn.map(|t| (slot, t)))
        .filter(|(_, t)| t.depth_yd.value <= HOT_YD)
        .min_by(|a, b| a.1.at_s.total_cmp(&b.1.at_s))
        .map(|(slot, _)| slot.clone());
    let hot = quick.or_else(|| ran.iter().find(|r| r.0.starts_with('B')).map(|r| r.0.clone()));
    Some(Plan {
        id: GENERIC.to_owned(),
        name: "Each man as his route breaks (generic)".to_owned(),
        kind: PlanKind::Progression,
        looks,
        hot,
    })
}
