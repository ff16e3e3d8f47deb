//! The fit of the windows' parameters, against the same model fitted by SciPy and against the parameters outcomes were drawn by.
#![allow(clippy::unwrap_used, reason = "a test may fail")]

#[path = "../examples/support/numpy.rs"]
#[allow(dead_code)]
mod numpy;
#[path = "../examples/support/mod.rs"]
mod support;

use play::Air;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use window::{Came, Charted, FITTED, FitError, FlightTable, Parameters, Request, Scene, contest_at, fit};

/// Throws to every receiver at many releases, each with an outcome drawn `each` times by `truth`.
fn throws(truth: &Parameters, each: usize, seed: u64) -> Vec<Charted> {
    let (people, tracks) = support::play();
    let scene = Scene { people: &people, tracks: &tracks, rule_book: field::RuleBook::College };
    let p = Parameters::ours();
    let table = FlightTable::new(&Air::default(), &p).unwrap();
    let request = Request { draws: 16, ..Request::default() };
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let mut out = Vec::new();
    for id in ["L1", "L2", "R2", "R1", "B"] {
        for k in 3..30 {
            let at = f64::from(k) * 0.1;
            let Ok(contest) = contest_at(&scene, &table, &p, &request, &id.into(), at) else { continue };
            let chances = contest.chances(&truth.control, truth.arm.spread_deg / p.arm.spread_deg);
            for _ in 0..each {
                let u: f64 = rng.random();
                let came = if u < chances.complete {
                    Came::Complete
                } else if u < chances.complete + chances.intercept {
                    Came::Intercepted
                } else {
                    Came::Incomplete
                };
                out.push(Charted { contest: contest.clone(), came });
            }
        }
    }
    out
}

/// Another game of football: more drops, slower hands of defenders, less sure arrivals.
fn others() -> Parameters {
    let mut p = Parameters::ours();
    p.control.drop = 0.22;
    p.control.defender_factor = 0.5;
    p.control.arrival_spread_s = 0.3;
    p.control.intercept_share = 0.1;
    p
}

#[test]
fn the_fit_is_scipys_and_claims_better_on_throws_it_did_not_see() {
    let throws = throws(&others(), 2, 5);
    let ours = Parameters::ours();
    let f = fit(&throws, &ours, 1).unwrap();
    assert!(f.width.sd > 0.0 && f.gain.interval(0.9).low > 0.0, "{:?} {:?}", f.width, f.gain);
    let meets: Vec<_> =
        throws.iter().map(|t| serde_json::to_value(&t.contest).unwrap()["meets"].clone()).collect();
    let came: Vec<u8> = throws
        .iter()
        .map(|t| match t.came {
            Came::Complete => 0,
            Came::Intercepted => 1,
            Came::Incomplete => 2,
        })
        .collect();
    let question = serde_json::json!({"meets": meets, "came": came, "ours": ours.control, "sd": f.width.sd, "claims_sd": f.width.claims_sd, "surest": stats::SUREST});
    let answer = numpy::ask("window_fit.py", &question);
    for (k, t) in throws.iter().enumerate().step_by(37) {
        let theirs = answer["complete"][k].as_f64().unwrap();
        let here = t.contest.chances(&ours.control, 1.0).complete;
        // Theirs is held off 0 and 1 and made to sum to 1 again.
        assert!((here - theirs).abs() < 2.0 * stats::SUREST, "{here} {theirs}");
    }
    for (k, v) in f.values.iter().enumerate() {
        let theirs = answer["fitted"][k].as_f64().unwrap();
        assert_eq!(v.name, FITTED[k]);
        // Both stop where the last step gains nothing; a parameter is known to far less than a twentieth of its interval.
        let width = v.interval.width().max(1e-3);
        assert!(
            (v.fitted - theirs).abs() < 0.05 * width,
            "{}: {} {theirs}, {:?}",
            v.name,
            v.fitted,
            v.interval
        );
    }
    assert_eq!(f.parameters, ours.with(&f.values));
}

#[test]
fn throws_that_came_as_claimed_change_little_and_few_throws_nothing() {
    let ours = Parameters::ours();
    let all = throws(&ours, 2, 9);
    let f = fit(&all, &ours, 1).unwrap();
    // Nothing is to be gained; what is lost stays within the error of the mean.
    assert!(f.gain.value.abs() < 0.02 + 3.0 * f.gain.se, "{:?}", f.gain);
    let off: Vec<f64> = all
        .iter()
        .map(|t| {
            let scatter = f.values[6].fitted;
            t.contest.chances(&f.parameters.control, scatter).complete
                - t.contest.chances(&ours.control, 1.0).complete
        })
        .collect();
    let mean = off.iter().sum::<f64>() / off.len() as f64;
    // A share of some 270 throws is known to .03; three of those.
    assert!(mean.abs() < 0.09, "{mean}");
    let few = &all[..20];
    assert!(matches!(fit(few, &ours, 1), Err(FitError::TooFew { throws: 20, .. })));
    let caught: Vec<Charted> = all.iter().filter(|t| t.came == Came::Complete).cloned().collect();
    let e = fit(&caught, &ours, 1).unwrap_err().to_string();
    assert!(e.contains("at least 30 are needed, with 5 complete and 5 not"), "{e}");
}

/// Outcomes of a game whose throws are caught more often than the race claims, all alike: the fit finds the shift, and chances of
/// throws that it did not see come true on the whole and along the scale.
#[test]
fn a_game_of_better_hands_is_claimed_right_by_a_fit_that_did_not_see_it() {
    let ours = Parameters::ours();
    let mut hands = ours;
    (hands.control.claim_shift, hands.control.claim_slope) = (0.7, 1.0);
    let all = throws(&hands, 4, 21);
    let f = fit(&all, &ours, 1).unwrap();
    let scores = |of: &dyn Fn(usize, &Charted) -> f64| {
        let claims: Vec<stats::Claimed> = all
            .iter()
            .enumerate()
            .map(|(k, t)| stats::Claimed { probability: of(k, t), came: t.came == Came::Complete })
            .collect();
        stats::scores(&claims, 10).unwrap().line.unwrap()
    };
    let [before, _] = scores(&|_, t| t.contest.chances(&ours.control, 1.0).complete);
    let [after, slope] = scores(&|k, _| f.unseen[k].complete);
    assert!(before.value > 3.0 * before.se, "as they come the claims are too low: {before:?}");
    assert!(
        after.value.abs() < 3.0 * after.se && (slope.value - 1.0).abs() < 3.0 * slope.se,
        "{after:?} {slope:?}"
    );
    // Drops, hands and shift all say "caught more often", so none of them is known alone.
    assert!(!f.width.is_ours(), "{:?}", f.width);
}
