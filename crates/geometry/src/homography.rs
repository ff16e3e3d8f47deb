use crate::Point2;
use crate::frame::Frame;
use nalgebra as na;
use std::marker::PhantomData;

/// A plane projective map from frame `From` to frame `To`, scaled to unit Frobenius norm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Homography<To: Frame, From: Frame> {
    matrix: na::Matrix3<f64>,
    frames: PhantomData<(To, From)>,
}

/// Why a set of pairs gives no homography.
#[derive(Debug, thiserror::Error, PartialEq)]
pub enum HomographyError {
    /// Fewer than four pairs.
    #[error("{pairs} point pairs given, at least 4 needed")]
    TooFew {
        /// Pairs given.
        pairs: usize,
    },
    /// The pairs leave a direction of the map free (for example three or more on one line).
    #[error(
        "the points leave the map undetermined (too many lie on one line): conditioning {conditioning:.1e}, limit 1e-6"
    )]
    Degenerate {
        /// Ratio of the second smallest to the largest singular value.
        conditioning: f64,
    },
}

impl<To: Frame, From: Frame> Homography<To, From> {
    /// From a 3×3 matrix acting on column (x, y, 1).
    pub fn from_matrix(m: na::Matrix3<f64>) -> Self {
        Self { matrix: m / m.norm().max(f64::MIN_POSITIVE), frames: PhantomData }
    }
    /// The matrix, of unit Frobenius norm.
    pub fn matrix(self) -> na::Matrix3<f64> {
        self.matrix
    }
    /// The image of a point; `None` on the vanishing line.
    pub fn apply(self, p: Point2<From>) -> Option<Point2<To>> {
        let v = self.matrix * na::Vector3::new(p.x, p.y, 1.0);
        (v.z.abs() > 1e-15).then(|| Point2::new(v.x / v.z, v.y / v.z))
    }
    /// Derivative of the image with respect to the point: rows are image coordinates.
    pub fn jacobian(self, p: Point2<From>) -> Option<na::Matrix2<f64>> {
        let m = &self.matrix;
        let v = m * na::Vector3::new(p.x, p.y, 1.0);
        if v.z.abs() <= 1e-15 {
            return None;
        }
        let (x, y) = (v.x / v.z, v.y / v.z);
        Some(
            na::Matrix2::new(
                m[(0, 0)] - x * m[(2, 0)],
                m[(0, 1)] - x * m[(2, 1)],
                m[(1, 0)] - y * m[(2, 0)],
                m[(1, 1)] - y * m[(2, 1)],
            ) / v.z,
        )
    }
    /// The map the other way; `None` when singular.
    pub fn inverse(self) -> Option<Homography<From, To>> {
        self.matrix.try_inverse().map(Homography::from_matrix)
    }
    /// Normalised direct linear transform (Hartley & Zisserman, Multiple View Geometry, algorithm 4.2).
    ///
    /// # Errors
    /// `TooFew` under four pairs, `Degenerate` when they leave the map undetermined.
    pub fn from_pairs(pairs: &[(Point2<From>, Point2<To>)]) -> Result<Self, HomographyError> {
        if pairs.len() < 4 {
            return Err(HomographyError::TooFew { pairs: pairs.len() });
        }
        let from = normaliser(pairs.iter().map(|(a, _)| a.column()));
        let to = normaliser(pairs.iter().map(|(_, b)| b.column()));
        let mut ata = na::SMatrix::<f64, 9, 9>::zeros();
        for (a, b) in pairs {
            let p = from * na::Vector3::new(a.x, a.y, 1.0);
            let q = to * na::Vector3::new(b.x, b.y, 1.0);
            let r1 = na::SVector::<f64, 9>::from_column_slice(&[
                p.x,
                p.y,
                1.0,
                0.0,
                0.0,
                0.0,
                -q.x * p.x,
                -q.x * p.y,
                -q.x,
            ]);
            let r2 = na::SVector::<f64, 9>::from_column_slice(&[
                0.0,
                0.0,
                0.0,
                p.x,
                p.y,
                1.0,
                -q.y * p.x,
                -q.y * p.y,
                -q.y,
            ]);
            ata += r1 * r1.transpose() + r2 * r2.transpose();
        }
        let eigen = ata.symmetric_eigen();
        let mut order: Vec<usize> = (0..9).collect();
        order.sort_by(|&i, &j| eigen.eigenvalues[i].total_cmp(&eigen.eigenvalues[j]));
        let singular = |k: usize| eigen.eigenvalues[order[k]].max(0.0).sqrt();
        let conditioning = singular(1) / singular(8);
        if conditioning < 1e-6 {
            return Err(HomographyError::Degenerate { conditioning });
        }
        let h = eigen.eigenvectors.column(order[0]);
        let m = na::Matrix3::new(h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], h[8]);
        let to_back = to.try_inverse().expect("a similarity with positive scale inverts");
        Ok(Self::from_matrix(to_back * m * from))
    }
}

/// The similarity that takes points to mean zero and mean distance √2.
fn normaliser(points: impl Iterator<Item = na::Vector2<f64>> + Clone) -> na::Matrix3<f64> {
    let n = points.clone().count() as f64;
    let mean = points.clone().sum::<na::Vector2<f64>>() / n;
    let spread = points.map(|p| (p - mean).norm()).sum::<f64>() / n;
    let s = std::f64::consts::SQRT_2 / spread.max(1e-12);
    na::Matrix3::new(s, 0.0, -s * mean.x, 0.0, s, -s * mean.y, 0.0, 0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::{Ground, Pixel};

    fn example() -> Homography<Pixel, Ground> {
        Homography::from_matrix(na::Matrix3::new(12.0, 3.0, 80.0, -0.5, -9.0, 600.0, 0.001, 0.01, 1.0))
    }
    fn pairs(h: Homography<Pixel, Ground>, at: &[(f64, f64)]) -> Vec<(Point2<Ground>, Point2<Pixel>)> {
        at.iter()
            .map(|&(x, y)| {
                let p = Point2::new(x, y);
                (p, h.apply(p).unwrap())
            })
            .collect()
    }
    #[test]
    fn exact_pairs_are_recovered() {
        let h = example();
        let got = Homography::from_pairs(&pairs(
            h,
            &[(0.0, 0.0), (50.0, 3.0), (45.0, 50.0), (5.0, 40.0), (20.0, 20.0)],
        ))
        .unwrap();
        for &(x, y) in &[(10.0, 10.0), (33.0, 44.0)] {
            assert!(
                got.apply(Point2::new(x, y)).unwrap().distance(h.apply(Point2::new(x, y)).unwrap()) < 1e-6
            );
        }
    }
    #[test]
    fn points_on_one_line_are_refused() {
        let e = Homography::from_pairs(&pairs(
            example(),
            &[(0.0, 0.0), (10.0, 0.0), (20.0, 0.0), (30.0, 0.0), (30.0, 20.0)],
        ))
        .unwrap_err();
        assert!(matches!(e, HomographyError::Degenerate { .. }), "{e}");
    }
    #[test]
    fn jacobian_is_the_finite_difference() {
        let h = example();
        let p = Point2::new(21.0, 17.0);
        let j = h.jacobian(p).unwrap();
        let e = 1e-5;
        for (k, d) in [(0, (e, 0.0)), (1, (0.0, e))] {
            let a = h.apply(Point2::new(p.x + d.0, p.y + d.1)).unwrap();
            let b = h.apply(Point2::new(p.x - d.0, p.y - d.1)).unwrap();
            let diff = (a - b) * (0.5 / e);
            assert!((diff.x - j[(0, k)]).abs() < 1e-6 && (diff.y - j[(1, k)]).abs() < 1e-6);
        }
    }
}
