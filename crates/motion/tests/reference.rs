//! The same numbers from general libraries, run live by `checks/motion_reference.py`.
#![allow(clippy::unwrap_used)]

use geometry::{Covariance2, Point2, Point3, Vector3};
use motion::air::density_kg_per_m3;
use motion::flight::{Flight, FlightModel};
use motion::tracks::{GroundObservation, Origin, Running, smooth};
use play::{Air, View};
use serde_json::{Value, json};
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

#[allow(clippy::disallowed_methods)] // a test runs the reference library; the product runs nothing here
fn reference(given: &Value) -> Value {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let python = root.join("checks/.venv/bin/python");
    assert!(python.exists(), "the reference libraries are missing: run `make checks-env`");
    let mut child = Command::new(python)
        .arg(root.join("checks/motion_reference.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(given.to_string().as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    assert!(
        out.status.success(),
        "checks/motion_reference.py failed: run `make checks-env` if a package is missing"
    );
    serde_json::from_slice(&out.stdout).unwrap()
}

fn numbers(v: &Value) -> Vec<f64> {
    v.as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect()
}

#[test]
fn flights_are_solve_ivps() {
    let mut cases = Vec::new();
    for (cd, wind) in [(0.0, [0.0, 0.0]), (0.055, [4.0, 0.0]), (0.10, [0.0, 0.0]), (0.14, [-7.0, 5.0])] {
        for (speed, up, left) in
            [(18.0, 5.0f64, 10.0f64), (24.0, 20.0, -35.0), (29.0, 45.0, 3.0), (22.0, 65.0, 0.0)]
        {
            let model = FlightModel {
                wind: Vector3::new(wind[0], wind[1], 0.0),
                ..FlightModel::new(&Air { altitude_m: 300.0, temperature_c: 24.0, wind: None }, cd).unwrap()
            };
            let (u, l) = (up.to_radians(), left.to_radians());
            let v = Vector3::new(speed * u.cos() * l.cos(), speed * u.cos() * l.sin(), speed * u.sin());
            cases.push((model, Point3::new(25.0, 20.0, 2.2), v, 1.1));
        }
    }
    let given: Vec<Value> = cases
        .iter()
        .map(|(m, p, v, height)| json!({"drag_per_yd": m.drag_per_yd, "wind": m.wind, "release": p, "velocity": v, "height": height}))
        .collect();
    let got = reference(&json!({ "flights": given }));
    for ((model, p, v, height), want) in cases.iter().zip(got["flights"].as_array().unwrap()) {
        let f = Flight::down_to(model, *p, *v, *height).unwrap();
        let t = f.descent_through(*height).unwrap();
        // Both integrate to 1e-10 or better per step; a micrometre over the whole flight leaves room for thirty steps.
        assert!((t - want["time"].as_f64().unwrap()).abs() < 1e-7);
        for (time, place, velocity) in [(t, "place", "velocity"), (t / 2.0, "halfway", "halfway_velocity")] {
            let (q, u) = f.at(time);
            for (a, b) in q.column().iter().zip(numbers(&want[place])) {
                assert!((a - b).abs() < 1e-6, "{place}: {a} against {b}");
            }
            for (a, b) in u.column().iter().zip(numbers(&want[velocity])) {
                assert!((a - b).abs() < 1e-5, "{velocity}: {a} against {b}");
            }
        }
    }
}

#[test]
fn densities_are_the_standard_atmospheres() {
    let altitudes = [-200.0, 0.0, 250.0, 1000.0, 1609.344, 2000.0, 3500.0];
    let got = reference(&json!({ "altitudes": altitudes }));
    let (densities, temperatures) = (numbers(&got["densities"]), numbers(&got["temperatures_c"]));
    for ((altitude_m, want), temperature_c) in altitudes.into_iter().zip(densities).zip(temperatures) {
        let density = density_kg_per_m3(&Air { altitude_m, temperature_c, wind: None }).unwrap();
        assert!((density / want - 1.0).abs() < 1e-5, "{altitude_m} m: {density} against {want}");
    }
}

#[test]
fn the_smoother_is_filterpys() {
    let running = Running::default();
    let mut observations = Vec::new();
    for k in 0..14 {
        let t = 0.1 + 0.23 * f64::from(k) + 0.011 * f64::from(k % 3);
        let view = if k % 3 == 1 { View::EndZone } else { View::Sideline };
        let wiggle = f64::from((k * 7) % 5) * 0.02;
        observations.push(GroundObservation {
            view,
            t_s: t,
            position: Point2::new(30.0 + 5.0 * t + wiggle, 20.0 + 0.8 * t * t - wiggle),
            velocity: None,
            noise: Covariance2 { xx: 0.006, xy: 0.001, yy: 0.012 },
            common: match view {
                View::Sideline => Covariance2 { xx: 0.001, xy: 0.0003, yy: 0.004 },
                View::EndZone => Covariance2 { xx: 0.005, xy: -0.0005, yy: 0.0008 },
            },
            origin: Origin::Mark,
        });
    }
    let times: Vec<f64> = (0..=88).map(|k| 0.11 + f64::from(k) / 30.0).collect();
    let rows = |c: Covariance2| json!([[c.xx, c.xy], [c.xy, c.yy]]);
    let seen: Vec<Value> = observations
        .iter()
        .map(|o| json!({"t": o.t_s, "view": u8::from(o.view == View::EndZone), "place": o.position, "noise": rows(o.noise), "common": rows(o.common)}))
        .collect();
    let got = reference(&json!({"track": {
        "observations": seen, "times": times, "acceleration_sd": running.acceleration_sd,
        "forget": running.forget_s, "start_speed_sd": running.start_speed_sd,
    }}));
    let track = smooth(&"R1".into(), &observations, &times, &running).unwrap();
    assert_eq!(track.points.len(), times.len());
    for (p, want) in track.points.iter().zip(got["track"].as_array().unwrap()) {
        let ours = [p.position.x, p.position.y, p.velocity.x, p.velocity.y];
        for (a, b) in ours.iter().zip(numbers(&want["state"])) {
            assert!((a - b).abs() < 1e-5, "at {}: {a} against {b}", p.t_s);
        }
        let (c, d) = (p.position_covariance, p.velocity_covariance);
        for (a, b) in [c.xx, c.yy, d.xx, d.yy].iter().zip(numbers(&want["variance"])) {
            assert!((a / b - 1.0).abs() < 1e-4, "at {}: variance {a} against {b}", p.t_s);
        }
    }
}

#[test]
fn assignments_cost_what_scipys_do() {
    use rand::{RngExt, SeedableRng};
    let mut dice = rand_chacha::ChaCha8Rng::seed_from_u64(7);
    let costs: Vec<Vec<Vec<f64>>> = [(1, 1), (3, 3), (5, 9), (9, 5), (22, 22), (30, 24)]
        .into_iter()
        .map(|(r, c)| (0..r).map(|_| (0..c).map(|_| 20.0 * dice.random::<f64>()).collect()).collect())
        .collect();
    let got = reference(&json!({ "costs": costs }));
    for (cost, want) in costs.iter().zip(numbers(&got["totals"])) {
        let pairs = motion::assign(cost, f64::INFINITY);
        let total: f64 = pairs.iter().enumerate().filter_map(|(r, c)| c.map(|c| cost[r][c])).sum();
        // Costs are rounded to a millionth each.
        assert!((total - want).abs() < 1e-4, "{total} against {want}");
        assert_eq!(pairs.iter().flatten().count(), cost.len().min(cost[0].len()));
    }
}
