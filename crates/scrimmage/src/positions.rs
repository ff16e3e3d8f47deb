//! An invented game as tables: positions as wearable sensors would give them ten times a second, and a row for each play.

use crate::sim::dice::Dice;
use crate::sim::staged::StagedPlay;
use crate::sim::world::Outcome;
use crate::stage::{Role, Stage};
use crate::truth::{PlayTruth, TRACK_RATE};
use field::Direction;
use std::fmt::Write;

/// Samples a second.
const RATE_HZ: f64 = 10.0;
/// Error of a worn sensor's place along each axis, yd: about four inches; common practice, no source.
const SENSOR_SD_YD: f64 = 0.12;
/// Before the snap, s.
const BEFORE_S: f64 = 2.0;

/// Positions of everybody and the ball in the plays, as separated text. Places are from the corner of end line and near
/// sideline, yd; the offense is HOME.
pub fn positions(plays: &[(StagedPlay, PlayTruth)], seed: u64) -> String {
    let mut out = "play,id,name,number,team,time,x,y,event,going\n".to_owned();
    for (stage, truth) in plays {
        let mut dice = Dice::new(seed, u64::from(truth.number));
        let (first, last) = (stage.span().0.max(-BEFORE_S), truth.moments.dead.min(stage.span().1));
        for k in (first * RATE_HZ).ceil() as i64..=(last * RATE_HZ).floor() as i64 {
            let t = k as f64 / RATE_HZ;
            let word = event(truth, k);
            let going = match truth.scene.direction {
                Direction::Up => "right",
                Direction::Down => "left",
            };
            let mut row = |who: &str, name: &str, number: String, team: &str, x: f64, y: f64| {
                let (x, y) = (x + 10.0 + dice.normal(SENSOR_SD_YD), y + dice.normal(SENSOR_SD_YD));
                // Writing to a string does not fail.
                let _ = writeln!(
                    out,
                    "{},{who},{name},{number},{team},{t:.1},{x:.2},{y:.2},{word},{going}",
                    truth.number
                );
            };
            for p in &truth.people {
                let n = (((t - truth.tracks_from_s) * TRACK_RATE).round() as usize).min(p.hips.len() - 1);
                let team = if p.role == Role::Offense { "HOME" } else { "AWAY" };
                row(
                    &p.id,
                    "",
                    p.number.map(|n| n.to_string()).unwrap_or_default(),
                    team,
                    p.hips[n].x,
                    p.hips[n].y,
                );
            }
            if let Some(b) = stage.ball(t) {
                row("ball", "ball", String::new(), "ball", b.centre.x, b.centre.y);
            }
        }
    }
    out
}

fn event(truth: &PlayTruth, k: i64) -> &'static str {
    let m = &truth.moments;
    // What happens after the last sample is told with it.
    let last = (m.dead * RATE_HZ).floor() as i64;
    let at = |t: Option<f64>| t.is_some_and(|t| ((t * RATE_HZ).round() as i64).min(last) == k);
    match () {
        () if k == 0 => "ball snap",
        () if at(m.release) => "pass forward",
        () if m.release.is_some() && at(m.arrival) => match truth.result {
            Outcome::Complete => "pass caught",
            Outcome::Intercepted => "interception",
            _ => "incomplete",
        },
        () if truth.result == Outcome::Sacked && at(Some(m.dead)) => "sack",
        () if truth.result == Outcome::Scrambled && at(m.first_contact.or(Some(m.dead))) => "scramble",
        () => "",
    }
}

/// A row for each play, as separated text.
pub fn plays(plays: &[(StagedPlay, PlayTruth)]) -> String {
    let mut out = "play,quarter,clock,down,to go,offense,result,gain\n".to_owned();
    for (_, t) in plays {
        let s = &t.scene;
        let clock = s.clock_s.round() as i64;
        let result = match t.result {
            Outcome::Complete => "complete",
            Outcome::Intercepted => "intercepted",
            Outcome::Sacked => "sack",
            Outcome::Scrambled => "scramble",
            Outcome::ThrownAway => "thrown away",
            Outcome::Batted => "batted",
            Outcome::Incomplete => "incomplete",
        };
        let _ = writeln!(
            out,
            "{},{},{}:{:02},{},{:.0},HOME,{result},{:.0}",
            t.number,
            s.quarter,
            clock / 60,
            clock % 60,
            s.down,
            s.distance,
            t.gain_yd
        );
    }
    out
}
