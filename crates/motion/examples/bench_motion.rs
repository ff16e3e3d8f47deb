//! Speed of this crate, as JSON lines: median of repeats on one core.
#![allow(clippy::print_stdout, clippy::unwrap_used)]

#[path = "../tests/support/mod.rs"]
mod support;

use geometry::{Point3, Vector3};
use motion::flight::{Flight, FlightModel};
use motion::flight_fit::{FlightPriors, fit};
use motion::{Settings, launch, measure};
use play::{Air, View};
use serde_json::json;
use std::hint::black_box;
use std::time::Instant;
use support::Dice;
use support::cameras::Shoot;
use support::plays::Play;
use support::throws::{Truth, mark, with_inputs};

/// Median seconds of `work` over repeats of `inner` calls each.
fn time(inner: usize, mut work: impl FnMut(usize)) -> f64 {
    let mut all: Vec<f64> = (0..15)
        .map(|_| {
            let start = Instant::now();
            for k in 0..inner {
                work(k);
            }
            start.elapsed().as_secs_f64() / inner as f64
        })
        .collect();
    all.sort_by(f64::total_cmp);
    all[all.len() / 2]
}

fn lower(name: &str, value: f64, unit: &str, goal: f64, note: &str) {
    let holds = value <= goal;
    println!(
        "{}",
        json!({"name": name, "value": value, "unit": unit, "goal": goal, "better": "lower", "holds": holds, "note": note})
    );
}

fn main() {
    let model = FlightModel::new(&Air::default(), 0.1).unwrap();
    let from = Point3::new(25.0, 26.0, 2.2);
    let to = |k: usize| Point3::new(40.0 + (k % 25) as f64, 12.0 + (k % 31) as f64, 1.4);
    let both = time(20_000, |k| {
        black_box(launch::for_speed(&model, from, to(k), 25.0));
    });
    lower(
        "flight.launch_ns",
        both * 1e9,
        "ns",
        1000.0,
        "low and high launch for a speed, with drag, still air",
    );
    let by_time = time(20_000, |k| {
        black_box(launch::for_time(&model, from, to(k), 1.2 + 0.02 * (k % 40) as f64));
    });
    lower(
        "flight.launch_for_time_ns",
        by_time * 1e9,
        "ns",
        1000.0,
        "launch for a flight time, with drag, still air",
    );
    let flown = time(2000, |k| {
        let v = Vector3::new(20.0, 4.0, 6.0 + 0.1 * (k % 50) as f64);
        black_box(Flight::down_to(&model, from, v, 1.4));
    });
    lower(
        "flight.integrate_us",
        flown * 1e6,
        "us",
        50.0,
        "one flight to the catch height, error 1e-10 yd a step",
    );

    let mut dice = Dice::new(77);
    let truth = Truth::draw(&mut dice);
    let filmed: Vec<_> = View::ALL.iter().map(|v| truth.film(*v, &Shoot::default(), &mut dice)).collect();
    let marks = mark(&truth, &filmed, 1.0, 0.9, &mut dice);
    let fitted = with_inputs(&truth, &filmed, &marks, true, &mut dice, |i| {
        time(3, |_| {
            black_box(fit(i, &FlightPriors::default()).unwrap());
        })
    });
    let note =
        format!("fit of {} ball marks in two views, outliers and both landings included", marks.balls.len());
    lower("flight.fit_ms", fitted * 1e3, "ms", 100.0, &note);

    let play = Play::draw(5, &View::ALL);
    let whole = play.with_inputs(|i| {
        time(2, |_| {
            black_box(measure(i, &Settings::default()));
        })
    });
    lower(
        "motion.measure_ms",
        whole * 1e3,
        "ms",
        200.0,
        "a whole play: four people in two views, flight, feet, placement",
    );
    let one = play.with_inputs(|i| {
        let turf = motion::Turf::new(i.book, 0.0);
        let (people, _) = motion::tracks::observe(i.persons, i.views, &turf, &Settings::default().marks);
        let seen = &people[&"L1".into()];
        let times: Vec<f64> = (0..150).map(|k| f64::from(k) / 30.0).collect();
        time(10, |_| {
            black_box(motion::tracks::smooth(&"L1".into(), seen, &times, &Settings::default().running));
        })
    });
    lower(
        "motion.resolve_track_ms",
        one * 1e3,
        "ms",
        16.0,
        "one person's path after a drag, two views, a play long",
    );
}
