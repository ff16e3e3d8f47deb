//! From packed colours to the planes an encoder takes: the lens's softness, exposure, sensor noise, and BT.709 limited
//! range with halved chroma.

use super::noise::{dice, hash2, normal};

/// A finished frame: BT.709 limited range, planar 4:2:0.
#[derive(Clone, PartialEq, Eq)]
pub struct Frame {
    /// Columns, even.
    pub width: usize,
    /// Rows, even.
    pub height: usize,
    /// Luma, then the two chroma planes, as `yuv420p` has them.
    pub planes: Vec<u8>,
}

impl Frame {
    /// Luma of a pixel, 16 black to 235 white.
    pub fn luma(&self, x: usize, y: usize) -> u8 {
        self.planes[y * self.width + x]
    }
    /// As packed red, green, blue rows.
    pub fn to_rgb(&self) -> Vec<u8> {
        let (w, n) = (self.width, self.width * self.height);
        let wide = |v: u8| (f32::from(v) - 128.0) * 255.0 / 224.0;
        let mut out = Vec::with_capacity(n * 3);
        for (i, &y) in self.planes[..n].iter().enumerate() {
            let c = i / w / 2 * (w / 2) + i % w / 2;
            let luma = (f32::from(y) - 16.0) * 255.0 / 219.0;
            out.extend(
                super::colour::Yuv {
                    y: luma,
                    u: wide(self.planes[n + c]),
                    v: wide(self.planes[n + n / 4 + c]),
                }
                .to_rgb(),
            );
        }
        out
    }
}

/// What the lens and sensor do to one frame.
#[derive(Clone, Copy)]
pub struct Sensor {
    /// Soft focus, standard deviation, px.
    pub blur: f32,
    /// Noise, standard deviation, code values of 255.
    pub noise: f32,
    /// Exposure relative to the mean.
    pub gain: f32,
    /// Seed of this frame's noise.
    pub seed: u32,
}

impl Sensor {
    /// Of frame `index` of a look, at `height` lines.
    pub fn of(look: &super::look::Look, index: u32, height: usize) -> Self {
        let flicker = normal(&mut dice(look.seed, 1000 + u64::from(index))) * look.flicker;
        Self {
            blur: (look.soft_focus_px * height as f64 / 720.0) as f32,
            noise: look.noise as f32,
            gain: (1.0 + flicker) as f32,
            seed: hash2(index as i32, look.seed as i32, 31),
        }
    }
}

/// Develops packed colours.
pub fn develop(frame: &[u32], width: usize, height: usize, s: &Sensor, grain: &[i8]) -> Frame {
    let n = width * height;
    let mut planes = vec![0u8; n + n / 2];
    let (luma, chroma) = planes.split_at_mut(n);
    develop_luma(frame, width, height, s, grain, luma);
    let (cb, cr) = chroma.split_at_mut(n / 4);
    let scale = 224.0 / 255.0 * s.gain / 4.0;
    for y in 0..height / 2 {
        let (top, low) = (&frame[2 * y * width..][..width], &frame[(2 * y + 1) * width..][..width]);
        let (cb, cr) = (&mut cb[y * width / 2..][..width / 2], &mut cr[y * width / 2..][..width / 2]);
        for (((cb, cr), a), b) in cb.iter_mut().zip(cr).zip(top.chunks_exact(2)).zip(low.chunks_exact(2)) {
            let sum = |k: u32| {
                ((a[0] >> k & 255) + (a[1] >> k & 255) + (b[0] >> k & 255) + (b[1] >> k & 255)) as f32 - 512.0
            };
            *cb = (128.5 + sum(8) * scale) as u8;
            *cr = (128.5 + sum(16) * scale) as u8;
        }
    }
    Frame { width, height, planes }
}

/// Taps of a symmetric seven-tap Gaussian, centre first.
fn kernel(sigma: f32) -> [f32; 4] {
    if sigma < 0.05 {
        return [1.0, 0.0, 0.0, 0.0];
    }
    let g = [0.0f32, 1.0, 2.0, 3.0].map(|k| (-0.5 * k * k / (sigma * sigma)).exp());
    let total = g[0] + 2.0 * (g[1] + g[2] + g[3]);
    g.map(|k| k / total)
}

fn develop_luma(frame: &[u32], width: usize, height: usize, s: &Sensor, grain: &[i8], out: &mut [u8]) {
    let k = kernel(s.blur);
    // Rows blurred sideways, kept for the seven rows that the vertical taps need.
    const KEPT: usize = 8;
    let mut rows: Vec<Vec<f32>> = vec![vec![0.0; width]; KEPT];
    let mut padded = vec![0.0f32; width + 6];
    let mut next = 0;
    let mut line = vec![0.0f32; width];
    for y in 0..height {
        while next <= (y + 3).min(height - 1) {
            let row = &frame[next * width..][..width];
            for (p, &c) in padded[3..].iter_mut().zip(row) {
                *p = (c & 255) as f32;
            }
            let (first, last) = (padded[3], padded[width + 2]);
            padded[..3].fill(first);
            padded[width + 3..].fill(last);
            let q = &padded;
            for (x, o) in rows[next % KEPT].iter_mut().enumerate() {
                *o = k[0] * q[x + 3]
                    + k[1] * (q[x + 2] + q[x + 4])
                    + k[2] * (q[x + 1] + q[x + 5])
                    + k[3] * (q[x] + q[x + 6]);
            }
            next += 1;
        }
        let at = |d: i32| &rows[(y as i32 + d).clamp(0, height as i32 - 1) as usize % KEPT][..width];
        let (a3, a2, a1, m, b1, b2, b3) = (at(-3), at(-2), at(-1), at(0), at(1), at(2), at(3));
        for (x, o) in line.iter_mut().enumerate() {
            *o = k[0] * m[x] + k[1] * (a1[x] + b1[x]) + k[2] * (a2[x] + b2[x]) + k[3] * (a3[x] + b3[x]);
        }
        let start = hash2(y as i32, s.seed as i32, 9) as usize % (grain.len() - width);
        let (scale, amp) = (219.0 / 255.0 * s.gain, s.noise * 219.0 / 255.0 / 32.0);
        for ((o, &v), &g) in out[y * width..][..width].iter_mut().zip(&line).zip(&grain[start..start + width])
        {
            *o = (16.5 + v * scale + f32::from(g) * amp).clamp(1.0, 254.0) as u8;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::colour::Yuv;

    /// BT.709 limited range: black 16, white 235, neutral chroma 128.
    #[test]
    fn levels_are_the_standards() {
        let s = Sensor { blur: 0.0, noise: 0.0, gain: 1.0, seed: 1 };
        for (rgb, code) in [([0, 0, 0], 16), ([255, 255, 255], 235)] {
            let f = develop(&[Yuv::from_rgb(rgb).pack(); 64], 8, 8, &s, &[0; 64]);
            assert!(f.planes[..64].iter().all(|&y| y == code) && f.planes[64..].iter().all(|&c| c == 128));
        }
    }
}
