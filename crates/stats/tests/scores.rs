//! Scores of claims by scikit-learn and statsmodels, run live by `checks/scores.py`.
#![allow(clippy::unwrap_used)]

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};
use stats::{Claimed, SUREST, scores};
use std::io::Write;
use std::process::{Command, Stdio};

#[allow(clippy::disallowed_methods)] // a test runs the reference library; the product runs nothing here
fn ask(given: &Value) -> Value {
    let checks = concat!(env!("CARGO_MANIFEST_DIR"), "/../../checks");
    let python = format!("{checks}/.venv/bin/python");
    assert!(std::path::Path::new(&python).exists(), "{python} is missing: run `make checks-env`");
    let mut child = Command::new(python)
        .arg(format!("{checks}/scores.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(given.to_string().as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    assert!(out.status.success(), "checks/scores.py failed: run `make checks-env` if a package is missing");
    serde_json::from_slice(&out.stdout).unwrap()
}

#[test]
fn scores_are_scikit_learns_and_the_line_is_statsmodels() {
    let mut rng = ChaCha8Rng::seed_from_u64(71);
    // Overbold claims, some of them surer than the bound; their number is a multiple of the bins', so that both cut alike.
    let claims: Vec<Claimed> = (0..600)
        .map(|_| {
            let truth: f64 = rng.random();
            let odds = 1.6 * (truth / (1.0 - truth)).ln() + 0.3;
            Claimed { probability: 1.0 / (1.0 + (-odds).exp()), came: rng.random::<f64>() < truth }
        })
        .collect();
    let rows: Vec<(f64, u8)> = claims.iter().map(|c| (c.probability, u8::from(c.came))).collect();
    let theirs = ask(&json!({"claims": rows, "surest": SUREST, "bins": 10}));
    let ours = scores(&claims, 10).unwrap();
    let number = |v: &Value| v.as_f64().unwrap();
    assert!((ours.brier - number(&theirs["brier"])).abs() < 1e-12);
    assert!((ours.log_loss - number(&theirs["log_loss"])).abs() < 1e-12);
    for (k, e) in ours.line.unwrap().into_iter().enumerate() {
        assert!((e.value - number(&theirs["line"][k][0])).abs() < 1e-6, "{e:?} {theirs}");
        assert!((e.se - number(&theirs["line"][k][1])).abs() < 1e-6, "{e:?} {theirs}");
    }
    // The slope undoes the boldness within its error: 1 / 1.6.
    let slope = ours.line.unwrap()[1];
    assert!((slope.value - 1.0 / 1.6).abs() < 4.0 * slope.se, "{slope:?}");
    assert_eq!(ours.bins.len(), 10);
    for (bin, row) in ours.bins.iter().zip(theirs["bins"].as_array().unwrap()) {
        assert!((bin.claimed - number(&row[0])).abs() < 1e-12 && (bin.came - number(&row[1])).abs() < 1e-12);
    }
}
