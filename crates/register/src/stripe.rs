//! A painted stripe as one piece of evidence: its own place is uncertain by the painter and by the grass beside it.

use crate::evidence::Seen;
use crate::model::{Matrix8, Vector8};
use nalgebra as na;

/// Grass beside a stripe is uneven by about this many grey levels over the stripe's reach, which shifts its apparent middle by as
/// many px as it is levels over the stripe's contrast; measured on synthetic film.
const UNEVEN: f64 = 4.0;
/// Least such shift, px: sampling and sharpening.
const LEAST_BIAS_PX: f64 = 0.02;
/// Correlation of the two ends' errors: the painter's string is laid end by end, the light comes over the whole.
const PAINT_TOGETHER: f64 = 0.3;
const GRASS_TOGETHER: f64 = 0.7;

/// Standard deviation of the shift, px, that uneven grass gives a stripe of this contrast.
pub(crate) fn bias(contrast: f64) -> f64 {
    (UNEVEN / contrast.max(3.0)).hypot(LEAST_BIAS_PX)
}

/// Sums over a stripe's samples. The stripe's two ends may be off by a shift each, px, linear between: nuisances to be integrated out,
/// so that many samples of one line never count for more than its paint is straight.
#[derive(Clone, Copy)]
pub(crate) struct Stripe {
    a: Matrix8,
    g: Vector8,
    /// Coupling of the step to the two ends.
    b: na::SMatrix<f64, 8, 2>,
    /// Information about the ends, and its pull.
    s: na::Matrix2<f64>,
    q: na::Vector2<f64>,
    weight: f64,
    scale: f64,
    contrast: f64,
    residual: f64,
    place: f64,
}

impl Stripe {
    pub fn new() -> Self {
        Self {
            a: Matrix8::zeros(),
            g: Vector8::zeros(),
            b: na::SMatrix::zeros(),
            s: na::Matrix2::zeros(),
            q: na::Vector2::zeros(),
            weight: 0.0,
            scale: 0.0,
            contrast: 0.0,
            residual: 0.0,
            place: 0.0,
        }
    }
    pub fn is_empty(&self) -> bool {
        self.weight == 0.0
    }
    /// Takes in a sample with residual `r` px, derivative `j` by the step, and information `w`, 1/px².
    pub fn take(&mut self, e: &Seen, r: f64, j: &Vector8, w: f64) {
        let ends = na::Vector2::new(1.0 - e.place, e.place);
        // Symmetric: the lower triangle is enough until the end.
        for c in 0..8 {
            let k = j[c] * w;
            for r in c..8 {
                self.a[(r, c)] += j[r] * k;
            }
        }
        self.g += j * (w * r);
        self.b.column_mut(0).axpy(w * ends.x, j, 1.0);
        self.b.column_mut(1).axpy(w * ends.y, j, 1.0);
        self.s += ends * ends.transpose() * w;
        self.q += ends * (w * r);
        self.weight += w;
        self.scale += w * e.scale;
        self.contrast += w * e.contrast;
        self.residual += w * r;
        self.place += w * e.place;
    }
    /// Covariance of the two ends' shifts, px², for paint laid to `paint` yd.
    fn ends(&self, paint: f64) -> na::Matrix2<f64> {
        let (p, g) = ((paint * self.scale / self.weight).powi(2), bias(self.contrast / self.weight).powi(2));
        let (near, together) = (p + g, PAINT_TOGETHER * p + GRASS_TOGETHER * g);
        na::Matrix2::new(near, together, together, near)
    }
    /// (V⁻¹ + S)⁻¹ of the ends.
    fn gain(&self, paint: f64) -> na::Matrix2<f64> {
        let prior = self.ends(paint).try_inverse().unwrap_or_else(na::Matrix2::zeros);
        (prior + self.s).try_inverse().unwrap_or_else(na::Matrix2::zeros)
    }
    /// Adds the stripe to the normal equations with its ends' shifts integrated out and its information divided by `factor`.
    pub fn add(&mut self, paint: f64, factor: f64, a: &mut Matrix8, g: &mut Vector8) {
        for c in 0..8 {
            for r in 0..c {
                self.a[(r, c)] = self.a[(c, r)];
            }
        }
        let k = self.gain(paint);
        *a += (self.a - self.b * k * self.b.transpose()) / factor;
        *g += (self.g - self.b * (k * self.q)) / factor;
    }
    /// Mean shift across, yd, its variance from noise and grass, and the share of the painter's variance that a mean has.
    pub fn shift(&self) -> (f64, f64, f64) {
        let scale = self.scale / self.weight;
        let u = self.place / self.weight;
        let grass = bias(self.contrast / self.weight).powi(2);
        let share = (1.0 - u).powi(2) + u * u + 2.0 * PAINT_TOGETHER * u * (1.0 - u);
        (self.residual / self.weight / scale, (1.0 / self.weight + grass) / (scale * scale), share)
    }
}

/// A row of marks laid along one string: a shift of the row as a whole beside those of its marks.
#[derive(Clone, Copy)]
pub(crate) struct Row {
    b: Vector8,
    s: f64,
    q: f64,
    scale: f64,
    contrast: f64,
}

impl Row {
    pub fn new() -> Self {
        Self { b: Vector8::zeros(), s: 0.0, q: 0.0, scale: 0.0, contrast: 0.0 }
    }
    /// Takes in a mark as it stands with its own shifts integrated out.
    pub fn join(&mut self, mark: &Stripe, paint: f64, factor: f64) {
        let k = mark.gain(paint);
        let one = na::Vector2::new(1.0, 1.0);
        let passed = one - k * mark.s * one;
        let s = one.dot(&(mark.s * passed)) / factor;
        self.b += mark.b * passed / factor;
        self.s += s;
        self.q += passed.dot(&mark.q) / factor;
        self.scale += s * mark.scale / mark.weight;
        self.contrast += s * mark.contrast / mark.weight;
    }
    /// Takes the row's own freedom out of the normal equations.
    pub fn loosen(&self, paint: f64, a: &mut Matrix8, g: &mut Vector8) {
        if self.s > 0.0 {
            let v = (paint * self.scale / self.s).powi(2) + bias(self.contrast / self.s).powi(2);
            let k = 1.0 / (1.0 / v + self.s);
            *a -= self.b * self.b.transpose() * k;
            *g -= self.b * (self.q * k);
        }
    }
}
