//! The measures of tracking quality against the package `trackeval`, live, on random scenes.
#![allow(clippy::unwrap_used)]

#[path = "support/tracking.rs"]
mod tracking;

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use tracking::{Instant, quality};

const REACH: f64 = 1.0;

/// People who walk about, and tracks that lose them, swap them and see some who are not there.
fn scene(seed: u64) -> Vec<Instant> {
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    let people = 2 + (seed % 6) as usize;
    let mut at: Vec<[f64; 2]> =
        (0..people).map(|_| [8.0 * dice.random::<f64>(), 8.0 * dice.random::<f64>()]).collect();
    let mut name: Vec<usize> = (0..people).map(|k| 10 + k).collect();
    (0..40)
        .map(|_| {
            let mut now = Instant::default();
            if dice.random::<f64>() < 0.08 {
                let (a, b) = ((dice.random::<f64>() * people as f64) as usize, people - 1);
                name.swap(a.min(b), b);
            }
            for k in 0..people {
                at[k] = at[k].map(|v| v + 0.6 * (dice.random::<f64>() - 0.5));
                if dice.random::<f64>() < 0.9 {
                    now.truth.push((k, at[k]));
                }
                if dice.random::<f64>() < 0.85 {
                    now.tracks.push((name[k], at[k].map(|v| v + 1.2 * (dice.random::<f64>() - 0.5))));
                }
            }
            if dice.random::<f64>() < 0.2 {
                now.tracks.push((99, [8.0 * dice.random::<f64>(), 8.0 * dice.random::<f64>()]));
            }
            now
        })
        .collect()
}

fn similarity(a: [f64; 2], b: [f64; 2]) -> f64 {
    (1.0 - (a[0] - b[0]).hypot(a[1] - b[1]) / (2.0 * REACH)).max(0.0)
}

#[allow(clippy::disallowed_methods)] // a test runs the reference library; the product runs nothing here
fn reference(scenes: &Value) -> Value {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let python = root.join("checks/.venv/bin/python");
    assert!(python.exists(), "the reference libraries are missing: run `make checks-env`");
    let mut child = Command::new(python)
        .arg(root.join("checks/tracking_reference.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(scenes.to_string().as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    assert!(out.status.success(), "checks/tracking_reference.py failed: run `make checks-env`");
    serde_json::from_slice(&out.stdout).unwrap()
}

#[test]
fn quality_is_trackevals() {
    let scenes: Vec<Vec<Instant>> = (0..12).map(scene).collect();
    let given: Vec<Vec<Value>> = scenes
        .iter()
        .map(|s| {
            s.iter()
                .map(|i| {
                    let similar: Vec<Vec<f64>> = i
                        .truth
                        .iter()
                        .map(|g| i.tracks.iter().map(|t| similarity(g.1, t.1)).collect())
                        .collect();
                    let ids = |v: &[(usize, [f64; 2])]| v.iter().map(|x| x.0).collect::<Vec<_>>();
                    json!({"truth": ids(&i.truth), "tracks": ids(&i.tracks), "similar": similar})
                })
                .collect()
        })
        .collect();
    let want = reference(&json!(given));
    for (scene, want) in scenes.iter().zip(want.as_array().unwrap()) {
        let got = quality(scene, REACH);
        let same = |what: &str, ours: f64| {
            let theirs = want[what].as_f64().unwrap();
            // Costs of assignments are rounded to a millionth, which may turn a tie.
            assert!((ours - theirs).abs() < 1e-3, "{what}: {ours} against {theirs}");
        };
        same("hota", got.hota);
        same("mota", got.mota);
        same("idf1", got.idf1);
        assert_eq!(got.switches as i64, want["switches"].as_i64().unwrap());
    }
}
