//! The few parameters between races and chances, fitted to throws whose outcome is known and drawn toward ours.
//!
//! Penalised likelihood of complete, intercepted or neither; each parameter's log (log odds for shares) has a normal prior
//! about ours. How wide it is, cross-validation decides: with few throws ours stay. The last three only shift, turn and bend the
//! claimed log odds (beta calibration, Kull, Silva Filho & Flach 2017), for what the race does not know; they are what every set of
//! outcomes needs first (Cox 1958), so their prior is wide whenever anything is fitted, and they may be fitted alone. Maximised by Fisher scoring (McCullagh & Nelder 1989, section 2.5)
//! with the derivatives taken by differences.

use crate::contest::Contest;
use crate::control::Chances;
use crate::parameters::{ControlParameters, Parameters};
use nalgebra::{SMatrix, SVector};
use play::FittedValue;
use rand::SeedableRng;
use rand::seq::SliceRandom;
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;
use stats::{Estimate, Interval, SUREST};

/// What came of a throw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Came {
    /// Caught by its receiver.
    Complete,
    /// Caught by the defense.
    Intercepted,
    /// Neither.
    Incomplete,
}

/// A raced throw with its outcome.
#[derive(Clone, Debug, PartialEq)]
pub struct Charted {
    /// Its races.
    pub contest: Contest,
    /// What came.
    pub came: Came,
}

/// Number of fitted parameters.
const N: usize = 10;
/// What is fitted, by the name in the parameter file; `arm.scatter` is a factor on the ball's scatter.
pub const FITTED: [&str; N] = [
    "control.arrival_spread_s",
    "control.receiver_rate",
    "control.defender_factor",
    "control.flight_rate",
    "control.drop",
    "control.intercept_share",
    "arm.scatter",
    "control.claim_shift",
    "control.claim_slope",
    "control.claim_bend",
];
/// Prior standard deviations tried: of the race's parameters, and of the shift, turn and bend of the claims; 0 stays ours. Thirty
/// throws tell a shift to about .4, so that .5 shrinks it by half there and hardly where throws are many.
const TRIED: [Width; 6] = [
    Width { sd: 0.0, claims_sd: 0.0 },
    Width { sd: 0.0, claims_sd: 0.5 },
    Width { sd: 0.1, claims_sd: 0.5 },
    Width { sd: 0.25, claims_sd: 0.5 },
    Width { sd: 0.5, claims_sd: 0.5 },
    Width { sd: 1.0, claims_sd: 1.0 },
];
/// Parameters from here on only shift, turn and bend claims.
const CLAIMS_FROM: usize = 7;
/// Folds of the cross-validation, outer and inner.
const FOLDS: [usize; 2] = [5, 3];
/// Repeats of each throw that the fit looks at.
const REPEATS: usize = 16;
/// Least throws, and least of them complete and not complete, that are fitted to: ten for a parameter is the usual least
/// (common practice, no source); shrinkage lets fewer do.
const LEAST: (usize, usize) = (30, 5);

/// How wide the prior is: standard deviations in log units; 0 leaves ours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Width {
    /// Of the race's parameters.
    pub sd: f64,
    /// Of what shifts, turns and bends the claims.
    pub claims_sd: f64,
}

impl Width {
    /// Nothing is fitted.
    pub fn is_ours(&self) -> bool {
        self.sd <= 0.0 && self.claims_sd <= 0.0
    }
    /// Precision of each parameter's prior.
    fn precision(&self) -> Theta {
        // What is not fitted is held so tightly that no number of throws moves it.
        let of = |sd: f64| if sd > 0.0 { sd.powi(-2) } else { 1e12 };
        Theta::from_fn(|k, _| of(if k < CLAIMS_FROM { self.sd } else { self.claims_sd }))
    }
}

/// How a width did in cross-validation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shrinkage {
    /// The width.
    pub width: Width,
    /// Mean log loss over the throws left out, nats, over the three outcomes.
    pub loss: f64,
}

/// A fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Ours with the fitted ones in place.
    pub parameters: Parameters,
    /// What changed.
    pub values: Vec<FittedValue>,
    /// Width of the prior that cross-validation chose.
    pub width: Width,
    /// Every width tried.
    pub tried: Vec<Shrinkage>,
    /// Chances of each throw by a fit that did not see it (the width chosen without it, too).
    pub unseen: Vec<Chances>,
    /// Log loss by ours less that of the unseen chances, a throw, nats; above 0 the fit helps.
    pub gain: Estimate,
}

/// Why nothing was fitted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FitError {
    /// Too few throws.
    #[error(
        "{throws} throws, {complete} of them complete, are too few to fit to: at least {} are needed, with {} complete and {} not",
        LEAST.0, LEAST.1, LEAST.1
    )]
    TooFew {
        /// Throws.
        throws: usize,
        /// Completions among them.
        complete: usize,
    },
}

type Theta = SVector<f64, N>;
type Matrix = SMatrix<f64, N, N>;

/// Parameters at `theta` away from `ours`, with the factor on the ball's scatter.
fn at(ours: &ControlParameters, theta: &Theta) -> (ControlParameters, f64) {
    let scaled = |x: f64, k: usize| x * theta[k].exp();
    // A share is kept off 0 and 1, where its log odds end.
    let share = |x: f64, k: usize| {
        let x = x.clamp(1e-3, 1.0 - 1e-3);
        1.0 / (1.0 + (-((x / (1.0 - x)).ln() + theta[k])).exp())
    };
    let control = ControlParameters {
        arrival_spread_s: scaled(ours.arrival_spread_s, 0),
        receiver_rate: scaled(ours.receiver_rate, 1),
        defender_factor: scaled(ours.defender_factor, 2),
        flight_rate: scaled(ours.flight_rate, 3),
        drop: share(ours.drop, 4),
        intercept_share: share(ours.intercept_share, 5),
        claim_shift: ours.claim_shift + theta[7],
        claim_slope: scaled(ours.claim_slope, 8),
        claim_bend: ours.claim_bend + theta[9],
        ..*ours
    };
    (control, theta[6].exp())
}

fn value(c: &ControlParameters, scatter: f64, k: usize) -> f64 {
    let values: [f64; N] = [
        c.arrival_spread_s,
        c.receiver_rate,
        c.defender_factor,
        c.flight_rate,
        c.drop,
        c.intercept_share,
        scatter,
        c.claim_shift,
        c.claim_slope,
        c.claim_bend,
    ];
    values[k]
}

/// Chances of complete, intercepted, neither, none of them surer than a blunder allows.
fn three(c: Chances) -> [f64; 3] {
    let p = [c.complete, c.intercept, 1.0 - c.complete - c.intercept].map(|p| p.max(SUREST));
    let sum: f64 = p.iter().sum();
    p.map(|p| p / sum)
}

fn which(came: Came) -> usize {
    match came {
        Came::Complete => 0,
        Came::Intercepted => 1,
        Came::Incomplete => 2,
    }
}

fn loss_of(t: &Charted, ours: &ControlParameters, theta: &Theta) -> f64 {
    let (control, scatter) = at(ours, theta);
    -three(t.contest.chances(&control, scatter))[which(t.came)].ln()
}

fn total_loss(throws: &[&Charted], ours: &ControlParameters, theta: &Theta) -> f64 {
    let each: Vec<f64> = throws.par_iter().map(|t| loss_of(t, ours, theta)).collect();
    each.iter().sum()
}

/// The best `theta` under a prior, and its covariance.
fn best(throws: &[&Charted], ours: &ControlParameters, width: Width) -> (Theta, Matrix) {
    const STEPS: usize = 30;
    const STEP: f64 = 1e-4;
    let mut theta = Theta::zeros();
    if width.is_ours() {
        return (theta, Matrix::zeros());
    }
    let prior = width.precision();
    let objective = |x: &Theta| total_loss(throws, ours, x) + 0.5 * x.component_mul(x).dot(&prior);
    let mut now = objective(&theta);
    let mut damping = 1e-3;
    let mut information = Matrix::from_diagonal(&prior);
    for _ in 0..STEPS {
        let parts: Vec<(Theta, Matrix)> = throws
            .par_iter()
            .map(|t| {
                let p = |x: &Theta| {
                    let (control, scatter) = at(ours, x);
                    three(t.contest.chances(&control, scatter))
                };
                let here = p(&theta);
                let mut slopes = [Theta::zeros(); 3];
                for k in 0..N {
                    let mut there = theta;
                    there[k] += STEP;
                    for (slope, (a, b)) in slopes.iter_mut().zip(p(&there).into_iter().zip(here)) {
                        slope[k] = (a - b) / STEP;
                    }
                }
                let came = which(t.came);
                let mut expected = Matrix::zeros();
                for (slope, p) in slopes.iter().zip(here) {
                    expected += slope * slope.transpose() / p;
                }
                (slopes[came] / here[came], expected)
            })
            .collect();
        let mut uphill = -theta.component_mul(&prior);
        information = Matrix::from_diagonal(&prior);
        for (g, h) in parts {
            uphill += g;
            information += h;
        }
        let mut moved = false;
        while damping < 1e6 {
            let damped = information + Matrix::from_diagonal(&information.diagonal()) * damping;
            let Some(step) = damped.cholesky().map(|c| c.solve(&uphill)) else {
                damping *= 10.0;
                continue;
            };
            let next = theta + step;
            let then = objective(&next);
            if then < now {
                moved = now - then > 1e-6 * now.abs().max(1.0);
                (theta, now, damping) = (next, then, damping * 0.2);
                break;
            }
            damping *= 10.0;
        }
        if !moved {
            break;
        }
    }
    (theta, information.try_inverse().unwrap_or_else(Matrix::zeros))
}

/// Throws that are not, and that are, in fold `k` of `n`.
fn split<'a>(order: &[&'a Charted], n: usize, k: usize) -> (Vec<&'a Charted>, Vec<&'a Charted>) {
    let (mut rest, mut left_out) = (Vec::new(), Vec::new());
    for (i, t) in order.iter().enumerate() {
        if i % n == k { left_out.push(*t) } else { rest.push(*t) }
    }
    (rest, left_out)
}

/// Cross-validated loss of every width tried.
fn widths(order: &[&Charted], ours: &ControlParameters, folds: usize) -> Vec<Shrinkage> {
    TRIED
        .iter()
        .map(|&width| {
            let sum: f64 = (0..folds)
                .map(|k| {
                    let (rest, left_out) = split(order, folds, k);
                    total_loss(&left_out, ours, &best(&rest, ours, width).0)
                })
                .sum();
            Shrinkage { width, loss: sum / order.len().max(1) as f64 }
        })
        .collect()
}

fn chosen(tried: &[Shrinkage]) -> Width {
    tried.iter().min_by(|a, b| a.loss.total_cmp(&b.loss)).map_or(TRIED[0], |s| s.width)
}

/// Fits to `throws`, raced with `ours`. Deterministic by `seed`, which deals the folds.
///
/// # Errors
/// `TooFew` with how many there are and how many are needed.
pub fn fit(throws: &[Charted], ours: &Parameters, seed: u64) -> Result<Fit, FitError> {
    let complete = throws.iter().filter(|t| t.came == Came::Complete).count();
    if throws.len() < LEAST.0 || complete < LEAST.1 || throws.len() - complete < LEAST.1 {
        return Err(FitError::TooFew { throws: throws.len(), complete });
    }
    let thin: Vec<Charted> =
        throws.iter().map(|t| Charted { contest: t.contest.thinned(REPEATS), came: t.came }).collect();
    let mut deal: Vec<usize> = (0..throws.len()).collect();
    deal.shuffle(&mut ChaCha8Rng::seed_from_u64(seed));
    let order: Vec<&Charted> = deal.iter().map(|&i| &thin[i]).collect();
    let control = &ours.control;

    let mut unseen = vec![Chances::default(); throws.len()];
    for k in 0..FOLDS[0] {
        let (rest, _) = split(&order, FOLDS[0], k);
        let theta = best(&rest, control, chosen(&widths(&rest, control, FOLDS[1]))).0;
        let (fitted, scatter) = at(control, &theta);
        for &i in deal.iter().skip(k).step_by(FOLDS[0]) {
            unseen[i] = throws[i].contest.chances(&fitted, scatter);
        }
    }
    let gains: Vec<f64> = throws
        .iter()
        .zip(&unseen)
        .map(|(t, c)| loss_of(t, control, &Theta::zeros()) + three(*c)[which(t.came)].ln())
        .collect();
    let tried = widths(&order, control, FOLDS[0]);
    let width = chosen(&tried);
    let (theta, covariance) = best(&order, control, width);
    let (fitted, scatter) = at(control, &theta);
    let end = |k: usize, z: f64| {
        let mut there = theta;
        there[k] += z * covariance[(k, k)].max(0.0).sqrt();
        let (c, s) = at(control, &there);
        value(&c, s, k)
    };
    const Z90: f64 = 1.645;
    let values: Vec<FittedValue> = (0..N)
        .map(|k| FittedValue {
            name: FITTED[k].to_owned(),
            ours: value(control, 1.0, k),
            fitted: value(&fitted, scatter, k),
            interval: Interval { low: end(k, -Z90), high: end(k, Z90) },
        })
        .collect();
    Ok(Fit {
        parameters: ours.with(&values),
        values,
        width,
        tried,
        unseen,
        gain: Estimate::from_repeats(&gains).unwrap_or(Estimate::new(0.0, f64::INFINITY)),
    })
}

impl Parameters {
    /// These with fitted values in place; a name that is not in [`FITTED`] changes nothing, and what would leave the limits
    /// of [`Self::check`] stays as it was.
    #[must_use]
    pub fn with(&self, values: &[FittedValue]) -> Self {
        let mut out = *self;
        for v in values {
            let before = out;
            let c = &mut out.control;
            match v.name.as_str() {
                "control.arrival_spread_s" => c.arrival_spread_s = v.fitted,
                "control.receiver_rate" => c.receiver_rate = v.fitted,
                "control.defender_factor" => c.defender_factor = v.fitted,
                "control.flight_rate" => c.flight_rate = v.fitted,
                "control.drop" => c.drop = v.fitted,
                "control.intercept_share" => c.intercept_share = v.fitted,
                "control.claim_shift" => c.claim_shift = v.fitted,
                "control.claim_slope" => c.claim_slope = v.fitted,
                "control.claim_bend" => c.claim_bend = v.fitted,
                "arm.scatter" => {
                    out.arm.spread_deg *= v.fitted;
                    out.arm.depth_spread *= v.fitted;
                }
                _ => {}
            }
            if out.check().is_err() {
                out = before;
            }
        }
        out
    }
}
