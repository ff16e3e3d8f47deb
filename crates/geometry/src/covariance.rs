use nalgebra as na;
use serde::{Deserialize, Serialize};

/// Symmetric 2×2 covariance, squared units of its frame.
#[derive(Clone, Copy, Debug, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Covariance2 {
    /// Variance of x.
    pub xx: f64,
    /// Covariance of x and y.
    pub xy: f64,
    /// Variance of y.
    pub yy: f64,
}

impl Covariance2 {
    /// The same variance in every direction.
    pub const fn isotropic(standard_deviation: f64) -> Self {
        Self {
            xx: standard_deviation * standard_deviation,
            xy: 0.0,
            yy: standard_deviation * standard_deviation,
        }
    }
    /// From a matrix; the off-diagonal terms are averaged.
    pub fn from_matrix(m: na::Matrix2<f64>) -> Self {
        Self { xx: m[(0, 0)], xy: 0.5 * (m[(0, 1)] + m[(1, 0)]), yy: m[(1, 1)] }
    }
    /// As a matrix.
    pub fn matrix(self) -> na::Matrix2<f64> {
        na::Matrix2::new(self.xx, self.xy, self.xy, self.yy)
    }
    /// Variance along the unit direction (`ux`, `uy`).
    pub fn along(self, ux: f64, uy: f64) -> f64 {
        ux * ux * self.xx + 2.0 * ux * uy * self.xy + uy * uy * self.yy
    }
    /// Covariance after the linear map `j`.
    pub fn through(self, j: na::Matrix2<f64>) -> Self {
        Self::from_matrix(j * self.matrix() * j.transpose())
    }
    /// Sum of independent covariances.
    pub fn plus(self, o: Self) -> Self {
        Self { xx: self.xx + o.xx, xy: self.xy + o.xy, yy: self.yy + o.yy }
    }
    /// Semi-axes (long, short) and the long axis's angle from x towards y, radians, of the ellipse that is one
    /// standard deviation in each principal direction.
    pub fn ellipse(self) -> (f64, f64, f64) {
        let mean = 0.5 * (self.xx + self.yy);
        let half = 0.5 * (self.xx - self.yy);
        let r = half.hypot(self.xy);
        ((mean + r).max(0.0).sqrt(), (mean - r).max(0.0).sqrt(), 0.5 * self.xy.atan2(half))
    }
    /// Root of the summed variances: RMS distance from the mean.
    pub fn rms(self) -> f64 {
        (self.xx + self.yy).max(0.0).sqrt()
    }
}

/// Symmetric 3×3 covariance, squared units of its frame, row-major upper triangle: xx xy xz yy yz zz.
#[derive(Clone, Copy, Debug, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Covariance3(pub [f64; 6]);

impl Covariance3 {
    /// From a matrix; the off-diagonal terms are averaged.
    pub fn from_matrix(m: na::Matrix3<f64>) -> Self {
        let s = |a: usize, b: usize| 0.5 * (m[(a, b)] + m[(b, a)]);
        Self([s(0, 0), s(0, 1), s(0, 2), s(1, 1), s(1, 2), s(2, 2)])
    }
    /// As a matrix.
    pub fn matrix(self) -> na::Matrix3<f64> {
        let [a, b, c, d, e, f] = self.0;
        na::Matrix3::new(a, b, c, b, d, e, c, e, f)
    }
    /// Variance along the unit direction `u`.
    pub fn along(self, u: na::Vector3<f64>) -> f64 {
        (u.transpose() * self.matrix() * u)[0]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn ellipse_axes_are_the_eigenvalues() {
        let c = Covariance2 { xx: 4.0, xy: 1.5, yy: 2.0 };
        let e = c.matrix().symmetric_eigenvalues();
        let (long, short, angle) = c.ellipse();
        assert!((long * long - e.max()).abs() < 1e-12 && (short * short - e.min()).abs() < 1e-12);
        assert!((c.along(angle.cos(), angle.sin()) - e.max()).abs() < 1e-12);
    }
}
