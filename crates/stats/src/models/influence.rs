//! The point that moves a straight line most.

use super::eiv::Moments;

/// A point's weight on a least-squares slope.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Influence {
    /// Which point, by its place in what was given.
    pub point: usize,
    /// What the slope changes by when the point is left out, in standard errors of the slope (DFBETAS, which take their spread from the
    /// other points); positive where the point makes the slope larger. Infinite where the others lie on a line, or at one x: then the
    /// slope is this point's alone.
    pub dfbetas: f64,
}

/// |DFBETAS| beyond which a point by itself decides a slope: the cut for few points of Belsley, Kuh & Welsch 1980, Regression
/// Diagnostics, 2.1 (from memory).
pub const DECISIVE: f64 = 1.0;

/// The point `(x, y)` whose absence would change the least-squares slope most. `None` under four points, where x does not vary, or where
/// all lie on the line.
pub fn most_influential(points: &[(f64, f64)]) -> Option<Influence> {
    let Moments { n, mx, my, sxx, sxy, syy } = Moments::of(points)?;
    let slope = sxy / sxx;
    let left = |p: &(f64, f64)| p.1 - my - slope * (p.0 - mx);
    let square: f64 = points.iter().map(|p| left(p).powi(2)).sum();
    let weight = |p: &(f64, f64)| {
        let free = 1.0 - 1.0 / n - (p.0 - mx).powi(2) / sxx;
        if free <= 1e-9 {
            return f64::INFINITY.copysign(slope);
        }
        let changes = (p.0 - mx) * left(p) / (sxx * free);
        let around = ((square - left(p).powi(2) / free) / (n - 3.0)).max(0.0).sqrt();
        changes * sxx.sqrt() / around
    };
    let weights = points.iter().map(weight).enumerate().filter(|w| !w.1.is_nan());
    let (point, dfbetas) = weights.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    // On a line as good as exactly the weights of all points but one at an x of its own are rounding.
    (square > 1e-12 * syy || dfbetas.is_infinite()).then_some(Influence { point, dfbetas })
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

    /// Anscombe's fourth set: ten points at one x, and one, the eighth, on which the whole slope hangs.
    #[test]
    fn a_line_that_hangs_on_one_point_alone_is_that_points() {
        let y = [6.58, 5.76, 7.71, 8.84, 8.47, 7.04, 5.25, 12.50, 5.56, 7.91, 6.89];
        let points: Vec<(f64, f64)> =
            y.into_iter().enumerate().map(|(k, y)| (if k == 7 { 19.0 } else { 8.0 }, y)).collect();
        assert_eq!(most_influential(&points), Some(Influence { point: 7, dfbetas: f64::INFINITY }));
        assert_eq!(most_influential(&points[4..7]), None, "three points");
        assert_eq!(most_influential(&points[..7]), None, "x does not vary");
    }

    #[test]
    fn on_a_line_no_point_decides() {
        let points: Vec<(f64, f64)> = (0..8).map(|k| (f64::from(k), 3.0 * f64::from(k) + 1.0)).collect();
        assert_eq!(most_influential(&points), None);
    }
}
