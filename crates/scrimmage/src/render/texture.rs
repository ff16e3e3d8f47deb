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

/// The texture: level 0 as painted, each next one half as wide and high.
pub struct Texture {
    levels: Vec<Level>,
}

/// How a block of pixels reads the texture.
#[derive(Clone, Copy)]
pub struct Footprint {
    level: usize,
    taps: usize,
    /// Step between taps, texels of level 0.
    step: (f32, f32),
}

const M: u32 = 0x00ff_00ff;
/// Most taps along a footprint: beyond, the ground is near the horizon and blurs.
const MAX_TAPS: f32 = 6.0;

impl Texture {
    /// From texels in rows.
    pub fn new(width: usize, height: usize, texels: Vec<u32>) -> Self {
        assert_eq!(texels.len(), width * height, "texels fill the texture");
        let mut levels = vec![Level { width, height, texels }];
        while let Some(next) = levels.last().filter(|l| l.width >= 16 && l.height >= 16 && levels.len() < 7).map(halved) {
            levels.push(next);
        }
        Self { levels }
    }
    /// Width and height of level 0.
    pub fn size(&self) -> (usize, usize) {
        (self.levels[0].width, self.levels[0].height)
    }
    /// The footprint of a pixel whose neighbours to the right and below lie `right` and `below` away, texels.
    #[inline]
    pub fn footprint(&self, right: (f32, f32), below: (f32, f32)) -> Footprint {
        let (r, b) = (right.0.hypot(right.1), below.0.hypot(below.1));
        let (major, long, short) = if b > r { (below, b, r) } else { (right, r, b) };
        let fine = short.max(1.0);
        let taps = (long / fine).round().clamp(1.0, MAX_TAPS);
        let spacing = (long / taps).max(short);
        let level = (spacing.max(1e-6).log2() + 0.2).floor().clamp(0.0, (self.levels.len() - 1) as f32);
        Footprint { level: level as usize, taps: taps as usize, step: (major.0 / taps, major.1 / taps) }
    }
    /// The colour around (x, y) texels of level 0 (corner (0, 0)); edges repeat.
    #[inline]
    pub fn sample(&self, x: f32, y: f32, f: &Footprint) -> u32 {
        let l = &self.levels[f.level];
        let k = 1.0 / (1u32 << f.level) as f32;
        if f.taps == 1 {
            let (lo, hi) = l.bilinear(x * k, y * k);
            return lo >> 8 & M | (hi & !M);
        }
        let half = (f.taps as f32 - 1.0) * 0.5;
        let (mut px, mut py) = ((x - f.step.0 * half) * k, (y - f.step.1 * half) * k);
        let (dx, dy) = (f.step.0 * k, f.step.1 * k);
        let (mut lo, mut hi) = (0u32, 0u32);
        for _ in 0..f.taps {
            let (a, b) = l.bilinear(px, py);
            lo += a >> 8 & M;
            hi += b >> 8 & M;
            px += dx;
            py += dy;
        }
        // Channels sum to at most 6 * 255, so each 16-bit lane divides alone.
        let n = f.taps as u32;
        let r = n / 2;
        let (y0, v0, u0) = (((lo & 0xffff) + r) / n, ((lo >> 16) + r) / n, ((hi & 0xffff) + r) / n);
        y0 | u0 << 8 | v0 << 16
    }
}

impl Level {
    /// Bilinear sums times 256: even channels, odd channels.
    #[inline]
    fn bilinear(&self, x: f32, y: f32) -> (u32, u32) {
        let fx = ((x - 0.5) * 256.0).max(0.0) as u32;
        let fy = ((y - 0.5) * 256.0).max(0.0) as u32;
        let (x0, y0) = ((fx >> 8) as usize, (fy >> 8) as usize);
        let (x0, y0) = (x0.min(self.width - 2), y0.min(self.height - 2));
        let (wx, wy) = (fx & 255, fy & 255);
        let i = y0 * self.width + x0;
        let top = &self.texels[i..i + 2];
        let low = &self.texels[i + self.width..i + self.width + 2];
        let w11 = wx * wy >> 8;
        let (w10, w01) = (wx - w11, wy - w11);
        let w00 = 256 - w11 - w10 - w01;
        let lo = (top[0] & M) * w00 + (top[1] & M) * w10 + (low[0] & M) * w01 + (low[1] & M) * w11;
        let hi = (top[0] >> 8 & M) * w00 + (top[1] >> 8 & M) * w10 + (low[0] >> 8 & M) * w01 + (low[1] >> 8 & M) * w11;
        (lo, hi)
    }
}

fn halved(l: &Level) -> Level {
    let (w, h) = (l.width / 2, l.height / 2);
    let mut texels = vec![0u32; w * h];
    texels.par_chunks_mut(w).enumerate().for_each(|(y, row)| {
        let ys: [usize; 4] = std::array::from_fn(|k| (2 * y + k).saturating_sub(1).min(l.height - 1) * l.width);
        for (x, out) in row.iter_mut().enumerate() {
            let xs: [usize; 4] = std::array::from_fn(|k| (2 * x + k).saturating_sub(1).min(l.width - 1));
            let mut sum = [32u32; 3];
            for (j, wy) in [1, 3, 3, 1].into_iter().enumerate() {
                for (i, wx) in [1, 3, 3, 1].into_iter().enumerate() {
                    let c = l.texels[ys[j] + xs[i]];
                    for (s, shift) in sum.iter_mut().zip([0, 8, 16]) {
                        *s += (c >> shift & 255) * wx * wy;
                    }
                }
            }
            *out = sum[0] / 64 | (sum[1] / 64) << 8 | (sum[2] / 64) << 16;
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
        for (right, below) in [((0.5, 0.0), (0.0, 0.7)), ((2.2, 0.0), (0.0, 2.0)), ((1.0, 0.0), (0.3, 5.0)), ((4.5, 0.4), (0.0, 1.0))] {
            let f = t.footprint(right, below);
            let (mut m, mut n) = (0.0, 0.0);
            for k in 0..4000 {
                let x = 160.0 + k as f32 * 0.02;
                let v = (t.sample(x, 32.0, &f) & 255) as f32;
                m += v * x;
                n += v;
            }
            assert!((m / n - middle).abs() < 0.06, "{} for {right:?} {below:?}", m / n);
        }
    }
}
