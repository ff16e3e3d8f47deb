use serde::{Deserialize, Serialize};
use statrs::distribution::{ContinuousCDF, Normal};

/// A measured value with its standard error, in the unit its field's name says.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Estimate {
    /// Best value.
    pub value: f64,
    /// Standard error, same unit; not negative.
    pub se: f64,
}

/// A range that should hold the truth with a stated probability.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// Whether `x` lies within, ends included.
    pub fn contains(self, x: f64) -> bool {
        (self.low..=self.high).contains(&x)
    }
    /// Upper less lower end.
    pub fn width(self) -> f64 {
        self.high - self.low
    }
}

/// Standard normal quantile for the two-sided `level` (0.9 gives 1.645).
pub(crate) fn two_sided_z(level: f64) -> f64 {
    debug_assert!(level > 0.0 && level < 1.0);
    Normal::standard().inverse_cdf(0.5 + level / 2.0)
}

impl Estimate {
    /// A value and its standard error.
    pub const fn new(value: f64, se: f64) -> Self {
        Self { value, se }
    }
    /// Normal two-sided interval at `level`, for example 0.9.
    pub fn interval(self, level: f64) -> Interval {
        let half = two_sided_z(level) * self.se;
        Interval { low: self.value - half, high: self.value + half }
    }
    /// Probability that the truth exceeds `limit`, under the normal approximation.
    pub fn probability_above(self, limit: f64) -> f64 {
        if self.se <= 0.0 {
            return if self.value > limit { 1.0 } else { 0.0 };
        }
        Normal::standard().cdf((self.value - limit) / self.se)
    }
    /// Value and error times a constant.
    pub fn scaled(self, k: f64) -> Self {
        Self { value: self.value * k, se: self.se * k.abs() }
    }
    /// Sum of independent estimates.
    pub fn plus(self, o: Self) -> Self {
        Self { value: self.value + o.value, se: self.se.hypot(o.se) }
    }
    /// Difference of independent estimates.
    pub fn minus(self, o: Self) -> Self {
        Self { value: self.value - o.value, se: self.se.hypot(o.se) }
    }
    /// Mean and standard error (standard deviation over √n) of repeats; `None` under two, which show no spread.
    pub fn from_repeats(values: &[f64]) -> Option<Self> {
        let n = values.len() as f64;
        if values.len() < 2 {
            return None;
        }
        let mean = values.iter().sum::<f64>() / n;
        let variance = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0);
        Some(Self { value: mean, se: (variance / n).sqrt() })
    }
    /// Mean and standard deviation of draws of the quantity itself (a posterior, perturbed repeats); `None` when empty.
    pub fn from_draws(values: &[f64]) -> Option<Self> {
        let n = values.len() as f64;
        if values.is_empty() {
            return None;
        }
        let mean = values.iter().sum::<f64>() / n;
        let variance = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0).max(1.0);
        Some(Self { value: mean, se: variance.sqrt() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Standard normal table: 1.6449 for 90%, 1.9600 for 95% (NIST/SEMATECH e-Handbook 1.3.6.7.1).
    #[test]
    fn intervals_use_the_tabled_quantiles() {
        let e = Estimate::new(10.0, 2.0);
        assert!((e.interval(0.90).high - 10.0 - 2.0 * 1.6449).abs() < 1e-3);
        assert!((e.interval(0.95).low - 10.0 + 2.0 * 1.9600).abs() < 1e-3);
        assert!((e.probability_above(8.0) - 0.8413).abs() < 1e-4);
    }

    #[test]
    fn one_repeat_shows_no_spread() {
        assert_eq!(Estimate::from_repeats(&[3.0]), None);
        let e = Estimate::from_repeats(&[1.0, 2.0, 3.0]).unwrap();
        assert!((e.value - 2.0).abs() < 1e-12 && (e.se - (1.0f64 / 3.0).sqrt()).abs() < 1e-12);
    }
}
