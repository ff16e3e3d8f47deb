//! Simulation-based calibration (Talts, Betancourt, Simpson, Vehtari & Gelman 2018): truths drawn from the prior rank evenly among
//! draws from the posterior, if and only if the sampler draws from it.
#![allow(clippy::unwrap_used)]

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use statrs::distribution::{ChiSquared, ContinuousCDF, Normal};
use stats::models::{Cell, Family, Hierarchy};
use stats::nuts::Sampling;

/// Chi-square of ranks over bins under evenness; its p is returned.
fn evenness(ranks: &[usize], of: usize, bins: usize) -> f64 {
    let mut counts = vec![0.0; bins];
    for r in ranks {
        counts[r * bins / (of + 1)] += 1.0;
    }
    let want = ranks.len() as f64 / bins as f64;
    let square: f64 = counts.iter().map(|c| (c - want).powi(2) / want).sum();
    ChiSquared::new(bins as f64 - 1.0).unwrap().sf(square)
}

fn calibrated(family: Family) {
    const STUDIES: usize = 200;
    const KEPT: usize = 99;
    let mut rng = ChaCha8Rng::seed_from_u64(5);
    let mut z = move || Normal::standard().inverse_cdf(rng.random::<f64>().clamp(1e-12, 1.0 - 1e-12));
    let mut chance = ChaCha8Rng::seed_from_u64(6);
    // Intercept, slope, the factor's spread, one level's effect, and the intercept with that level: what is shown.
    let mut ranks = vec![Vec::new(); 5];
    for study in 0..STUDIES {
        let weak = Hierarchy::weak(family, Vec::new(), vec![5], 1);
        let scale = if family == Family::Logit { 1.0 } else { 0.5 };
        let (mu, beta, tau) = (weak.intercept * z(), weak.coefficient * z(), scale * z().abs());
        let sigma = 2.0 * z().abs();
        let effects: Vec<f64> = (0..5).map(|_| tau * z()).collect();
        let mut cells = Vec::new();
        for (level, effect) in effects.iter().enumerate() {
            for x in [-1.0, 0.2, 0.9] {
                let n = [2.0, 5.0, 12.0, 4.0, 8.0][level];
                let eta: f64 = mu + beta * x + effect;
                let (y, square) = match family {
                    Family::Logit => {
                        let p = 1.0 / (1.0 + (-eta).exp());
                        ((0..n as usize).filter(|_| chance.random::<f64>() < p).count() as f64, 0.0)
                    }
                    _ => {
                        let v: Vec<f64> = (0..n as usize).map(|_| eta + sigma * z()).collect();
                        let m = v.iter().sum::<f64>() / n;
                        (m, v.iter().map(|v| (v - m).powi(2)).sum())
                    }
                };
                cells.push(Cell { levels: vec![Some(level)], x: vec![x], n, y, square });
            }
        }
        let h = Hierarchy::weak(family, cells, vec![5], 1);
        let d = h.sample(Sampling { seed: study as u64, accept: 0.95, draws: 495, ..Sampling::default() });
        let truths = [mu, beta, tau, effects[0], mu + effects[2]];
        let figures: [&dyn Fn(&[f64]) -> f64; 5] =
            [&|p| h.mean(p), &|p| h.slope(p, 0), &|p| h.spread_of(p, 0), &|p| h.effect(p, 0, 0), &|p| {
                h.mean(p) + h.effect(p, 0, 2)
            }];
        for ((rank, truth), figure) in ranks.iter_mut().zip(truths).zip(figures) {
            // Thinned, so that the draws are as good as independent.
            let draws = d.of(figure);
            let kept: Vec<f64> = draws.iter().step_by(draws.len() / KEPT).take(KEPT).copied().collect();
            rank.push(kept.iter().filter(|v| **v < truth).count());
        }
    }
    for (k, r) in ranks.iter().enumerate() {
        let p = evenness(r, KEPT, 10);
        // Ten tests with fixed seeds; one in a thousand would fail a sound sampler.
        assert!(p > 1e-3, "{family:?}, figure {k}: ranks are uneven, p {p}");
    }
}

#[test]
fn the_logistic_model_is_calibrated() {
    calibrated(Family::Logit);
}

#[test]
fn the_linear_model_is_calibrated() {
    calibrated(Family::Normal);
}

/// The check can fail: ranks that crowd at one end are uneven.
#[test]
fn uneven_ranks_are_noticed() {
    let crowded: Vec<usize> = (0..200).map(|k| k * k % 100 / 2).collect();
    assert!(evenness(&crowded, 99, 10) < 1e-6);
}
