//! Intervals by drawing again from what was seen, for figures that have no formula for one.

use crate::Interval;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Percentile bootstrap interval (Efron 1979) of `figure` over `n` things, two-sided at `level`: `figure` is given indices drawn
/// with replacement, the same for the same `seed`. `None` under two things, which show no spread, or where the figure is undefined
/// for nearly every draw.
pub fn bootstrap(
    n: usize,
    repeats: usize,
    seed: u64,
    level: f64,
    figure: impl Fn(&[usize]) -> Option<f64>,
) -> Option<Interval> {
    if n < 2 {
        return None;
    }
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let mut drawn = vec![0; n];
    let mut values: Vec<f64> = (0..repeats)
        .filter_map(|_| {
            drawn.iter_mut().for_each(|i| *i = rng.random_range(0..n));
            figure(&drawn)
        })
        .collect();
    // A percentile of a handful of values is none.
    if values.len() < 20 {
        return None;
    }
    values.sort_by(f64::total_cmp);
    Some(Interval { low: quantile(&values, 0.5 - level / 2.0), high: quantile(&values, 0.5 + level / 2.0) })
}

/// Quantile of ascending values by linear interpolation (method 7 of Hyndman & Fan 1996); `sorted` is not empty.
pub fn quantile(sorted: &[f64], p: f64) -> f64 {
    let at = p.clamp(0.0, 1.0) * (sorted.len() - 1) as f64;
    let below = at.floor() as usize;
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + (at - below as f64) * (sorted[above] - sorted[below])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: quartiles of 1, 2, 3, 4 by method 7.
    #[test]
    fn quartiles_by_hand() {
        let v = [1.0, 2.0, 3.0, 4.0];
        assert!((quantile(&v, 0.25) - 1.75).abs() < 1e-12 && (quantile(&v, 0.5) - 2.5).abs() < 1e-12);
        assert!((quantile(&v, 1.0) - 4.0).abs() < 1e-12);
    }

    /// The mean of many values: the bootstrap's interval is that of the normal theory, ±1.645 sd/√n, within its own error of
    /// draws (2000 repeats place an end within about 0.06 standard errors, one sigma).
    #[test]
    fn the_interval_of_a_mean_is_that_of_normal_theory() {
        let values: Vec<f64> = (0..400).map(|k| f64::from(k * 7919 % 1000) / 1000.0).collect();
        let n = values.len() as f64;
        let mean = values.iter().sum::<f64>() / n;
        let se = (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n / n).sqrt();
        let of = |i: &[usize]| Some(i.iter().map(|&k| values[k]).sum::<f64>() / n);
        let i = bootstrap(values.len(), 2000, 1, 0.9, of).unwrap();
        assert!((i.low - (mean - 1.6449 * se)).abs() < 0.25 * se, "{i:?} {mean} {se}");
        assert!((i.high - (mean + 1.6449 * se)).abs() < 0.25 * se, "{i:?} {mean} {se}");
        assert_eq!(
            Some(i),
            bootstrap(values.len(), 2000, 1, 0.9, of),
            "the same seed gives the same interval"
        );
        assert_eq!(bootstrap(1, 2000, 1, 0.9, of), None);
    }
}
