//! Many comparisons at once.

/// Adjusted values of Benjamini & Hochberg 1995: calling every one at most `q` a discovery keeps the expected share of false ones
/// under `q`; where nothing is true, the chance of any call is under `q` too.
pub fn discovery_rate(p: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..p.len()).collect();
    order.sort_by(|a, b| p[*b].total_cmp(&p[*a]));
    let mut out = vec![1.0; p.len()];
    let mut least = 1.0_f64;
    for (k, &i) in order.iter().enumerate() {
        let rank = (p.len() - k) as f64;
        least = least.min(p[i] * p.len() as f64 / rank);
        out[i] = least;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Benjamini & Hochberg 1995, section 3.2: fifteen p-values of a thrombolysis trial; at 0.05 four are discoveries, where
    /// Bonferroni's correction leaves three.
    #[test]
    fn the_papers_example_has_four_discoveries() {
        let p = [
            0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719,
            0.6528, 0.7590, 1.0,
        ];
        let q = discovery_rate(&p);
        assert_eq!(q.iter().filter(|q| **q <= 0.05).count(), 4);
        assert_eq!(p.iter().filter(|p| **p * 15.0 <= 0.05).count(), 3);
        assert!((q[3] - 0.0095 * 15.0 / 4.0).abs() < 1e-12);
        assert!(q.windows(2).all(|w| w[0] <= w[1]));
    }
}
