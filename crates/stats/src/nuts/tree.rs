//! One transition: a path of leapfrog steps that doubles until it turns back.

use super::Density;
use rand::{Rng, RngExt};
use statrs::distribution::{ContinuousCDF, Normal};

/// Where a chain is.
pub(super) struct Chain {
    /// Parameters.
    pub at: Vec<f64>,
    gradient: Vec<f64>,
    ln: f64,
    /// Variances of the parameters, as far as they are known: the inverse of the mass.
    pub scale: Vec<f64>,
}

/// What a transition did.
pub(super) struct Transition {
    /// Mean acceptance of the steps.
    pub accepted: f64,
    /// The energy ran away: the step is too long for some corner of the posterior.
    pub diverged: bool,
}

/// Longest path: two to this power of steps.
const DEEPEST: u32 = 9;
/// An energy this far off is a divergence.
const RUNAWAY: f64 = 1000.0;

#[derive(Clone)]
struct Point {
    at: Vec<f64>,
    momentum: Vec<f64>,
    gradient: Vec<f64>,
    ln: f64,
}

/// A stretch of the path.
struct Tree {
    first: Point,
    last: Point,
    momentum: Vec<f64>,
    chosen: Point,
    ln_weight: f64,
    turned: bool,
    diverged: bool,
    accepted: f64,
    steps: f64,
}

/// A standard normal by the inverse of its distribution: the same on every machine.
fn normal(rng: &mut impl Rng) -> f64 {
    Normal::standard().inverse_cdf(rng.random::<f64>().clamp(1e-16, 1.0 - 1e-16))
}

fn ln_add(a: f64, b: f64) -> f64 {
    let (low, high) = if a < b { (a, b) } else { (b, a) };
    if low == f64::NEG_INFINITY { high } else { high + (low - high).exp().ln_1p() }
}

impl Chain {
    /// A start within two of 0, as is common, where the posterior is not 0.
    pub fn start(density: &impl Density, rng: &mut impl Rng) -> Self {
        let n = density.dim();
        let mut gradient = vec![0.0; n];
        let mut at = vec![0.0; n];
        let mut ln = f64::NAN;
        for _ in 0..100 {
            at = (0..n).map(|_| 4.0 * rng.random::<f64>() - 2.0).collect();
            ln = density.ln(&at, &mut gradient);
            if ln.is_finite() {
                break;
            }
        }
        Self { at, gradient, ln, scale: vec![1.0; n] }
    }
    /// A step whose acceptance is about a half (Hoffman & Gelman 2014, algorithm 4).
    pub fn first_step(&self, density: &impl Density, rng: &mut impl Rng) -> f64 {
        let mut step = 0.5;
        let start = self.point(rng);
        let energy = self.energy(&start);
        let gain = |step: f64| {
            let p = self.leap(density, &start, step);
            let g = self.energy(&p) - energy;
            if g.is_finite() { g } else { f64::NEG_INFINITY }
        };
        let up = gain(step) > 0.5f64.ln();
        for _ in 0..60 {
            step *= if up { 2.0 } else { 0.5 };
            if (gain(step) > 0.5f64.ln()) != up {
                break;
            }
        }
        step
    }
    fn point(&self, rng: &mut impl Rng) -> Point {
        let momentum = self.scale.iter().map(|s| normal(rng) / s.sqrt()).collect();
        Point { at: self.at.clone(), momentum, gradient: self.gradient.clone(), ln: self.ln }
    }
    /// Logarithm of posterior and momentum together.
    fn energy(&self, p: &Point) -> f64 {
        p.ln - 0.5 * p.momentum.iter().zip(&self.scale).map(|(m, s)| m * m * s).sum::<f64>()
    }
    fn leap(&self, density: &impl Density, p: &Point, step: f64) -> Point {
        let mut q = p.clone();
        for k in 0..q.at.len() {
            q.momentum[k] += 0.5 * step * q.gradient[k];
            q.at[k] += step * self.scale[k] * q.momentum[k];
        }
        q.ln = density.ln(&q.at, &mut q.gradient);
        for (m, g) in q.momentum.iter_mut().zip(&q.gradient) {
            *m += 0.5 * step * g;
        }
        q
    }
    /// Whether a path with these momenta at its ends and this sum of them turns back.
    fn turns(&self, first: &Point, last: &Point, sum: &[f64]) -> bool {
        let along = |p: &Point| -> f64 {
            p.momentum.iter().zip(&self.scale).zip(sum).map(|((m, s), r)| m * s * r).sum()
        };
        along(first) <= 0.0 || along(last) <= 0.0
    }
    fn leaf(&self, density: &impl Density, from: &Point, step: f64, start: f64) -> Tree {
        let p = self.leap(density, from, step);
        let energy = self.energy(&p);
        let gain = if energy.is_finite() { energy - start } else { f64::NEG_INFINITY };
        Tree {
            momentum: p.momentum.clone(),
            ln_weight: gain,
            turned: false,
            diverged: gain < -RUNAWAY,
            accepted: gain.exp().min(1.0),
            steps: 1.0,
            first: p.clone(),
            last: p.clone(),
            chosen: p,
        }
    }
    fn grow(
        &self,
        density: &impl Density,
        from: &Point,
        step: f64,
        depth: u32,
        start: f64,
        rng: &mut impl Rng,
    ) -> Tree {
        if depth == 0 {
            return self.leaf(density, from, step, start);
        }
        let one = self.grow(density, from, step, depth - 1, start, rng);
        if one.turned || one.diverged {
            return one;
        }
        let end = if step > 0.0 { &one.last } else { &one.first };
        let two = self.grow(density, end, step, depth - 1, start, rng);
        let both = ln_add(one.ln_weight, two.ln_weight);
        let take = rng.random::<f64>().ln() < two.ln_weight - both;
        self.join(one, two, step > 0.0, take)
    }
    /// Two stretches that follow each other, the second after the first in the direction of growth.
    fn join(&self, one: Tree, two: Tree, forward: bool, take: bool) -> Tree {
        let ln_weight = ln_add(one.ln_weight, two.ln_weight);
        let stopped = two.turned || two.diverged;
        let diverged = one.diverged || two.diverged;
        let (accepted, steps) = (one.accepted + two.accepted, one.steps + two.steps);
        let (a, b, second_first) = if forward { (one, two, false) } else { (two, one, true) };
        let plus = |x: &[f64], y: &[f64]| -> Vec<f64> { x.iter().zip(y).map(|(a, b)| a + b).collect() };
        let sum = plus(&a.momentum, &b.momentum);
        // Also across the seam, so that a path of two halves that fit each other by chance is seen to turn.
        let turned = stopped
            || self.turns(&a.first, &b.last, &sum)
            || self.turns(&a.first, &b.first, &plus(&a.momentum, &b.first.momentum))
            || self.turns(&a.last, &b.last, &plus(&a.last.momentum, &b.momentum));
        let chosen = if take == second_first { a.chosen } else { b.chosen };
        Tree {
            first: a.first,
            last: b.last,
            momentum: sum,
            chosen,
            ln_weight,
            turned,
            diverged,
            accepted,
            steps,
        }
    }
}

/// Moves a chain on.
pub(super) fn transition(
    density: &impl Density,
    chain: &mut Chain,
    step: f64,
    rng: &mut impl Rng,
) -> Transition {
    let p = chain.point(rng);
    let start = chain.energy(&p);
    let mut tree = Tree {
        momentum: p.momentum.clone(),
        ln_weight: 0.0,
        turned: false,
        diverged: false,
        accepted: 0.0,
        steps: 0.0,
        first: p.clone(),
        last: p.clone(),
        chosen: p,
    };
    for depth in 0..DEEPEST {
        let forward = rng.random::<f64>() < 0.5;
        let from = if forward { &tree.last } else { &tree.first };
        let more = chain.grow(density, from, if forward { step } else { -step }, depth, start, rng);
        // A half that turned or ran away within itself is not chosen from.
        let usable = !more.turned && !more.diverged;
        let take = usable && rng.random::<f64>().ln() < more.ln_weight - tree.ln_weight;
        tree = chain.join(tree, more, forward, take);
        if tree.turned || tree.diverged {
            break;
        }
    }
    chain.at = tree.chosen.at;
    chain.gradient = tree.chosen.gradient;
    chain.ln = tree.chosen.ln;
    Transition {
        accepted: if tree.steps > 0.0 { tree.accepted / tree.steps } else { 0.0 },
        diverged: tree.diverged,
    }
}
