//! Draws from a posterior by the No-U-Turn sampler.
//!
//! Ours, small, scalar and single-threaded on purpose: the same seed gives the same draws on every machine, so that a report comes
//! out the same byte for byte (`docs/decisions`). Held to exact integrals and simulation-based calibration in the tests.

mod adapt;
mod check;
mod tree;

pub use check::{Checks, effective, split_r_hat};

use adapt::{StepSize, Variances, windows};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use tree::{Chain, transition};

/// The logarithm of a posterior, up to a constant, with its gradient.
pub trait Density {
    /// Number of parameters; each runs over all numbers.
    fn dim(&self) -> usize;
    /// Value at `at`; the gradient goes into `gradient`. Not finite where the posterior is 0.
    fn ln(&self, at: &[f64], gradient: &mut [f64]) -> f64;
}

/// How to sample.
#[derive(Clone, Copy, Debug)]
pub struct Sampling {
    /// Chains, each from its own start.
    pub chains: usize,
    /// Steps that adapt and are thrown away; at least 150.
    pub warm: usize,
    /// Draws of each chain.
    pub draws: usize,
    /// Mean acceptance that the step is adapted to, 0 to 1.
    pub accept: f64,
    /// Same seed, same draws.
    pub seed: u64,
}

impl Default for Sampling {
    fn default() -> Self {
        Self { chains: 4, warm: 300, draws: 300, accept: 0.9, seed: 1 }
    }
}

/// Draws by chain, and whether they can be trusted.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// By chain, by draw, by parameter.
    pub chains: Vec<Vec<Vec<f64>>>,
    /// Checks over all parameters.
    pub checks: Checks,
}

impl Drawn {
    /// All draws of something made from the parameters.
    pub fn of(&self, figure: impl Fn(&[f64]) -> f64) -> Vec<f64> {
        self.chains.iter().flatten().map(|d| figure(d)).collect()
    }
}

/// Samples a posterior (Hoffman & Gelman 2014, with the multinomial choice of Betancourt 2017 and warm-up as there and in common
/// use: dual averaging of the step, variances in doubling windows).
pub fn sample(density: &impl Density, how: Sampling) -> Drawn {
    let mut divergences = 0;
    let chains: Vec<Vec<Vec<f64>>> = (0..how.chains)
        .map(|c| {
            let mut rng = ChaCha8Rng::seed_from_u64(how.seed.wrapping_mul(1000).wrapping_add(c as u64));
            let mut chain = Chain::start(density, &mut rng);
            let warm = how.warm.max(150);
            let mut step = StepSize::new(how.accept, chain.first_step(density, &mut rng));
            let mut seen = Variances::new(density.dim());
            let ends = windows(warm);
            for k in 0..warm {
                let t = transition(density, &mut chain, step.now(), &mut rng);
                step.learn(t.accepted);
                if k >= ends.first && k < ends.last {
                    seen.add(&chain.at);
                    if ends.at.contains(&(k + 1)) {
                        chain.scale = seen.regular();
                        seen = Variances::new(density.dim());
                        step = StepSize::new(how.accept, chain.first_step(density, &mut rng));
                    }
                }
            }
            let settled = step.settled();
            (0..how.draws)
                .map(|_| {
                    let t = transition(density, &mut chain, settled, &mut rng);
                    divergences += usize::from(t.diverged);
                    chain.at.clone()
                })
                .collect()
        })
        .collect();
    let checks = Checks::of(&chains, divergences);
    Drawn { chains, checks }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A normal with unequal spreads and a correlation of .8 between the first two.
    struct Slanted;
    const SPREAD: [f64; 3] = [1.0, 10.0, 0.1];
    const RHO: f64 = 0.8;
    impl Density for Slanted {
        fn dim(&self) -> usize {
            3
        }
        fn ln(&self, at: &[f64], g: &mut [f64]) -> f64 {
            let z: Vec<f64> = at.iter().zip(SPREAD).map(|(x, s)| (x - 1.0) / s).collect();
            let c = 1.0 / (1.0 - RHO * RHO);
            g[0] = -c * (z[0] - RHO * z[1]) / SPREAD[0];
            g[1] = -c * (z[1] - RHO * z[0]) / SPREAD[1];
            g[2] = -z[2] / SPREAD[2];
            -0.5 * (c * (z[0] * z[0] - 2.0 * RHO * z[0] * z[1] + z[1] * z[1]) + z[2] * z[2])
        }
    }

    /// Mean, spread and correlation come out within four standard errors of the effective number of draws.
    #[test]
    fn a_slanted_normal_is_recovered() {
        let d = sample(&Slanted, Sampling { draws: 1000, ..Sampling::default() });
        assert!(d.checks.sound(), "{:?}", d.checks);
        let n = d.checks.effective;
        for (k, s) in SPREAD.iter().enumerate() {
            let values = d.of(|p| p[k]);
            let mean = values.iter().sum::<f64>() / values.len() as f64;
            let sd = (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / values.len() as f64).sqrt();
            assert!((mean - 1.0).abs() < 4.0 * s / n.sqrt(), "{k}: mean {mean}, {n} effective");
            assert!((sd / s - 1.0).abs() < 4.0 / (2.0 * n).sqrt(), "{k}: sd {sd}, {n} effective");
        }
        let product = d.of(|p| (p[0] - 1.0) * (p[1] - 1.0) / 10.0);
        let rho = product.iter().sum::<f64>() / product.len() as f64;
        assert!((rho - RHO).abs() < 4.0 * 1.3 / n.sqrt(), "{rho}");
    }

    #[test]
    fn the_same_seed_gives_the_same_draws() {
        let how = Sampling { draws: 20, ..Sampling::default() };
        assert_eq!(sample(&Slanted, how).chains, sample(&Slanted, how).chains);
        assert_ne!(sample(&Slanted, how).chains, sample(&Slanted, Sampling { seed: 2, ..how }).chains);
    }
}
