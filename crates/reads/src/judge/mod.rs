//! Judgement of a decision under a read plan: what the plan's answer was, what he did, and how sure that is.
//!
//! Probabilities come from the windows' perturbed repeats: in each the plan is asked anew, with moments, key and picture
//! drawn from their errors, and the outcome is what [`play::Outcome`] documents. "Better" and "worse" are said only above
//! the resolution of the windows; below it a throw is `Traded`. No judgement says how the passer was taught.

mod ask;
mod assumed;
mod noise;
mod outcome;
mod parameters;
mod plans;
mod pressure;
mod reason;
mod summary;

pub use assumed::{Assumed, Basis, GENERIC, assumed};
pub use parameters::Parameters;
pub use plans::{concept_of, plans_for, unknown};
pub use pressure::{Contact, Pressure};
pub use summary::{Judged, judge_all};

use crate::board::Board;
use crate::value::Standing;
use ask::{Asked, Questions};
use noise::noise;
use outcome::{Ball, Weigher, stayed_open};
use play::{Condition, Judgement, Looked, Outcome, PersonId, Plan, Situation, ThrowResult, Weighed};
use stats::Estimate;
use window::WindowDraws;

/// A play to judge. Times are seconds from the snap.
#[derive(Clone, Copy, Debug)]
pub struct JudgeInput<'a> {
    /// People and tracks in the play frame.
    pub board: &'a Board<'a>,
    /// Windows, asked for until [`windows_until`] or as late as the tracks go.
    pub windows: &'a WindowDraws,
    /// Parameters the windows were computed with; their resolution decides what is called a difference.
    pub resolution: &'a window::Parameters,
    /// Down, distance and place, for the value of throws.
    pub situation: &'a Situation,
    /// When the last step of the drop landed.
    pub set: Option<Estimate>,
    /// When the ball left the hand.
    pub release: Option<Estimate>,
    /// End of a play without a throw: sack or start of the run. First contact serves where it is not marked.
    pub ended: Option<Estimate>,
    /// Result.
    pub result: Option<ThrowResult>,
    /// Whom the ball was thrown to.
    pub target: Option<&'a PersonId>,
    /// Pressure.
    pub pressure: Pressure,
}

/// How late windows must reach for `plans` to be judged, s from the snap: past the last look and the release.
pub fn windows_until<'p>(
    plans: impl IntoIterator<Item = &'p Plan>,
    set_s: f64,
    release_s: Option<f64>,
    p: &Parameters,
) -> f64 {
    let looks = plans.into_iter().flat_map(|plan| plan.looks.iter().map(|l| l.rhythm_s));
    let last = set_s + looks.fold(0.0, f64::max) + p.linger_s.max(p.key_wait_s) + 0.2;
    last.max(release_s.unwrap_or(0.0) + 0.2)
}

/// A moment in a repeat.
fn seconds_at(at: Estimate, z: f64) -> f64 {
    at.value + at.se * z
}

/// Likeliest answer over the repeats, and when the plan would have thrown it.
#[derive(Clone, Copy)]
struct Likely {
    receiver: usize,
    at_s: f64,
    seen_s: f64,
    hot: bool,
}

/// Judges one play under one plan turned to the side the concept was run to ([`plans_for`]).
///
/// What is missing makes the outcome `Untold`, and the reason names it.
pub fn judge(input: &JudgeInput<'_>, plan: &Plan, p: &Parameters) -> Judgement {
    match weigh(input, plan, p) {
        Ok(judgement) => judgement,
        Err(why) => untold(plan, &why),
    }
}

fn untold(plan: &Plan, why: &str) -> Judgement {
    Judgement {
        plan: plan.id.clone(),
        plan_name: plan.name.clone(),
        outcomes: vec![Weighed { outcome: Outcome::Untold, probability: 1.0 }],
        answer: None,
        better: None,
        value_gap: None,
        pressure_first: None,
        looks: Vec::new(),
        reason: format!("This cannot be told: {why}."),
    }
}

/// What became of the ball, or what is missing to say so.
fn ball(input: &JudgeInput<'_>) -> Result<(Option<usize>, Estimate), String> {
    let contact = match input.pressure.contact {
        Contact::At(at) => Some(at),
        _ => None,
    };
    match input.result {
        Some(ThrowResult::Sacked) => {
            let at = input.ended.or(contact).ok_or("neither the sack nor the first contact is marked")?;
            Ok((None, at))
        }
        Some(ThrowResult::Scrambled) => {
            let at = input
                .ended
                .or(contact)
                .ok_or("neither the start of the run nor the first contact is marked")?;
            Ok((None, at))
        }
        Some(ThrowResult::ThrownAway) => Ok((None, input.release.ok_or("the release is not marked")?)),
        _ => {
            let at = input.release.ok_or("the release is not marked")?;
            let target = input.target.ok_or("whom the ball was thrown to is not charted")?;
            let receiver = input
                .windows
                .receiver(target)
                .ok_or_else(|| format!("{target}, whom the ball was thrown to, has no track"))?;
            let cell = input.windows.release(at.value).and_then(|k| input.windows.cell(receiver, k));
            cell.ok_or_else(|| {
                format!("{target} or the passer is not seen at the release at {:.1} s", at.value)
            })?;
            Ok((Some(receiver), at))
        }
    }
}

fn weigh(input: &JudgeInput<'_>, plan: &Plan, p: &Parameters) -> Result<Judgement, String> {
    let w = input.windows;
    let needs_set = plan.looks.iter().any(|l| l.when != Condition::Pressured);
    let set = match input.set {
        Some(set) => set,
        None if needs_set => {
            return Err("the set is not marked, so the plan's rhythm has no start".to_owned());
        }
        None => Estimate::new(0.0, 0.0),
    };
    if w.draws == 0 {
        return Err("the windows have no repeats".to_owned());
    }
    let (target, end) = ball(input)?;
    let q = Questions::new(input, plan, p, set);
    if q.looks.iter().all(|l| l.receiver.is_none()) {
        let slots: Vec<&str> = plan.looks.iter().map(|l| l.slot.as_str()).collect();
        return Err(format!("nobody with a track stands in the plan's slots ({})", slots.join(", ")));
    }
    let noise = noise(w.draws, p.seed);
    let mut weigher = Weigher::new(input, p);
    let mut counts: Vec<(Outcome, usize)> = Vec::new();
    let mut answers: Vec<Option<ask::Answer>> = Vec::with_capacity(w.draws);
    let mut each: Vec<Outcome> = Vec::with_capacity(w.draws);
    let (mut before, mut known) = (0usize, 0usize);
    for (k, n) in noise.iter().enumerate() {
        let at_s = seconds_at(end, n.end);
        let unhurried = q.ask(n, k, at_s, false);
        let due = match unhurried {
            Asked::Answer(a) => a.at_s,
            _ => q.last(n),
        };
        if let Some(contact) = q.contact(n, due) {
            known += 1;
            before += usize::from(contact < due);
        }
        let asked = q.ask(n, k, at_s, true);
        let ball = target.map_or(Ball::Kept(at_s), |r| Ball::Thrown(r, at_s));
        let outcome = weigher.outcome(&q, asked, ball, first_look(&q, n), k);
        match counts.iter_mut().find(|c| c.0 == outcome) {
            Some(c) => c.1 += 1,
            None => counts.push((outcome, 1)),
        }
        each.push(outcome);
        answers.push(match asked {
            Asked::Answer(a) => Some(a),
            _ => None,
        });
    }
    counts.sort_by_key(|c| (std::cmp::Reverse(c.1), c.0));
    let outcomes: Vec<Weighed> = counts
        .iter()
        .map(|&(outcome, n)| Weighed { outcome, probability: n as f64 / w.draws as f64 })
        .collect();
    // The answer that the likeliest outcome rests on, so that sentence and outcome speak of the same.
    let of_first: Vec<Option<ask::Answer>> =
        answers.iter().zip(&each).filter(|(_, o)| **o == outcomes[0].outcome).map(|(a, _)| *a).collect();
    let answer = likely(w, &of_first);
    let pressure_first = (2 * known > w.draws).then(|| before as f64 / known as f64);
    let better = target.and_then(|r| better(input, &mut weigher, r, end.value));
    let left_there = target.is_none().then(|| left_there(input, &q, p, &noise, end)).flatten();
    let told = reason::Told {
        input,
        plan,
        p,
        outcome: outcomes[0].outcome,
        answer,
        target,
        end,
        better,
        left_there,
        pressure_first,
        questions: &q,
    };
    Ok(Judgement {
        plan: plan.id.clone(),
        plan_name: plan.name.clone(),
        answer: answer.map(|a| w.receivers[a.receiver].clone()),
        better: better.map(|r| w.receivers[r].clone()),
        value_gap: target.and_then(|r| value_gap(input, &answers, r, end.value)),
        pressure_first,
        looks: looks(input, &q, &noise, end),
        reason: reason::sentence(&told),
        outcomes,
    })
}

fn first_look(q: &Questions<'_>, n: &noise::Noise) -> f64 {
    q.looks.iter().map(|l| q.time(l.look, n)).fold(f64::INFINITY, f64::min)
}

/// The answer of most repeats, if at least half of them have one.
fn likely(w: &WindowDraws, answers: &[Option<ask::Answer>]) -> Option<Likely> {
    let some: Vec<&ask::Answer> = answers.iter().flatten().collect();
    if 2 * some.len() < answers.len() {
        return None;
    }
    let receiver = (0..w.receivers.len()).max_by_key(|r| some.iter().filter(|a| a.receiver == *r).count())?;
    let mut his: Vec<&ask::Answer> = some.into_iter().filter(|a| a.receiver == receiver).collect();
    his.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    let hot = 2 * his.iter().filter(|a| a.hot).count() > his.len();
    // Of the middle four fifths of the repeats' instants, the one at which he was measured most open.
    let outer = his.len() / 10;
    let margin = |a: &&&ask::Answer| {
        w.release(a.seen_s)
            .and_then(|k| w.cell(receiver, k))
            .map_or(f64::NEG_INFINITY, |c| c.measured.margin_s)
    };
    let a = his[outer..his.len() - outer].iter().max_by(|a, b| margin(a).total_cmp(&margin(b)))?;
    Some(Likely { receiver, at_s: a.at_s, seen_s: a.seen_s, hot })
}

/// The most open other receiver at the release whose margin beats the throw's by more than can be mistaken.
fn better(input: &JudgeInput<'_>, weigher: &mut Weigher<'_>, target: usize, at_s: f64) -> Option<usize> {
    let w = input.windows;
    let k = w.release(at_s)?;
    let margin = |r: usize| w.cell(r, k).map_or(f64::NEG_INFINITY, |c| c.measured.margin_s);
    (0..w.receivers.len())
        .filter(|&r| r != target && weigher.difference((r, k), (target, k)) == window::Difference::First)
        .max_by(|a, b| margin(*a).total_cmp(&margin(*b)))
}

/// Whose window stayed open in most repeats of a play without a throw, if in half of them.
fn left_there(
    input: &JudgeInput<'_>,
    q: &Questions<'_>,
    p: &Parameters,
    noise: &[noise::Noise],
    end: Estimate,
) -> Option<usize> {
    let often = |r: usize| {
        let there = |(k, n): (usize, &noise::Noise)| {
            stayed_open(q, input, p, r, first_look(q, n), seconds_at(end, n.end), k)
        };
        noise.iter().enumerate().filter(|x| there(*x)).count()
    };
    let (r, n) = (0..input.windows.receivers.len()).map(|r| (r, often(r))).max_by_key(|x| x.1)?;
    (2 * n >= noise.len()).then_some(r)
}

/// Value of the answer at its time less value of the throw at the release, expected points.
fn value_gap(
    input: &JudgeInput<'_>,
    answers: &[Option<ask::Answer>],
    target: usize,
    at_s: f64,
) -> Option<Estimate> {
    let standing = Standing::of(input.situation)?;
    let w = input.windows;
    let thrown = w.cell(target, w.release(at_s)?)?;
    let worth = |cell: &window::CellDraws, k: usize| {
        let depth = input.board.place(cell.ball?.target).x;
        Some(standing.throw(depth, &cell.repeats[k]))
    };
    let gaps: Vec<f64> = answers
        .iter()
        .enumerate()
        .filter_map(|(k, a)| {
            let a = (*a)?;
            let cell = w.cell(a.receiver, w.release(a.seen_s)?)?;
            Some(worth(cell, k)? - worth(thrown, k)?)
        })
        .collect();
    if 2 * gaps.len() < answers.len() {
        return None;
    }
    Estimate::from_draws(&gaps)
}

/// The looks with the rhythm as measured; a look applies when it does so in most repeats.
fn looks(input: &JudgeInput<'_>, q: &Questions<'_>, noise: &[noise::Noise], end: Estimate) -> Vec<Looked> {
    let w = input.windows;
    let still = noise::Noise::default();
    q.looks
        .iter()
        .map(|l| {
            let at_s = q.time(l.look, &still);
            let release = w.release(at_s);
            let cell = l.receiver.zip(release).and_then(|(r, k)| w.cell(r, k));
            let applying =
                noise.iter().filter(|n| matches!(q.due(l, n, seconds_at(end, n.end)), Some(Some(_)))).count();
            Looked {
                slot: l.look.slot.clone(),
                at_s,
                margin_s: cell.map(|c| c.summary(at_s).margin_s),
                applies: l.receiver.is_some() && 2 * applying > noise.len(),
            }
        })
        .collect()
}
