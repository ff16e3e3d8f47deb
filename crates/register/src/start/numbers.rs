use super::glyphs::{Glyph, HIGH, WIDE};
use crate::model::{Model, Surface};
use field::{RuleBook, Side};
use geometry::Point2;
use geometry::frame::{Ground, Pixel};
use picture::GrayView;

/// What a place where a number may be painted looks like.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reading {
    /// Ground x of the yard line, in the camera's own labelling.
    pub x: f64,
    /// Log likelihood of the number whose tens digit is 1 to 5, over no number at all.
    pub digits: [f64; 5],
    /// Log likelihood that an arrow points to smaller x, over one to larger x.
    pub arrow: f64,
}

/// Cells per yard of the rectified patch: a digit 4 ft wide takes [`WIDE`] cells.
const PER_YARD: f64 = 12.0;
/// Margin of empty cells around a digit.
const MARGIN: usize = 2;
/// Most independent picture elements a digit counts for.
const MOST: f64 = 45.0;
/// Gain that chance reaches by the best of all shifts and hands: on invented fields without numbers all stay below 16, and numbers that
/// a person can read lie over 25.
const CHANCE: f64 = 19.0;
/// Gain per nat: cells of one stroke stand and fall together.
const TOGETHER: f64 = 3.0;
/// Most that a number's presence, and one digit's likeness over another's, may say, nats.
const MOST_SAID: [f64; 2] = [5.0, 7.0];
/// Blur of optics, pixels and compression, standard deviation, px.
const BLUR: f64 = 0.9;

struct Patch {
    width: usize,
    height: usize,
    /// Centre cell of the yard line, and the row of the digits' feet.
    cells: Vec<f32>,
}

/// Half the patch's extent along the field, and the margin over and under the digits, yd.
const HALF: f64 = 3.6;
const OVER: f64 = 0.7;

/// Reads the number place at `x` on one side; `None` where the picture does not show it whole or too small.
pub(super) fn read(
    m: &Model,
    s: &Surface,
    book: RuleBook,
    x: f64,
    side: Side,
    v: GrayView<'_>,
    glyphs: &[Glyph],
) -> Option<Reading> {
    // The reader's right and up on the ground.
    let (right, foot, up) = match side {
        Side::Near => (1.0, book.number_bottom(), 1.0),
        Side::Far => (-1.0, book.width() - book.number_bottom(), -1.0),
    };
    let ground = |u: f64, w: f64| Point2::<Ground>::new(x + right * u, foot + up * w);
    let pixel = |u: f64, w: f64| m.pixel(s, ground(u, w));
    // The number itself must be in the picture; beside it the arrow may not.
    let inside = |p: Point2<Pixel>| v.contains(p, 3.0);
    for (u, w) in [(-1.9, -0.3), (1.9, -0.3), (-1.9, 2.3), (1.9, 2.3)] {
        if !inside(pixel(u, w)?) {
            return None;
        }
    }
    let (o, a, b) = (pixel(0.0, 1.0)?, pixel(1.0, 1.0)?, pixel(0.0, 2.0)?);
    let (along, high) = (o.distance(a), o.distance(b));
    let area = ((a - o).cross(b - o)).abs();
    // Six by four picture elements are the least that tells a digit.
    if along * 1.33 < 5.0 || area * 2.66 < 26.0 {
        return None;
    }
    let (width, height) = ((2.0 * HALF * PER_YARD) as usize, ((2.0 + 2.0 * OVER) * PER_YARD) as usize);
    let mut cells = vec![0.0f32; width * height];
    let fine = along > 18.0;
    for j in 0..height {
        let w = 2.0 + OVER - (j as f64 + 0.5) / PER_YARD;
        // Straight rows of the ground are straight enough in the picture over a few yards.
        let (p, q) = (pixel(-HALF, w)?, pixel(HALF, w)?);
        let bend = pixel(0.0, w)?;
        for i in 0..width {
            let t = (i as f64 + 0.5) / width as f64;
            let c = quadratic(p, bend, q, t);
            let value = if fine {
                let d = (q - p) * (0.25 / width as f64);
                0.5 * (v.sample((c.x - d.x) as f32, (c.y - d.y) as f32)
                    + v.sample((c.x + d.x) as f32, (c.y + d.y) as f32))
            } else {
                v.sample(c.x as f32, c.y as f32)
            };
            cells[j * width + i] = value;
        }
    }
    let patch = Patch { width, height, cells };
    let blur = [(BLUR / along * PER_YARD) as f32, (BLUR / high * PER_YARD) as f32];
    let elements = (area * 2.66 / 3.0).min(MOST);
    let digits = digits(&patch, glyphs, blur, elements)?;
    let arrow = arrow(&patch, blur, elements) * right;
    Some(Reading { x, digits, arrow })
}

/// The conic through three points at parameters 0, ½, 1, as a parabola.
fn quadratic(p: Point2<Pixel>, m: Point2<Pixel>, q: Point2<Pixel>, t: f64) -> Point2<Pixel> {
    let mid = p.lerp(q, 0.5);
    let bow = m - mid;
    p.lerp(q, t) + bow * (4.0 * t * (1.0 - t))
}

fn blurred(cells: &[f32], w: usize, h: usize, sd: [f32; 2]) -> Vec<f32> {
    let kernel = |sd: f32| -> Vec<f32> {
        let r = (2.5 * sd).ceil() as i32;
        let k: Vec<f32> = (-r..=r).map(|i| (-0.5 * (i as f32 / sd.max(1e-3)).powi(2)).exp()).collect();
        let sum: f32 = k.iter().sum();
        k.into_iter().map(|v| v / sum).collect()
    };
    // Adds what lies `far` cells on, as far as there is such.
    let add = |to: &mut [f32], from: &[f32], far: isize, weight: f32| {
        let (skip, length) = (far.unsigned_abs(), to.len());
        if skip < length {
            let (to, from) = if far < 0 {
                (&mut to[skip..], &from[..length - skip])
            } else {
                (&mut to[..length - skip], &from[skip..])
            };
            to.iter_mut().zip(from).for_each(|(t, f)| *t += weight * f);
        }
    };
    let taps = |k: &[f32]| -> Vec<(isize, f32)> {
        let r = k.len() as isize / 2;
        k.iter().enumerate().map(|(j, w)| (j as isize - r, *w)).collect()
    };
    let mut across = vec![0.0; w * h];
    for (far, weight) in taps(&kernel(sd[0].clamp(0.3, 4.0))) {
        for (to, from) in across.chunks_exact_mut(w).zip(cells.chunks_exact(w)) {
            add(to, from, far, weight);
        }
    }
    let mut out = vec![0.0; w * h];
    for (far, weight) in taps(&kernel(sd[1].clamp(0.3, 5.0))) {
        // Whole rows at once: a row further is `w` cells further.
        add(&mut out, &across, far * w as isize, weight);
    }
    out
}

/// A glyph scaled to `sx` of its width and `sy` of its height in a box with margins, blurred, mean 0 and norm 1.
struct Template {
    digit: u8,
    hand: u8,
    wide: usize,
    high: usize,
    cells: Vec<f32>,
}

fn template(g: &Glyph, sx: f32, sy: f32, blur: [f32; 2]) -> Template {
    let (gw, gh) = ((WIDE as f32 * sx).round() as usize, (HIGH as f32 * sy).round() as usize);
    let (wide, high) = (gw + 2 * MARGIN, gh + 2 * MARGIN);
    let mut cells = vec![0.0; wide * high];
    for j in 0..gh {
        for i in 0..gw {
            let (x, y) = (((i as f32 + 0.5) / sx) as usize, ((j as f32 + 0.5) / sy) as usize);
            cells[(j + MARGIN) * wide + i + MARGIN] = g.cells[y.min(HIGH - 1) * WIDE + x.min(WIDE - 1)];
        }
    }
    let mut cells = blurred(&cells, wide, high, blur);
    let mean = cells.iter().sum::<f32>() / cells.len() as f32;
    cells.iter_mut().for_each(|c| *c -= mean);
    let norm = cells.iter().map(|c| c * c).sum::<f32>().sqrt().max(1e-6);
    cells.iter_mut().for_each(|c| *c /= norm);
    Template { digit: g.digit, hand: g.hand, wide, high, cells }
}

/// Correlation of a template with the patch, its upper left cell at (x, y).
fn correlation(p: &Patch, t: &Template, x: i32, y: i32) -> f32 {
    if x < 0 || y < 0 || x as usize + t.wide > p.width || y as usize + t.high > p.height {
        return 0.0;
    }
    let (mut sum, mut square, mut product) = (0.0f32, 0.0f32, 0.0f32);
    for j in 0..t.high {
        let row = &p.cells[(y as usize + j) * p.width + x as usize..][..t.wide];
        let own = &t.cells[j * t.wide..][..t.wide];
        for (a, b) in row.iter().zip(own) {
            sum += a;
            square += a * a;
            product += a * b;
        }
    }
    let n = (t.wide * t.high) as f32;
    let spread = (square - sum * sum / n).max(0.0);
    // Flat ground has nothing to read: three grey levels of texture beside it.
    product / (spread + 9.0 * n).sqrt()
}

/// Log likelihoods of the five numbers.
fn digits(p: &Patch, glyphs: &[Glyph], blur: [f32; 2], elements: f64) -> Option<[f64; 5]> {
    let mut best = [f64::MIN; 5];
    let gain = |c: f32| -0.5 * elements * (1.0 - f64::from(c.clamp(0.0, 0.98)).powi(2)).ln();
    let middle = p.width as f32 / 2.0;
    for (sx, sy) in [(1.0f32, 1.0f32), (0.8, 1.0)] {
        let templates: Vec<Template> = glyphs.iter().map(|g| template(g, sx, sy, blur)).collect();
        let hands = templates.iter().map(|t| t.hand).max()?;
        for hand in 0..=hands {
            let of = |d: u8| templates.iter().find(|t| t.hand == hand && t.digit == d);
            let zero = of(0)?;
            // Middle of a digit from the yard line, in cells: half the gap and half the digit.
            let away = PER_YARD as f32 * (0.333 + 0.667);
            let top = (OVER * PER_YARD) as f32 + HIGH as f32 / 2.0;
            let corner = |t: &Template, side: f32| {
                (
                    (middle + side * away - t.wide as f32 / 2.0).round() as i32,
                    (top - t.high as f32 / 2.0).round() as i32,
                )
            };
            let (zx, zy) = corner(zero, 1.0);
            let mut seat = (f32::MIN, 0, 0);
            for dy in -4..=4 {
                for dx in -5..=4 {
                    let c = correlation(p, zero, zx + dx, zy + dy);
                    if c > seat.0 {
                        seat = (c, dx, dy);
                    }
                }
            }
            if seat.0 < 0.25 {
                continue;
            }
            for d in 1..=5u8 {
                let t = of(d)?;
                let (tx, ty) = corner(t, -1.0);
                let mut c = f32::MIN;
                for dy in seat.2 - 1..=seat.2 + 1 {
                    // Where the zero is nearer to the line its partner is too.
                    for dx in [-seat.1 - 2, -seat.1 - 1, -seat.1, -seat.1 + 1, -seat.1 + 2, seat.1] {
                        c = c.max(correlation(p, t, tx + dx, ty + dy));
                    }
                }
                let total = gain(seat.0) + gain(c);
                best[usize::from(d) - 1] = best[usize::from(d) - 1].max(total);
            }
        }
    }
    let top = best.iter().copied().fold(f64::MIN, f64::max);
    if top == f64::MIN {
        return Some([0.0; 5]);
    }
    let present = ((top - CHANCE) / TOGETHER).min(MOST_SAID[0]);
    Some(best.map(|b| present - ((top - b) / TOGETHER).min(MOST_SAID[1])))
}

/// Whether a triangle points to the reader's left (positive) or right (negative), as a log likelihood ratio.
fn arrow(p: &Patch, blur: [f32; 2], elements: f64) -> f64 {
    // 18 in high and 36 in long, six inches outside the digits, at seven tenths of their height.
    let (wide, high) = (12usize, 8usize);
    let make = |left: bool| {
        let mut cells = vec![0.0f32; (wide + 4) * (high + 6)];
        for j in 0..high {
            for i in 0..wide {
                let along = (i as f32 + 0.5) / wide as f32;
                let thick = if left { along } else { 1.0 - along };
                if ((j as f32 + 0.5) / high as f32 - 0.5).abs() < 0.5 * thick {
                    cells[(j + 3) * (wide + 4) + i + 2] = 1.0;
                }
            }
        }
        let mut cells = blurred(&cells, wide + 4, high + 6, blur);
        let mean = cells.iter().sum::<f32>() / cells.len() as f32;
        cells.iter_mut().for_each(|c| *c -= mean);
        let norm = cells.iter().map(|c| c * c).sum::<f32>().sqrt().max(1e-6);
        cells.iter_mut().for_each(|c| *c /= norm);
        Template { digit: 9, hand: 0, wide: wide + 4, high: high + 6, cells }
    };
    let middle = p.width as i32 / 2;
    let row = ((OVER + 2.0 * 0.3) * PER_YARD) as i32 - (high as i32 + 6) / 2;
    let best = |t: &Template, x: i32| {
        let mut c = 0.0f32;
        for dy in -4..=4 {
            for dx in -5..=5 {
                c = c.max(correlation(p, t, x + dx - t.wide as i32 / 2, row + dy));
            }
        }
        c
    };
    // Digits end 1.667 yd from the line; the arrow's middle is a yard farther.
    let away = (2.667 * PER_YARD) as i32;
    let (l, r) = (best(&make(true), middle - away), best(&make(false), middle + away));
    let gain = |c: f32| -0.5 * (0.4 * elements) * (1.0 - f64::from(c.clamp(0.0, 0.95)).powi(2)).ln();
    // One arrow says little: fields have other things beside numbers.
    (gain(l) - gain(r)).clamp(-4.0, 4.0)
}
