//! Shadows on the ground: each limb cast along the light, as a quad with soft edges and round ends.

use super::colour::mix_packed;
use super::light::Beam;
use super::project::Projector;
use crate::stage::{Joint, Pose};
use geometry::{Point2, Point3, frame::Field, frame::Ground};

/// How dark each pixel of a frame is under one light, 0 to 255.
pub struct Shade {
    /// Rows of the frame.
    pub dark: Vec<u8>,
    width: usize,
    height: usize,
    /// Rows that have any.
    rows: std::ops::Range<usize>,
}

/// Limbs that cast, with radii of a 73-inch player, yd.
const LIMBS: [(Joint, Joint, f64); 13] = {
    use Joint::*;
    [
        (ShoulderLeft, ShoulderRight, 0.13),
        (Neck, HipLeft, 0.16),
        (Neck, HipRight, 0.16),
        (Neck, Head, 0.15),
        (ShoulderLeft, ElbowLeft, 0.07),
        (ElbowLeft, WristLeft, 0.055),
        (ShoulderRight, ElbowRight, 0.07),
        (ElbowRight, WristRight, 0.055),
        (HipLeft, KneeLeft, 0.10),
        (HipRight, KneeRight, 0.10),
        (KneeLeft, AnkleLeft, 0.07),
        (KneeRight, AnkleRight, 0.07),
        (HipLeft, HipRight, 0.12),
    ]
};

impl Shade {
    /// None yet.
    pub fn new(width: usize, height: usize) -> Self {
        Self { dark: vec![0; width * height], width, height, rows: 0..0 }
    }
    /// Lets the light in again.
    pub fn clear(&mut self) {
        self.dark[self.rows.start * self.width..self.rows.end * self.width].fill(0);
        self.rows = 0..0;
    }
    /// Darkens the frame by `strength` (0 to 1) where the light is blocked.
    pub fn darken(&self, frame: &mut [u32], strength: f32) {
        let span = self.rows.start * self.width..self.rows.end * self.width;
        darken(&mut frame[span.clone()], &self.dark[span], strength);
    }
    /// The dim patch under a body that hides part of the sky.
    pub fn contact(&mut self, p: &Projector, pose: &Pose, ground: f64) {
        let foot = |heel: Joint, toe: Joint| pose.joints[heel as usize].lerp(pose.joints[toe as usize], 0.5);
        let (a, b) = (foot(Joint::HeelLeft, Joint::ToeLeft), foot(Joint::HeelRight, Joint::ToeRight));
        // A foot in the air hides less.
        if a.z.min(b.z) - ground < 0.35 {
            self.stadium(p, a.ground(), b.ground(), 0.10, 0.26, ground);
        }
    }
    /// A body's shadow along one beam; `ground` is the height of the ground under it, yd.
    pub fn body(&mut self, p: &Projector, pose: &Pose, beam: &Beam, ground: f64) {
        for (a, b, r) in LIMBS {
            self.limb(p, pose.joints[a as usize], pose.joints[b as usize], r, beam, ground);
        }
        for (heel, toe) in [(Joint::HeelLeft, Joint::ToeLeft), (Joint::HeelRight, Joint::ToeRight)] {
            self.limb(p, pose.joints[heel as usize], pose.joints[toe as usize], 0.06, beam, ground);
        }
    }
    /// A rod's shadow.
    pub fn limb(
        &mut self,
        p: &Projector,
        a: Point3<Field>,
        b: Point3<Field>,
        r: f64,
        beam: &Beam,
        ground: f64,
    ) {
        let Some(((a, za), (b, zb))) = cast(a, beam, ground).zip(cast(b, beam, ground)) else { return };
        // The sun is half a degree wide, so an edge is soft by the height times .009; lamps are much the same.
        let soft = 0.5 * (za + zb) * 0.012 / f64::from(beam.toward[2]);
        self.stadium(p, a, b, r, soft, ground);
    }
    /// A dark strip of half width `r` with round ends on the ground.
    fn stadium(
        &mut self,
        p: &Projector,
        a: Point2<Ground>,
        b: Point2<Ground>,
        r: f64,
        soft: f64,
        ground: f64,
    ) -> Option<()> {
        let mid = a.lerp(b, 0.5);
        let o = p.spot(mid.at_height(ground))?;
        // Ground to picture is taken as affine over a body.
        let dx = p.spot(Point3::new(mid.x + 0.5, mid.y, ground))?;
        let dy = p.spot(Point3::new(mid.x, mid.y + 0.5, ground))?;
        let m = [(dx.x - o.x) * 2.0, (dy.x - o.x) * 2.0, (dx.y - o.y) * 2.0, (dy.y - o.y) * 2.0];
        let det = m[0] * m[3] - m[1] * m[2];
        if det.abs() < 1e-3 {
            return None;
        }
        let (hx, hy) = (((b.x - a.x) / 2.0) as f32, ((b.y - a.y) / 2.0) as f32);
        let r = r as f32;
        let (rx, ry) = (
            (m[0] * hx + m[1] * hy).abs() + r * m[0].hypot(m[1]) + 2.0,
            (m[2] * hx + m[3] * hy).abs() + r * m[2].hypot(m[3]) + 2.0,
        );
        let span = |c: f32, r: f32, n: usize| {
            ((c - r).max(0.0) as usize).min(n)..((c + r + 1.0).max(0.0) as usize).min(n)
        };
        let inverse = 1.0 / (hx * hx + hy * hy).max(1e-8);
        // One pixel is about this many yards on the ground, across and in depth.
        let blur = (soft as f32).max(0.5 / det.abs().sqrt());
        let i = [m[3] / det, m[1] / det, m[2] / det, m[0] / det];
        let outer = (r + blur) * (r + blur);
        let xs = span(o.x, rx, self.width);
        let ys = span(o.y, ry, self.height);
        if xs.is_empty() || ys.is_empty() {
            return None;
        }
        self.rows = if self.rows.is_empty() {
            ys.clone()
        } else {
            self.rows.start.min(ys.start)..self.rows.end.max(ys.end)
        };
        for y in ys {
            for x in xs.clone() {
                let (px, py) = (x as f32 + 0.5 - o.x, y as f32 + 0.5 - o.y);
                let (gx, gy) = (i[0] * px - i[1] * py, i[3] * py - i[2] * px);
                let t = ((gx * hx + gy * hy) * inverse).clamp(-1.0, 1.0);
                let (ex, ey) = (gx - t * hx, gy - t * hy);
                let d2 = ex * ex + ey * ey;
                if d2 < outer {
                    let d = r - d2.sqrt();
                    let v = ((d / blur * 0.5 + 0.5).min(1.0) * 255.0) as u8;
                    let out = &mut self.dark[y * self.width + x];
                    *out = (*out).max(v);
                }
            }
        }
        Some(())
    }
}

/// Where the light through a point meets the ground, and the point's height; `None` when the light is nearly level.
fn cast(q: Point3<Field>, beam: &Beam, ground: f64) -> Option<(Point2<Ground>, f64)> {
    let [x, y, z] = beam.toward.map(f64::from);
    let h = (q.z - ground).max(0.0);
    (z > 0.05).then(|| (Point2::new(q.x - x / z * h, q.y - y / z * h), h))
}

/// Darkens `frame` where `shade` (0 to 255) lies, by `strength` (0 to 1) at most.
fn darken(frame: &mut [u32], shade: &[u8], strength: f32) {
    // Shade keeps a little of the sky's blue.
    const DARK: u32 = 0x0080_8000 | 0x0000_0200;
    let k = (strength * 256.0) as u32;
    for (c, &s) in frame.iter_mut().zip(shade) {
        if s > 0 {
            *c = mix_packed(*c, DARK, u32::from(s) * k / 255);
        }
    }
}
