//! A pass play as rows: where everybody is said to be, instant by instant.

use super::Listed;
use super::style::{Events, Style};
use crate::sim::dice::Dice;
use crate::sim::world::Outcome;
use crate::stage::{Role, Stage};
use crate::truth::{PlayTruth, TRACK_RATE};
use std::f64::consts::TAU;

/// Samples a second.
pub(super) const RATE_HZ: f64 = 10.0;
/// Before the snap, s.
const BEFORE_S: f64 = 2.0;

/// Whose row it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Who {
    /// One of the 22, by index.
    Man(usize),
    /// A body too many.
    Extra,
    /// The ball.
    Ball,
}

/// A row before it is written.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub who: Who,
    /// Counts instants from 0.
    pub frame: usize,
    /// Seconds from the snap.
    pub t: f64,
    /// Field frame, yd; not a number for an empty cell.
    pub at: [f64; 2],
    /// Field frame, yd/s.
    pub velocity: [f64; 2],
    /// He has changed sides in this row.
    pub other_side: bool,
    pub event: String,
}

/// Somebody's slow error along both axes: two waves of two to four seconds each.
struct Wander([[f64; 3]; 4]);

impl Wander {
    fn new(dice: &mut Dice, sd: f64) -> Self {
        Self(std::array::from_fn(|_| [dice.normal(sd), dice.range(0.0, TAU), TAU / dice.range(2.0, 4.0)]))
    }
    fn at(&self, t: f64) -> [f64; 2] {
        let wave = |w: &[f64; 3]| w[0] * (w[1] + w[2] * t).sin();
        [wave(&self.0[0]) + wave(&self.0[1]), wave(&self.0[2]) + wave(&self.0[3])]
    }
}

/// The instants of a play's samples: frame and s from the snap.
pub(super) fn instants(first: f64, last: f64, uneven: bool, dice: &mut Dice) -> Vec<(usize, f64)> {
    let (low, high) = ((first * RATE_HZ).ceil() as i64, (last * RATE_HZ).floor() as i64);
    let mut out = Vec::new();
    for k in low..=high {
        let t = k as f64 / RATE_HZ;
        let shift = if uneven { dice.range(-0.03, 0.03) } else { 0.0 };
        // Instants that carry the play's events are there: an export drops rows, not tags.
        if uneven && k != 0 && dice.chance(0.02) {
            continue;
        }
        out.push(((k - low) as usize, t + if k == 0 { 0.0 } else { shift }));
    }
    out
}

/// Rows of a pass play, instant by instant.
pub(super) fn of_play(play: &Listed, style: &Style, dice: &mut Dice) -> Vec<Row> {
    let (stage, truth) = (&play.stage, &play.truth);
    let (first, last) = (stage.span().0.max(-BEFORE_S), truth.moments.dead.min(stage.span().1));
    let [white, slow] = style.sd_yd;
    let wander: Vec<Wander> = (0..23).map(|_| Wander::new(dice, slow)).collect();
    let times = instants(first, last, style.uneven, dice);
    let events = events(truth, &times, style, dice);
    let mut out = Vec::with_capacity(times.len() * 23);
    for ((frame, t), event) in times.into_iter().zip(events) {
        for (i, p) in truth.people.iter().enumerate() {
            let hips = |t: f64| {
                let x = ((t - truth.tracks_from_s) * TRACK_RATE).clamp(0.0, p.hips.len() as f64 - 1.001);
                let (k, w) = (x as usize, x.fract());
                let (a, b) = (p.hips[k], p.hips[k + 1]);
                [a.x + w * (b.x - a.x), a.y + w * (b.y - a.y)]
            };
            let (off, here) = (wander[i].at(t), hips(t));
            let (a, b) = (hips(t - 0.1), hips(t + 0.1));
            out.push(Row {
                who: Who::Man(i),
                frame,
                t,
                at: [here[0] + off[0] + dice.normal(white), here[1] + off[1] + dice.normal(white)],
                velocity: [(b[0] - a[0]) / 0.2 + dice.normal(0.15), (b[1] - a[1]) / 0.2 + dice.normal(0.15)],
                other_side: false,
                event: if style.events == Events::BallRows { String::new() } else { event.clone() },
            });
        }
        if let Some(b) = stage.ball(t) {
            let off = wander[22].at(t);
            let place = |t: f64| stage.ball(t).map_or([b.centre.x, b.centre.y], |b| [b.centre.x, b.centre.y]);
            let (from, to) = (place(t - 0.05), place(t + 0.05));
            out.push(Row {
                who: Who::Ball,
                frame,
                t,
                at: [b.centre.x + off[0] + dice.normal(white), b.centre.y + off[1] + dice.normal(white)],
                velocity: [(to[0] - from[0]) / 0.1, (to[1] - from[1]) / 0.1],
                other_side: false,
                event,
            });
        }
    }
    out
}

/// Words of each instant.
fn events(truth: &PlayTruth, times: &[(usize, f64)], style: &Style, dice: &mut Dice) -> Vec<String> {
    let mut out = vec![String::new(); times.len()];
    let nearest =
        |t: f64| (0..times.len()).min_by(|&a, &b| (times[a].1 - t).abs().total_cmp(&(times[b].1 - t).abs()));
    let mut put = |t: f64, word: &str| {
        if let Some(k) = nearest(t)
            && out[k].is_empty()
        {
            out[k] = word.to_owned();
        }
    };
    let m = &truth.moments;
    let threw = m.release.is_some();
    if style.events == Events::Tidy {
        put(0.0, "ball snap");
        if let Some(r) = m.release {
            put(r, "pass forward");
        }
        if let (true, Some(a)) = (threw, m.arrival) {
            put(
                a,
                match truth.result {
                    Outcome::Complete => "pass caught",
                    Outcome::Intercepted => "interception",
                    _ => "incomplete",
                },
            );
        }
        match truth.result {
            Outcome::Sacked => put(m.dead, "sack"),
            Outcome::Scrambled => put(m.first_contact.unwrap_or(m.dead), "scramble"),
            _ => {}
        }
        return out;
    }
    let mut say = |d: &mut Dice, t: f64, words: &[&str]| put(t, d.pick::<&str>(words));
    say(dice, 0.0, &["ball_snap", "snap", "Ball Snap", "snap_direct"]);
    if dice.chance(0.3) {
        // A program's guess beside the person's tag, a little off.
        let t = dice.range(0.1, 0.25);
        say(dice, t, &["auto_ball_snap"]);
    }
    if truth.labels.motion {
        say(dice, -1.6, &["man_in_motion", "shift"]);
    }
    say(dice, -1.9, &["line_set", "huddle_break"]);
    if dice.chance(0.2) {
        say(dice, 0.8, &["play_action"]);
    }
    if let Some(c) = m.first_contact.filter(|_| threw) {
        say(dice, c, &["first_contact"]);
    }
    if let Some(r) = m.release {
        say(dice, r, &["pass_forward", "throw", "Pass Forward", "pass_release"]);
        if dice.chance(0.3) {
            say(dice, r - 0.2, &["auto_pass_forward"]);
        }
        // Repeated by mistake a second later.
        if dice.chance(0.05) {
            say(dice, r + 0.2, &["pass_forward"]);
        }
        if let Some(a) = m.arrival {
            if dice.chance(0.7) {
                say(dice, a - 0.1, &["pass_arrived", "ball_arrives"]);
            }
            match truth.result {
                Outcome::Complete => {
                    say(dice, a, &["pass_outcome_caught", "catch", "pass caught", "reception"]);
                }
                Outcome::Intercepted => {
                    say(dice, a, &["pass_outcome_interception", "interception", "intercepted"]);
                }
                // Often tagged when it lies on the ground.
                _ => {
                    let t = a + dice.range(0.0, 0.5);
                    say(dice, t, &["pass_outcome_incomplete", "incomplete", "pass incomplete"]);
                }
            }
        }
    }
    match truth.result {
        Outcome::Sacked => say(dice, m.dead, &["qb_sack", "sack", "Sack"]),
        Outcome::Scrambled => {
            let t = m.first_contact.unwrap_or(m.dead - 0.5);
            say(dice, t, &["run", "qb_scramble", "scramble"]);
            say(dice, m.dead, &["tackle", "out_of_bounds", "qb_slide"]);
        }
        Outcome::Complete | Outcome::Intercepted => say(dice, m.dead, &["tackle", "out_of_bounds"]),
        _ => {}
    }
    out
}

/// A position's letters as a roster has them.
pub(super) fn position(id: &str, role: Role) -> &'static str {
    match (role, id) {
        (Role::Offense, "off-qb") => "QB",
        (Role::Offense, "off-b") => "RB",
        (Role::Offense, i) if i.ends_with("-lt") || i.ends_with("-rt") => "T",
        (Role::Offense, i) if i.ends_with("-lg") || i.ends_with("-rg") => "G",
        (Role::Offense, "off-c") => "C",
        (Role::Offense, _) => "WR",
        (_, i) if i.contains("cb") || i.contains("nickel") => "CB",
        (_, i) if i.ends_with("ss") => "SS",
        (_, i) if i.ends_with("fs") => "FS",
        (_, i) if i.ends_with("de") => "DE",
        (_, i) if i.ends_with("dt") => "DT",
        _ => "LB",
    }
}
