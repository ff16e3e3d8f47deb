//! The engine against the same model written again in NumPy, with its own flights and its own random numbers.

#[path = "../examples/support/numpy.rs"]
mod numpy;
#[path = "../examples/support/mod.rs"]
mod support;

use play::Air;
use window::{FlightTable, Mover, Parameters, Racer, Request, Scene, control, windows};

/// The race equations by SciPy, with the published soccer parameters (Spearman 2017, 2018) and with more than two racers.
#[test]
fn races_and_sprints_are_scipys() {
    let races = [
        (vec![[2.0, 3.99], [2.0, 3.99 * 1.72]], 0.54, 2.0, 12.0),
        (vec![[1.5, 3.99], [2.0, 3.99 * 1.72]], 0.54, 2.0, 12.0),
        (vec![[1.2, 4.3], [1.6, 4.3], [1.9, 4.3]], 0.45, 1.0, 12.0),
        (vec![[1.0, 9.0], [1.1, 10.8]], 0.16, 1.0, 0.35),
    ];
    let radii = [(9.6, 0.77, 1.3), (9.4, 0.77, 0.4), (7.8, 1.0 / 1.3, 2.0)];
    let answer = numpy::ask("window_control.py", &serde_json::json!({"races": races, "radii": radii}));
    for (k, (racers, spread, from, alive)) in races.iter().enumerate() {
        let racers: Vec<Racer> = racers.iter().map(|r| Racer { arrives_s: r[0], rate: r[1] }).collect();
        for (i, c) in control(&racers, *spread, *from, *alive, 4000).into_iter().enumerate() {
            let scipy = answer["races"][k][i].as_f64().unwrap();
            assert!((c - scipy).abs() < 1e-5, "race {k}, racer {i}: {c} {scipy}");
        }
    }
    for (k, (top_speed, time_constant, t)) in radii.into_iter().enumerate() {
        let m = Mover { reaction_s: 0.0, top_speed, time_constant, acceleration: f64::INFINITY, arm: 0.0 };
        let scipy = answer["radii"][k].as_f64().unwrap();
        assert!((m.radius(t) - scipy).abs() < 1e-7, "{} {scipy}", m.radius(t));
    }
}

#[test]
fn margins_and_their_spread_are_numpys() {
    let (people, tracks) = support::play();
    let scene = Scene { people: &people, tracks: &tracks, rule_book: field::RuleBook::College };
    let p = Parameters::ours();
    let table = FlightTable::new(&Air::default(), &p).unwrap();
    let request = Request { from_s: 0.3, until_s: 3.3, rate_hz: 3.0, draws: 400, seed: 7 };
    let (draws, _) = windows(&scene, &table, &p, &request).unwrap();
    let (_, answer) = numpy::run(&tracks, &table, &p, &request);
    assert_eq!(draws.cells.len(), answer.len());
    let mut off = Vec::new();
    let mut spread = Vec::new();
    let mut chance = Vec::new();
    for (cell, other) in draws.cells.iter().zip(&answer) {
        let (cell, other) =
            (cell.as_ref().expect("everybody is seen"), other.expect("every cell has a throw"));
        let summary = cell.summary(0.0);
        off.push((summary.margin_s.value - other[0]).abs());
        spread.push(summary.margin_s.se / other[1] - 1.0);
        let mean = cell.repeats.iter().map(|d| d.complete).sum::<f64>() / cell.repeats.len() as f64;
        chance.push((mean - other[2]).abs());
    }
    off.sort_by(f64::total_cmp);
    // Both pick the best of the same throws; the grids of flights differ only by their integrators.
    assert!(off[off.len() - 1] < 0.01, "largest margin difference {:.4} s", off[off.len() - 1]);
    // A standard deviation from n normal repeats is known to 1/√(2n); both have 400, so their ratio to 5%; four of those.
    let mean = spread.iter().sum::<f64>() / spread.len() as f64;
    assert!(mean.abs() < 0.05, "mean ratio of spreads {mean:.3}");
    assert!(spread.iter().all(|s| s.abs() < 0.3), "{spread:?}");
    // A mean chance from 400 repeats of spread up to .35 is known to .0175; their difference to .025; four of those.
    assert!(chance.iter().all(|c| *c < 0.1), "{chance:?}");
}
