//! What a plan answers in one repeat of the play.

use super::noise::Noise;
use super::parameters::Parameters;
use super::pressure::Contact;
use super::{JudgeInput, seconds_at};
use crate::{key, picture, recognise};
use play::{Condition, Look, PersonId, Plan};
use stats::Estimate;

/// Step in which a key is watched, s.
const STEP_S: f64 = 1.0 / 30.0;

/// A look with everything about it that is the same in every repeat.
pub(super) struct Prepared<'p> {
    pub look: &'p Look,
    /// His place among the windows' receivers; `None` when nobody stands in the slot.
    pub receiver: Option<usize>,
    /// The key and his choice between this look (0) and the other receiver (1), by time, s from the snap.
    pub key: Option<(PersonId, Vec<(f64, Estimate)>)>,
}

/// The plan's answer in a repeat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Answer {
    /// Among the windows' receivers.
    pub receiver: usize,
    /// When the plan would have thrown it, s from the snap.
    pub at_s: f64,
    /// When its window is taken: then, or when the ball left if that was sooner.
    pub seen_s: f64,
    /// It is the answer to pressure.
    pub hot: bool,
}

/// What a plan says in a repeat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Asked {
    Answer(Answer),
    /// No look was there in its rhythm.
    Nothing,
    /// A look that comes before any answer cannot be told.
    Unknown,
}

pub(super) struct Questions<'a> {
    input: &'a JudgeInput<'a>,
    plan: &'a Plan,
    p: &'a Parameters,
    set: Estimate,
    pub looks: Vec<Prepared<'a>>,
    pub hot: Option<usize>,
    /// Probability that the deep middle was closed.
    closed: Option<f64>,
    outnumbered: Option<bool>,
    /// First look that does not wait for pressure, s after set.
    first_s: f64,
}

impl<'a> Questions<'a> {
    pub fn new(input: &'a JudgeInput<'a>, plan: &'a Plan, p: &'a Parameters, set: Estimate) -> Self {
        let slot = |s: &str| recognise::in_slot(input.board, s).and_then(|id| input.windows.receiver(id));
        let first_s = plan
            .looks
            .iter()
            .filter(|l| l.when != Condition::Pressured)
            .map(|l| l.rhythm_s)
            .fold(f64::INFINITY, f64::min);
        let first_s = if first_s.is_finite() { first_s } else { 0.0 };
        let looks = plan
            .looks
            .iter()
            .map(|look| Prepared {
                look,
                receiver: slot(&look.slot),
                key: look.against.as_deref().and_then(|other| watched(input, look, other, set.value, p)),
            })
            .collect();
        Self {
            input,
            plan,
            p,
            set,
            looks,
            hot: plan.hot.as_deref().and_then(slot),
            closed: picture::deep_middle(input.board, set.value + first_s).map(|m| m.closed),
            outnumbered: input.pressure.outnumbered(),
            first_s,
        }
    }

    /// When the rhythm throws a look, s from the snap.
    pub fn time(&self, look: &Look, n: &Noise) -> f64 {
        match look.when {
            Condition::Pressured => look.rhythm_s,
            _ => seconds_at(self.set, n.set) + look.rhythm_s,
        }
    }

    /// The last look's time, s from the snap.
    pub fn last(&self, n: &Noise) -> f64 {
        self.plan.looks.iter().map(|l| self.time(l, n)).fold(0.0, f64::max)
    }

    /// When contact came in a repeat; infinite while it is known not to have come by the plan's last look, `None` when
    /// not known.
    pub fn contact(&self, n: &Noise, by_s: f64) -> Option<f64> {
        match self.input.pressure.contact {
            Contact::At(at) => Some(seconds_at(at, n.contact)),
            Contact::NotBefore(s) => (by_s <= s).then_some(f64::INFINITY),
            Contact::Unknown => None,
        }
    }

    /// Whether a look's condition holds in a repeat; `None` when that cannot be told.
    fn applies(&self, look: &Look, n: &Noise) -> Option<bool> {
        match look.when {
            Condition::Always => Some(true),
            Condition::MiddleClosed => self.closed.map(|c| n.picture < c),
            Condition::MiddleOpen => self.closed.map(|c| n.picture >= c),
            Condition::Pressured => {
                let due = seconds_at(self.set, n.set) + self.first_s;
                let sooner = self.contact(n, due).map(|c| c < due);
                match (self.outnumbered, sooner) {
                    (Some(true), _) | (_, Some(true)) => Some(true),
                    (None, None) => None,
                    _ => Some(false),
                }
            }
        }
    }

    /// Whether a look applies, and from when: a key read waits up to a hitch for the key, though not past `end_s`, after
    /// which he answers the throw.
    pub fn due(&self, prepared: &Prepared<'_>, n: &Noise, end_s: f64) -> Option<Option<f64>> {
        if !self.applies(prepared.look, n)? {
            return Some(None);
        }
        let time = self.time(prepared.look, n);
        let Some((_, choices)) = &prepared.key else { return Some(Some(time)) };
        let declared = choices
            .iter()
            .filter(|(t, _)| {
                (time.min(end_s) - 1e-9..=(time + self.p.key_wait_s).min(end_s.max(0.0) + STEP_S)).contains(t)
            })
            .map(|(t, c)| (*t, c.value + c.se * n.key))
            .find(|(_, c)| *c < key::DECLARED || *c > 1.0 - key::DECLARED);
        Some(match declared {
            Some((_, c)) if c < key::DECLARED => None,
            Some((t, _)) => Some(t.max(time)),
            // He never declares: the read stays open, and the look stands on its window alone.
            None => Some(time),
        })
    }

    /// The first instant from `from_s` to `until_s` at which a receiver's window is open in repeat `k`. The outer `None`:
    /// he is not seen at all then.
    pub fn opens(&self, receiver: usize, from_s: f64, until_s: f64, k: usize) -> Option<Option<f64>> {
        let w = self.input.windows;
        let first = w.release(from_s)?;
        let mut seen = false;
        for (i, &t) in w.releases.iter().enumerate().skip(first) {
            if i > first && t > until_s + 1e-9 {
                break;
            }
            let Some(cell) = w.cell(receiver, i) else { continue };
            seen = true;
            if cell.repeats[k].margin_s >= self.p.open_s {
                return Some(Some(t.max(from_s)));
            }
        }
        seen.then_some(None)
    }

    /// The plan's answer in repeat `k`; with `rush`, pressure that comes before it sends the plan to its hot man. Looks due
    /// after the play's end at `end_s` are taken as things stood then: later, defenders answer the throw.
    pub fn ask(&self, n: &Noise, k: usize, end_s: f64, rush: bool) -> Asked {
        let contact = rush.then(|| self.contact(n, self.last(n))).flatten().unwrap_or(f64::INFINITY);
        for prepared in &self.looks {
            let Some(receiver) = prepared.receiver else { continue };
            let Some(due) = self.due(prepared, n, end_s) else { return Asked::Unknown };
            let Some(due) = due else { continue };
            if contact < due {
                return self.under_pressure(contact, end_s, k);
            }
            match self.opens(receiver, due.min(end_s), (due + self.p.linger_s).min(end_s), k) {
                Some(Some(seen_s)) => {
                    return Asked::Answer(Answer { receiver, at_s: seen_s.max(due), seen_s, hot: false });
                }
                Some(None) => {}
                None => return Asked::Unknown,
            }
        }
        Asked::Nothing
    }

    fn under_pressure(&self, contact: f64, end_s: f64, k: usize) -> Asked {
        let Some(receiver) = self.hot else { return Asked::Nothing };
        let from_s = (contact - self.p.hot_within_s).max(0.0);
        match self.opens(receiver, from_s.min(end_s), contact.min(end_s), k) {
            Some(Some(seen_s)) => {
                Asked::Answer(Answer { receiver, at_s: seen_s.max(from_s), seen_s, hot: true })
            }
            Some(None) => Asked::Nothing,
            None => Asked::Unknown,
        }
    }
}

/// The key between a look and the other receiver, with his choice while the plan may watch him.
fn watched(
    input: &JudgeInput<'_>,
    look: &Look,
    other: &str,
    set_s: f64,
    p: &Parameters,
) -> Option<(PersonId, Vec<(f64, Estimate)>)> {
    const BEFORE_S: f64 = 1.0;
    let a = recognise::in_slot(input.board, &look.slot)?;
    let b = recognise::in_slot(input.board, other)?;
    let at = set_s + look.rhythm_s;
    let defender = key::find(input.board, a, b, (at - BEFORE_S).max(0.0), at)?;
    let n = ((at + p.key_wait_s + 1.0) / STEP_S) as usize;
    let choices = (0..=n)
        .map(|k| k as f64 * STEP_S)
        .filter_map(|t| key::choice(input.board, &defender, a, b, t).map(|c| (t, c)))
        .collect();
    Some((defender, choices))
}
