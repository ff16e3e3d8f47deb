//! What a decision was in one repeat.

use super::JudgeInput;
use super::ask::{Answer, Asked, Questions};
use super::parameters::Parameters;
use play::Outcome;
use std::collections::HashMap;
use window::{CellDraws, Difference, compare};

/// What became of the ball in a repeat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Ball {
    /// Thrown to this receiver then, s from the snap.
    Thrown(usize, f64),
    /// Kept, or thrown away, until then, s from the snap.
    Kept(f64),
}

/// Cells by receiver and release.
type Place = (usize, usize);

pub(super) struct Weigher<'a> {
    input: &'a JudgeInput<'a>,
    p: &'a Parameters,
    compared: HashMap<(Place, Place), Difference>,
}

impl<'a> Weigher<'a> {
    pub fn new(input: &'a JudgeInput<'a>, p: &'a Parameters) -> Self {
        Self { input, p, compared: HashMap::new() }
    }

    fn cell(&self, (receiver, release): Place) -> Option<&'a CellDraws> {
        self.input.windows.cell(receiver, release)
    }

    /// Which of two throws is more open, as far as a throw needs it; [`Difference::NotSeen`] below the resolution.
    pub fn difference(&mut self, a: Place, b: Place) -> Difference {
        let (Some(x), Some(y)) = (self.cell(a), self.cell(b)) else { return Difference::NotSeen };
        let p = self.p;
        let resolution = self.input.resolution;
        *self.compared.entry((a, b)).or_insert_with(|| {
            if x.measured.margin_s.min(y.measured.margin_s) >= p.ample_s {
                return Difference::NotSeen;
            }
            compare(x, y, resolution)
        })
    }

    /// The outcome in repeat `k`.
    pub fn outcome(
        &mut self,
        questions: &Questions<'_>,
        asked: Asked,
        ball: Ball,
        from_s: f64,
        k: usize,
    ) -> Outcome {
        let answer = match asked {
            Asked::Unknown => return Outcome::Untold,
            Asked::Answer(a) => Some(a),
            Asked::Nothing => None,
        };
        match ball {
            Ball::Thrown(receiver, at_s) => self.thrown(answer, receiver, at_s, k),
            Ball::Kept(at_s) => match answer {
                Some(a) if a.at_s <= at_s => Outcome::Passed,
                _ if (0..self.input.windows.receivers.len())
                    .any(|r| stayed_open(questions, self.input, self.p, r, from_s, at_s, k)) =>
                {
                    Outcome::Passed
                }
                _ => Outcome::Bare,
            },
        }
    }

    fn thrown(&mut self, answer: Option<Answer>, receiver: usize, at_s: f64, k: usize) -> Outcome {
        let w = self.input.windows;
        let Some(release) = w.release(at_s) else { return Outcome::Untold };
        let Some(cell) = self.cell((receiver, release)) else { return Outcome::Untold };
        let there = cell.repeats[k].margin_s >= self.p.there_s;
        let open_at_release = |r: usize| {
            r != receiver && w.cell(r, release).is_some_and(|c| c.repeats[k].margin_s >= self.p.open_s)
        };
        let another = (0..w.receivers.len()).any(open_at_release);
        let Some(a) = answer else {
            return match (there, another) {
                (true, _) => Outcome::Bettered,
                (false, true) => Outcome::Forced,
                (false, false) => Outcome::Bare,
            };
        };
        if a.receiver == receiver {
            return match at_s - a.at_s {
                late if late > self.p.behind_s && !there && another => Outcome::Forced,
                late if late > self.p.behind_s => Outcome::Behind,
                late if late < -self.p.ahead_s => Outcome::Ahead,
                _ => Outcome::InRhythm,
            };
        }
        if !there {
            return Outcome::Forced;
        }
        let Some(its) = w.release(a.seen_s) else { return Outcome::Untold };
        let Some(answers) = self.cell((a.receiver, its)) else { return Outcome::Untold };
        let gap = cell.repeats[k].margin_s - answers.repeats[k].margin_s;
        match self.difference((receiver, release), (a.receiver, its)) {
            Difference::First if gap > 0.0 => Outcome::Bettered,
            Difference::Second if gap < 0.0 => Outcome::Passed,
            _ => Outcome::Traded,
        }
    }
}

/// Whether a receiver's window stayed open long enough to have been thrown, between two instants of repeat `k`.
pub(super) fn stayed_open(
    questions: &Questions<'_>,
    input: &JudgeInput<'_>,
    p: &Parameters,
    receiver: usize,
    from_s: f64,
    until_s: f64,
    k: usize,
) -> bool {
    let mut t = from_s;
    while let Some(Some(opened)) = questions.opens(receiver, t, until_s - p.sustained_s, k) {
        let shut = input.windows.releases.iter().enumerate().find(|(i, r)| {
            **r >= opened - 1e-9
                && input.windows.cell(receiver, *i).is_none_or(|c| c.repeats[k].margin_s < p.open_s)
        });
        let shut_s = shut.map_or(until_s, |s| *s.1).min(until_s);
        if shut_s - opened >= p.sustained_s - 1e-9 {
            return true;
        }
        t = shut_s.max(t + 1e-3);
    }
    false
}
