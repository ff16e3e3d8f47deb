use crate::Interval;
use crate::estimate::two_sided_z;
use serde::{Deserialize, Serialize};
use statrs::distribution::{Beta, ContinuousCDF};

/// A count of successes among trials.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Proportion {
    successes: u64,
    trials: u64,
}

/// Why a proportion was refused.
#[derive(Debug, thiserror::Error, PartialEq, Eq)]
pub enum ProportionError {
    /// No trial, or more successes than trials.
    #[error(
        "{successes} successes of {trials} trials is no proportion: at least one trial, and at most as many successes"
    )]
    Impossible {
        /// Successes given.
        successes: u64,
        /// Trials given.
        trials: u64,
    },
}

impl Proportion {
    /// `successes` of `trials`.
    ///
    /// # Errors
    /// `Impossible` with no trial or more successes than trials.
    pub const fn new(successes: u64, trials: u64) -> Result<Self, ProportionError> {
        if trials == 0 || successes > trials {
            return Err(ProportionError::Impossible { successes, trials });
        }
        Ok(Self { successes, trials })
    }
    /// Successes.
    pub const fn successes(self) -> u64 {
        self.successes
    }
    /// Trials.
    pub const fn trials(self) -> u64 {
        self.trials
    }
    /// Share of successes, 0 to 1.
    pub fn value(self) -> f64 {
        self.successes as f64 / self.trials as f64
    }
    /// Wilson score interval (Wilson 1927; method 3 of Newcombe 1998), two-sided at `level`.
    pub fn wilson(self, level: f64) -> Interval {
        let (p, n, z) = (self.value(), self.trials as f64, two_sided_z(level));
        let z2 = z * z;
        let middle = (p + z2 / (2.0 * n)) / (1.0 + z2 / n);
        let half = z / (1.0 + z2 / n) * (p * (1.0 - p) / n + z2 / (4.0 * n * n)).sqrt();
        Interval { low: (middle - half).max(0.0), high: (middle + half).min(1.0) }
    }
    /// Agresti-Coull interval (Agresti & Coull 1998): Wald's after half of z² successes and failures are added, two-sided at `level`.
    pub fn agresti_coull(self, level: f64) -> Interval {
        let z = two_sided_z(level);
        let n = self.trials as f64 + z * z;
        let p = (self.successes as f64 + 0.5 * z * z) / n;
        let half = z * (p * (1.0 - p) / n).sqrt();
        Interval { low: (p - half).max(0.0), high: (p + half).min(1.0) }
    }
    /// Jeffreys's interval: equal tails of the Bayesian posterior under the prior Beta(½, ½), closed at 0 and 1 where nothing or
    /// everything succeeded (Brown, Cai & DasGupta 2001), two-sided at `level`.
    pub fn jeffreys(self, level: f64) -> Interval {
        let (x, n) = (self.successes as f64, self.trials as f64);
        let beta = Beta::new(x + 0.5, n - x + 0.5).expect("both parameters are at least one half");
        let tail = 0.5 - level / 2.0;
        Interval {
            low: if self.successes == 0 { 0.0 } else { beta.inverse_cdf(tail) },
            high: if self.successes == self.trials { 1.0 } else { beta.inverse_cdf(1.0 - tail) },
        }
    }
    /// Interval of `self` − `other` by Newcombe's hybrid score (method 10 of Newcombe 1998b), two-sided at `level`.
    pub fn difference(self, other: Self, level: f64) -> Interval {
        let (a, b) = (self.wilson(level), other.wilson(level));
        let (p, q) = (self.value(), other.value());
        Interval { low: p - q - (p - a.low).hypot(b.high - q), high: p - q + (a.high - p).hypot(q - b.low) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Newcombe 1998, Statistics in Medicine 17, 857, table I (Wilson, 95%).
    #[test]
    fn wilson_matches_newcombes_table() {
        for (r, n, low, high) in [
            (81, 263, 0.2553, 0.3662),
            (15, 148, 0.0624, 0.1605),
            (0, 20, 0.0, 0.1611),
            (1, 29, 0.0061, 0.1718),
        ] {
            let i = Proportion::new(r, n).unwrap().wilson(0.95);
            assert!((i.low - low).abs() < 5e-5 && (i.high - high).abs() < 5e-5, "{r}/{n}: {i:?}");
        }
    }

    /// Newcombe 1998, Statistics in Medicine 17, 873, table II (method 10, 95%).
    #[test]
    fn differences_match_newcombes_table() {
        for (a, b, low, high) in [
            ((56, 70), (48, 80), 0.0524, 0.3339),
            ((9, 10), (3, 10), 0.1705, 0.8090),
            ((5, 56), (0, 29), -0.0381, 0.1926),
        ] {
            let i = Proportion::new(a.0, a.1).unwrap().difference(Proportion::new(b.0, b.1).unwrap(), 0.95);
            assert!((i.low - low).abs() < 5e-5 && (i.high - high).abs() < 5e-5, "{i:?}");
        }
    }
}
