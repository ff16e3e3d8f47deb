/// A stroke as one place along the field: where, how much of it, and how many units of the ground a pixel spans across it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub x: f64,
    pub weight: f64,
    pub per_px: f64,
}

/// Evenly spaced places: x = offset + k · step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Comb {
    pub offset: f64,
    pub step: f64,
    /// Length of strokes on it, less those beside it, times the share of its teeth that are there, px.
    pub score: f64,
    pub teeth: usize,
}

/// Least distance between teeth, px.
const LEAST_PX: f64 = 6.0;
/// A stroke off the comb speaks against it when it is longer than this share of the longest: short ones are marks.
const LONG: f64 = 0.12;
/// Weight of strokes off the comb.
const OFF: f64 = 0.7;

fn tolerance(p: &Place, step: f64) -> f64 {
    (1.6 * p.per_px).max(0.035 * step).min(0.2 * step)
}

/// The comb that explains the most. `steps` bounds the step.
pub(super) fn comb(places: &[Place], steps: [f64; 2], seeds: usize) -> Option<Comb> {
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by(|a, b| places[*b].weight.total_cmp(&places[*a].weight));
    order.truncate(seeds);
    let mut best: Option<Comb> = None;
    for (k, &i) in order.iter().enumerate() {
        for &j in &order[..k] {
            let apart = (places[i].x - places[j].x).abs();
            for m in 1..=4 {
                let step = apart / f64::from(m);
                if step < steps[0] || step > steps[1] {
                    continue;
                }
                let c = score(places, places[i].x, step);
                if c.teeth >= 3 && best.is_none_or(|b| c.score > b.score) {
                    best = Some(c);
                }
            }
        }
    }
    let mut b = best?;
    for _ in 0..3 {
        if let Some(r) = refit(places, &b) {
            let c = score(places, r.0, r.1);
            if c.score >= 0.98 * b.score && c.teeth >= 3 {
                b = c;
            }
        }
    }
    Some(b)
}

fn score(places: &[Place], offset: f64, step: f64) -> Comb {
    let mut teeth = [0.0f64; 128];
    let (mut low, mut high) = (127usize, 0usize);
    let (mut on, mut off) = (0.0, 0.0);
    let longest = places.iter().map(|p| p.weight).fold(0.0, f64::max);
    for p in places {
        let u = (p.x - offset) / step;
        let k = u.round();
        let t = tolerance(p, step);
        let e = (u - k).abs() * step / t;
        // Where teeth are closer than the pixels tell apart, anything fits.
        if step / p.per_px < LEAST_PX || k.abs() > 60.0 {
            continue;
        }
        if e < 1.0 {
            on += p.weight * (1.0 - e * e);
            let tooth = (k + 64.0) as usize;
            teeth[tooth] += p.weight;
        } else if p.weight > LONG * longest {
            off += p.weight;
        }
    }
    let heaviest = teeth.iter().copied().fold(0.0, f64::max);
    let counts = |w: f64| w > 0.08 * heaviest;
    let mut there = 0;
    for (k, &w) in teeth.iter().enumerate() {
        if counts(w) {
            (low, high) = (low.min(k), high.max(k));
            there += 1;
        }
    }
    let span = if there > 0 { high - low + 1 } else { 1 };
    let fill = there as f64 / span as f64;
    Comb { offset, step, score: (on - OFF * off) * fill, teeth: there }
}

fn refit(places: &[Place], c: &Comb) -> Option<(f64, f64)> {
    let (mut w, mut wk, mut wkk, mut wx, mut wkx) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for p in places {
        let k = ((p.x - c.offset) / c.step).round();
        let e = (p.x - c.offset - k * c.step).abs() / tolerance(p, c.step);
        if e < 1.0 && c.step / p.per_px >= LEAST_PX {
            let g = p.weight * (1.0 - e * e) / (p.per_px * p.per_px);
            w += g;
            wk += g * k;
            wkk += g * k * k;
            wx += g * p.x;
            wkx += g * k * p.x;
        }
    }
    let det = w * wkk - wk * wk;
    (det.abs() > 1e-12 * w * w).then(|| ((wx * wkk - wk * wkx) / det, (w * wkx - wk * wx) / det))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn even_lines_are_found_among_others_and_with_one_missing() {
        let p = |x: f64, weight| Place { x, weight, per_px: 0.005 };
        let mut places: Vec<_> =
            [0, 1, 2, 4, 5, 6].map(|k| p(0.3 + 0.25 * f64::from(k) + 0.002, 200.0)).into();
        places.extend([0.41, 0.97, 1.13, 1.62].map(|x| p(x, 120.0)));
        let c = comb(&places, [0.05, 2.0], 14).unwrap();
        assert!((c.step - 0.25).abs() < 0.003 && c.teeth == 6, "{c:?}");
        let u = (c.offset - 0.302) / 0.25;
        assert!((u - u.round()).abs() < 0.02);
    }
}
