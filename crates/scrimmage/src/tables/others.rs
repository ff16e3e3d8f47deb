//! What stands among pass plays in a game's table and is none: runs handed off, kicks, plays whistled dead.

use super::Listed;
use super::rows::{Row, Who, instants};
use super::style::Style;
use crate::sim::dice::Dice;
use crate::stage::Role;

/// What it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Other {
    /// Handed to the back.
    Run,
    /// Kicked away.
    Punt,
    /// Whistled dead at the snap.
    DeadBall,
}

impl Other {
    pub const ALL: [Self; 3] = [Self::Run, Self::Punt, Self::DeadBall];
    pub fn kind(self) -> &'static str {
        match self {
            Self::Run => "run",
            Self::Punt => "punt",
            Self::DeadBall => "no play",
        }
    }
}

/// Rows of one, lined up as `like` was: everybody runs to the ball, the ball goes back and on.
pub(super) fn rows(what: Other, like: &Listed, style: &Style, dice: &mut Dice) -> Vec<Row> {
    let truth = &like.truth;
    let place = like.stage.script.place;
    let ball = [place.spot.0, place.spot.1];
    let up = place.direction.sign();
    let end = match what {
        Other::Run => 4.0,
        Other::Punt => 6.0,
        Other::DeadBall => 1.0,
    };
    // The ball, along the offense's way: back to a man, then forward.
    let gone = |t: f64| match (what, t) {
        (_, t) if t <= 0.0 => 0.0,
        (Other::Punt, t) if t < 0.8 => -14.0 * t / 0.8,
        (Other::Punt, t) if t < 2.0 => -14.0,
        (Other::Punt, t) => -14.0 + 13.0 * (t - 2.0),
        (Other::DeadBall, t) => -4.0 * (t / 0.6).min(1.0),
        (_, t) if t < 0.4 => -4.5 * t / 0.4,
        (_, t) if t < 1.0 => -4.5,
        (_, t) => -4.5 + 5.0 * (t - 1.0),
    };
    let [white, _] = style.sd_yd;
    let mut out = Vec::new();
    for (frame, t) in instants(-1.5, end, style.uneven, dice) {
        let word = match what {
            _ if t == 0.0 => "ball_snap",
            Other::Run if (t - 1.0).abs() < 0.06 => "handoff",
            Other::Run if (t - end).abs() < 0.06 => "tackle",
            Other::Punt if (t - 2.0).abs() < 0.06 => "punt",
            Other::Punt if (t - 5.5).abs() < 0.06 => "fair_catch",
            Other::DeadBall if (t - 0.5).abs() < 0.06 => "penalty_flag",
            _ => "",
        };
        let now = |t: f64| [ball[0] + up * gone(t), ball[1]];
        // The passer and the back stay where the ball comes by; others close on it.
        let place = |i: usize, t: f64| {
            let p = &truth.people[i];
            let share = if p.role == Role::Defense || t > 1.5 { 0.12 } else { 0.02 };
            let (w, start, goal) = ((share * t.max(0.0)).min(0.7), &p.hips[0], now(t));
            [start.x + w * (goal[0] - start.x), start.y + w * (goal[1] - start.y)]
        };
        let moving = |at: &dyn Fn(f64) -> [f64; 2]| {
            let (a, b) = (at(t - 0.05), at(t + 0.05));
            [(b[0] - a[0]) / 0.1, (b[1] - a[1]) / 0.1]
        };
        for i in 0..truth.people.len() {
            let at = place(i, t);
            out.push(Row {
                who: Who::Man(i),
                frame,
                t,
                at: at.map(|v| v + dice.normal(white)),
                velocity: moving(&|t| place(i, t)),
                other_side: false,
                event: word.to_owned(),
            });
        }
        out.push(Row {
            who: Who::Ball,
            frame,
            t,
            at: now(t),
            velocity: moving(&now),
            other_side: false,
            event: word.to_owned(),
        });
    }
    out
}
