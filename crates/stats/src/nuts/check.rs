//! Whether chains can be trusted.

use serde::{Deserialize, Serialize};

/// Checks of a sample, the worst over its parameters.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Checks {
    /// Split R-hat (Gelman et al., Bayesian Data Analysis, 3rd ed., 11.4): 1 where all half chains tell the same.
    pub r_hat: f64,
    /// Effective number of draws, the least.
    pub effective: f64,
    /// Steps whose energy ran away.
    pub divergences: usize,
    /// Draws in all.
    pub draws: usize,
}

impl Checks {
    /// Of chains of draws.
    pub fn of(chains: &[Vec<Vec<f64>>], divergences: usize) -> Self {
        let dim = chains.first().and_then(|c| c.first()).map_or(0, Vec::len);
        let (mut r_hat, mut least) = (1.0_f64, f64::INFINITY);
        for k in 0..dim {
            let one: Vec<Vec<f64>> = chains.iter().map(|c| c.iter().map(|d| d[k]).collect()).collect();
            // A value that is no number fails the check.
            let r = split_r_hat(&one);
            r_hat = if r.is_nan() { f64::INFINITY } else { r_hat.max(r) };
            least = least.min(effective(&one));
        }
        Self { r_hat, effective: least, divergences, draws: chains.iter().map(Vec::len).sum() }
    }
    /// Good enough for an interval: R-hat under 1.02, at least 200 effective draws, and fewer than one step in a hundred ran away.
    /// Ours, from common practice: the ends of a 90% interval are then known to about a tenth of its half width.
    pub fn sound(&self) -> bool {
        self.r_hat < 1.02 && self.effective >= 200.0 && 100 * self.divergences <= self.draws
    }
}

fn moments(x: &[f64]) -> (f64, f64) {
    let n = x.len() as f64;
    let mean = x.iter().sum::<f64>() / n;
    (mean, x.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0))
}

fn halves(chains: &[Vec<f64>]) -> Vec<&[f64]> {
    chains.iter().flat_map(|c| [&c[..c.len() / 2], &c[c.len() - c.len() / 2..]]).collect()
}

/// Within, and the variance that within and between together estimate.
fn variances(parts: &[&[f64]]) -> (f64, f64) {
    let n = parts[0].len() as f64;
    let each: Vec<(f64, f64)> = parts.iter().map(|p| moments(p)).collect();
    let within = each.iter().map(|e| e.1).sum::<f64>() / each.len() as f64;
    let between = moments(&each.iter().map(|e| e.0).collect::<Vec<_>>()).1;
    (within, (n - 1.0) / n * within + between)
}

/// Split R-hat of one parameter's chains.
pub fn split_r_hat(chains: &[Vec<f64>]) -> f64 {
    let (within, all) = variances(&halves(chains));
    (all / within).sqrt()
}

/// Effective number of draws of one parameter's chains, by Geyer's initial monotone sequence (Geyer 1992) over split chains.
pub fn effective(chains: &[Vec<f64>]) -> f64 {
    let parts = halves(chains);
    let n = parts[0].len();
    let (within, all) = variances(&parts);
    let means: Vec<f64> = parts.iter().map(|p| moments(p).0).collect();
    let rho = |lag: usize| -> f64 {
        let auto: f64 = parts
            .iter()
            .zip(&means)
            .map(|(p, m)| (0..n - lag).map(|k| (p[k] - m) * (p[k + lag] - m)).sum::<f64>() / n as f64)
            .sum::<f64>()
            / parts.len() as f64;
        1.0 - (within - auto) / all
    };
    let (mut sum, mut before, mut lag) = (0.0, f64::INFINITY, 0);
    while lag + 1 < n {
        let pair = if lag == 0 { 1.0 + rho(1) } else { rho(lag) + rho(lag + 1) };
        if !(pair > 0.0) {
            break;
        }
        before = before.min(pair);
        sum += before;
        lag += 2;
    }
    let total = (parts.len() * n) as f64;
    (total / (2.0 * sum - 1.0)).min(total * total.log10())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantile;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;
    use statrs::distribution::{ContinuousCDF, Normal};

    fn chains(rho: f64, shift: f64) -> Vec<Vec<f64>> {
        let mut rng = ChaCha8Rng::seed_from_u64(3);
        (0..4)
            .map(|c| {
                let mut x = 0.0;
                let noise = (1.0 - rho * rho).sqrt();
                (0..2000)
                    .map(|_| {
                        let z = Normal::standard().inverse_cdf(rng.random::<f64>().clamp(1e-12, 1.0 - 1e-12));
                        x = rho * x + noise * z;
                        x + if c == 0 { shift } else { 0.0 }
                    })
                    .collect()
            })
            .collect()
    }

    /// An autoregressive chain of order one has n (1 − ρ)/(1 + ρ) effective draws; its estimate scatters by some tenths.
    #[test]
    fn effective_draws_of_an_autoregressive_chain() {
        for rho in [0.0, 0.5, 0.8] {
            let want = 8000.0 * (1.0 - rho) / (1.0 + rho);
            let got = effective(&chains(rho, 0.0));
            assert!((got / want - 1.0).abs() < 0.25, "{rho}: {got} for {want}");
        }
    }

    #[test]
    fn a_chain_elsewhere_is_noticed() {
        assert!(split_r_hat(&chains(0.3, 0.0)) < 1.01);
        assert!(split_r_hat(&chains(0.3, 1.0)) > 1.05);
        assert!((quantile(&[1.0, 2.0], 0.5) - 1.5).abs() < 1e-12);
    }
}
