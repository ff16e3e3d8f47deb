//! The reason for a judgement: one sentence with the figures, ± half a 90% interval.

use super::ask::Questions;
use super::{Contact, JudgeInput, Likely, Parameters};
use play::{Outcome, Plan, ThrowResult};
use stats::Estimate;

/// What the sentence is made from.
pub(super) struct Told<'a> {
    pub input: &'a JudgeInput<'a>,
    pub plan: &'a Plan,
    pub p: &'a Parameters,
    pub outcome: Outcome,
    pub answer: Option<Likely>,
    pub target: Option<usize>,
    pub end: Estimate,
    pub better: Option<usize>,
    pub left_there: Option<usize>,
    pub pressure_first: Option<f64>,
    pub questions: &'a Questions<'a>,
}

pub(super) fn sentence(t: &Told<'_>) -> String {
    let mut s = match t.outcome {
        Outcome::Untold => "The measurements do not tell".to_owned() + &not_seen(t),
        _ => match t.target {
            Some(target) => thrown(t, target),
            None => kept(t),
        },
    };
    s.push_str(&pressure(t));
    s.push('.');
    s
}

fn half(e: Estimate) -> f64 {
    e.interval(0.9).width() / 2.0
}

fn seconds(e: Estimate) -> String {
    if half(e) < 0.05 { format!("{:.1} s", e.value) } else { format!("{:.1} ± {:.1} s", e.value, half(e)) }
}

/// How open a receiver was at a release: "was first to the ball by 0.42 ± 0.20 s".
fn openness(t: &Told<'_>, receiver: usize, at_s: f64) -> String {
    let w = t.input.windows;
    let Some((k, cell)) = w.release(at_s).and_then(|k| w.cell(receiver, k).map(|c| (k, c))) else {
        return "was not seen".to_owned();
    };
    if cell.ball.is_none() {
        return "was out of reach of any throw the arm allows".to_owned();
    }
    let m = cell.summary(w.releases[k]).margin_s;
    let most = t.input.resolution.limits.margin_s;
    if m.value >= most - 1e-6 {
        return format!("was first to the ball by {most:.0} s or more");
    }
    if m.value >= 0.0 {
        return format!("was first to the ball by {:.2} ± {:.2} s", m.value, half(m));
    }
    let who = cell.defender.as_ref().map_or("a defender".to_owned(), ToString::to_string);
    format!("was beaten to the ball by {who}, by {:.2} ± {:.2} s", -m.value, half(m))
}

fn name(t: &Told<'_>, receiver: usize) -> String {
    t.input.windows.receivers[receiver].to_string()
}

/// "when the plan looked at 2.0 s".
fn looked(a: Likely) -> String {
    match a.hot {
        true => format!("as the plan's answer to pressure at {:.1} s", a.at_s),
        false if a.seen_s < a.at_s - 0.05 => {
            format!("when the ball left, before the plan's look at him at {:.1} s", a.at_s)
        }
        false => format!("when the plan looked at {:.1} s", a.at_s),
    }
}

fn thrown(t: &Told<'_>, target: usize) -> String {
    let left = seconds(t.end);
    let x = name(t, target);
    let x_was = openness(t, target, t.end.value);
    let Some(a) = t.answer else {
        let other = t
            .better
            .map_or(String::new(), |b| format!(", while {} {}", name(t, b), openness(t, b, t.end.value)));
        return format!(
            "No look of the plan was open in its rhythm; {x} {x_was} when the ball left at {left}{other}"
        );
    };
    let answer = format!("{} {} {}", name(t, a.receiver), openness(t, a.receiver, a.seen_s), looked(a));
    let lag = t.end.value - a.at_s;
    match t.outcome {
        Outcome::Behind | Outcome::Forced if a.receiver == target => {
            format!("{answer}; the ball left at {left}, {lag:.1} s later, when he {x_was}")
        }
        Outcome::Ahead if a.receiver == target => {
            format!("{answer}; it left at {left}, {:.1} s before that could have been known", -lag)
        }
        Outcome::Traded => format!(
            "{answer}; {x}, to whom the ball left at {left}, {x_was}: no difference that matters or can be seen"
        ),
        Outcome::Bare => format!("Nobody was open when the ball left at {left}: {x} {x_was}"),
        _ if a.receiver == target => format!("{answer}; the ball left at {left}"),
        _ => format!("{answer}; {x}, to whom the ball left at {left}, {x_was}"),
    }
}

fn kept(t: &Told<'_>) -> String {
    let end = match t.input.result {
        Some(ThrowResult::Sacked) => format!("the sack at {}", seconds(t.end)),
        Some(ThrowResult::Scrambled) => format!("he ran at {}", seconds(t.end)),
        _ => format!("he threw it away at {}", seconds(t.end)),
    };
    let there = |r: usize, at_s: f64| format!("{} {}", name(t, r), openness(t, r, at_s));
    match (t.outcome, t.answer, t.left_there) {
        (Outcome::Passed, Some(a), _) if a.at_s <= t.end.value => {
            format!("{} {}, before {end}", there(a.receiver, a.seen_s), looked(a))
        }
        (Outcome::Passed, _, Some(r)) => {
            let at_s = widest(t, r);
            format!("No look of the plan was open before {end}, but {} at {at_s:.1} s", there(r, at_s))
        }
        (Outcome::Passed, ..) => {
            format!("Somebody came open before {end}, though no one man in most of the repeats")
        }
        _ => format!("No window stayed open for {:.1} s before {end}", t.p.sustained_s),
    }
}

/// When a receiver's window was widest from set to the end.
fn widest(t: &Told<'_>, receiver: usize) -> f64 {
    let w = t.input.windows;
    let from = t.input.set.map_or(0.0, |s| s.value);
    let mut best = (f64::NEG_INFINITY, t.end.value);
    for (k, &at_s) in w.releases.iter().enumerate().filter(|(_, s)| (from..=t.end.value).contains(*s)) {
        if let Some(c) = w.cell(receiver, k)
            && c.measured.margin_s > best.0
        {
            best = (c.measured.margin_s, at_s);
        }
    }
    best.1
}

fn pressure(t: &Told<'_>) -> String {
    let (Some(first), Contact::At(at)) = (t.pressure_first, t.input.pressure.contact) else {
        return String::new();
    };
    if first < 0.5 {
        return String::new();
    }
    let answer = match (&t.plan.hot, t.questions.hot) {
        _ if t.answer.is_some_and(|a| a.hot) => {
            return format!("; pressure came at {}, before the plan's look", seconds(at));
        }
        (None, _) => "and the plan has no answer to it".to_owned(),
        (Some(slot), None) => format!("and nobody stands in the slot of the plan's answer to it, {slot}"),
        (Some(_), Some(r)) => {
            let at_s = (at.value - t.p.hot_within_s / 2.0).max(0.0);
            format!("and its answer to that, {}, {}", name(t, r), openness(t, r, at_s))
        }
    };
    format!("; pressure came at {}, before the plan's look, {answer}", seconds(at))
}

/// Which looks could not be told.
fn not_seen(t: &Told<'_>) -> String {
    let still = super::noise::Noise::default();
    let w = t.input.windows;
    let mut missing: Vec<String> = Vec::new();
    for l in &t.questions.looks {
        let Some(r) = l.receiver else { continue };
        let at_s = t.questions.time(l.look, &still);
        match t.questions.due(l, &still, t.end.value) {
            None => missing.push(format!("whether the look at {} applies", l.look.slot)),
            Some(Some(_)) if w.release(at_s.min(t.end.value)).and_then(|k| w.cell(r, k)).is_none() => {
                missing.push(format!("{} at {at_s:.1} s", l.look.slot));
            }
            Some(_) => {}
        }
    }
    if missing.is_empty() { String::new() } else { format!(": not seen are {}", missing.join(", ")) }
}
