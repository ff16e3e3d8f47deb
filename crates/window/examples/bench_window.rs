//! Speed of the window engine, as JSON lines; with `checks/window_numpy.py`, how many times a vectorised NumPy script of
//! the same model it is.
#![allow(clippy::print_stdout)]

#[path = "support/numpy.rs"]
mod numpy;
#[path = "support/mod.rs"]
mod support;

use field::RuleBook;
use play::Air;
use std::time::Instant;
use window::{FlightTable, Parameters, Request, Scene, windows};

fn line(name: &str, value: f64, unit: &str, goal: f64, better: &str, note: &str) {
    let holds = if better == "lower" { value <= goal } else { value >= goal };
    println!(
        "{}",
        serde_json::json!({"name": name, "value": value, "unit": unit, "goal": goal, "better": better, "holds": holds, "note": note})
    );
}

fn median(mut v: Vec<f64>) -> f64 {
    v.sort_by(f64::total_cmp);
    v[v.len() / 2]
}

fn main() {
    let (people, tracks) = support::play();
    let scene = Scene { people: &people, tracks: &tracks, rule_book: RuleBook::College };
    let parameters = Parameters::ours();
    let start = Instant::now();
    let table = FlightTable::new(&Air::default(), &parameters).expect("standard air");
    let table_s = start.elapsed().as_secs_f64();
    let request = Request::default();
    let mut cells = 0;
    let seconds = median(
        (0..7)
            .map(|_| {
                let start = Instant::now();
                let (draws, _) = windows(&scene, &table, &parameters, &request).expect("a whole play");
                cells = draws.cells.len();
                start.elapsed().as_secs_f64()
            })
            .collect(),
    );
    let note = format!("{cells} cells of 5 receivers, 200 repeats, 7 defenders, median of 7");
    line("window.play_s", seconds, "s", 1.0, "lower", &note);
    let script = median((0..3).map(|_| numpy::run(&tracks, &table, &parameters, &request).0).collect());
    let note = format!("checks/window_numpy.py {script:.2} s, same play, throws and repeats, median of 3");
    line("window.times_numpy", script / seconds, "x", 10.0, "higher", &note);
    line("window.flight_table_s", table_s, "s", 1.0, "lower", "once per game and arm");
}
