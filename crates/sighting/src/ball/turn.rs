use super::planes::Planes;
use camera::FieldCamera;
use geometry::frame::Pixel;
use geometry::{Point2, Point3};

/// Working px between the knots at which the turn is computed.
const KNOT: usize = 16;
/// Distance at which two views of a camera are laid over each other, yd: where plays are. The centre hardly moves between
/// estimates, so that any distance does.
const FAR_YD: f64 = 60.0;

/// Where each pixel of one frame lies in another frame of the same camera.
pub(super) struct Turn {
    across: usize,
    knots: Vec<Option<[f32; 2]>>,
}

impl Turn {
    pub(super) fn new(now: &FieldCamera, other: &FieldCamera, planes: &Planes, scale: f64) -> Self {
        let (across, down) = (planes.width / KNOT + 2, planes.height / KNOT + 2);
        let mut knots = Vec::with_capacity(across * down);
        for j in 0..down {
            for i in 0..across {
                let p = Point2::<Pixel>::new((i * KNOT) as f64 / scale, (j * KNOT) as f64 / scale);
                let q = match now {
                    FieldCamera::Pinhole(c) => {
                        let (d, o) = (c.ray(p), c.station.centre);
                        let far = Point3::new(o.x + FAR_YD * d.x, o.y + FAR_YD * d.y, o.z + FAR_YD * d.z);
                        other.pixel_from_field(far)
                    }
                    FieldCamera::Plane { .. } => {
                        now.ground_from_pixel(p, 0.0).and_then(|g| other.pixel_from_field(g.at_height(0.0)))
                    }
                };
                knots.push(q.map(|q| [(q.x * scale) as f32, (q.y * scale) as f32]));
            }
        }
        Self { across, knots }
    }
    /// Calls `each` with the column and the place in the other frame for the pixel centres of row `y` that have one.
    pub(super) fn row(&self, y: usize, width: usize, mut each: impl FnMut(usize, f32, f32)) {
        let (j, fy) = (y / KNOT, (y % KNOT) as f32 + 0.5);
        let fy = fy / KNOT as f32;
        for i in 0..width.div_ceil(KNOT) {
            let at = |i: usize, j: usize| self.knots[j * self.across + i];
            let (Some(a), Some(b), Some(c), Some(d)) =
                (at(i, j), at(i + 1, j), at(i, j + 1), at(i + 1, j + 1))
            else {
                continue;
            };
            let left = [a[0] + (c[0] - a[0]) * fy, a[1] + (c[1] - a[1]) * fy];
            let right = [b[0] + (d[0] - b[0]) * fy, b[1] + (d[1] - b[1]) * fy];
            for k in 0..KNOT.min(width - i * KNOT) {
                let fx = (k as f32 + 0.5) / KNOT as f32;
                each(i * KNOT + k, left[0] + (right[0] - left[0]) * fx, left[1] + (right[1] - left[1]) * fx);
            }
        }
    }
}
