//! The first pass over a frame: every pixel's ray to the ground, through distortion and crown, and the colour there.

use super::backdrop::walls;
use super::project::Projector;
use super::venue::Venue;

/// Pixels that share a footprint.
const BLOCK: usize = 16;

/// f32 constants of the ray of a pixel and of the ground's surface.
struct Mapper {
    right: [f32; 3],
    down: [f32; 3],
    forward: [f32; 3],
    centre: [f32; 3],
    k1: f32,
    inverse_focal: f32,
    cx: f32,
    cy: f32,
    crown: f32,
    half_width: f32,
}

impl Mapper {
    fn new(p: &Projector, venue: &Venue) -> Self {
        let (cx, cy) = p.middle();
        let row = |i: usize| p.rotation[i].map(|c| c as f32);
        Self {
            right: row(0),
            down: row(1),
            forward: row(2),
            centre: p.centre.map(|c| c as f32),
            k1: p.k1() as f32,
            inverse_focal: (1.0 / p.focal) as f32,
            cx: cx as f32,
            cy: cy as f32,
            crown: venue.look.crown_yd as f32,
            half_width: (venue.look.rule_book.width() / 2.0) as f32,
        }
    }
    /// Where the ray through (x, y) px meets the ground; far outside when it does not.
    #[inline(always)]
    fn ground(&self, x: f32, y: f32) -> (f32, f32) {
        let u = (x - self.cx) * self.inverse_focal;
        let v = (y - self.cy) * self.inverse_focal;
        let s = Projector::undistorted(self.k1, u * u + v * v);
        let (u, v) = (u * s, v * s);
        let d = |j: usize| self.right[j] * u + self.down[j] * v + self.forward[j];
        let (dx, dy, dz) = (d(0), d(1), d(2));
        let c = &self.centre;
        // Rays at or above the horizon are sent far away rather than divided by nothing.
        let dz = if dz < -1e-4 { dz } else { -1e-4 };
        let inverse = 1.0 / dz;
        let mut t = -c[2] * inverse;
        if self.crown > 0.0 {
            // Crowns are shallow: each pass gains two digits.
            for _ in 0..3 {
                let n = (c[1] + t * dy - self.half_width) / self.half_width;
                let z = self.crown * (1.0 - n * n).max(0.0);
                t = (z - c[2]) * inverse;
            }
        }
        (c[0] + t * dx, c[1] + t * dy)
    }
}

/// Fills `frame` (packed colours, rows) with the ground and what is beyond. `pan_px` is how far the picture slides
/// sideways while the shutter is open.
pub fn fill(venue: &Venue, p: &Projector, frame: &mut [u32], width: usize, pan_px: f32) {
    let m = Mapper::new(p, venue);
    let r = &venue.raster;
    let (x0, y0, density) = (r.x0 as f32, r.y0 as f32, r.density as f32);
    let w = walls(venue.look.surround).map(|v| v as f32);
    let (mut gx, mut gy) = (vec![0.0f32; width], vec![0.0f32; width]);
    let taps = sweep(pan_px);
    let mut blurred = vec![0u32; width];
    let pixel = (1.0 / p.focal) as f32;
    for (py, row) in frame.chunks_mut(width).enumerate() {
        let y = py as f32 + 0.5;
        for (px, (gx, gy)) in gx.iter_mut().zip(gy.iter_mut()).enumerate() {
            (*gx, *gy) = m.ground(px as f32 + 0.5, y);
        }
        for (block, out) in row.chunks_mut(BLOCK).enumerate() {
            let first = block * BLOCK;
            let (bx, by) = (&gx[first..first + out.len()], &gy[first..first + out.len()]);
            let seen = |i: usize| bx[i] >= w[0] && bx[i] <= w[2] && by[i] >= w[1] && by[i] <= w[3];
            let middle = first as f32 + BLOCK as f32 / 2.0;
            let here = m.ground(middle, y);
            let (right, below) = (m.ground(middle + 1.0, y), m.ground(middle, y + 1.0));
            let scaled = |q: (f32, f32)| ((q.0 - here.0) * density, (q.1 - here.1) * density);
            let f = venue.ground.footprint(scaled(right), scaled(below));
            if (0..out.len()).all(seen) {
                for ((out, &gx), &gy) in out.iter_mut().zip(bx).zip(by) {
                    *out = venue.ground.sample((gx - x0) * density, (gy - y0) * density, &f);
                }
                continue;
            }
            let mut last = 0;
            for i in 0..out.len() {
                out[i] = if seen(i) {
                    venue.ground.sample((bx[i] - x0) * density, (by[i] - y0) * density, &f)
                } else if i % 2 == 1 && !seen(i - 1) {
                    // What is beyond is out of focus: every second pixel is enough.
                    last
                } else {
                    let ray = p.ray((first + i) as f32 + 1.0, y);
                    last = venue.backdrop.colour(m.centre, ray, pixel).pack();
                    last
                };
            }
        }
        if taps.len() > 1 {
            slide(row, &mut blurred, &taps);
        }
    }
}

/// Weights of 256 of a box `length` px long, symmetric about its middle tap.
fn sweep(length: f32) -> Vec<u32> {
    let length = length.abs().min(24.0);
    if length < 0.4 {
        return vec![256];
    }
    let reach = (length / 2.0 + 0.5).ceil() as i32;
    let cover = |k: i32| {
        let (a, b) = (k as f32 - 0.5, k as f32 + 0.5);
        (b.min(length / 2.0) - a.max(-length / 2.0)).max(0.0) / length
    };
    let mut w: Vec<u32> = (-reach..=reach).map(|k| (cover(k) * 256.0).round() as u32).collect();
    let total: u32 = w.iter().sum();
    let middle = reach as usize;
    w[middle] = (w[middle] + 256).saturating_sub(total);
    w
}

fn slide(row: &mut [u32], out: &mut [u32], taps: &[u32]) {
    const M: u32 = 0x00ff_00ff;
    let reach = taps.len() / 2;
    let n = row.len();
    for (x, out) in out.iter_mut().enumerate() {
        let (mut lo, mut hi) = (0u32, 0u32);
        for (k, &w) in taps.iter().enumerate() {
            let c = row[(x + k).saturating_sub(reach).min(n - 1)];
            lo += (c & M) * w;
            hi += (c >> 8 & M) * w;
        }
        *out = lo >> 8 & M | (hi & !M);
    }
    row.copy_from_slice(out);
}
