//! A packed-colour texture with halved copies, sampled bilinearly with several taps along a stretched footprint.
//!
//! Halving uses the quadratic B-spline (1 3 3 1), and bilinear reads are a linear B-spline: both keep first moments, so a
//! painted line's centroid stays where it is at every size.

use rayon::prelude::*;

/// One size of the picture.
struct Level {
    width: usize,
    height: usize,
    texels: Vec<u32>,
}

/// The texture: level 0 as painted, each next one half as wide and high; and of the finest, copies of which only the
/// rows are halved, for footprints that reach along y.
pub struct Texture {
    levels: Vec<Level>,
    flat: Vec<Vec<Level>>,
}

/// How a block of pixels reads the texture.
#[derive(Clone, Copy)]
pub struct Footprint {
    level: usize,
    /// How many times more the rows are halved than the columns.
    flat: usize,
    /// Reads along the footprint, 1 to [`MAX_TAPS`].
    pub taps: usize,
    /// Step between taps, 1/256 texels of the level.
    step: (i32, i32),
    /// From the middle back to the first tap and to texel centres.
    back: (i32, i32),
}

/// Most taps along a footprint: beyond, the ground is near the horizon and blurs.
const MAX_TAPS: f32 = 6.0;
/// Levels that have copies with halved rows, and how often halved.
const FLAT_LEVELS: usize = 2;
const MOST_FLAT: usize = 2;
/// Farthest that taps lie apart, in texels of the level.
const TAP_SPACING: f32 = 2.0;
/// Three channels in 16-bit lanes of one word: luma, red difference, blue difference.
const LANES: u64 = 0x00ff_00ff_00ff;

impl Texture {
    /// From texels in rows.
    pub fn new(width: usize, height: usize, texels: Vec<u32>) -> Self {
        assert_eq!(texels.len(), width * height, "texels fill the texture");
        let mut levels = vec![Level { width, height, texels }];
        while let Some(next) = levels
            .last()
            .filter(|l| l.width >= 16 && l.height >= 16 && levels.len() < 7)
            .map(|l| halved(l, 2))
        {
            levels.push(next);
        }
        Self::of_levels(levels)
    }
    fn of_levels(levels: Vec<Level>) -> Self {
        let flat = levels
            .iter()
            .take(FLAT_LEVELS)
            .map(|l| {
                let mut copies: Vec<Level> = Vec::new();
                while copies.len() < MOST_FLAT {
                    copies.push(halved(copies.last().unwrap_or(l), 1));
                }
                copies
            })
            .collect();
        Self { levels, flat }
    }
    /// The footprint of a pixel whose neighbours to the right and below lie `right` and `below` away, texels.
    #[inline]
    pub fn footprint(&self, right: (f32, f32), below: (f32, f32)) -> Footprint {
        let (r, b) =
            ((right.0 * right.0 + right.1 * right.1).sqrt(), (below.0 * below.0 + below.1 * below.1).sqrt());
        let (major, long, short) = if b > r { (below, b, r) } else { (right, r, b) };
        // A bilinear read is two texels wide, so taps up to two texels apart leave no gap.
        let taps = (long / (TAP_SPACING * short.max(1.0))).ceil().clamp(1.0, MAX_TAPS);
        let spacing = (long / taps / TAP_SPACING).max(short);
        // Floor of log2(1.15 spacing), from the float's exponent.
        let exponent = ((1.15 * spacing).to_bits() >> 23) as i32 - 127;
        let level = exponent.clamp(0, self.levels.len() as i32 - 1) as usize;
        // Where the footprint reaches mostly along y, rows averaged beforehand stand for two or four taps.
        let upright = level < FLAT_LEVELS && major.1.abs() > 1.5 * major.0.abs();
        let flat = if !upright || taps < 2.0 {
            0
        } else if taps < 4.0 {
            1
        } else {
            MOST_FLAT
        };
        let taps = (taps / (1 << flat) as f32).ceil();
        let k = 256.0 / (1u32 << level) as f32;
        let step = (major.0 / taps * k, major.1 / taps * k / (1 << flat) as f32);
        let half = (taps - 1.0) * 0.5;
        // Not `round`: without SSE4.1 it is a call.
        let fixed = |v: f32| (v + 0.5f32.copysign(v)) as i32;
        Footprint {
            level,
            flat,
            taps: taps as usize,
            step: (fixed(step.0), fixed(step.1)),
            back: (fixed(step.0 * half) + 128, fixed(step.1 * half) + 128),
        }
    }
    /// The colour around (x, y), 1/256 texels of level 0 from the corner; edges repeat. `TAPS` is the footprint's, or 0 to
    /// read it there.
    #[inline(always)]
    pub fn sample<const TAPS: usize>(&self, x: i32, y: i32, f: &Footprint) -> u32 {
        let l = if f.flat == 0 { &self.levels[f.level] } else { &self.flat[f.level][f.flat - 1] };
        let (mut px, mut py) = ((x >> f.level) - f.back.0, (y >> (f.level + f.flat)) - f.back.1);
        let taps = if TAPS == 0 { f.taps } else { TAPS };
        let mut sum = 0u64;
        for _ in 0..taps {
            sum += l.bilinear(px, py) >> 8 & LANES;
            px += f.step.0;
            py += f.step.1;
        }
        // A lane holds at most 6 * 255; a reciprocal of 16 bits divides exactly enough.
        let q = |v: u64| match taps {
            1 => v & 0xffff,
            2 => ((v & 0xffff) + 1) >> 1,
            n => ((v & 0xffff) * RECIPROCAL[n] + 32768) >> 16,
        };
        (q(sum) | q(sum >> 32) << 8 | q(sum >> 16) << 16) as u32
    }
    /// The same ground with x and y exchanged, for cameras whose picture rows run along y: reads then follow memory.
    pub fn transposed(&self) -> Self {
        let levels = self.levels.iter().map(|l| {
            let mut texels = vec![0u32; l.texels.len()];
            texels.par_chunks_mut(l.height * 8).enumerate().for_each(|(block, out)| {
                // Eight output rows at a time, so that a cache line of the source is used whole.
                let first = block * 8;
                let rows = out.len() / l.height;
                for y in 0..l.height {
                    for k in 0..rows {
                        out[k * l.height + y] = l.texels[y * l.width + first + k];
                    }
                }
            });
            Level { width: l.height, height: l.width, texels }
        });
        Self::of_levels(levels.collect())
    }
}

/// 65536 / n.
const RECIPROCAL: [u64; 7] = [0, 65536, 32768, 21845, 16384, 13107, 10923];

impl Level {
    /// Bilinear sum times 256 at a place in 1/256 texels from the first texel's centre, in lanes.
    #[inline(always)]
    fn bilinear(&self, x: i32, y: i32) -> u64 {
        let (fx, fy) = (x.max(0) as u32, y.max(0) as u32);
        let (x0, y0) = ((fx >> 8).min(self.width as u32 - 2), (fy >> 8).min(self.height as u32 - 2));
        let (wx, wy) = (fx & 255, fy & 255);
        let i = y0 as usize * self.width + x0 as usize;
        let (&[a, b], &[c, d]) = (
            self.texels[i..].first_chunk::<2>().expect("two texels from any but a row's last"),
            self.texels[i + self.width..].first_chunk::<2>().expect("and from the row below"),
        );
        let lanes = |c: u32| (u64::from(c) | u64::from(c) << 24) & LANES;
        let w11 = (wx * wy) >> 8;
        let (w10, w01) = (wx - w11, wy - w11);
        let w00 = 256 + w11 - wx - wy;
        lanes(a) * u64::from(w00)
            + lanes(b) * u64::from(w10)
            + lanes(c) * u64::from(w01)
            + lanes(d) * u64::from(w11)
    }
}

/// Half the rows, and 1/`across` of the columns (1 or 2).
fn halved(l: &Level, across: usize) -> Level {
    let (w, h) = (l.width / across, l.height / 2);
    let columns: [u32; 4] = if across == 2 { [1, 3, 3, 1] } else { [0, 8, 0, 0] };
    let mut texels = vec![0u32; w * h];
    texels.par_chunks_mut(w).enumerate().for_each(|(y, row)| {
        let ys: [usize; 4] =
            std::array::from_fn(|k| (2 * y + k).saturating_sub(1).min(l.height - 1) * l.width);
        for (x, out) in row.iter_mut().enumerate() {
            let xs: [usize; 4] = std::array::from_fn(|k| (across * x + k).saturating_sub(1).min(l.width - 1));
            let mut sum = [32u32; 3];
            for (j, wy) in [1, 3, 3, 1].into_iter().enumerate() {
                for (i, &wx) in columns.iter().enumerate() {
                    let c = l.texels[ys[j] + xs[i]];
                    for (s, shift) in sum.iter_mut().zip([0, 8, 16]) {
                        *s += (c >> shift & 255) * wx * wy;
                    }
                }
            }
            *out = (sum[0] / 64) | ((sum[1] / 64) << 8) | ((sum[2] / 64) << 16);
        }
    });
    Level { width: w, height: h, texels }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A step's place must not move by more than a hundredth of a texel through halving and stretched reads.
    #[test]
    fn a_lines_centroid_survives_every_level_and_tap_count() {
        let (w, h, middle) = (512usize, 64usize, 200.3f32);
        let tent = |d: f32| (1.0 - d.abs()).max(0.0);
        let texels = (0..w * h).map(|i| {
            // A 7-texel line prefiltered by a tent, integrated numerically.
            let x = (i % w) as f32 + 0.5;
            let c: f32 = (0..700).map(|k| tent(middle - 3.495 + k as f32 * 0.01 - x) * 0.01).sum();
            (200.0 * c).round() as u32
        });
        let t = Texture::new(w, h, texels.collect());
        for (right, below) in [
            ((0.5, 0.0), (0.0, 0.7)),
            ((2.2, 0.0), (0.0, 2.0)),
            ((1.0, 0.0), (0.3, 5.0)),
            ((4.5, 0.4), (0.0, 1.0)),
        ] {
            let f = t.footprint(right, below);
            let (mut m, mut n) = (0.0, 0.0);
            for k in 0..4000 {
                let x = 160.0 + k as f32 * 0.02;
                let v = (t.sample::<0>((x * 256.0) as i32, 32 * 256, &f) & 255) as f32;
                m += v * x;
                n += v;
            }
            assert!((m / n - middle).abs() < 0.06, "{} for {right:?} {below:?}", m / n);
        }
    }
}
