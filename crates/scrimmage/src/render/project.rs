//! A pinhole made quick for many points and many pixels; the same projection as [`camera::Pinhole`], tested against it.

use camera::Pinhole;
use geometry::{Point3, Vector3, frame::Field};

/// Constants of one frame's camera.
#[derive(Clone)]
pub struct Projector {
    /// Rows: right, down, forward in the field frame.
    pub rotation: [[f64; 3]; 3],
    /// Centre, yd.
    pub centre: [f64; 3],
    /// Focal length, px.
    pub focal: f64,
    k1: f64,
    cx: f64,
    cy: f64,
}

/// A projected point: px and the depth along the optical axis, yd.
#[derive(Clone, Copy, Debug, Default)]
pub struct Spot {
    /// px.
    pub x: f32,
    /// px.
    pub y: f32,
    /// yd.
    pub depth: f32,
}

impl Spot {
    /// The spot `t` of the way to `o`.
    pub fn lerp(self, o: Self, t: f32) -> Self {
        Self {
            x: self.x + (o.x - self.x) * t,
            y: self.y + (o.y - self.y) * t,
            depth: self.depth + (o.depth - self.depth) * t,
        }
    }
}

impl Projector {
    /// Of a camera.
    pub fn new(pinhole: &Pinhole) -> Self {
        let r = pinhole.camera_from_field().rotation();
        let m = r.matrix();
        let s = &pinhole.station;
        Self {
            rotation: std::array::from_fn(|i| std::array::from_fn(|j| m[(i, j)])),
            centre: [s.centre.x, s.centre.y, s.centre.z],
            focal: pinhole.aim.focal,
            k1: s.k1,
            cx: f64::from(s.width) / 2.0,
            cy: f64::from(s.height) / 2.0,
        }
    }
    /// Where a point appears; `None` within a yard of the camera's plane or behind it.
    pub fn spot(&self, p: Point3<Field>) -> Option<Spot> {
        let w = [p.x - self.centre[0], p.y - self.centre[1], p.z - self.centre[2]];
        let [u, v, z] = self.rotation.map(|r| r[0] * w[0] + r[1] * w[1] + r[2] * w[2]);
        if z < 1.0 {
            return None;
        }
        let (u, v) = (u / z, v / z);
        let r2 = u * u + v * v;
        if 1.0 + 3.0 * self.k1 * r2 <= 0.0 {
            return None;
        }
        let s = self.focal * (1.0 + self.k1 * r2);
        Some(Spot { x: (self.cx + s * u) as f32, y: (self.cy + s * v) as f32, depth: z as f32 })
    }
    /// A direction of the field frame in the camera's: right, down, forward.
    pub fn turned(&self, d: Vector3<Field>) -> [f32; 3] {
        self.rotation.map(|r| (r[0] * d.x + r[1] * d.y + r[2] * d.z) as f32)
    }
    /// The same for plain numbers.
    pub fn turned_f32(&self, d: [f32; 3]) -> [f32; 3] {
        self.turned(Vector3::new(f64::from(d[0]), f64::from(d[1]), f64::from(d[2])))
    }
    /// Share of a drawn radius that the undistorted one has: the inverse series of r (1 + k1 r²) to the sixth term, which
    /// at k1 r² = 0.04 is right to 1e-5 of the radius.
    #[inline]
    pub fn undistorted(k1: f32, r2: f32) -> f32 {
        let q = k1 * r2;
        1.0 - q * (1.0 - q * (3.0 - q * (12.0 - q * (55.0 - q * 273.0))))
    }
    /// Direction (not of unit length) of the ray through a pixel, field frame.
    pub fn ray(&self, x: f32, y: f32) -> [f32; 3] {
        let u = (x - self.cx as f32) / self.focal as f32;
        let v = (y - self.cy as f32) / self.focal as f32;
        let s = Self::undistorted(self.k1 as f32, u * u + v * v);
        let r = &self.rotation;
        std::array::from_fn(|j| r[0][j] as f32 * u * s + r[1][j] as f32 * v * s + r[2][j] as f32)
    }
    /// Distortion term.
    pub fn k1(&self) -> f64 {
        self.k1
    }
    /// Middle of the picture, px.
    pub fn middle(&self) -> (f64, f64) {
        (self.cx, self.cy)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use camera::{Aim, Station};
    use geometry::Point2;

    #[test]
    fn it_projects_as_the_camera_crate_does() {
        let station = Station { centre: Point3::new(48.0, -40.0, 22.0), k1: -0.06, width: 1280, height: 720 };
        let c = Pinhole { station, aim: Aim { pan: 1.3, tilt: 0.33, roll: 0.01, focal: 1400.0 } };
        let q = Projector::new(&c);
        for p in [Point3::new(55.0, 20.0, 0.0), Point3::new(70.0, 45.0, 1.9), Point3::new(40.0, 5.0, 3.0)] {
            let (a, b) = (c.pixel_from_field(p).unwrap(), q.spot(p).unwrap());
            assert!((a.x - f64::from(b.x)).abs() < 1e-3 && (a.y - f64::from(b.y)).abs() < 1e-3);
        }
        for (x, y) in [(3.5, 8.5), (640.0, 360.0), (1270.0, 700.0)] {
            let d = q.ray(x, y);
            let want = c.ray(Point2::new(f64::from(x), f64::from(y)));
            let n = (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt();
            for (got, want) in d.iter().zip([want.x, want.y, want.z]) {
                // 2e-6 rad is .003 px at this focal length.
                assert!((f64::from(got / n) - want).abs() < 2e-6);
            }
        }
    }
}
