//! Ours against statsmodels and quadrature in SciPy, run live by `checks/stats_reference.py`.
#![allow(clippy::unwrap_used)]

use serde_json::{Value, json};
use stats::models::{Cell, Family, Hierarchy, most_influential};
use stats::nuts::Sampling;
use stats::{Estimate, Interval, Proportion, kappa, logistic};
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

#[allow(clippy::disallowed_methods)] // a test runs the reference library; the product runs nothing here
fn reference(given: &Value) -> Value {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let python = root.join("checks/.venv/bin/python");
    assert!(python.exists(), "the reference libraries are missing: run `make checks-env`");
    let mut child = Command::new(python)
        .arg(root.join("checks/stats_reference.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(given.to_string().as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    assert!(
        out.status.success(),
        "checks/stats_reference.py failed: run `make checks-env` if a package is missing"
    );
    serde_json::from_slice(&out.stdout).unwrap()
}

fn numbers(v: &Value) -> Vec<f64> {
    v.as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect()
}

const COUNTS: [(u64, u64); 5] = [(18, 24), (3, 4), (9, 20), (0, 3), (11, 16)];

#[test]
fn figures_are_those_of_the_reference_libraries() {
    // Agresti & Coull 1998, Am. Stat. 52, 119, and Brown, Cai & DasGupta 2001, Stat. Sci. 16, 101 define the intervals; 0 of n and n
    // of n are their hard cases.
    let pairs = [(81, 263), (15, 148), (0, 20), (1, 29), (10, 10), (5, 10)];
    // Cohen 1960; Fleiss, Cohen & Everitt 1969.
    let tables = [[[88, 14, 18], [10, 40, 10], [2, 6, 12]], [[106, 10, 4], [22, 28, 10], [2, 12, 6]]];
    // Anscombe 1973, Am. Stat. 27, 17: the first three sets.
    let x = [10.0, 8.0, 13.0, 9.0, 11.0, 14.0, 6.0, 4.0, 12.0, 7.0, 5.0];
    let y = [
        [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68],
        [9.14, 8.14, 8.74, 8.77, 9.26, 8.10, 6.13, 3.10, 9.13, 7.26, 4.74],
        [7.46, 6.77, 12.74, 7.11, 7.81, 8.84, 6.08, 5.39, 8.15, 6.42, 5.73],
    ];
    let lines = y.map(|y| x.into_iter().zip(y).collect::<Vec<(f64, f64)>>());
    let (intercept, spread) = (1.5, 1.0);
    let want = reference(&json!({
        "proportions": pairs, "tables": tables, "counts": COUNTS, "intercept": intercept, "spread": spread,
        "lines": lines,
    }));
    for ((x, n), row) in pairs.iter().zip(want["proportions"].as_array().unwrap()) {
        let p = Proportion::new(*x, *n).unwrap();
        let near = |name: &str, i: Interval| {
            let w = numbers(&row[name]);
            // statsmodels does not close Agresti-Coull at 0 and 1, nor Jeffreys where all or nothing succeeded.
            let closed = [w[0].max(0.0), w[1].min(1.0)];
            let edge = name == "jeffreys" && (*x == 0 || x == n);
            let low = edge && *x == 0 && i.low == 0.0 || (i.low - closed[0]).abs() < 1e-6;
            let high = edge && x == n && i.high == 1.0 || (i.high - closed[1]).abs() < 1e-6;
            assert!(low && high, "{name} of {x}/{n}: {i:?} for {w:?}");
        };
        near("wilson", p.wilson(0.9));
        near("agresti_coull", p.agresti_coull(0.9));
        near("jeffreys", p.jeffreys(0.9));
    }
    for (t, w) in tables.iter().zip(want["kappa"].as_array().unwrap()) {
        let table: Vec<Vec<f64>> = t.iter().map(|r| r.iter().map(|v| f64::from(*v)).collect()).collect();
        let (k, w) = (kappa(&table).unwrap(), numbers(w));
        assert!((k.value - w[0]).abs() < 1e-9 && (k.se - w[1]).abs() < 1e-9, "{k:?} for {w:?}");
    }

    for (line, w) in lines.iter().zip(want["dfbetas"].as_array().unwrap()) {
        let of = numbers(w);
        let most = most_influential(line).unwrap();
        assert!((most.dfbetas - of[most.point]).abs() < 1e-6 * most.dfbetas.abs(), "{most:?} for {of:?}");
        assert!(of.iter().all(|v| v.abs() <= of[most.point].abs()));
    }

    // Spector & Mazzeo 1980, J. Econ. Educ. 11, 37; Greene, Econometric Analysis, gives −13.021, 2.826, 0.095, 2.379.
    let l = &want["logit"];
    let rows: Vec<Vec<f64>> = l["x"].as_array().unwrap().iter().map(numbers).collect();
    let yes: Vec<bool> = numbers(&l["y"]).iter().map(|y| *y > 0.5).collect();
    let fit = logistic(&rows, &yes).unwrap();
    for (c, greene) in fit.coefficients.iter().zip([-13.021, 2.826, 0.095, 2.379]) {
        assert!((c.value - greene).abs() < 1e-3, "{c:?} for {greene}");
    }
    for ((c, w), se) in fit.coefficients.iter().zip(numbers(&l["params"])).zip(numbers(&l["bse"])) {
        assert!((c.value - w).abs() < 1e-5 && (c.se - se).abs() < 1e-5, "{c:?} for {w} {se}");
    }
    assert!((fit.deviance - l["deviance"].as_f64().unwrap()).abs() < 1e-6);

    // The sampler's means are those of the integral, within four errors of its effective draws.
    let cells = COUNTS.iter().enumerate().map(|(k, (y, n))| Cell {
        levels: vec![Some(k)],
        x: Vec::new(),
        n: *n as f64,
        y: *y as f64,
        square: 0.0,
    });
    let h = Hierarchy::weak(Family::Logit, cells.collect(), vec![COUNTS.len()], 0);
    assert!((h.intercept - intercept).abs() < 1e-12);
    let d = h.fit(Sampling { draws: 2000, ..Sampling::default() }).unwrap();
    for (k, w) in numbers(&want["hierarchical"]).iter().enumerate() {
        let share = |p: &[f64]| 1.0 / (1.0 + (-h.expected(p, &[Some(k)], &[])).exp());
        let got = Estimate::from_draws(&d.of(share)).unwrap();
        let error = got.se / d.checks.effective.sqrt();
        assert!((got.value - w).abs() < 4.0 * error + 1e-4, "{k}: {got:?} for {w}, {:?}", d.checks);
    }

    // Two hundred values overrule weak priors: what is left is the sampler's own error (about a tenth of a standard error) and that
    // restricted maximum likelihood takes the spreads as known, which eleven firms do not quite do.
    let m = &want["mixed"];
    let firms: Vec<usize> = numbers(&m["firm"]).iter().map(|f| *f as usize).collect();
    let cells = numbers(&m["y"]).into_iter().zip(m["x"].as_array().unwrap()).zip(&firms);
    let cells =
        cells.map(|((y, x), firm)| Cell { levels: vec![Some(*firm)], x: numbers(x), n: 1.0, y, square: 0.0 });
    let count = firms.iter().max().unwrap() + 1;
    let h = Hierarchy::weak(Family::Normal, cells.collect(), vec![count], 2);
    let d = h.fit(Sampling { draws: 2000, ..Sampling::default() }).unwrap();
    for (k, (slope, se)) in numbers(&m["slope"]).into_iter().zip(numbers(&m["se"])).enumerate() {
        let got = Estimate::from_draws(&d.of(|p| h.slope(p, k))).unwrap();
        assert!(
            (got.value - slope).abs() < 0.3 * se && (got.se / se - 1.0).abs() < 0.15,
            "{got:?} for {slope} ± {se}"
        );
    }
    for (k, level) in numbers(&m["levels"]).into_iter().enumerate() {
        let got = Estimate::from_draws(&d.of(|p| h.expected(p, &[Some(k)], &[0.0, 0.0]))).unwrap();
        assert!((got.value - level).abs() < 0.3 * got.se, "firm {k}: {got:?} for {level}");
    }
}
