//! The solvers against OpenCV from PyPI on the same points, run live (`checks/opencv_reference.py`).

#![allow(clippy::disallowed_methods, reason = "the reference library runs as a program")]

mod support;

use camera::FieldCamera;
use field::RuleBook;
use geometry::Point2;
use register::{Click, FieldModel, PictureSize, StationPrior, solve_frame};
use serde_json::{Value, json};
use std::io::Write;
use std::process::{Command, Stdio};
use support::*;

fn opencv(job: &Value) -> Value {
    let checks = concat!(env!("CARGO_MANIFEST_DIR"), "/../../checks");
    let python = format!("{checks}/.venv/bin/python");
    assert!(std::path::Path::new(&python).exists(), "{python} is missing: run `make checks-env`");
    let mut child = Command::new(&python)
        .arg(format!("{checks}/opencv_reference.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("python starts");
    child.stdin.take().expect("a pipe").write_all(job.to_string().as_bytes()).expect("the job is read");
    let out = child.wait_with_output().expect("python ends");
    assert!(out.status.success(), "opencv_reference.py failed");
    serde_json::from_slice(&out.stdout).expect("its JSON")
}

/// Clicks on every crossing in view, with a fixed pattern of sub-pixel error so that the answer is a true least-squares fit.
fn clicks(truth: &camera::Pinhole) -> Vec<Click> {
    visible_crossings(truth, RuleBook::College)
        .into_iter()
        .enumerate()
        .map(|(k, landmark)| {
            let p = truth
                .pixel_from_field(shape_point(landmark, RuleBook::College).at_height(0.0))
                .expect("in view");
            let e = |m: usize| 0.4 * (((k * m) % 7) as f64 / 3.0 - 1.0);
            Click { landmark, pixel: Point2::new(p.x + e(3), p.y + e(5)), sd_px: 1.0 }
        })
        .collect()
}

#[test]
fn homography_agrees_with_opencv() {
    let truth = sideline(50.0);
    let clicks = clicks(&truth);
    let size = PictureSize { width: truth.station.width, height: truth.station.height };
    let ours = solve_frame(&clicks, size, &FieldModel::flat(RuleBook::College), &StationPrior::Moving)
        .expect("a camera");
    let rows: Vec<_> = clicks
        .iter()
        .map(|c| {
            let g = shape_point(c.landmark, RuleBook::College);
            json!([g.x, g.y, c.pixel.x, c.pixel.y])
        })
        .collect();
    let h: Vec<f64> = serde_json::from_value(opencv(&json!({ "pairs": rows }))["homography"].clone())
        .expect("nine numbers");
    let theirs = FieldCamera::Plane { pixel_from_ground: h.try_into().expect("nine") };
    // OpenCV minimises the same error in pixels; both stop at convergence, so a hundredth of a pixel is generous.
    for c in &clicks {
        let g = shape_point(c.landmark, RuleBook::College).at_height(0.0);
        let (a, b) =
            (ours.camera.pixel_from_field(g).expect("in view"), theirs.pixel_from_field(g).expect("in view"));
        assert!(a.distance(b) < 0.01, "{a:?} against {b:?}");
    }
}

#[test]
fn pose_agrees_with_opencv() {
    let truth = sideline(50.0);
    let clicks = clicks(&truth);
    let size = PictureSize { width: truth.station.width, height: truth.station.height };
    let ours = solve_frame(&clicks, size, &FieldModel::flat(RuleBook::College), &StationPrior::Sideline)
        .expect("a camera");
    let covariance = ours.parameter_covariance();
    let se = (covariance[(4, 4)] + covariance[(5, 5)] + covariance[(6, 6)]).sqrt();
    let ours = ours.camera.pinhole().copied().expect("a pinhole");
    let rows: Vec<_> = clicks
        .iter()
        .map(|c| {
            let g = shape_point(c.landmark, RuleBook::College);
            json!([g.x, g.y, 0.0, c.pixel.x, c.pixel.y])
        })
        .collect();
    let job = json!({ "points": rows, "focal": ours.aim.focal, "size": [size.width, size.height] });
    let centre: Vec<f64> = serde_json::from_value(opencv(&job)["centre"].clone()).expect("three numbers");
    let apart = ((centre[0] - ours.station.centre.x).powi(2)
        + (centre[1] - ours.station.centre.y).powi(2)
        + (centre[2] - ours.station.centre.z).powi(2))
    .sqrt();
    // Same points and focal length; ours also has a weak prior and a distortion term, which move it by less than the standard
    // error that it claims.
    assert!(
        apart < se,
        "centres {apart:.3} yd apart, claimed {se:.3}: {centre:?} against {:?}",
        ours.station.centre
    );
}
