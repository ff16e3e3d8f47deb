//! Agreement of two who put the same things into the same classes, beyond what chance would give.

use crate::Estimate;

/// Weight of two classes: 1 for the same, 0 for wholly apart.
pub type Weight<'w> = &'w dyn Fn(usize, usize) -> f64;

/// Cohen's kappa (Cohen 1960) of a table of counts, one's classes down and the other's across, with the large-sample standard
/// error of Fleiss, Cohen & Everitt 1969. `None` for an empty or uneven table, or where both use one class only.
pub fn kappa(table: &[Vec<f64>]) -> Option<Estimate> {
    weighted_kappa(table, &|i, j| f64::from(u8::from(i == j)))
}

/// Weighted kappa (Cohen 1968): classes that lie near each other disagree less. As [`kappa`].
pub fn weighted_kappa(table: &[Vec<f64>], weight: Weight<'_>) -> Option<Estimate> {
    let k = table.len();
    let n: f64 = table.iter().flatten().sum();
    if n <= 0.0 || table.iter().any(|r| r.len() != k) {
        return None;
    }
    let down: Vec<f64> = table.iter().map(|r| r.iter().sum::<f64>() / n).collect();
    let across: Vec<f64> = (0..k).map(|j| table.iter().map(|r| r[j]).sum::<f64>() / n).collect();
    let over = |f: &dyn Fn(usize, usize) -> f64| -> f64 {
        (0..k).flat_map(|i| (0..k).map(move |j| (i, j))).map(|(i, j)| f(i, j)).sum()
    };
    let seen = over(&|i, j| weight(i, j) * table[i][j] / n);
    let chance = over(&|i, j| weight(i, j) * down[i] * across[j]);
    let left = 1.0 - chance;
    if left <= 1e-12 {
        return None;
    }
    // Mean weight of each class under the other's frequencies.
    let mean_down: Vec<f64> = (0..k).map(|i| (0..k).map(|j| weight(i, j) * across[j]).sum()).collect();
    let mean_across: Vec<f64> = (0..k).map(|j| (0..k).map(|i| weight(i, j) * down[i]).sum()).collect();
    let spread = over(&|i, j| {
        let w = weight(i, j) * left - (mean_down[i] + mean_across[j]) * (1.0 - seen);
        table[i][j] / n * w * w
    });
    let rest = seen * chance - 2.0 * chance + seen;
    let variance = (spread - rest * rest).max(0.0) / (n * left.powi(4));
    Some(Estimate::new((seen - chance) / left, variance.sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(rows: &[&[f64]]) -> Vec<Vec<f64>> {
        rows.iter().map(|r| r.to_vec()).collect()
    }

    /// Cohen 1960, Educ. Psychol. Meas. 20, 37: two clinicians, 200 patients: .492.
    #[test]
    fn cohens_example() {
        let k = kappa(&table(&[&[88.0, 14.0, 18.0], &[10.0, 40.0, 10.0], &[2.0, 6.0, 12.0]])).unwrap();
        assert!((k.value - 0.492).abs() < 5e-4, "{k:?}");
    }

    /// Fleiss, Cohen & Everitt 1969, Psychol. Bull. 72, 323: .429 unweighted, .507 with their weights.
    #[test]
    fn the_example_with_weights() {
        let t = table(&[&[106.0, 10.0, 4.0], &[22.0, 28.0, 10.0], &[2.0, 12.0, 6.0]]);
        assert!((kappa(&t).unwrap().value - 0.429).abs() < 5e-4);
        let weights = [[1.0, 0.0, 0.4444], [0.0, 1.0, 0.6667], [0.4444, 0.6667, 1.0]];
        let k = weighted_kappa(&t, &|i, j| weights[i][j]).unwrap();
        assert!((k.value - 0.507).abs() < 5e-4, "{k:?}");
    }

    #[test]
    fn what_tells_nothing_has_no_kappa() {
        assert_eq!(kappa(&table(&[&[5.0, 0.0], &[0.0, 0.0]])), None, "one class only");
        assert_eq!(kappa(&[]), None);
        assert_eq!(kappa(&[vec![1.0, 2.0]]), None);
        let all = kappa(&table(&[&[5.0, 0.0], &[0.0, 5.0]])).unwrap();
        assert!((all.value - 1.0).abs() < 1e-12 && all.se < 1e-12);
    }
}
