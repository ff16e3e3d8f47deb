//! What a frame shows that the empty field does not: signed evidence per pixel.

use crate::chart::Lattice;
use crate::empty::{EmptyField, hue, luma, median};

/// Evidence per pixel: −1 the empty field, 0 nothing known, +1 surely something else.
pub(crate) struct Difference {
    pub evidence: Vec<f32>,
    /// Luma of the empty field in this frame's light; 0 where it is not known.
    pub ground: Vec<f32>,
}

/// Levels beyond three times the noise at which half of the evidence is reached. Common practice, no source.
const MARGIN: f32 = 8.0;
/// Darkest that a shadow makes the ground, share of its light: the sky still lights it. Common practice, no source.
const DEEPEST_SHADOW: f32 = 0.22;
/// Hue change that shadow alone may bring (the sky is bluer than the sun), logarithms, and the width of the doubt.
const SHADOW_HUE: (f32, f32) = (0.2, 0.15);
/// Evidence of what may be a shadow.
const DOUBT: f32 = -0.1;
/// Cells of the grid on which the light is compared.
const LIGHT_GRID: (usize, usize) = (12, 8);

/// Compares a frame of `w` × `h` px (three bytes each) with the empty field; `place` maps its pixels to the sheet.
pub(crate) fn differ(data: &[u8], w: usize, h: usize, place: &Lattice, empty: &EmptyField) -> Difference {
    let mut cells = vec![usize::MAX; w * h];
    for y in 0..h {
        let row = &mut cells[y * w..(y + 1) * w];
        place.row(y, w, |x, p| {
            if p[0] >= 0.0 && p[1] >= 0.0 {
                let (i, j) = (p[0] as usize, p[1] as usize);
                if i < empty.chart.width && j < empty.chart.height {
                    let cell = j * empty.chart.width + i;
                    if empty.middle[3 * cell + 1] > 0 {
                        row[x] = cell;
                    }
                }
            }
        });
    }
    let light = Light::of(data, w, h, &cells, empty);
    let mut evidence = vec![0.0f32; w * h];
    let mut ground = vec![0.0f32; w * h];
    for y in 0..h {
        for x in 0..w {
            let k = y * w + x;
            let cell = cells[k];
            if cell == usize::MAX {
                continue;
            }
            let gain = light.at(x, y);
            let p: [f32; 3] = std::array::from_fn(|c| f32::from(data[3 * k + c]));
            let level = |v: &[u8], c: usize| f32::from(v[3 * cell + c]) * gain;
            let d: [f32; 3] = std::array::from_fn(|c| {
                (p[c] - level(&empty.high, c)).max(0.0) + (p[c] - level(&empty.low, c)).min(0.0)
            });
            let noise = light.noise.hypot(f32::from(empty.unrest[cell]));
            let full = 3.0 * noise + MARGIN;
            let b: [f32; 3] = std::array::from_fn(|c| level(&empty.middle, c));
            ground[k] = luma(b);
            let square: f32 = d.iter().map(|v| v * v).sum();
            let mut size = square.sqrt();
            if empty.grass[cell] {
                // Grass that is now in the sun, now in somebody's shadow, changes its light and keeps its colour.
                let along = d.iter().zip(b).map(|(d, b)| d * b).sum::<f32>().powi(2)
                    / b.iter().map(|v| v * v).sum::<f32>().max(1.0);
                let across = (square - along).max(0.0) * (full / (3.0 * light.noise + MARGIN)).powi(2);
                size = (along + across).sqrt();
            }
            evidence[k] = (size / full).min(2.0) - 1.0;
            if empty.doubtful[cell] {
                evidence[k] = evidence[k].max(DOUBT);
            }
            if size > 0.5 * full {
                let solid = unlike_shadow(p, b);
                size *= solid;
                // Shaded ground and cloth of the ground's hue in the shade look alike: neither for a body nor against it.
                evidence[k] = ((size / full).min(2.0) - 1.0).max(DOUBT.min(evidence[k]));
            }
        }
    }
    Difference { evidence, ground }
}

/// 0 where `p` is the ground `b` with less light on it, 1 where it is not.
fn unlike_shadow(p: [f32; 3], b: [f32; 3]) -> f32 {
    let s = luma(p) / luma(b).max(1.0);
    if !(DEEPEST_SHADOW..1.02).contains(&s) {
        return 1.0;
    }
    let (u, v) = (hue(p), hue(b));
    // Less sun leaves more of the sky's blue.
    let blue = u[1] - v[1];
    let off = (u[0] - v[0]).abs().max(if blue > 0.0 { 0.6 * blue } else { -blue });
    ((off - SHADOW_HUE.0) / SHADOW_HUE.1).clamp(0.0, 1.0)
}

/// How this frame is lit against the empty field: a gain that is linear over the picture, and the sensor's noise.
struct Light {
    level: f32,
    across: f32,
    down: f32,
    noise: f32,
    size: (f32, f32),
}

impl Light {
    fn of(data: &[u8], w: usize, h: usize, cells: &[usize], empty: &EmptyField) -> Self {
        let pixel = |k: usize| luma(std::array::from_fn(|c| f32::from(data[3 * k + c])));
        let field = |cell: usize| luma(std::array::from_fn(|c| f32::from(empty.middle[3 * cell + c])));
        let mut out = Self { level: 1.0, across: 0.0, down: 0.0, noise: 3.0, size: (w as f32, h as f32) };
        let mut points: Vec<[f32; 3]> = Vec::new();
        for j in 0..LIGHT_GRID.1 {
            for i in 0..LIGHT_GRID.0 {
                let (x0, x1) = (i * w / LIGHT_GRID.0, (i + 1) * w / LIGHT_GRID.0);
                let (y0, y1) = (j * h / LIGHT_GRID.1, (j + 1) * h / LIGHT_GRID.1);
                let mut ratios = Vec::new();
                for y in (y0..y1).step_by(3) {
                    for x in (x0..x1).step_by(3) {
                        let cell = cells[y * w + x];
                        if cell != usize::MAX && empty.grass[cell] && field(cell) > 15.0 {
                            ratios.push(pixel(y * w + x) / field(cell));
                        }
                    }
                }
                if ratios.len() > 40 {
                    let (cx, cy) = ((x0 + x1) as f32 / 2.0, (y0 + y1) as f32 / 2.0);
                    points.push([cx / w as f32 - 0.5, cy / h as f32 - 0.5, median(ratios.into_iter())]);
                }
            }
        }
        if points.is_empty() {
            return out;
        }
        out.level = median(points.iter().map(|p| p[2]));
        // Cells full of people are off by far: they are left out of the plane.
        points.retain(|p| (p[2] / out.level - 1.0).abs() < 0.2);
        if points.len() >= 12 {
            let mut a = nalgebra::Matrix3::<f32>::identity() * 1e-3;
            let mut b = nalgebra::Vector3::<f32>::new(1e-3 * out.level, 0.0, 0.0);
            for p in &points {
                let row = nalgebra::Vector3::new(1.0, p[0], p[1]);
                a += row * row.transpose();
                b += row * p[2];
            }
            if let Some(c) = a.try_inverse().map(|i| i * b) {
                (out.level, out.across, out.down) = (c[0], c[1], c[2]);
            }
        }
        let mut misses = Vec::new();
        for y in (0..h).step_by(5) {
            for x in (0..w).step_by(5) {
                let cell = cells[y * w + x];
                if cell != usize::MAX && empty.grass[cell] {
                    misses.push((pixel(y * w + x) - field(cell) * out.at(x, y)).abs());
                }
            }
        }
        out.noise = (1.48 * median(misses.into_iter())).max(1.5);
        out
    }
    fn at(&self, x: usize, y: usize) -> f32 {
        let g = self.level
            + self.across * (x as f32 / self.size.0 - 0.5)
            + self.down * (y as f32 / self.size.1 - 0.5);
        g.clamp(0.4, 2.5)
    }
}
