//! Round solids on the picture: tapered capsules, shaded and depth-tested in a small tile, sampled at several instants and
//! sub-pixel places of the exposure, then laid over the frame.

use super::colour::Yuv;
use super::project::Spot;

/// What a solid's surface shows.
#[derive(Clone, Copy)]
pub enum Skin<'a> {
    /// One colour.
    Plain(Yuv),
    /// A surface that decides by the normal (right, down, toward the viewer) and the place, px.
    Shown(&'a (dyn Fn([f32; 3], f32, f32) -> Yuv + Sync)),
}

/// A tapered capsule from `a` to `b` on the picture.
#[derive(Clone, Copy)]
pub struct Capsule<'a> {
    /// One end.
    pub a: Spot,
    /// The other.
    pub b: Spot,
    /// Radius at `a`, px.
    pub ra: f32,
    /// Radius at `b`, px.
    pub rb: f32,
    /// Surface.
    pub skin: Skin<'a>,
    /// Where its creases lie, so that parts differ.
    pub crease: f32,
}

/// Light in the camera's frame.
#[derive(Clone)]
pub struct Lamps {
    /// Directions toward the light (right, down, toward the viewer) times their strength on a surface facing them.
    pub beams: Vec<[f32; 3]>,
    /// Upward direction in the same frame.
    pub up: [f32; 3],
    /// Light from all around.
    pub ambient: f32,
}

impl Lamps {
    /// Brightness of a surface with this normal.
    #[inline]
    pub fn on(&self, n: [f32; 3]) -> f32 {
        let dot = |a: &[f32; 3]| a[0] * n[0] + a[1] * n[1] + a[2] * n[2];
        let direct: f32 = self.beams.iter().map(|b| dot(b).max(0.0)).sum();
        let up = dot(&self.up);
        // Sky above, grass below.
        self.ambient * (0.78 + 0.30 * up) + direct
    }
}

/// Scratch space for one solid body.
#[derive(Default)]
pub struct Tile {
    x0: i32,
    y0: i32,
    w: usize,
    h: usize,
    depth: Vec<f32>,
    colour: Vec<u32>,
    low: Vec<u32>,
    high: Vec<u32>,
    hits: Vec<u32>,
}

/// Sub-pixel places of the samples, a rotated grid, px.
pub const JITTER: [(f32, f32); 4] = [(-0.375, 0.125), (-0.125, -0.375), (0.125, 0.375), (0.375, -0.125)];

/// Pixels of a row that are measured together.
const ROW: usize = 16;
const RAMP: [f32; ROW] =
    [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0];

const M: u32 = 0x00ff_00ff;

impl Tile {
    /// Prepares for a body within these bounds on a picture of `width` by `height`; `false` when it is not in it.
    pub fn open(&mut self, [x0, y0, x1, y1]: [f32; 4], width: usize, height: usize) -> bool {
        self.x0 = (x0 - 1.0).floor().max(0.0) as i32;
        self.y0 = (y0 - 1.0).floor().max(0.0) as i32;
        let (x1, y1) = ((x1 + 2.0).min(width as f32) as i32, (y1 + 2.0).min(height as f32) as i32);
        if x1 <= self.x0 || y1 <= self.y0 {
            return false;
        }
        (self.w, self.h) = ((x1 - self.x0) as usize, (y1 - self.y0) as usize);
        let n = self.w * self.h;
        for v in [&mut self.low, &mut self.high, &mut self.hits] {
            v.clear();
            v.resize(n, 0);
        }
        self.depth.resize(n, 0.0);
        self.colour.resize(n, 0);
        true
    }
    /// One sample of the exposure. `yards_per_px` turns a radius into depth.
    pub fn expose(&mut self, parts: &[Capsule], (jx, jy): (f32, f32), yards_per_px: f32, lamps: &Lamps) {
        self.depth.fill(f32::MAX);
        for p in parts {
            self.draw(p, (jx, jy), yards_per_px, lamps);
        }
        let sums = self.low.iter_mut().zip(&mut self.high).zip(&mut self.hits);
        for ((&d, &c), ((low, high), hits)) in self.depth.iter().zip(&self.colour).zip(sums) {
            // A mask instead of a branch lets the loop run four wide.
            let hit = u32::from(d < f32::MAX);
            let all = hit.wrapping_neg();
            *low += c & M & all;
            *high += c >> 8 & M & all;
            *hits += hit;
        }
    }
    fn draw(&mut self, p: &Capsule, (jx, jy): (f32, f32), yards_per_px: f32, lamps: &Lamps) {
        let (dx, dy) = (p.b.x - p.a.x, p.b.y - p.a.y);
        let inverse = 1.0 / (dx * dx + dy * dy).max(1e-6);
        let widest = p.ra.max(p.rb);
        // One over the radius, taken as linear along the part: only the shading uses it.
        let (oa, ob) = (1.0 / p.ra, 1.0 / p.rb);
        let span = |low: f32, high: f32, o: i32, n: usize| {
            let lo = ((low - widest) as i32 - o - 1).clamp(0, n as i32);
            let hi = ((high + widest) as i32 - o + 2).clamp(0, n as i32);
            lo as usize..hi as usize
        };
        let (dr, dz) = (p.rb - p.ra, p.b.depth - p.a.depth);
        let slope = if dy.abs() > 1e-3 { 1.0 / dy } else { 0.0 };
        for y in span(p.a.y.min(p.b.y), p.a.y.max(p.b.y), self.y0, self.h) {
            let qy = (y as i32 + self.y0) as f32 + 0.5 + jy - p.a.y;
            // Only the stretch of the axis within a radius of this row can reach it.
            let reach =
                |q: f32| if slope == 0.0 { None } else { Some(p.a.x + dx * (q * slope).clamp(0.0, 1.0)) };
            let (e0, e1) = (reach(qy - widest).unwrap_or(p.a.x), reach(qy + widest).unwrap_or(p.b.x));
            let xs = span(e0.min(e1), e0.max(e1), self.x0, self.w);
            let first = y * self.w;
            for start in xs.clone().step_by(ROW) {
                let n = ROW.min(xs.end - start);
                let x = (start as i32 + self.x0) as f32 + 0.5 + jx - p.a.x;
                // Distances first, in a loop without branches that runs four wide; most pixels then need nothing more.
                let (mut along, mut gap, mut front) = ([0.0f32; ROW], [0.0f32; ROW], [0.0f32; ROW]);
                for k in 0..ROW {
                    let qx = x + RAMP[k];
                    let t = ((qx * dx + qy * dy) * inverse).clamp(0.0, 1.0);
                    let (ex, ey) = (qx - t * dx, qy - t * dy);
                    let r = p.ra + t * dr;
                    along[k] = t;
                    gap[k] = r * r - ex * ex - ey * ey;
                    front[k] = p.a.depth + t * dz - r * yards_per_px;
                }
                let depth = &mut self.depth[first + start..][..n];
                let colour = &mut self.colour[first + start..][..n];
                for (k, (nearest, colour)) in depth.iter_mut().zip(colour).enumerate() {
                    // Beside the part, or even its nearest point lies behind what is there.
                    if gap[k] <= 0.0 || front[k] >= *nearest {
                        continue;
                    }
                    let (qx, t) = (x + RAMP[k], along[k]);
                    let over = oa + t * (ob - oa);
                    let toward = gap[k].sqrt() * over;
                    let r = p.ra + t * dr;
                    let here = front[k] + (1.0 - toward) * r * yards_per_px;
                    if here < *nearest {
                        *nearest = here;
                        let n = [(qx - t * dx) * over, (qy - t * dy) * over, toward];
                        let c = match p.skin {
                            Skin::Plain(c) => c,
                            Skin::Shown(f) => f(n, qx + p.a.x, qy + p.a.y),
                        };
                        // Cloth creases and dirt: a few soft bands across each part, never quite even.
                        let bands = n[0] * 1.3 + t * 2.6 + p.crease + 2.0;
                        let bands = bands - bands as i32 as f32 - 0.5;
                        *colour = c.lit(lamps.on(n) * (0.90 + 0.30 * bands.abs())).pack();
                    }
                }
            }
        }
    }
    /// Adds a sample computed elsewhere: `f` gives the colour at a place, px, or nothing.
    pub fn expose_by(&mut self, (jx, jy): (f32, f32), f: impl Fn(f32, f32) -> Option<u32>) {
        for y in 0..self.h {
            for x in 0..self.w {
                let (px, py) =
                    ((x as i32 + self.x0) as f32 + 0.5 + jx, (y as i32 + self.y0) as f32 + 0.5 + jy);
                if let Some(c) = f(px, py) {
                    let i = y * self.w + x;
                    self.low[i] += c & M;
                    self.high[i] += c >> 8 & M;
                    self.hits[i] += 1;
                }
            }
        }
    }
    /// Lays the mean of `samples` samples over the frame.
    pub fn close(&self, frame: &mut [u32], width: usize, samples: u32) {
        for y in 0..self.h {
            let first = (y + self.y0 as usize) * width + self.x0 as usize;
            let row = &mut frame[first..first + self.w];
            let line = y * self.w..(y + 1) * self.w;
            for (((out, &lo), &hi), &n) in row
                .iter_mut()
                .zip(&self.low[line.clone()])
                .zip(&self.high[line.clone()])
                .zip(&self.hits[line])
            {
                if n == 0 {
                    continue;
                }
                let behind = samples - n;
                let (lo, hi) = (lo + (*out & M) * behind, hi + (*out >> 8 & M) * behind);
                let d = |v: u32| (v + samples / 2) / samples;
                *out = d(lo & 0xffff) | d(hi & 0xffff) << 8 | d(lo >> 16) << 16;
            }
        }
    }
}

/// Bounds of capsules, px: low x, low y, high x, high y.
pub fn bounds<'a>(parts: impl Iterator<Item = &'a Capsule<'a>>) -> [f32; 4] {
    parts.fold([f32::MAX, f32::MAX, f32::MIN, f32::MIN], |b, p| {
        let r = p.ra.max(p.rb);
        [
            b[0].min(p.a.x.min(p.b.x) - r),
            b[1].min(p.a.y.min(p.b.y) - r),
            b[2].max(p.a.x.max(p.b.x) + r),
            b[3].max(p.a.y.max(p.b.y) + r),
        ]
    })
}
