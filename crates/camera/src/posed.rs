use crate::pinhole::{PARAMETERS, Pinhole};
use geometry::frame::{Field, Pixel};
use geometry::{Point2, Point3, Vector3};
use nalgebra as na;

/// A pinhole with its rotation worked out: what a loop over many points holds on to.
#[derive(Clone, Copy, Debug)]
pub struct PosedPinhole {
    camera: Pinhole,
    rotation: na::Matrix3<f64>,
    /// The unrolled right axis, about which the camera tilts, in the camera's axes.
    tilt_axis: na::Vector3<f64>,
    middle: na::Vector2<f64>,
}

/// A projected field point, from which its derivatives follow.
#[derive(Clone, Copy, Debug)]
pub struct Projection<'a> {
    /// Where the point appears.
    pub pixel: Point2<Pixel>,
    from: &'a PosedPinhole,
    /// The point less the camera's centre, field axes, yd.
    offset: na::Vector3<f64>,
    /// The same in the camera's axes, yd.
    seen: na::Vector3<f64>,
}

impl PosedPinhole {
    pub(crate) fn new(camera: &Pinhole) -> Self {
        let s = &camera.station;
        let (sr, cr) = camera.aim.roll.sin_cos();
        Self {
            camera: *camera,
            rotation: camera.rotation(),
            tilt_axis: na::Vector3::new(cr, -sr, 0.0),
            middle: na::Vector2::new(f64::from(s.width) / 2.0, f64::from(s.height) / 2.0),
        }
    }

    /// Where a field point appears; `None` behind the camera or beyond the radius where distortion folds.
    #[inline]
    pub fn pixel_from_field(&self, p: Point3<Field>) -> Option<Point2<Pixel>> {
        self.project(p).map(|q| q.pixel)
    }

    /// The same, with what its derivatives need.
    #[inline]
    pub fn project(&self, p: Point3<Field>) -> Option<Projection<'_>> {
        let offset = p.column() - self.camera.station.centre.column();
        let seen = self.rotation * offset;
        if seen.z < 0.1 {
            return None;
        }
        let (u, v) = (seen.x / seen.z, seen.y / seen.z);
        let r2 = u * u + v * v;
        let k1 = self.camera.station.k1;
        if 1.0 + 3.0 * k1 * r2 <= 0.0 {
            return None;
        }
        let s = self.camera.aim.focal * (1.0 + k1 * r2);
        let pixel = Point2::new(self.middle.x + s * u, self.middle.y + s * v);
        Some(Projection { pixel, from: self, offset, seen })
    }

    /// Unit direction in the field frame of the ray through a pixel.
    pub fn ray(&self, p: Point2<Pixel>) -> Vector3<Field> {
        let k1 = self.camera.station.k1;
        let drawn = (p.column() - self.middle) / self.camera.aim.focal;
        let distance = drawn.norm();
        // Newton on r (1 + k1 r²) = drawn; k1 is small, so a few steps reach the float's last place.
        let mut r = distance;
        for _ in 0..8 {
            let step = (r * (1.0 + k1 * r * r) - distance) / (1.0 + 3.0 * k1 * r * r);
            r -= step;
            if step.abs() <= 1e-16 {
                break;
            }
        }
        let s = if distance > 1e-15 { r / distance } else { 1.0 };
        let d = self.rotation.tr_mul(&na::Vector3::new(drawn.x * s, drawn.y * s, 1.0));
        Vector3::from_column(d.normalize())
    }
}

impl Projection<'_> {
    /// By the point in the camera's axes.
    fn by_camera(&self) -> na::Matrix2x3<f64> {
        let c = &self.seen;
        let (u, v) = (c.x / c.z, c.y / c.z);
        let (f, k1) = (self.from.camera.aim.focal, self.from.camera.station.k1);
        let radial = 1.0 + k1 * (u * u + v * v);
        let d_uv = na::Matrix2::new(
            radial + 2.0 * k1 * u * u,
            2.0 * k1 * u * v,
            2.0 * k1 * u * v,
            radial + 2.0 * k1 * v * v,
        ) * f;
        d_uv * (na::Matrix2x3::new(1.0, 0.0, -u, 0.0, 1.0, -v) / c.z)
    }

    /// Derivative of the pixel by the field point, px/yd.
    #[inline]
    pub fn by_point(&self) -> na::Matrix2x3<f64> {
        self.by_camera() * self.from.rotation
    }

    /// Derivative of the pixel by the camera's parameters, in the order of [`PARAMETERS`].
    pub fn by_parameters(&self) -> na::SMatrix<f64, 2, PARAMETERS> {
        let (r, c) = (&self.from.rotation, &self.seen);
        let by_camera = self.by_camera();
        let (u, v) = (c.x / c.z, c.y / c.z);
        let (f, r2) = (self.from.camera.aim.focal, u * u + v * v);
        // Pan turns the world about z by −pan before everything else: dc/dpan = −R (ẑ × w).
        let by_pan = by_camera * (-(r * na::Vector3::new(-self.offset.y, self.offset.x, 0.0)));
        let by_tilt = by_camera * self.from.tilt_axis.cross(c);
        // Roll turns about the optical axis.
        let by_roll = by_camera * na::Vector3::new(c.y, -c.x, 0.0);
        let mut j = na::SMatrix::<f64, 2, PARAMETERS>::zeros();
        j.set_column(0, &by_pan);
        j.set_column(1, &by_tilt);
        j.set_column(2, &by_roll);
        j.set_column(3, &(na::Vector2::new(u, v) * (f * (1.0 + self.from.camera.station.k1 * r2))));
        j.fixed_view_mut::<2, 3>(0, 4).copy_from(&(-(by_camera * r)));
        j.set_column(7, &(na::Vector2::new(u, v) * (f * r2)));
        j
    }
}
