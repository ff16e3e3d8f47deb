//! Seeded noise: hashes, a tileable cloud of value noise, and a table of Gaussian deviates.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A generator for one purpose of one seed.
pub fn dice(seed: u64, purpose: u64) -> ChaCha8Rng {
    ChaCha8Rng::seed_from_u64(seed ^ purpose.wrapping_mul(0x9e37_79b9_7f4a_7c15))
}

/// A standard normal deviate (Box-Muller).
pub fn normal(rng: &mut ChaCha8Rng) -> f64 {
    let (a, b): (f64, f64) = (rng.random(), rng.random());
    (-2.0 * (1.0 - a).ln()).sqrt() * (std::f64::consts::TAU * b).cos()
}

/// A well-mixed 32-bit hash of two numbers.
#[inline]
pub fn hash2(x: i32, y: i32, seed: u32) -> u32 {
    let mut h = (x as u32).wrapping_mul(0x9e37_79b1)
        ^ (y as u32).wrapping_mul(0x85eb_ca77)
        ^ seed.wrapping_mul(0xc2b2_ae3d);
    h ^= h >> 15;
    h = h.wrapping_mul(0x2c1b_3c6d);
    h ^= h >> 12;
    h = h.wrapping_mul(0x297a_2d39);
    h ^ h >> 15
}

/// The hash as a number in [0, 1).
#[inline]
pub fn unit(h: u32) -> f32 {
    (h >> 8) as f32 / 16_777_216.0
}

/// Smooth clouds in [0, 1] that tile, as value noise of several octaves.
pub struct Clouds {
    cells: Vec<f32>,
}

const SIDE: usize = 256;

impl Clouds {
    /// From a seed; `octaves` halvings of an 8-cell lattice.
    pub fn new(seed: u32, octaves: u32) -> Self {
        let mut cells = vec![0.0; SIDE * SIDE];
        let mut total = 0.0;
        for o in 0..octaves {
            let n = 8i32 << o;
            let step = SIDE as f32 / n as f32;
            let gain = 0.55f32.powi(o as i32);
            total += gain;
            for (i, c) in cells.iter_mut().enumerate() {
                let (fx, fy) = ((i % SIDE) as f32 / step, (i / SIDE) as f32 / step);
                let (x, y) = (fx as i32, fy as i32);
                let s = |t: f32| t * t * (3.0 - 2.0 * t);
                let (u, v) = (s(fx - x as f32), s(fy - y as f32));
                let at = |dx: i32, dy: i32| unit(hash2((x + dx) % n, (y + dy) % n, seed + o));
                let top = at(0, 0) + (at(1, 0) - at(0, 0)) * u;
                let low = at(0, 1) + (at(1, 1) - at(0, 1)) * u;
                *c += gain * (top + (low - top) * v);
            }
        }
        for c in &mut cells {
            *c /= total;
        }
        Self { cells }
    }
    /// The cloud at (x, y), which repeats every 1; bilinear.
    #[inline]
    pub fn at(&self, x: f32, y: f32) -> f32 {
        let (fx, fy) = (x * SIDE as f32, y * SIDE as f32);
        // Truncation and a step down below zero: without SSE4.1 `floor` is a call.
        let down = |v: f32| v as i32 - i32::from(v < 0.0);
        let (ix, iy) = (down(fx), down(fy));
        let (u, v) = (fx - ix as f32, fy - iy as f32);
        let m = SIDE - 1;
        let (x0, y0) = (ix as usize & m, iy as usize & m);
        let (x1, y1) = ((x0 + 1) & m, (y0 + 1) & m);
        let c = |x: usize, y: usize| self.cells[y * SIDE + x];
        let top = c(x0, y0) + (c(x1, y0) - c(x0, y0)) * u;
        let low = c(x0, y1) + (c(x1, y1) - c(x0, y1)) * u;
        top + (low - top) * v
    }
}

/// Standard normal deviates times 32, rounded, for sensor noise read from a random place each row.
pub fn gaussian_table(seed: u64, len: usize) -> Vec<i8> {
    let mut rng = dice(seed, 77);
    (0..len).map(|_| (normal(&mut rng) * 32.0).round().clamp(-127.0, 127.0) as i8).collect()
}
