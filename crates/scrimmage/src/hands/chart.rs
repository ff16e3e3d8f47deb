//! What the evaluator writes: trade words, with a few left out, and his own call.

use crate::sim::dice::Dice;
use crate::sim::game::{GamePlay, HashSpot};
use crate::sim::script::Fault;
use crate::sim::world::{Outcome, PASSER};
use crate::truth::{PlayTruth, TRACK_RATE};
use field::Direction;
use serde::{Deserialize, Serialize};

/// A charted route.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct RouteHands {
    /// `L1`, `R2`, `B`.
    pub slot: String,
    /// Trade word.
    pub route: String,
}

/// A charted play; an empty word was not charted.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct ChartHands {
    /// 1 to 4.
    pub quarter: u8,
    /// Left in the quarter, s.
    pub clock_s: f64,
    /// 1 to 4.
    pub down: u8,
    /// yd.
    pub distance_yd: f64,
    /// x of the line of scrimmage in the field frame, yd.
    pub line_x: f64,
    /// Hash.
    pub hash: HashSpot,
    /// Which way the offense goes.
    pub direction: Direction,
    /// Offense's score less the defense's.
    pub margin: i32,
    /// Set.
    pub formation: String,
    /// Motion.
    pub motion: String,
    /// Protection.
    pub protection: String,
    /// Blockers.
    pub blockers: u32,
    /// Rush count.
    pub rushers: u32,
    /// Coverage shown.
    pub coverage_before: String,
    /// Coverage played.
    pub coverage_after: String,
    /// Concept.
    pub concept: String,
    /// Routes.
    pub routes: Vec<RouteHands>,
    /// Read plan within the concept.
    pub plan: String,
    /// Looks of that plan by slot, with seconds after set.
    pub looks: Vec<(String, f64)>,
    /// Answer to pressure, by slot.
    pub hot: String,
    /// clean, hurried, hit, moved.
    pub pocket: String,
    /// Drop.
    pub drop: String,
    /// Slot of the man thrown to.
    pub target: String,
    /// driven, layered, touch.
    pub throw: String,
    /// complete, incomplete ...
    pub result: Outcome,
    /// How it missed or was played.
    pub miss: String,
    /// Yards gained.
    pub gain_yd: f64,
    /// Notes.
    pub notes: String,
}

/// The evaluator's own call of the decision.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct OwnCallHands {
    /// Under which plan.
    pub plan: String,
    /// in-rhythm, behind, passed (over the plan's man), forced.
    pub call: String,
    /// Why.
    pub why: String,
}

/// A defender this near at the release hurries a throw, yd: a stride and an arm; common practice, no source.
const CROWDED_YD: f64 = 2.5;

fn crowded(truth: &PlayTruth, release_s: f64) -> bool {
    let k = ((release_s - truth.tracks_from_s) * TRACK_RATE).round().max(0.0) as usize;
    let at = |i: usize| truth.people[i].hips.get(k);
    (11..22).filter_map(at).any(|d| at(PASSER).is_some_and(|p| p.distance(*d) < CROWDED_YD))
}

pub(super) fn fill(play: &GamePlay, truth: &PlayTruth, dice: &mut Dice) -> ChartHands {
    let l = &truth.labels;
    let s = &truth.scene;
    let mut maybe = |word: &str, share: f64| if dice.chance(share) { String::new() } else { word.to_owned() };
    let side = if s.home_ball { s.score[0] - s.score[1] } else { s.score[1] - s.score[0] };
    let before = maybe(&l.coverage_before, 0.06);
    let contact = truth.moments.first_contact;
    let pocket = match (truth.result, contact, truth.moments.release) {
        (Outcome::Sacked, ..) => "hit",
        (Outcome::Scrambled, ..) => "moved",
        (_, Some(c), Some(r)) if c < r + 0.1 => "hit",
        (.., Some(r)) if crowded(truth, r) => "hurried",
        _ => "clean",
    };
    let throw = truth.ball.as_ref().map_or("", |b| match b.launch_deg {
        d if d < 12.0 => "driven",
        d if d < 22.0 => "layered",
        _ => "touch",
    });
    let steps =
        match (l.gun, play.script.concept.scheme().drop) {
            (true, crate::sim::concept::Drop::Quick) => "1-step gun",
            (true, crate::sim::concept::Drop::Medium) | (false, crate::sim::concept::Drop::Quick) => {
                if l.gun { "3-step gun" } else { "3-step" }
            }
            (true, crate::sim::concept::Drop::Deep) => "5-step gun",
            (false, crate::sim::concept::Drop::Medium) => "5-step",
            (false, crate::sim::concept::Drop::Deep) => "7-step",
        };
    let notes = match (truth.labels.picture, &l.free_rusher) {
        (Some(_), _) => "have seen this picture in this game".to_owned(),
        (None, Some(_)) => "free rusher".to_owned(),
        _ => String::new(),
    };
    ChartHands {
        quarter: s.quarter,
        clock_s: s.clock_s.round(),
        down: s.down,
        distance_yd: s.distance,
        line_x: s.line_x(),
        hash: s.hash,
        direction: s.direction,
        margin: side,
        formation: l.formation.clone(),
        motion: if l.motion { "slot across".to_owned() } else { String::new() },
        protection: maybe(play.script.protection.word(), 0.05),
        blockers: l.blockers,
        rushers: l.rushers,
        coverage_before: before,
        coverage_after: l.coverage_after.clone(),
        concept: l.concept.clone(),
        routes: l
            .routes
            .iter()
            .map(|r| RouteHands { slot: r.slot.clone(), route: r.route.clone() })
            .collect(),
        plan: l.plan.clone(),
        looks: l.looks.clone(),
        hot: play.script.plan.hot.slot(play.script.strong),
        pocket: pocket.to_owned(),
        drop: steps.to_owned(),
        target: l.target.clone().unwrap_or_default(),
        throw: throw.to_owned(),
        result: truth.result,
        miss: truth.miss.clone(),
        gain_yd: truth.gain_yd,
        notes,
    }
}

pub(super) fn own_call(truth: &PlayTruth, dice: &mut Dice) -> OwnCallHands {
    let words = ["in-rhythm", "behind", "passed", "forced", "passed"];
    let k = match truth.labels.fault {
        _ if !truth.labels.fault_shown => 0,
        Fault::None => 0,
        Fault::Late => 1,
        Fault::WrongMan => 2,
        Fault::Forced => 3,
        Fault::NoAnswer => 4,
    };
    // One call in eight is another than the truth: evaluators differ.
    let k = if dice.chance(0.125) { dice.below(words.len()) } else { k };
    let why = [
        "saw it and threw it",
        "it was there a hitch before",
        "the plan's man was open",
        "nothing there, threw it anyway",
        "nobody home for the free man",
    ][k];
    OwnCallHands { plan: truth.labels.plan.clone(), call: words[k].into(), why: why.into() }
}
