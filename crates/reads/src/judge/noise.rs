use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use statrs::distribution::{ContinuousCDF, Normal};

/// What one repeat draws beside the people, who are drawn by the windows: standard normal numbers for the moments and
/// the key, a number from 0 to 1 for the picture.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Noise {
    pub set: f64,
    pub end: f64,
    pub contact: f64,
    pub key: f64,
    pub picture: f64,
}

pub(super) fn noise(repeats: usize, seed: u64) -> Vec<Noise> {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let normal = Normal::standard();
    let mut uniform = move || rng.random::<f64>();
    (0..repeats)
        .map(|_| {
            // Never quite 0, whose quantile is not finite.
            let mut z = || normal.inverse_cdf(uniform().clamp(1e-12, 1.0 - 1e-12));
            let (set, end, contact, key) = (z(), z(), z(), z());
            Noise { set, end, contact, key, picture: uniform() }
        })
        .collect()
}
