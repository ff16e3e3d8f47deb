//! The first pass over a frame: every pixel's ray to the ground, through distortion and crown, and the colour there.

use super::backdrop::walls;
use super::project::Projector;
use super::texture::{Footprint, Texture};
use super::venue::Venue;

/// Pixels of a row that share a footprint, and rows.
const BLOCK: usize = 32;
const FOOTPRINT_ROWS: usize = 4;

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
    fn ground<const CROWNED: bool>(&self, x: f32, y: f32) -> (f32, f32) {
        let u = (x - self.cx) * self.inverse_focal;
        let v = (y - self.cy) * self.inverse_focal;
        let s = Projector::undistorted(self.k1, u * u + v * v);
        let (u, v) = (u * s, v * s);
        let d = |j: usize| self.right[j] * u + self.down[j] * v + self.forward[j];
        let (dx, dy, dz) = (d(0), d(1), d(2));
        let c = &self.centre;
        // Rays at or above the horizon are sent far away rather than divided by nothing.
        let dz = dz.min(-1e-4);
        let inverse = 1.0 / dz;
        let mut t = -c[2] * inverse;
        if CROWNED {
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
    if venue.look.crown_yd > 0.0 {
        fill_on::<true>(venue, p, frame, width, pan_px);
    } else {
        fill_on::<false>(venue, p, frame, width, pan_px);
    }
}

/// A texture with the raster it lies on: corner and scale from field yards to 1/256 texels.
struct Plane<'a> {
    texture: &'a Texture,
    x0: f32,
    y0: f32,
    scale: f32,
    /// Texture columns run along the field's y.
    turned: bool,
}

fn fill_on<const CROWNED: bool>(venue: &Venue, p: &Projector, frame: &mut [u32], width: usize, pan_px: f32) {
    let m = Mapper::new(p, venue);
    let r = &venue.raster;
    // Rows of the picture run along the camera's right: read the copy whose rows do too.
    let turned = m.right[1].abs() > m.right[0].abs();
    let plane = Plane {
        texture: if turned { &venue.ground_turned } else { &venue.ground },
        x0: r.x0 as f32,
        y0: r.y0 as f32,
        scale: r.density as f32 * 256.0,
        turned,
    };
    let fixed = |g: (f32, f32)| {
        let (x, y) = (rounded((g.0 - plane.x0) * plane.scale), rounded((g.1 - plane.y0) * plane.scale));
        if plane.turned { (y, x) } else { (x, y) }
    };
    let w = walls(&venue.look).map(|v| v as f32);
    let (low, high) = (fixed((w[0], w[1])), fixed((w[2], w[3])));
    let columns: Vec<f32> = (0..width).map(|x| x as f32 + 0.5).collect();
    let (mut tx, mut ty) = (vec![0i32; width], vec![0i32; width]);
    let mut footprints: Vec<Footprint> = Vec::new();
    let taps = sweep(pan_px);
    let mut blurred = vec![0u32; width];
    for (py, row) in frame.chunks_mut(width).enumerate() {
        let y = py as f32 + 0.5;
        if py % FOOTPRINT_ROWS == 0 {
            let y = y + FOOTPRINT_ROWS as f32 / 2.0;
            footprints.clear();
            footprints.extend((0..width.div_ceil(BLOCK)).map(|block| {
                let x = (block * BLOCK) as f32 + BLOCK as f32 / 2.0;
                let at = |dx: f32, dy: f32| m.ground::<CROWNED>(x + dx, y + dy);
                let (here, right, below) = (at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0));
                let texels = |q: (f32, f32)| {
                    let d = ((q.0 - here.0) * plane.scale / 256.0, (q.1 - here.1) * plane.scale / 256.0);
                    if plane.turned { (d.1, d.0) } else { d }
                };
                plane.texture.footprint(texels(right), texels(below))
            }));
        }
        for ((&x, tx), ty) in columns.iter().zip(&mut tx).zip(&mut ty) {
            (*tx, *ty) = fixed(m.ground::<CROWNED>(x, y));
        }
        let within =
            |v: &[i32], low: i32, high: i32| v.iter().fold(true, |all, &t| all & (t >= low) & (t <= high));
        let whole_row = within(&tx, low.0, high.0) && within(&ty, low.1, high.1);
        for (block, out) in row.chunks_mut(BLOCK).enumerate() {
            let first = block * BLOCK;
            let (bx, by) = (&tx[first..first + out.len()], &ty[first..first + out.len()]);
            let f = footprints[block];
            if whole_row || (within(bx, low.0, high.0) && within(by, low.1, high.1)) {
                match f.taps {
                    1 => read::<1>(plane.texture, out, bx, by, &f),
                    2 => read::<2>(plane.texture, out, bx, by, &f),
                    3 => read::<3>(plane.texture, out, bx, by, &f),
                    _ => read::<0>(plane.texture, out, bx, by, &f),
                }
                continue;
            }
            beyond(venue, p, &plane, out, (first, y), [bx, by], [low, high], &f);
        }
        if taps.len() > 1 {
            slide(row, &mut blurred, &taps);
        }
    }
}

/// To the nearest whole number, held within ±4,000,000 (far points are beyond the walls anyway). Adding 1.5 · 2²³ leaves the
/// number in a float's low bits; unlike a cast, that runs four wide.
#[inline(always)]
fn rounded(v: f32) -> i32 {
    const MAGIC: f32 = 12_582_912.0;
    (v.clamp(-4.0e6, 4.0e6) + MAGIC).to_bits() as i32 - MAGIC.to_bits() as i32
}

#[inline(always)]
fn read<const TAPS: usize>(texture: &Texture, out: &mut [u32], tx: &[i32], ty: &[i32], f: &Footprint) {
    for ((out, &x), &y) in out.iter_mut().zip(tx).zip(ty) {
        *out = texture.sample::<TAPS>(x, y, f);
    }
}

/// A block of which some pixels look past the walls.
fn beyond(
    venue: &Venue,
    p: &Projector,
    plane: &Plane,
    out: &mut [u32],
    (first, y): (usize, f32),
    [tx, ty]: [&[i32]; 2],
    [low, high]: [(i32, i32); 2],
    f: &Footprint,
) {
    let seen = |i: usize| tx[i] >= low.0 && tx[i] <= high.0 && ty[i] >= low.1 && ty[i] <= high.1;
    let from = p.centre.map(|c| c as f32);
    let pixel = (1.0 / p.focal) as f32;
    let mut last = 0;
    for i in 0..out.len() {
        out[i] = if seen(i) {
            plane.texture.sample::<0>(tx[i], ty[i], f)
        } else if i % 2 == 1 && !seen(i - 1) {
            // What is beyond is out of focus: every second pixel is enough.
            last
        } else {
            last = venue.backdrop.colour(from, p.ray((first + i) as f32 + 1.0, y), pixel).pack();
            last
        };
    }
}

/// Weights of 256 of a box `length` px long, symmetric about its middle tap.
fn sweep(length: f32) -> Vec<u32> {
    let length = length.abs().min(24.0);
    // Less than this is lost in the softest lens and the sampling itself.
    if length < 0.8 {
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
