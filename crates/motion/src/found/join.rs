//! Strands that are one man's put together: the same man in two views, and before and after he was hidden.

use super::{Dress, Spot};
use crate::assign::assign_or_leave;
use geometry::{Point2, Vector2, frame::Ground};
use play::View;
use std::collections::HashMap;

/// Two strands that overlap are one man's when they keep within this many squared standard deviations on average.
const TOGETHER: f64 = 3.0;
/// And are both seen in the same frame of the same view in at most this share of the shorter one's frames.
const BOTH_SEEN: f64 = 0.08;
/// Longest time that somebody is believed to have been hidden, s.
const HIDDEN_S: f64 = 3.0;
/// Longest time for which a strand may have followed somebody else before its man was found again, s.
const STOLEN_S: f64 = 0.6;
/// Acceleration with which somebody hidden may turn, yd/s².
const TURN: f64 = 3.0;
/// Dearest link: three degrees of freedom each for place and speed with dress beside them.
const LIMIT: f64 = 22.0;
/// Sightings at a strand's end from which its place and speed there are read, s.
const END_S: f64 = 0.4;

/// One list of sightings per man, in time order.
pub(super) fn join(strands: Vec<Vec<Spot>>) -> Vec<Vec<Spot>> {
    let mut all = unite(strands);
    // A man hidden several times is linked at each gap at once; a second round joins what became clear.
    for _ in 0..2 {
        all = link(all);
        all = unite(all);
    }
    all
}

/// Merges strands of the same man that overlap in time, the surest pair first.
fn unite(mut strands: Vec<Vec<Spot>>) -> Vec<Vec<Spot>> {
    loop {
        let mut best: Option<(f64, usize, usize)> = None;
        for a in 0..strands.len() {
            for b in a + 1..strands.len() {
                if let Some(d) = together(&strands[a], &strands[b])
                    && best.is_none_or(|o| d < o.0)
                {
                    best = Some((d, a, b));
                }
            }
        }
        let Some((_, a, b)) = best else { return strands };
        let other = strands.swap_remove(b);
        strands[a].extend(other);
        strands[a].sort_by(|p, q| p.at.t_s.total_cmp(&q.at.t_s));
    }
}

/// How near two strands keep to each other while both last; `None` when they are two men.
fn together(a: &[Spot], b: &[Spot]) -> Option<f64> {
    let (from, to) = (a[0].at.t_s.max(b[0].at.t_s), a[a.len() - 1].at.t_s.min(b[b.len() - 1].at.t_s));
    if to - from < 0.3 {
        return None;
    }
    let inside = |s: &&Spot| (from..=to).contains(&s.at.t_s);
    let (na, nb) = (a.iter().filter(inside).count(), b.iter().filter(inside).count());
    if na < 5 || nb < 5 {
        return None;
    }
    let frames: HashMap<(View, u32), ()> =
        a.iter().filter(inside).map(|s| ((s.at.view, s.frame), ())).collect();
    let both = b.iter().filter(inside).filter(|s| frames.contains_key(&(s.at.view, s.frame))).count();
    if both as f64 > BOTH_SEEN * na.min(nb) as f64 {
        return None;
    }
    if Dress::of(a).distance2(&Dress::of(b)) > 20.0 {
        return None;
    }
    let (mut sum, mut n) = (0.0, 0.0);
    let mut k = 0;
    for s in b.iter().filter(inside) {
        while k + 1 < a.len() && (a[k + 1].at.t_s - s.at.t_s).abs() <= (a[k].at.t_s - s.at.t_s).abs() {
            k += 1;
        }
        let o = &a[k];
        if (o.at.t_s - s.at.t_s).abs() > 0.1 {
            continue;
        }
        let c = s.at.noise.plus(s.at.common).plus(o.at.noise).plus(o.at.common);
        let d = s.at.position - o.at.position;
        let v = nalgebra::Vector2::new(d.x, d.y);
        sum += (v.transpose() * c.matrix().try_inverse()? * v)[0];
        n += 1.0;
    }
    let mean = sum / n;
    (n >= 4.0 && mean < TOGETHER).then_some(mean)
}

/// An end of a strand.
struct End {
    t: f64,
    place: Point2<Ground>,
    speed: Vector2<Ground>,
    /// Variance of place, yd², and of speed, (yd/s)², per axis.
    place_var: f64,
    speed_var: f64,
}

/// Place and speed at a strand's first or last instant by a straight line through the sightings there.
fn end(spots: &[Spot], last: bool) -> End {
    let t = if last { spots[spots.len() - 1].at.t_s } else { spots[0].at.t_s };
    let near: Vec<&Spot> = spots.iter().filter(|s| (s.at.t_s - t).abs() <= END_S).collect();
    let n = near.len() as f64;
    let mid = near.iter().map(|s| s.at.t_s - t).sum::<f64>() / n;
    let mean = |f: &dyn Fn(&Spot) -> f64| near.iter().map(|s| f(s)).sum::<f64>() / n;
    let (x, y) = (mean(&|s| s.at.position.x), mean(&|s| s.at.position.y));
    let wide: f64 = near.iter().map(|s| (s.at.t_s - t - mid).powi(2)).sum::<f64>();
    let slope = |f: &dyn Fn(&Spot) -> f64, m: f64| {
        near.iter().map(|s| (s.at.t_s - t - mid) * (f(s) - m)).sum::<f64>() / (wide + n * 0.0025)
    };
    let speed = Vector2::new(slope(&|s| s.at.position.x, x), slope(&|s| s.at.position.y, y));
    let noise = near.iter().map(|s| s.at.noise.rms().powi(2) / 2.0).sum::<f64>() / n;
    let common = near.iter().map(|s| s.at.common.rms().powi(2) / 2.0).sum::<f64>() / n;
    End {
        t,
        place: Point2::new(x - speed.x * mid, y - speed.y * mid),
        speed,
        // Sightings of neighbouring frames err alike.
        place_var: noise / (n / 4.0).max(1.0) + common + 0.01,
        speed_var: (noise / (wide / 4.0).max(0.01)).min(9.0) + 0.5,
    }
}

/// Links ends of strands to later beginnings, all at once at least total cost.
fn link(strands: Vec<Vec<Spot>>) -> Vec<Vec<Spot>> {
    let ends: Vec<(End, End, Dress)> =
        strands.iter().map(|s| (end(s, false), end(s, true), Dress::of(s))).collect();
    let cost = |a: usize, b: usize| {
        let (from, to) = (&ends[a].1, &ends[b].0);
        let gap = to.t - from.t;
        if a == b || !(-STOLEN_S..HIDDEN_S).contains(&gap) || ends[a].0.t >= to.t {
            return f64::INFINITY;
        }
        // Where the first goes on beside the second it followed somebody else at its end: that end is dropped.
        let cut = (gap < 0.0).then(|| {
            let kept: Vec<Spot> = strands[a].iter().filter(|s| s.at.t_s < to.t).copied().collect();
            end(&kept, true)
        });
        let (from, gap) = match &cut {
            Some(c) => (c, to.t - c.t),
            None => (from, gap),
        };
        // Where he would be half-way, from both ends.
        let there = from.place + from.speed * (gap / 2.0);
        let back = to.place - to.speed * (gap / 2.0);
        let d = there - back;
        let reach = (0.5 * TURN * (gap / 2.0).powi(2)).powi(2) * 2.0;
        let place_var =
            from.place_var + to.place_var + reach + (from.speed_var + to.speed_var) * (gap / 2.0).powi(2);
        let dv = to.speed - from.speed;
        let speed_var = from.speed_var + to.speed_var + (TURN * gap).powi(2) / 2.0;
        // Nobody runs faster than this, however long he was hidden.
        if (to.place - from.place).norm() > 11.0 * gap + 1.5 {
            return f64::INFINITY;
        }
        d.dot(d) / place_var
            + 0.5 * dv.dot(dv) / speed_var
            + 0.6 * ends[a].2.distance2(&ends[b].2)
            + 2.0 * place_var.max(0.05).ln().max(-2.0)
            + 1.5 * gap
    };
    let costs: Vec<Vec<f64>> =
        (0..strands.len()).map(|a| (0..strands.len()).map(|b| cost(a, b)).collect()).collect();
    let next = assign_or_leave(&costs, LIMIT);
    let mut before = vec![None; strands.len()];
    for (a, b) in next.iter().enumerate() {
        if let Some(b) = b {
            before[*b] = Some(a);
        }
    }
    let mut out = Vec::new();
    for (k, b) in before.iter().enumerate() {
        if b.is_some() {
            continue;
        }
        let (mut chain, mut at) = (strands[k].clone(), k);
        while let Some(then) = next[at] {
            let from = strands[then][0].at.t_s;
            chain.retain(|s: &Spot| s.at.t_s < from);
            chain.extend(strands[then].iter().copied());
            at = then;
        }
        chain.sort_by(|p, q| p.at.t_s.total_cmp(&q.at.t_s));
        out.push(chain);
    }
    out
}
