//! Whether a difference could be chance: tests that keep their level with few plays, and the control over many of them.

use statrs::distribution::{ContinuousCDF, StudentsT};
use statrs::function::gamma::ln_gamma;
pub use stats::discovery_rate as adjusted;

/// Fisher's exact test of two shares (Fisher 1935), two-sided by the sum of tables no likelier than the one seen: `a` of `n`
/// against `b` of `m`. Its level holds however few the plays are.
pub fn fisher(a: u64, n: u64, b: u64, m: u64) -> f64 {
    let ln_choose =
        |n: u64, k: u64| ln_gamma(n as f64 + 1.0) - ln_gamma(k as f64 + 1.0) - ln_gamma((n - k) as f64 + 1.0);
    let successes = a + b;
    let (low, high) = (successes.saturating_sub(m), successes.min(n));
    let ln_p = |k: u64| ln_choose(n, k) + ln_choose(m, successes - k) - ln_choose(n + m, successes);
    let seen = ln_p(a);
    // Tables as likely as the one seen count, up to rounding.
    let p: f64 = (low..=high).map(ln_p).filter(|l| *l <= seen + 1e-7).map(f64::exp).sum();
    p.min(1.0)
}

/// Welch's test of two means (Welch 1947): difference, standard error, degrees of freedom, two-sided p. `None` under two values
/// on a side or without any spread.
pub fn welch(a: &[f64], b: &[f64]) -> Option<Welch> {
    let part = |x: &[f64]| {
        let n = x.len() as f64;
        if x.len() < 2 {
            return None;
        }
        let mean = x.iter().sum::<f64>() / n;
        Some((mean, x.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0) / n, n))
    };
    let ((ma, va, na), (mb, vb, nb)) = (part(a)?, part(b)?);
    let variance = va + vb;
    if variance <= 1e-300 {
        return None;
    }
    let degrees = variance * variance / (va * va / (na - 1.0) + vb * vb / (nb - 1.0));
    let (value, se) = (ma - mb, variance.sqrt());
    let t = StudentsT::new(0.0, 1.0, degrees).ok()?;
    Some(Welch { value, se, degrees, p: (2.0 * t.sf((value / se).abs())).min(1.0) })
}

/// A difference of two means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Welch {
    /// First mean less the second.
    pub value: f64,
    /// Its standard error.
    pub se: f64,
    /// Welch-Satterthwaite degrees of freedom.
    pub degrees: f64,
    /// Two-sided p.
    pub p: f64,
}

/// Two-sided Student factor at `level`.
pub fn student(degrees: f64, level: f64) -> f64 {
    StudentsT::new(0.0, 1.0, degrees.max(1e-3)).map_or(f64::INFINITY, |t| t.inverse_cdf(0.5 + level / 2.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fisher 1935, "The Design of Experiments": the lady tasting tea, 3 of 4 right: two-sided p 34/70.
    #[test]
    fn the_lady_tasting_tea() {
        assert!((fisher(3, 4, 1, 4) - 34.0 / 70.0).abs() < 1e-12);
        assert!((fisher(4, 4, 0, 4) - 2.0 / 70.0).abs() < 1e-12);
        assert!((fisher(0, 5, 0, 3) - 1.0).abs() < 1e-12);
    }

    /// By hand: means 2 and 5, variances 1 and 4 of 3 and 3: se² 5/3, df (5/3)²/((1/9 + 16/9)/2) = 50/17.
    #[test]
    fn welch_by_hand() {
        let w = welch(&[1.0, 2.0, 3.0], &[3.0, 5.0, 7.0]).unwrap();
        assert!((w.value + 3.0).abs() < 1e-12 && (w.se - (5.0f64 / 3.0).sqrt()).abs() < 1e-12);
        assert!((w.degrees - 50.0 / 17.0).abs() < 1e-9);
        assert_eq!(welch(&[1.0], &[2.0, 3.0]), None);
        assert_eq!(welch(&[1.0, 1.0], &[1.0, 1.0]), None);
    }
}
