//! Krippendorff's alpha: reliability of any number of observers, with gaps, on several scales.

/// On what scale two values differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AlphaScale {
    /// The same or not.
    Nominal,
    /// By how many values lie between, in the order of the numbers.
    Ordinal,
    /// By how far apart the numbers are.
    Interval,
    /// By how far apart they are against their sum.
    Ratio,
}

/// Krippendorff's alpha (Krippendorff 2004, chapter 11): 1 for full agreement, 0 for that of chance. `units` holds the values that
/// the observers gave to each thing, gaps left out. `None` where no thing has two values or all values are the same.
pub fn alpha(units: &[Vec<f64>], scale: AlphaScale) -> Option<f64> {
    let paired: Vec<&Vec<f64>> = units.iter().filter(|u| u.len() > 1).collect();
    let mut values: Vec<f64> = paired.iter().flat_map(|u| u.iter().copied()).collect();
    let n = values.len() as f64;
    values.sort_by(f64::total_cmp);
    values.dedup();
    let place = |v: f64| values.binary_search_by(|x| x.total_cmp(&v)).unwrap_or(0);
    let k = values.len();
    // Coincidences: each pair of values within a thing, both ways, weighed so that every value counts once.
    let mut seen = vec![vec![0.0; k]; k];
    for u in &paired {
        let weight = 1.0 / (u.len() as f64 - 1.0);
        for (i, a) in u.iter().enumerate() {
            for (j, b) in u.iter().enumerate() {
                if i != j {
                    seen[place(*a)][place(*b)] += weight;
                }
            }
        }
    }
    let often: Vec<f64> = seen.iter().map(|r| r.iter().sum()).collect();
    let apart = |a: usize, b: usize| -> f64 {
        match scale {
            AlphaScale::Nominal => f64::from(u8::from(a != b)),
            AlphaScale::Ordinal => {
                let (low, high) = (a.min(b), a.max(b));
                (often[low..=high].iter().sum::<f64>() - 0.5 * (often[low] + often[high])).powi(2)
            }
            AlphaScale::Interval => (values[a] - values[b]).powi(2),
            AlphaScale::Ratio => {
                let sum = values[a] + values[b];
                if sum == 0.0 { 0.0 } else { ((values[a] - values[b]) / sum).powi(2) }
            }
        }
    };
    let (mut observed, mut expected) = (0.0, 0.0);
    for a in 0..k {
        for b in 0..k {
            observed += seen[a][b] * apart(a, b);
            expected += often[a] * often[b] * apart(a, b);
        }
    }
    (expected > 0.0).then(|| 1.0 - (n - 1.0) * observed / expected)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Krippendorff's reliability data, four observers and twelve things ("Computing Krippendorff's Alpha-Reliability", 2011):
    /// nominal .743, ordinal .815, interval .849, ratio .797.
    #[test]
    fn the_authors_example() {
        const N: f64 = f64::NAN;
        let observers = [
            [1.0, 2.0, 3.0, 3.0, 2.0, 1.0, 4.0, 1.0, 2.0, N, N, N],
            [1.0, 2.0, 3.0, 3.0, 2.0, 2.0, 4.0, 1.0, 2.0, 5.0, N, 3.0],
            [N, 3.0, 3.0, 3.0, 2.0, 3.0, 4.0, 2.0, 2.0, 5.0, 1.0, N],
            [1.0, 2.0, 3.0, 3.0, 2.0, 4.0, 4.0, 1.0, 2.0, 5.0, 1.0, N],
        ];
        let units: Vec<Vec<f64>> =
            (0..12).map(|k| observers.iter().map(|o| o[k]).filter(|v| !v.is_nan()).collect()).collect();
        for (scale, want) in [
            (AlphaScale::Nominal, 0.743),
            (AlphaScale::Ordinal, 0.815),
            (AlphaScale::Interval, 0.849),
            (AlphaScale::Ratio, 0.797),
        ] {
            let got = alpha(&units, scale).unwrap();
            assert!((got - want).abs() < 6e-4, "{scale:?}: {got}");
        }
        assert_eq!(alpha(&[vec![1.0], vec![2.0]], AlphaScale::Nominal), None);
        assert_eq!(alpha(&[vec![1.0, 1.0]], AlphaScale::Nominal), None);
    }
}
