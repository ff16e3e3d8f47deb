use geometry::Point2;
use geometry::frame::Pixel;
use nalgebra as na;

/// A guessed camera without distortion, one unit above the ground at the origin: the shape of the view before its scale and place are
/// known. Ground coordinates are in camera heights, axes as in the field frame.
#[derive(Clone, Copy, Debug)]
pub(super) struct Level {
    pub pan: f64,
    pub tilt: f64,
    pub roll: f64,
    pub focal: f64,
    half: [f64; 2],
    /// Rows: right, down and forward of the camera in the field frame.
    r: na::Matrix3<f64>,
}

impl Level {
    pub fn new([pan, tilt, roll, focal]: [f64; 4], half: [f64; 2]) -> Self {
        let (sp, cp) = pan.sin_cos();
        let (st, ct) = tilt.sin_cos();
        let right = na::Vector3::new(sp, -cp, 0.0);
        let forward = na::Vector3::new(ct * cp, ct * sp, -st);
        let down = forward.cross(&right);
        let (sr, cr) = roll.sin_cos();
        let r = na::Matrix3::from_rows(&[
            (right * cr + down * sr).transpose(),
            (down * cr - right * sr).transpose(),
            forward.transpose(),
        ]);
        Self { pan, tilt, roll, focal, half, r }
    }

    /// The camera whose yard lines meet at `vanishing`, given its roll and focal length; pan between 0 and π, as seen by a camera that
    /// looks across the field.
    pub fn from_vanishing(vanishing: Point2<Pixel>, roll: f64, focal: f64, half: [f64; 2]) -> Self {
        let (a, b) = (vanishing.x - half[0], vanishing.y - half[1]);
        let (sr, cr) = roll.sin_cos();
        // The lines are level: square to the vertical.
        let tilt = (-(sr * a + cr * b) / focal).atan();
        let pan = (focal / tilt.cos()).atan2(-(a * cr - b * sr));
        Self::new([pan, tilt, roll, focal], half)
    }

    /// Ground under a pixel; `None` near the horizon and above.
    #[inline]
    pub fn ground(&self, x: f64, y: f64) -> Option<[f64; 2]> {
        let (u, v) = ((x - self.half[0]) / self.focal, (y - self.half[1]) / self.focal);
        let r = &self.r;
        let dz = r[(0, 2)] * u + r[(1, 2)] * v + r[(2, 2)];
        if dz > -0.02 {
            return None;
        }
        let dx = r[(0, 0)] * u + r[(1, 0)] * v + r[(2, 0)];
        let dy = r[(0, 1)] * u + r[(1, 1)] * v + r[(2, 1)];
        Some([-dx / dz, -dy / dz])
    }

    /// Direction in the picture, at a pixel, of a ground direction (x, y).
    #[inline]
    pub fn toward(&self, x: f64, y: f64, ground: [f64; 2]) -> [f64; 2] {
        let r = &self.r;
        let c = [0, 1, 2].map(|k| r[(k, 0)] * ground[0] + r[(k, 1)] * ground[1]);
        let (u, v) = (x - self.half[0], y - self.half[1]);
        let (dx, dy) = (self.focal * c[0] - u * c[2], self.focal * c[1] - v * c[2]);
        let n = (dx * dx + dy * dy).sqrt().max(1e-12);
        [dx / n, dy / n]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use camera::{Aim, Pinhole, Station};
    use geometry::Point3;

    #[test]
    fn a_view_comes_back_from_where_its_yard_lines_meet() {
        let aim = Aim { pan: 1.1, tilt: 0.35, roll: 0.015, focal: 1700.0 };
        let station = Station { centre: Point3::new(0.0, 0.0, 1.0), k1: 0.0, width: 1280, height: 720 };
        let c = Pinhole { station, aim };
        let far = c.pixel_from_field(Point3::new(0.0, 1e9, 1.0)).unwrap();
        let l = Level::from_vanishing(far, aim.roll, aim.focal, [640.0, 360.0]);
        assert!((l.pan - aim.pan).abs() < 1e-6 && (l.tilt - aim.tilt).abs() < 1e-6, "{l:?}");
        let g = c.ground_from_pixel(Point2::new(300.0, 500.0), 0.0).unwrap();
        let [x, y] = l.ground(300.0, 500.0).unwrap();
        assert!((g.x - x).abs() < 1e-6 && (g.y - y).abs() < 1e-6);
        let (p, q) = (Point3::new(g.x, g.y, 0.0), Point3::new(g.x, g.y + 1e-5, 0.0));
        let d = (c.pixel_from_field(q).unwrap() - c.pixel_from_field(p).unwrap()).unit().unwrap();
        let t = l.toward(300.0, 500.0, [0.0, 1.0]);
        assert!((d.x - t[0]).abs() < 1e-4 && (d.y - t[1]).abs() < 1e-4);
    }
}
