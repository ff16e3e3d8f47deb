use crate::posed::PosedPinhole;
use geometry::frame::{Camera, Field, Ground, Pixel};
use geometry::{Point2, Point3, Rigid, Vector3};
use nalgebra as na;
use serde::{Deserialize, Serialize};

/// What stays the same for a camera through a game.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Station {
    /// Centre of projection, field frame, yd.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 3]))]
    pub centre: Point3<Field>,
    /// Radial distortion: a ray at image-plane radius r (units of focal length) is drawn at r (1 + k1 r²).
    pub k1: f64,
    /// Picture size, px.
    pub width: u32,
    /// Picture size, px.
    pub height: u32,
}

/// Where a camera looks in one frame.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Aim {
    /// Direction of the optical axis about z, from x towards y, radians.
    pub pan: f64,
    /// Angle of the optical axis below the horizon, radians.
    pub tilt: f64,
    /// Turn of the picture about the optical axis, clockwise as seen in the picture, radians.
    pub roll: f64,
    /// Focal length, px.
    pub focal: f64,
}

/// Number of parameters in a pinhole's Jacobians, in this order: pan, tilt, roll (rad), ln focal, centre x, y, z (yd), k1.
pub const PARAMETERS: usize = 8;

/// A pinhole camera with one radial distortion term (Hartley & Zisserman, Multiple View Geometry, section 7.4); the
/// principal point is the picture's middle.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Pinhole {
    /// What stays.
    pub station: Station,
    /// What turns and zooms.
    pub aim: Aim,
}

impl Pinhole {
    /// `camera_from_field`.
    pub fn camera_from_field(&self) -> Rigid<Camera, Field> {
        Rigid::from_rotation_and_origin(
            na::Rotation3::from_matrix_unchecked(self.rotation()),
            self.station.centre,
        )
    }

    pub(crate) fn rotation(&self) -> na::Matrix3<f64> {
        let (sp, cp) = self.aim.pan.sin_cos();
        let (st, ct) = self.aim.tilt.sin_cos();
        let right = na::Vector3::new(sp, -cp, 0.0);
        let forward = na::Vector3::new(ct * cp, ct * sp, -st);
        let down = forward.cross(&right);
        let (sr, cr) = self.aim.roll.sin_cos();
        na::Matrix3::from_rows(&[
            (right * cr + down * sr).transpose(),
            (down * cr - right * sr).transpose(),
            forward.transpose(),
        ])
    }

    /// The same camera, ready to project many points.
    pub fn posed(&self) -> PosedPinhole {
        PosedPinhole::new(self)
    }

    /// Where a field point appears; `None` behind the camera or beyond the radius where distortion folds.
    pub fn pixel_from_field(&self, p: Point3<Field>) -> Option<Point2<Pixel>> {
        self.posed().pixel_from_field(p)
    }

    /// Unit direction in the field frame of the ray through a pixel.
    pub fn ray(&self, p: Point2<Pixel>) -> Vector3<Field> {
        self.posed().ray(p)
    }

    /// Where the ray through a pixel meets the plane at height `z` yd; `None` at or above the horizon.
    pub fn ground_from_pixel(&self, p: Point2<Pixel>, z: f64) -> Option<Point2<Ground>> {
        let d = self.ray(p);
        let c = self.station.centre;
        let t = (z - c.z) / d.z;
        (d.z.abs() > 1e-9 && t > 0.0).then(|| Point2::new(c.x + t * d.x, c.y + t * d.y))
    }

    /// Where the ray through a pixel meets the surface of height `height(ground point)` yd, by fixed point: field crowns
    /// are shallow, so each pass gains two digits.
    pub fn surface_from_pixel(
        &self,
        p: Point2<Pixel>,
        height: impl Fn(Point2<Ground>) -> f64,
    ) -> Option<Point2<Ground>> {
        let mut q = self.ground_from_pixel(p, 0.0)?;
        for _ in 0..6 {
            q = self.ground_from_pixel(p, height(q))?;
        }
        Some(q)
    }

    /// Derivatives of [`Self::pixel_from_field`]: by the parameters (2 × [`PARAMETERS`]) and by the point (2 × 3).
    pub fn jacobians(
        &self,
        p: Point3<Field>,
    ) -> Option<(na::SMatrix<f64, 2, PARAMETERS>, na::Matrix2x3<f64>)> {
        self.posed().project(p).map(|q| (q.by_parameters(), q.by_point()))
    }

    /// The camera with `step` added to its parameters (order as [`PARAMETERS`]).
    pub fn stepped(&self, step: &na::SVector<f64, PARAMETERS>) -> Self {
        let mut n = *self;
        n.aim.pan += step[0];
        n.aim.tilt += step[1];
        n.aim.roll += step[2];
        n.aim.focal *= step[3].exp();
        n.station.centre = Point3::from_column(n.station.centre.column() + step.fixed_rows::<3>(4));
        n.station.k1 += step[7];
        n
    }

    /// A camera at `station` looking straight at `target`, level, with the focal length `focal` px.
    pub fn looking_at(station: Station, target: Point3<Field>, focal: f64) -> Self {
        let d = target - station.centre;
        let aim = Aim { pan: d.y.atan2(d.x), tilt: (-d.z).atan2(d.x.hypot(d.y)), roll: 0.0, focal };
        Self { station, aim }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn camera(pan: f64, tilt: f64, roll: f64, focal: f64, k1: f64) -> Pinhole {
        let station = Station { centre: Point3::new(50.0, -40.0, 22.0), k1, width: 1280, height: 720 };
        Pinhole { station, aim: Aim { pan, tilt, roll, focal } }
    }

    /// Synthetic field homography (docs/sources.md), recomputed there with an independent package.
    #[test]
    fn the_published_example_projects() {
        let station = Station { centre: Point3::new(60.0, -45.0, 20.0), k1: 0.0, width: 1920, height: 1080 };
        let c = Pinhole::looking_at(station, Point3::new(70.0, 26.667, 0.0), 1800.0);
        for (x, y, px, py) in [
            (50.0, 0.0, 341.919, 837.955),
            (50.0, 23.583, 457.779, 580.159),
            (90.0, 29.75, 1392.412, 505.423),
            (90.0, 53.333, 1241.228, 404.430),
            (70.0, 12.0, 1019.738, 654.053),
        ] {
            let q = c.pixel_from_field(Point3::new(x, y, 0.0)).unwrap();
            assert!((q.x - px).abs() < 0.02 && (q.y - py).abs() < 0.02, "({x}, {y}) -> {q:?}");
        }
    }

    proptest! {
        #[test]
        fn projection_round_trips(pan in 1.0..2.1f64, tilt in 0.2..0.6f64, roll in -0.05..0.05f64, focal in 700.0..3000.0f64, k1 in -0.08..0.08f64, x in 0.0..1280.0f64, y in 0.0..720.0f64) {
            let c = camera(pan, tilt, roll, focal, k1);
            if let Some(g) = c.ground_from_pixel(Point2::new(x, y), 0.0)
                && g.is_finite() && g.distance(Point2::new(50.0, 25.0)) < 200.0 {
                    let back = c.pixel_from_field(g.at_height(0.0)).unwrap();
                    prop_assert!(back.distance(Point2::new(x, y)) < 1e-6);
                }
        }

        #[test]
        fn jacobians_are_finite_differences(pan in 1.0..2.1f64, tilt in 0.2..0.6f64, roll in -0.3..0.3f64, focal in 700.0..3000.0f64, k1 in -0.08..0.08f64, gx in 30.0..70.0f64, gy in 0.0..53.0f64, gz in 0.0..3.0f64) {
            let c = camera(pan, tilt, roll, focal, k1);
            let p = Point3::new(gx, gy, gz);
            let Some((j, jp)) = c.jacobians(p) else { return Ok(()) };
            let e = 1e-6;
            for k in 0..PARAMETERS {
                let mut s = na::SVector::<f64, PARAMETERS>::zeros();
                s[k] = e;
                let (Some(a), Some(b)) = (c.stepped(&s).pixel_from_field(p), c.stepped(&-s).pixel_from_field(p)) else { return Ok(()) };
                let d = (a - b) * (0.5 / e);
                let scale = 1.0 + d.norm();
                prop_assert!((d.x - j[(0, k)]).abs() < 1e-4 * scale && (d.y - j[(1, k)]).abs() < 1e-4 * scale, "parameter {k}: {d:?} against {:?}", j.column(k));
            }
            for k in 0..3 {
                let mut s = na::Vector3::zeros();
                s[k] = e;
                let a = c.pixel_from_field(Point3::from_column(p.column() + s)).unwrap();
                let b = c.pixel_from_field(Point3::from_column(p.column() - s)).unwrap();
                let d = (a - b) * (0.5 / e);
                prop_assert!((d.x - jp[(0, k)]).abs() < 1e-3 && (d.y - jp[(1, k)]).abs() < 1e-3);
            }
        }
    }

    #[test]
    fn a_crowned_surface_is_met_where_it_projects() {
        let c = camera(1.5, 0.42, 0.0, 1400.0, 0.0);
        let crown = |p: Point2<Ground>| 0.3 * (1.0 - ((p.y - 26.0) / 26.0).powi(2)).max(0.0);
        let pixel = c.pixel_from_field(Point3::new(48.0, 30.0, crown(Point2::new(48.0, 30.0)))).unwrap();
        let g = c.surface_from_pixel(pixel, crown).unwrap();
        assert!(g.distance(Point2::new(48.0, 30.0)) < 1e-6);
    }
}
