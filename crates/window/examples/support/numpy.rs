//! Hands an invented play to `checks/window_numpy.py` and reads its answer.

use motion::flight::{FlightModel, SPIRAL_DRAG};
use play::{Air, Track};
use serde_json::{Value, json};
use std::io::Write;
use std::process::{Command, Stdio};
use window::{FlightTable, Parameters, Request};

/// Times path samples of receivers are handed over at, Hz: the tracks' own rate.
const PATH_HZ: f64 = 30.0;

/// Hands `question` to a script of `checks/` and reads its answer.
// A benchmark and a test may run the reference; the product may not.
#[allow(clippy::disallowed_methods)]
pub fn ask(script: &str, question: &Value) -> Value {
    let checks = concat!(env!("CARGO_MANIFEST_DIR"), "/../../checks");
    let python = format!("{checks}/.venv/bin/python");
    assert!(std::path::Path::new(&python).exists(), "{python} is missing: run `make checks-env`");
    let mut child = Command::new(&python)
        .arg(format!("{checks}/{script}"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("python starts");
    child.stdin.take().expect("piped").write_all(question.to_string().as_bytes()).expect("script reads");
    let output = child.wait_with_output().expect("script ends");
    assert!(output.status.success(), "checks/{script} failed");
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// Runs the script on the play of `super::play` with the releases and repeats of `request`: seconds taken, and per receiver
/// and release the measured margin, its standard deviation over repeats, and mean chances of completion and interception.
pub fn run(
    tracks: &[Track],
    table: &FlightTable,
    parameters: &Parameters,
    request: &Request,
) -> (f64, Vec<Option<[f64; 4]>>) {
    let n = ((request.until_s - request.from_s) * request.rate_hz + 1e-9).floor() as usize + 1;
    let releases: Vec<f64> = (0..n).map(|k| request.from_s + k as f64 / request.rate_hz).collect();
    let sampled = |id: &str, times: &[f64]| {
        let track = tracks.iter().find(|t| t.person.as_str() == id).expect("in the play");
        let at: Vec<_> = times.iter().map(|&t| track.at(t).expect("in its track")).collect();
        let take = |f: fn(&play::TrackPoint) -> f64| at.iter().map(f).collect::<Vec<f64>>();
        json!({"x": take(|p| p.position.x), "y": take(|p| p.position.y), "vx": take(|p| p.velocity.x), "vy": take(|p| p.velocity.y)})
    };
    let path: Vec<f64> = (0..((7.0 - request.from_s) * PATH_HZ) as usize)
        .map(|k| request.from_s + k as f64 / PATH_HZ)
        .collect();
    let first = tracks[0].points[0];
    let receivers = ["L1", "L2", "R2", "R1", "B"].map(|r| sampled(r, &path));
    let covers = ["C1", "N", "M", "W", "C2", "S1", "S2"].map(|c| sampled(c, &releases));
    let question = json!({
        "parameters": parameters, "seed": request.seed, "draws": request.draws, "releases": releases, "from_s": request.from_s,
        "path_hz": PATH_HZ, "width": field::RuleBook::College.width(),
        "drag": FlightModel::new(&Air::default(), SPIRAL_DRAG.value).expect("standard air").drag_per_yd,
        "release_height": table.release_height(), "catch_height": table.catch_height(),
        "position_sd": first.position_covariance.xx.sqrt(), "velocity_sd": first.velocity_covariance.xx.sqrt(),
        "passer": sampled("passer", &releases),
        "receivers": receivers,
        "covers": covers,
    });
    let answer = ask("window_numpy.py", &question);
    let cells = answer["cells"].as_array().expect("cells").iter();
    let numbers = |c: &Value| c.as_array().map(|v| std::array::from_fn(|i| v[i].as_f64().expect("a number")));
    (answer["seconds"].as_f64().expect("seconds"), cells.map(numbers).collect())
}
