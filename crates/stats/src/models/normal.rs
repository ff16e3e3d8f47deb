//! Several like figures with known errors, drawn together exactly: the normal-normal model by integrating over its one spread.

use crate::Estimate;

/// Figures drawn together.
#[derive(Clone, Debug, PartialEq)]
pub struct NormalNormal {
    /// Posterior of each figure's truth: mean and standard deviation.
    pub each: Vec<Estimate>,
    /// Posterior of the mean that they scatter around.
    pub mean: Estimate,
    /// Posterior mean of the spread of the truths.
    pub spread: f64,
}

/// Posterior under flat priors on the mean and on the spread of the truths (Rubin 1981; Gelman et al., Bayesian Data Analysis, 3rd
/// ed., 5.4), by the trapezoid rule over the spread. `None` under three figures, whose spread the flat prior leaves open, or for an
/// error that is not above 0.
pub fn normal_normal(figures: &[Estimate]) -> Option<NormalNormal> {
    const STEPS: usize = 4000;
    if figures.len() < 3 || figures.iter().any(|f| !(f.se > 0.0 && f.value.is_finite())) {
        return None;
    }
    let values: Vec<f64> = figures.iter().map(|f| f.value).collect();
    let range =
        values.iter().copied().fold(f64::MIN, f64::max) - values.iter().copied().fold(f64::MAX, f64::min);
    let largest = figures.iter().map(|f| f.se).fold(0.0, f64::max);
    // The posterior falls as a power of the spread: far enough out nothing is left.
    let end = 20.0 * (range + largest);
    let at = |tau: f64| {
        let weights: Vec<f64> = figures.iter().map(|f| 1.0 / (f.se * f.se + tau * tau)).collect();
        let sum: f64 = weights.iter().sum();
        let mean = weights.iter().zip(&values).map(|(w, v)| w * v).sum::<f64>() / sum;
        let ln: f64 =
            weights.iter().zip(&values).map(|(w, v)| 0.5 * w.ln() - 0.5 * w * (v - mean).powi(2)).sum();
        (ln - 0.5 * sum.ln(), mean, 1.0 / sum)
    };
    // Steps that widen outward, since what matters is near 0.
    let taus: Vec<f64> = (0..=STEPS).map(|k| end * (k as f64 / STEPS as f64).powi(2)).collect();
    let points: Vec<_> = taus.iter().map(|t| at(*t)).collect();
    let top = points.iter().map(|p| p.0).fold(f64::MIN, f64::max);
    let (mut total, mut spread, mut mean) = (0.0, 0.0, [0.0; 2]);
    let mut each = vec![[0.0; 2]; figures.len()];
    for (k, (ln, m, v)) in points.iter().enumerate() {
        let wide = 0.5 * (taus[(k + 1).min(STEPS)] - taus[k.saturating_sub(1)]);
        let w = (ln - top).exp() * wide;
        let t2 = taus[k] * taus[k];
        total += w;
        spread += w * taus[k];
        mean = [mean[0] + w * m, mean[1] + w * (v + m * m)];
        for (e, f) in each.iter_mut().zip(figures) {
            let s2 = f.se * f.se;
            let drawn = t2 / (t2 + s2);
            let here = m + drawn * (f.value - m);
            let variance = s2 * drawn + (1.0 - drawn).powi(2) * v;
            *e = [e[0] + w * here, e[1] + w * (variance + here * here)];
        }
    }
    let estimate = |e: [f64; 2]| {
        let m = e[0] / total;
        Estimate::new(m, (e[1] / total - m * m).max(0.0).sqrt())
    };
    Some(NormalNormal {
        each: each.into_iter().map(estimate).collect(),
        mean: estimate(mean),
        spread: spread / total,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rubin 1981, J. Educ. Stat. 6, 377: eight schools. Posterior means under a flat prior on the spread as recomputed by
    /// quadrature in SciPy: 11.38 7.89 6.14 7.65 5.13 6.14 10.66 8.45; without any spread all are 7.686 with error 4.072.
    #[test]
    fn eight_schools() {
        let (y, se) =
            ([28.0, 8.0, -3.0, 7.0, -1.0, 1.0, 18.0, 12.0], [15.0, 10.0, 16.0, 11.0, 9.0, 11.0, 10.0, 18.0]);
        let schools: Vec<Estimate> = y.iter().zip(se).map(|(y, s)| Estimate::new(*y, s)).collect();
        let p = normal_normal(&schools).unwrap();
        for (got, want) in p.each.iter().zip([11.38, 7.89, 6.14, 7.65, 5.13, 6.14, 10.66, 8.45]) {
            assert!((got.value - want).abs() < 0.05, "{got:?} for {want}");
        }
        let weights: f64 = se.iter().map(|s| 1.0 / (s * s)).sum();
        let whole = y.iter().zip(se).map(|(y, s)| y / (s * s)).sum::<f64>() / weights;
        assert!((whole - 7.686).abs() < 1e-3 && (weights.recip().sqrt() - 4.072).abs() < 1e-3);
        assert_eq!(normal_normal(&schools[..2]), None);
        assert_eq!(normal_normal(&[Estimate::new(1.0, 0.0); 4]), None);
    }
}
