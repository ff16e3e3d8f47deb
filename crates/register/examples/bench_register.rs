//! Times the hot path beside general picture registration on the same frames; prints one JSON object a line: {name, value, unit, goal, better, holds, note}.
#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "an example speaks to whoever ran it")]
#![allow(clippy::disallowed_methods, reason = "the reference library runs as a program")]

#[path = "../tests/support/mod.rs"]
mod support;

use camera::Pinhole;
use field::{Crown, RuleBook};
use geometry::Point2;
use picture::GrayImage;
use register::{FieldModel, FollowSettings, Follower, StationPrior, solve_frame};
use serde_json::{Value, json};
use std::io::Write;
use std::process::{Command, Stdio};
use std::time::Instant;
use support::film::{DAY, Painted, figures, frame};
use support::*;

fn main() {
    let book = RuleBook::College;
    let field = FieldModel::flat(book);
    let painted = Painted::new(book, 0.0, Crown::default(), 1);
    for (view, base) in [("sideline", sideline(45.0)), ("endzone", end_zone())] {
        let mut r = rng(9);
        let people = figures(45.0, &mut r);
        let truth: Vec<_> = (0..24)
            .map(|k| {
                let mut c = base;
                c.aim.pan -= 0.005 * f64::from(k);
                c.aim.focal *= 1.003f64.powi(k);
                c
            })
            .collect();
        let clicks: Vec<_> = visible_crossings(&truth[0], book)
            .into_iter()
            .step_by(3)
            .map(|l| click(&truth[0], l, book, 1.0, &mut r))
            .collect();
        let begun = Instant::now();
        let start = solve_frame(&clicks, SIZE, &field, &StationPrior::Unknown).expect("good clicks");
        let solved = begun.elapsed().as_secs_f64() * 1e3;
        print(
            &format!("register.clicks_ms.{view}"),
            solved,
            "ms",
            50.0,
            &format!("{} clicks, nothing known of the camera", clicks.len()),
        );
        let pictures: Vec<_> = truth
            .iter()
            .enumerate()
            .map(|(k, c)| frame(c, &painted, &people, k as f64 / 30.0, DAY, &mut r))
            .collect();
        let mut times: Vec<f64> = Vec::new();
        let (mut square, mut places) = (0.0, 0.0);
        for _ in 0..8 {
            let mut follower = Follower::new(&start, SIZE, &field, &FollowSettings::default());
            for (k, p) in pictures.iter().enumerate() {
                let begun = Instant::now();
                let e = follower.next(p.view());
                if k > 1 {
                    times.push(begun.elapsed().as_secs_f64() * 1e3);
                }
                assert!(e.quality.trusted, "frame {k} of the bench clip is lost");
                for [x, y, gx, gy] in shown(&truth[k]) {
                    if let Some(g) = e.camera.ground_from_pixel(Point2::new(x, y), 0.0) {
                        square += g.distance(Point2::new(gx, gy)).powi(2);
                        places += 1.0;
                    }
                }
            }
        }
        times.sort_by(f64::total_cmp);
        let note = format!(
            "median of {} frames of 1280x720, one core, decoding excluded; 90th percentile {:.2}",
            times.len(),
            times[times.len() * 9 / 10]
        );
        let ours = times[times.len() / 2];
        print(&format!("register.frame_ms.{view}"), ours, "ms", 2.0, &note);
        let yd = f64::sqrt(square / f64::max(places, 1.0));
        match peers(&pictures, &truth) {
            Some(p) => {
                for (name, word) in [
                    ("ecc", "OpenCV findTransformECC"),
                    ("flow", "sparse optical flow and RANSAC homography"),
                ] {
                    let (ms, off) = (&p[format!("{name}_ms")], &p[format!("{name}_yd")]);
                    let (Some(ms), Some(off)) = (ms.as_f64(), off.as_f64()) else { continue };
                    let note = format!(
                        "time of {word} over ours on the same frames, one thread: {ms:.1} ms and {off:.3} yd rms, ours {ours:.2} ms and {yd:.3} yd"
                    );
                    let ratio = ms / ours;
                    println!(
                        "{{\"name\":\"register.ratio_to_{name}.{view}\",\"value\":{ratio:.3},\"unit\":\"ratio\",\"goal\":1,\"better\":\"higher\",\"holds\":{},\"note\":\"{note}\"}}",
                        ratio >= 1.0
                    );
                }
            }
            None => eprintln!("checks/.venv is missing (make checks-env): no peers timed"),
        }
    }
}

/// Pixels low in the picture with the ground they show.
fn shown(c: &Pinhole) -> Vec<[f64; 4]> {
    let mut out = Vec::new();
    for v in [0.5, 0.65, 0.8, 0.95] {
        for u in [0.1, 0.3, 0.5, 0.7, 0.9] {
            let p = Point2::new(u * f64::from(SIZE.width), v * f64::from(SIZE.height));
            if let Some(g) = c.ground_from_pixel(p, 0.0) {
                out.push([p.x, p.y, g.x, g.y]);
            }
        }
    }
    out
}

/// What `checks/registration_peers.py` makes of the same frames.
fn peers(pictures: &[GrayImage], truth: &[Pinhole]) -> Option<Value> {
    let checks = concat!(env!("CARGO_MANIFEST_DIR"), "/../../checks");
    let python = format!("{checks}/.venv/bin/python");
    if !std::path::Path::new(&python).exists() {
        return None;
    }
    let file = std::env::temp_dir().join(format!("register-bench-{}.gray", std::process::id()));
    let bytes: Vec<u8> = pictures.iter().flat_map(|p| p.data().iter().copied()).collect();
    std::fs::write(&file, bytes).expect("room for the frames");
    let places: Vec<_> = truth.iter().map(shown).collect();
    let job = json!({"width": SIZE.width, "height": SIZE.height, "frames": file, "places": places});
    let mut child = Command::new(python)
        .arg(format!("{checks}/registration_peers.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("python starts");
    child.stdin.take().expect("a pipe").write_all(job.to_string().as_bytes()).expect("the job is read");
    let out = child.wait_with_output().expect("python ends");
    std::fs::remove_file(&file).expect("the frames are ours");
    assert!(out.status.success(), "registration_peers.py failed");
    Some(serde_json::from_slice(&out.stdout).expect("its JSON"))
}

fn print(name: &str, value: f64, unit: &str, goal: f64, note: &str) {
    println!(
        "{{\"name\":\"{name}\",\"value\":{value:.4},\"unit\":\"{unit}\",\"goal\":{goal},\"better\":\"lower\",\"holds\":{},\"note\":\"{note}\"}}",
        value <= goal
    );
}
