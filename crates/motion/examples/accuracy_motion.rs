//! Accuracy figures of this crate on seeds that no test uses, as JSON lines.
#![allow(clippy::print_stdout, clippy::unwrap_used)]

#[path = "../tests/support/mod.rs"]
mod support;

use play::{FootPart, View};
use serde_json::json;
use support::score::Score;
use support::studies::{CAREFUL, flights, stances, tracks};

const SIDELINE: &[View] = &[View::Sideline];
const END_ZONE: &[View] = &[View::EndZone];
const UNSEEN: u64 = 20_000_000;

fn lower(name: &str, value: f64, unit: &str, goal: f64, note: &str) {
    let holds = value <= goal;
    println!(
        "{}",
        json!({"name": name, "value": value, "unit": unit, "goal": goal, "better": "lower", "holds": holds, "note": note})
    );
}

fn coverage(name: &str, scores: &[&Score], what: &str) {
    let n: usize = scores.iter().map(|s| s.n()).sum();
    let value = scores.iter().map(|s| s.coverage() * s.n() as f64).sum::<f64>() / n.max(1) as f64;
    let each: Vec<String> = scores.iter().map(|s| format!("{:.0}", s.coverage())).collect();
    let note = format!(
        "holds from 85 to 95; claimed 90% intervals of {what}, each {}%, {n} values",
        each.join(", ")
    );
    let holds = (85.0..=95.0).contains(&value);
    println!(
        "{}",
        json!({"name": name, "value": value, "unit": "%", "goal": 85.0, "better": "higher", "holds": holds, "note": note})
    );
}

fn main() {
    for (word, views, speed, arrival, height) in [
        ("both", &View::ALL[..], 0.5, 0.15, 0.25),
        ("sideline", SIDELINE, 2.0, 0.5, 0.5),
        ("end_zone", END_ZONE, 2.0, 0.5, 0.5),
    ] {
        let s = flights(views, true, CAREFUL, UNSEEN..UNSEEN + 400);
        let note = format!(
            "RMS of {} throws, clicks of 1 px at 720p30, catcher's feet known, {} not seen; half of them within {:.2}",
            s.thrown,
            s.not_seen,
            s.speed.median_abs()
        );
        lower(&format!("flight.release_speed.{word}"), s.speed.rms(), "mph", speed, &note);
        let note =
            "RMS distance on the ground; the error runs along the flight, from the frame marked for arrival";
        lower(&format!("flight.arrival.{word}"), s.arrival_rms(), "yd", arrival, note);
        lower(&format!("flight.arrival_height.{word}"), s.height.rms(), "ft", height, "RMS");
        let all: Vec<&Score> = s.all().into_iter().map(|a| a.1).collect();
        coverage(
            &format!("flight.coverage.{word}"),
            &all,
            "speed, launch, apex, x, y, height, time, landing",
        );
    }
    let whole = [FootPart::Toe, FootPart::Heel];
    for (word, views, repeats, scale, goal, note) in [
        (
            "both_1080_five",
            &View::ALL[..],
            5,
            3,
            3.0,
            "RMS, base 0.8 yd, toe and heel, five repeats, 1080 lines",
        ),
        (
            "both_720_one",
            &View::ALL[..],
            1,
            2,
            7.0,
            "RMS, base 0.8 yd, toe and heel, one mark each, 720 lines",
        ),
        (
            "sideline_720_one",
            SIDELINE,
            1,
            2,
            15.0,
            "RMS, base 0.8 yd, toe and heel, one mark each, 720 lines",
        ),
    ] {
        let s = stances(views, &whole, repeats, scale, 0.8, UNSEEN..UNSEEN + 400);
        lower(&format!("feet.error.{word}"), s.error.rms(), "deg", goal, note);
        coverage(
            &format!("feet.coverage.{word}"),
            &[&s.error, &s.base, &s.step, &s.weight],
            "feet error, base, step, weight",
        );
    }
    for (word, views, goal) in [("sideline", SIDELINE, 0.10), ("end_zone", END_ZONE, 0.12)] {
        for every in [6, 12] {
            let s = tracks(views, every, UNSEEN..UNSEEN + 120);
            let note = format!("RMS with gait, clicks every {every} frames, cuts included");
            lower(&format!("motion.foot.{word}.every_{every}"), s.foot_rms(), "yd", goal, &note);
            let note = format!("RMS away from cuts, with gait, clicks every {every} frames");
            lower(&format!("motion.speed.{word}.every_{every}"), s.steady_speed_rms(), "yd/s", 0.5, &note);
            let all: Vec<&Score> = s.all().into_iter().map(|a| a.1).collect();
            coverage(&format!("motion.coverage.{word}.every_{every}"), &all, "place and velocity");
        }
    }
}
