//! The point that moves a straight line most.

/// A point's weight on a least-squares slope.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Influence {
    /// Which point, by its place in what was given.
    pub point: usize,
    /// What the slope changes by when the point is left out, in standard errors of the slope without it (DFBETAS); positive where the
    /// point makes the slope larger. Infinite where the others lie on a line.
    pub dfbetas: f64,
}

/// |DFBETAS| beyond which a point by itself decides a slope: the cut for few points of Belsley, Kuh & Welsch 1980, Regression
/// Diagnostics, 2.1 (from memory).
pub const DECISIVE: f64 = 1.0;

/// The point `(x, y)` whose absence would change the least-squares slope most. `None` under four points, where without a point x does not vary,
/// or where all lie on the line.
pub fn most_influential(points: &[(f64, f64)]) -> Option<Influence> {
    let n = points.len() as f64;
    if points.len() < 4 {
        return None;
    }
    let mx = points.iter().map(|p| p.0).sum::<f64>() / n;
    let my = points.iter().map(|p| p.1).sum::<f64>() / n;
    let sxx: f64 = points.iter().map(|p| (p.0 - mx).powi(2)).sum();
    let slope = points.iter().map(|p| (p.0 - mx) * (p.1 - my)).sum::<f64>() / sxx;
    let left = |p: &(f64, f64)| p.1 - my - slope * (p.0 - mx);
    let square: f64 = points.iter().map(|p| left(p).powi(2)).sum();
    // On a line as good as exactly every point's weight is rounding.
    if square <= 1e-12 * points.iter().map(|p| (p.1 - my).powi(2)).sum::<f64>() {
        return None;
    }
    let of = |(point, p): (usize, &(f64, f64))| {
        let free = 1.0 - 1.0 / n - (p.0 - mx).powi(2) / sxx;
        let changes = (p.0 - mx) * left(p) / (sxx * free);
        let around = ((square - left(p).powi(2) / free) / (n - 3.0)).max(0.0).sqrt();
        (free > 1e-9).then(|| Influence { point, dfbetas: changes * sxx.sqrt() / around })
    };
    points
        .iter()
        .enumerate()
        .map(of)
        .collect::<Option<Vec<_>>>()?
        .into_iter()
        .filter(|i| !i.dfbetas.is_nan())
        .max_by(|a, b| a.dfbetas.abs().total_cmp(&b.dfbetas.abs()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Anscombe 1973, Am. Stat. 27, 17, third set: ten points on a line and one, the third, far above it.
    #[test]
    fn the_wild_point_of_anscombes_third_set_is_found() {
        let x = [10.0, 8.0, 13.0, 9.0, 11.0, 14.0, 6.0, 4.0, 12.0, 7.0, 5.0];
        let y = [7.46, 6.77, 12.74, 7.11, 7.81, 8.84, 6.08, 5.39, 8.15, 6.42, 5.73];
        let points: Vec<(f64, f64)> = x.into_iter().zip(y).collect();
        let most = most_influential(&points).unwrap();
        assert_eq!(most.point, 2);
        assert!(most.dfbetas > 100.0, "{most:?}: the others lie on a line to a hundredth");
    }

    /// Anscombe's fourth set: without its eighth point x does not vary, so that nothing can be said.
    #[test]
    fn a_line_that_hangs_on_one_point_alone_has_no_other_to_compare() {
        let mut points = vec![(8.0, 6.58), (8.0, 5.76), (8.0, 7.71), (8.0, 8.84), (8.0, 8.47)];
        points.push((19.0, 12.5));
        assert_eq!(most_influential(&points), None);
        assert_eq!(most_influential(&points[..3]), None);
    }
}
