use crate::Interval;
use statrs::distribution::{ContinuousCDF, StudentsT};

/// Two-sided Student interval of a mean at `level` from repeats that carry both spread and measurement error; `None` under
/// two values, which show no spread.
pub fn mean_interval(values: &[f64], level: f64) -> Option<(f64, Interval)> {
    let n = values.len();
    if n < 2 {
        return None;
    }
    let count = n as f64;
    let mean = values.iter().sum::<f64>() / count;
    let variance = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (count - 1.0);
    let t = StudentsT::new(0.0, 1.0, count - 1.0).ok()?.inverse_cdf(0.5 + level / 2.0);
    let half = t * (variance / count).sqrt();
    Some((mean, Interval { low: mean - half, high: mean + half }))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook 1.3.5.2, data set ZARR13: n 195, mean 9.261460, sd 0.022789, 95% interval 9.258242 to
    /// 9.264679. Rebuilt here with two values per pair at mean ± s, which has that mean and sd.
    #[test]
    fn interval_matches_the_handbooks_example() {
        let (n, mean, sd) = (195usize, 9.261_460, 0.022_789);
        let mut values: Vec<f64> =
            (0..n - 1).map(|k| if k % 2 == 0 { mean + sd } else { mean - sd }).collect();
        values.push(mean);
        let (m, i) = mean_interval(&values, 0.95).unwrap();
        assert!((m - mean).abs() < 1e-9);
        assert!((i.low - 9.258_242).abs() < 2e-6 && (i.high - 9.264_679).abs() < 2e-6, "{i:?}");
    }
}
