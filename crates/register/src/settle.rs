use crate::evidence::Seen;
use crate::minimise::Free;
use crate::model::{Matrix8, Model, Surface, Vector8};
use crate::prior::difference;
use crate::samples::{Class, GROUPS};
use crate::stripe::{Row, Stripe, bias};
use nalgebra as na;

/// Gaussian belief about a model, in its own steps.
#[derive(Clone, Debug)]
pub(crate) struct Anchor {
    pub model: Model,
    pub information: Matrix8,
}

impl Anchor {
    /// The step that would take `at` to the believed model.
    pub fn offset(&self, at: &Model) -> Vector8 {
        match (&self.model, at) {
            (Model::Pinhole(b), Model::Pinhole(a)) => difference(b, a),
            (Model::Plane(b), Model::Plane(a)) => a.step_to(b).unwrap_or_else(Vector8::zeros),
            _ => Vector8::zeros(),
        }
    }
}

/// Where robust Gauss-Newton came to rest on chalk.
pub(crate) struct Settled {
    pub model: Model,
    /// Information of evidence and belief together.
    pub information: Matrix8,
    /// RMS of the inliers' residuals, px.
    pub rms_px: f64,
    /// RMS of the inliers' scale, px of the picture per yard across their paint.
    pub scale: f64,
    /// Inliers, those on long lines, and those that tell the place across.
    pub inliers: usize,
    pub inliers_long: usize,
    pub inliers_rows: usize,
    /// Stripes with inliers.
    pub stripes: usize,
    /// Paint error of stripes, yd, re-estimated from this frame; `None` with too few stripes.
    pub paint: Option<f64>,
}

/// Whose residuals set the limit between chalk and chance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Scales {
    /// Each kind of paint its own: rows far off must not be outliers because yard lines already fit.
    ByClass,
    /// All together: near the end a whole kind that disagrees is wrong.
    Joint,
}

fn robust_scale(z: &mut [f64]) -> f64 {
    if z.is_empty() {
        return 0.0;
    }
    let middle = z.len() / 2;
    1.4826 * *z.select_nth_unstable_by(middle, f64::total_cmp).1
}

/// Tukey's constant: 95% efficiency on Gaussian residuals (Huber & Ronchetti, Robust Statistics).
const TUKEY: f64 = 4.685;

/// Squared length of a step, in standard deviations of what is known after it, below which another changes nothing worth having.
const AT_REST: f64 = 1e-4;

/// Robust iteratively reweighted Gauss-Newton over chalk with a belief. `tightest` bounds the residual scale from below.
pub(crate) fn settle(
    start: Model,
    s: &Surface,
    seen: &[Seen],
    anchor: &Anchor,
    free: Free,
    paint: f64,
    scales: Scales,
    iterations: usize,
) -> Option<Settled> {
    let mut model = start;
    let mut out = None;
    let mut residuals: Vec<(f64, Vector8, f64)> = Vec::with_capacity(seen.len());
    let mut sorted: [Vec<f64>; 4] = Default::default();
    for iteration in 0..=iterations {
        residuals.clear();
        sorted.iter_mut().for_each(Vec::clear);
        let posed = model.posed(s);
        for e in seen {
            let Some((pixel, by_step)) = posed.moved(e.ground) else {
                residuals.push((f64::INFINITY, Vector8::zeros(), e.sd));
                continue;
            };
            let r = e.normal.dot(&(e.at - pixel.column()));
            // A stripe's paint error is not noise: it must not make its samples outliers.
            let sd = e.sd.hypot(paint * e.scale).hypot(bias(e.contrast));
            residuals.push((r, by_step.transpose() * e.normal, sd));
            sorted[e.class as usize].push((r / sd).abs());
        }
        if sorted.iter().map(Vec::len).sum::<usize>() < 4 {
            return None;
        }
        let mut all: Vec<f64> = if scales == Scales::Joint { sorted.concat() } else { Vec::new() };
        let joint = robust_scale(&mut all);
        let own: [f64; 4] = std::array::from_fn(|k| robust_scale(&mut sorted[k]));
        let cuts = own.map(|s| TUKEY * if scales == Scales::Joint { joint } else { s }.max(0.7));
        let weigh = |class: Class, r: f64, sd: f64| {
            let u = r / (sd * cuts[class as usize]);
            if u.abs() < 1.0 { (1.0 - u * u).powi(2) } else { 0.0 }
        };
        // White noise of the samples, from neighbours on the same stripe.
        let white = white_factor(seen, &residuals, &weigh);
        let mut a = anchor.information;
        let offset = anchor.offset(&model);
        let mut g = anchor.information * offset;
        let (mut sum, mut inliers, mut inliers_long, mut inliers_rows, mut stripes) = (0.0, 0, 0, 0, 0);
        let mut scale = 0.0;
        let mut shifts: Vec<(f64, f64, f64)> = Vec::new();
        let mut rows = [Row::new(); GROUPS as usize];
        let mut k = 0;
        while k < seen.len() {
            let cluster = seen[k].cluster;
            let mut stripe = Stripe::new();
            while k < seen.len() && seen[k].cluster == cluster {
                let e = &seen[k];
                let (r, j, sd) = &residuals[k];
                let weight = if r.is_finite() { weigh(e.class, *r, *sd) } else { 0.0 };
                if weight > 0.0 {
                    let w = weight / (e.sd * e.sd * white);
                    stripe.take(e, *r, j, w);
                    sum += r * r;
                    scale += e.scale * e.scale;
                    inliers += 1;
                    inliers_long += usize::from(e.long);
                    inliers_rows += usize::from(e.class == Class::Row);
                }
                k += 1;
            }
            if !stripe.is_empty() {
                stripes += 1;
                // A kind of paint that scatters beyond its claim counts for less.
                let factor = if scales == Scales::Joint {
                    own[seen[k - 1].class as usize].max(1.0).powi(2)
                } else {
                    1.0
                };
                stripe.add(paint, factor, &mut a, &mut g);
                if let Some(row) = rows.get_mut(seen[k - 1].group as usize) {
                    row.join(&stripe, paint, factor);
                }
                shifts.push(stripe.shift());
            }
        }
        rows.iter().for_each(|r| r.loosen(paint, &mut a, &mut g));
        let rms_px = (sum / f64::max(inliers as f64, 1.0)).sqrt();
        out = Some(Settled {
            model,
            information: a,
            rms_px,
            scale: (scale / f64::max(inliers as f64, 1.0)).sqrt(),
            inliers,
            inliers_long,
            inliers_rows,
            stripes,
            paint: paint_error(&shifts),
        });
        if iteration == iterations {
            break;
        }
        let Some(step) = solve(&a, &g, free) else { break };
        if step.dot(&(a * step)) < AT_REST {
            break;
        }
        model = model.stepped(&step);
        if let Model::Pinhole(p) = &model
            && !(p.aim.focal > 50.0 && p.station.k1.abs() < 0.5)
        {
            return None;
        }
    }
    out
}

/// Variance of standardised sample noise: neighbours on a stripe differ by it and not by paint or pose.
fn white_factor(
    seen: &[Seen],
    residuals: &[(f64, Vector8, f64)],
    weigh: &impl Fn(Class, f64, f64) -> f64,
) -> f64 {
    let (mut sum, mut n) = (0.0, 0.0);
    for k in 1..seen.len() {
        let (a, b) = (&seen[k - 1], &seen[k]);
        if a.cluster != b.cluster || !a.long {
            continue;
        }
        let ((ra, _, sa), (rb, _, sb)) = (&residuals[k - 1], &residuals[k]);
        if ra.is_finite()
            && rb.is_finite()
            && weigh(a.class, *ra, *sa) > 0.0
            && weigh(b.class, *rb, *sb) > 0.0
        {
            let d = ra - rb;
            sum += (d * d / (a.sd * a.sd + b.sd * b.sd)).min(25.0);
            n += 1.0;
        }
    }
    // A handful of pairs says little: lean on the stated noise.
    (sum + 10.0) / (n + 10.0)
}

/// Standard deviation of paint, yd, beyond noise and grass (method of moments), from (shift, variance, share of paint) of stripes.
fn paint_error(shifts: &[(f64, f64, f64)]) -> Option<f64> {
    // The fit itself takes about six stripes' worth of freedom.
    const FITTED: f64 = 6.0;
    let usual = 0.01f64.powi(2);
    let (mut sum, mut weight, mut square) = (0.0, 0.0, 0.0);
    for &(p, v, share) in shifts {
        let w = 1.0 / (v + usual).powi(2);
        let bounded = (p * p).min(0.25 * 0.25);
        sum += w * (bounded - v) / share;
        weight += w;
        square += w * w;
    }
    let n = weight * weight / square.max(f64::MIN_POSITIVE);
    (n > FITTED + 2.0).then(|| (sum / weight * n / (n - FITTED)).max(0.0).sqrt())
}

fn solve(a: &Matrix8, g: &Vector8, free: Free) -> Option<Vector8> {
    let (mut a, mut g) = (*a, *g);
    for k in 0..8 {
        if !free[k] {
            for j in 0..8 {
                a[(k, j)] = 0.0;
                a[(j, k)] = 0.0;
            }
            a[(k, k)] = 1.0;
            g[k] = 0.0;
        } else {
            a[(k, k)] += 1e-9;
        }
    }
    let step = na::linalg::Cholesky::new(a)?.solve(&g);
    step.iter().all(|v| v.is_finite()).then_some(step)
}
