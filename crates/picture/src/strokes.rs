use crate::Ridge;
use geometry::frame::Pixel;
use geometry::{Point2, Vector2};

/// A straight run of ridge points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// One end, px.
    pub a: Point2<Pixel>,
    /// The other end, px.
    pub b: Point2<Pixel>,
    /// RMS distance of the points from the line, px.
    pub rms: f64,
    /// Number of points.
    pub points: u32,
    /// Mean strength of the points.
    pub strength: f64,
}

impl Stroke {
    /// Length, px.
    pub fn length(&self) -> f64 {
        self.a.distance(self.b)
    }
    /// Unit direction from `a` to `b`.
    pub fn direction(&self) -> Vector2<Pixel> {
        (self.b - self.a).unit().unwrap_or(Vector2::new(1.0, 0.0))
    }
    /// Middle, px.
    pub fn middle(&self) -> Point2<Pixel> {
        self.a.lerp(self.b, 0.5)
    }
}

/// Side of the cells in which neighbours are looked up, px.
const CELL: f64 = 4.0;
/// Farthest next point of a run, px.
const REACH: f64 = 4.5;
/// Farthest from the run's line, px.
const ASIDE: f64 = 1.3;
/// Least cosine between a run and its next point.
const ALIGNED: f64 = 0.94;
/// Deviation beyond which a run is split, px.
const STRAIGHT: f64 = 0.9;

/// Links ridge points into straight strokes of at least `least` px: runs are grown from the strongest points along their
/// direction, and split where they bend (Douglas & Peucker 1973, Cartographica 10, 112). Each point belongs to one stroke
/// at most; the second result gives each point's stroke.
pub fn strokes(points: &[Ridge], width: usize, height: usize, least: f64) -> (Vec<Stroke>, Vec<Option<u32>>) {
    let (columns, rows) = ((width as f64 / CELL) as usize + 1, (height as f64 / CELL) as usize + 1);
    let mut cells: Vec<Vec<u32>> = vec![Vec::new(); columns * rows];
    let place = |p: Point2<Pixel>| {
        let at = |v: f64, n: usize| ((v / CELL).max(0.0) as usize).min(n - 1);
        (at(p.x, columns), at(p.y, rows))
    };
    for (i, r) in points.iter().enumerate() {
        let (x, y) = place(r.at);
        cells[y * columns + x].push(i as u32);
    }
    let mut order: Vec<u32> = (0..points.len() as u32).collect();
    order.sort_by(|a, b| points[*b as usize].strength.total_cmp(&points[*a as usize].strength));
    let mut used = vec![false; points.len()];
    let mut owner = vec![None; points.len()];
    let mut out = Vec::new();
    let next = |from: Point2<Pixel>, d: Vector2<Pixel>, used: &[bool]| -> Option<usize> {
        let (x, y) = place(from + d * (0.5 * REACH));
        let mut best: Option<(f64, usize)> = None;
        for j in y.saturating_sub(1)..(y + 2).min(rows) {
            for i in x.saturating_sub(1)..(x + 2).min(columns) {
                for &k in &cells[j * columns + i] {
                    let k = k as usize;
                    if used[k] {
                        continue;
                    }
                    let v = points[k].at - from;
                    let along = v.dot(d);
                    let aside = (v.y * d.x - v.x * d.y).abs();
                    if along > 0.3
                        && along < REACH
                        && aside < ASIDE.min(0.35 + 0.35 * along)
                        && points[k].direction.dot(d).abs() > ALIGNED
                    {
                        let cost = along + 2.0 * aside;
                        if best.is_none_or(|b| cost < b.0) {
                            best = Some((cost, k));
                        }
                    }
                }
            }
        }
        best.map(|b| b.1)
    };
    for seed in order {
        let seed = seed as usize;
        if used[seed] {
            continue;
        }
        used[seed] = true;
        let mut run = vec![seed];
        for sign in [1.0, -1.0] {
            let (mut at, mut d) = (points[seed].at, points[seed].direction * sign);
            while let Some(k) = next(at, d, &used) {
                used[k] = true;
                let own = points[k].direction;
                let own = if own.dot(d) < 0.0 { own * -1.0 } else { own };
                d = (d * 0.8 + own * 0.2).unit().unwrap_or(d);
                at = points[k].at;
                run.push(k);
            }
            if sign > 0.0 {
                run.reverse();
            }
        }
        split(points, &run, least, &mut out, &mut owner);
    }
    (out, owner)
}

fn split(points: &[Ridge], run: &[usize], least: f64, out: &mut Vec<Stroke>, owner: &mut [Option<u32>]) {
    if run.len() < 4 {
        return;
    }
    let (a, b) = (points[run[0]].at, points[run[run.len() - 1]].at);
    let Some(d) = (b - a).unit() else { return };
    let off = |k: usize| {
        let v = points[k].at - a;
        v.y * d.x - v.x * d.y
    };
    let worst = run.iter().enumerate().max_by(|p, q| off(*p.1).abs().total_cmp(&off(*q.1).abs()));
    if let Some((i, &k)) = worst
        && off(k).abs() > STRAIGHT + 0.004 * a.distance(b)
        && i > 0
        && i + 1 < run.len()
    {
        split(points, &run[..=i], least, out, owner);
        split(points, &run[i..], least, out, owner);
        return;
    }
    // Least squares across.
    let n = run.len() as f64;
    let mean = run.iter().fold((0.0, 0.0), |s, &k| (s.0 + points[k].at.x / n, s.1 + points[k].at.y / n));
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for &k in run {
        let (x, y) = (points[k].at.x - mean.0, points[k].at.y - mean.1);
        (xx, xy, yy) = (xx + x * x, xy + x * y, yy + y * y);
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    let u = Vector2::new(angle.cos(), angle.sin());
    let middle = Point2::new(mean.0, mean.1);
    let (mut low, mut high, mut square, mut strength) = (f64::MAX, f64::MIN, 0.0, 0.0);
    for &k in run {
        let v = points[k].at - middle;
        let t = v.dot(u);
        (low, high) = (low.min(t), high.max(t));
        square += (v.y * u.x - v.x * u.y).powi(2);
        strength += f64::from(points[k].strength);
    }
    if high - low < least {
        return;
    }
    let id = out.len() as u32;
    run.iter().for_each(|&k| owner[k] = Some(id));
    out.push(Stroke {
        a: middle + u * low,
        b: middle + u * high,
        rms: (square / n).sqrt(),
        points: run.len() as u32,
        strength: strength / n,
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{GrayImage, RidgeSettings, ridges};

    #[test]
    fn crossing_lines_become_long_strokes_at_their_true_angles() {
        let (w, h) = (200usize, 150usize);
        let mut g = GrayImage::filled(w as u32, h as u32, 70);
        let lines = [(40.0, 0.0, 30.0f64), (120.0, 140.0, 110.0f64)];
        for y in 0..h {
            for x in 0..w {
                let hit = lines.iter().any(|(px, py, deg)| {
                    let (s, c) = deg.to_radians().sin_cos();
                    ((y as f64 + 0.5 - py) * c - (x as f64 + 0.5 - px) * s).abs() < 1.2
                });
                if hit {
                    g.data_mut()[y * w + x] = 190;
                }
            }
        }
        let r = ridges(g.view(), RidgeSettings::default());
        let (found, _) = strokes(&r, w, h, 30.0);
        for (px, py, deg) in lines {
            let (s, c) = deg.to_radians().sin_cos();
            let total: f64 = found
                .iter()
                .filter(|f| {
                    let d = f.direction();
                    let m = f.middle();
                    (d.x * s - d.y * c).abs() < 0.02 && ((m.y - py) * c - (m.x - px) * s).abs() < 0.5
                })
                .map(Stroke::length)
                .sum();
            assert!(total > 90.0, "{deg}: {total} of {found:?}");
        }
    }
}
