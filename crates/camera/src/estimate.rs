use crate::{PARAMETERS, Pinhole};
use geometry::frame::{Field, Ground, Pixel};
use geometry::{Covariance2, Homography, Point2, Point3};
use nalgebra as na;
use serde::{Deserialize, Serialize};

/// How one frame of film is tied to the field.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case", tag = "model")]
pub enum FieldCamera {
    /// A camera with a known place: heights can be measured.
    Pinhole(Pinhole),
    /// A free homography `pixel_from_ground`, row-major: only the ground plane is known.
    Plane {
        /// The matrix, row-major, acting on (x, y, 1) yd.
        pixel_from_ground: [f64; 9],
    },
}

impl FieldCamera {
    /// From a homography.
    pub fn plane(h: Homography<Pixel, Ground>) -> Self {
        let m = h.matrix();
        Self::Plane { pixel_from_ground: std::array::from_fn(|k| m[(k / 3, k % 3)]) }
    }
    /// The homography of a plane camera.
    fn homography(m: &[f64; 9]) -> Homography<Pixel, Ground> {
        Homography::from_matrix(na::Matrix3::from_row_slice(m))
    }
    /// Where a field point appears; `None` out of sight, or off the ground for a plane camera.
    pub fn pixel_from_field(&self, p: Point3<Field>) -> Option<Point2<Pixel>> {
        match self {
            Self::Pinhole(c) => c.pixel_from_field(p),
            Self::Plane { pixel_from_ground } if p.z.abs() < 1e-9 => {
                let h = pixel_from_ground;
                // Beyond the horizon the sign of the denominator flips against the picture's visible side.
                let at = |x: f64, y: f64| h[6] * x + h[7] * y + h[8];
                let visible = at(p.x, p.y) * at(50.0, 26.667);
                if visible <= 0.0 { None } else { Self::homography(h).apply(p.ground()) }
            }
            Self::Plane { .. } => None,
        }
    }
    /// Where on the plane at height `z` yd a pixel looks; `None` at the horizon, or off the ground for a plane camera.
    pub fn ground_from_pixel(&self, p: Point2<Pixel>, z: f64) -> Option<Point2<Ground>> {
        match self {
            Self::Pinhole(c) => c.ground_from_pixel(p, z),
            Self::Plane { pixel_from_ground } if z.abs() < 1e-9 => {
                Self::homography(pixel_from_ground).inverse()?.apply(p)
            }
            Self::Plane { .. } => None,
        }
    }
    /// The pinhole, if heights can be measured.
    pub fn pinhole(&self) -> Option<&Pinhole> {
        match self {
            Self::Pinhole(c) => Some(c),
            Self::Plane { .. } => None,
        }
    }
    /// Derivatives of the pixel of ground point `p`: by the eight parameters (a plane camera's are its matrix entries but
    /// the last, row-major, with the last held) and by the ground point.
    pub fn ground_jacobians(
        &self,
        p: Point2<Ground>,
    ) -> Option<(na::SMatrix<f64, 2, PARAMETERS>, na::Matrix2<f64>)> {
        match self {
            Self::Pinhole(c) => {
                let (j, jp) = c.jacobians(p.at_height(0.0))?;
                Some((j, jp.fixed_columns::<2>(0).into_owned()))
            }
            Self::Plane { pixel_from_ground: h } => {
                let w = h[6] * p.x + h[7] * p.y + h[8];
                if w.abs() < 1e-15 {
                    return None;
                }
                let (x, y) = ((h[0] * p.x + h[1] * p.y + h[2]) / w, (h[3] * p.x + h[4] * p.y + h[5]) / w);
                let mut j = na::SMatrix::<f64, 2, PARAMETERS>::zeros();
                for (k, s) in [p.x, p.y, 1.0].into_iter().enumerate() {
                    j[(0, k)] = s / w;
                    j[(1, 3 + k)] = s / w;
                    if k < 2 {
                        j[(0, 6 + k)] = -x * s / w;
                        j[(1, 6 + k)] = -y * s / w;
                    }
                }
                let jp =
                    na::Matrix2::new(h[0] - x * h[6], h[1] - x * h[7], h[3] - y * h[6], h[4] - y * h[7]) / w;
                Some((j, jp))
            }
        }
    }
}

/// How well a frame's camera stands on what was seen.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct FrameQuality {
    /// RMS distance of the evidence from the model, px.
    pub rms_px: f64,
    /// Number of independent pieces of evidence.
    pub evidence: u32,
    /// Share of the paint that should be visible and was found, 0 to 1.
    pub coverage: f64,
    /// False when the frame should not be trusted without a look.
    pub trusted: bool,
}

/// A frame's camera with its uncertainty.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct CameraEstimate {
    /// The camera.
    pub camera: FieldCamera,
    /// Covariance of the eight parameters (see [`FieldCamera::ground_jacobians`]), row-major, 64 numbers.
    pub covariance: Vec<f64>,
    /// Quality of the fit.
    pub quality: FrameQuality,
}

impl CameraEstimate {
    /// The covariance as a matrix.
    pub fn parameter_covariance(&self) -> na::SMatrix<f64, PARAMETERS, PARAMETERS> {
        na::SMatrix::from_row_slice(&self.covariance)
    }
    /// Ground point under a pixel and its covariance, yd²: the camera's uncertainty plus `pixel_sd` px of marking error in
    /// each image direction. `None` at the horizon.
    pub fn ground_with_covariance(
        &self,
        p: Point2<Pixel>,
        pixel_sd: f64,
    ) -> Option<(Point2<Ground>, Covariance2)> {
        let g = self.camera.ground_from_pixel(p, 0.0)?;
        let (j, jg) = self.camera.ground_jacobians(g)?;
        let inverse = jg.try_inverse()?;
        let in_pixels =
            j * self.parameter_covariance() * j.transpose() + na::Matrix2::identity() * (pixel_sd * pixel_sd);
        Some((g, Covariance2::from_matrix(inverse * in_pixels * inverse.transpose())))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Aim, Station};

    fn pinhole() -> Pinhole {
        Pinhole {
            station: Station { centre: Point3::new(50.0, -40.0, 22.0), k1: 0.0, width: 1280, height: 720 },
            aim: Aim { pan: 1.5, tilt: 0.4, roll: 0.01, focal: 1500.0 },
        }
    }

    #[test]
    fn a_plane_camera_agrees_with_the_pinhole_it_came_from() {
        let c = pinhole();
        let corners = [(40.0, 0.0), (60.0, 0.0), (60.0, 50.0), (40.0, 50.0), (50.0, 20.0)];
        let pairs: Vec<_> = corners
            .iter()
            .map(|&(x, y)| {
                let g = Point2::new(x, y);
                (g, c.pixel_from_field(g.at_height(0.0)).unwrap())
            })
            .collect();
        let plane = FieldCamera::plane(Homography::from_pairs(&pairs).unwrap());
        let both = [FieldCamera::Pinhole(c), plane];
        let g = Point2::new(52.0, 31.0);
        let [a, b] = both.map(|m| m.pixel_from_field(g.at_height(0.0)).unwrap());
        assert!(a.distance(b) < 1e-6);
        assert!(plane.pixel_from_field(g.at_height(2.0)).is_none());
        let [ja, jb] = both.map(|m| m.ground_jacobians(g).unwrap().1);
        assert!((ja - jb).norm() < 1e-6);
        assert!(plane.pixel_from_field(Point3::new(50.0, -400.0, 0.0)).is_none());
    }

    #[test]
    fn pixel_error_becomes_yards_by_the_local_scale() {
        let e = CameraEstimate {
            camera: FieldCamera::Pinhole(pinhole()),
            covariance: vec![0.0; 64],
            quality: FrameQuality { rms_px: 0.3, evidence: 100, coverage: 0.9, trusted: true },
        };
        let (g, c) = e.ground_with_covariance(Point2::new(640.0, 400.0), 1.0).unwrap();
        let right = e.camera.ground_from_pixel(Point2::new(641.0, 400.0), 0.0).unwrap();
        let d = right - g;
        let u = d.unit().unwrap();
        assert!((c.along(u.x, u.y).sqrt() - d.norm()).abs() < 0.1 * d.norm());
    }
}
