//! Explains what differs by upright bodies on the ground, the clearest first.

use crate::share::share_out;
use crate::template::{PARTS, whole};

/// A body in working px.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Body {
    /// Where it stands.
    pub x: f32,
    pub y: f32,
    /// How tall it appears.
    pub tall: f32,
    /// How tall an upright man would.
    pub upright: f32,
    /// Sideways px per px of height, from the ground up: verticals lean near the picture's sides.
    pub lean: f32,
    pub score: f32,
    /// Share of the outline that no other body explains.
    pub seen: f32,
    /// Share of the seen outline that differs.
    pub filled: f32,
    /// Share of the feet's surroundings that is known: not behind somebody, not where the ground is in doubt.
    pub feet: f32,
    /// Whose evidence speaks for it: one of [`Search::maps`].
    pub kit: usize,
}

/// Geometry of standing somewhere: px of height of a yard, and lean; `None` where nobody can stand.
pub(crate) type Standing<'a> = dyn Fn(f32, f32) -> Option<(f32, f32)> + 'a;

/// Heights of the outline tried, yd, and what each loses for being rarer: upright, running, crouching, in a stance.
const HEIGHTS: [(f32, f32); 5] = [(1.98, 0.0), (1.8, 0.0), (1.6, 0.015), (1.35, 0.04), (1.1, 0.06)];
/// Least share of a whole outline's score for a body.
const ENOUGH: f32 = 0.09;
/// Beside a team-mate, within this many heights, somebody needs this score. Chosen on film that no figure uses.
const REST: (f32, f32) = (0.3, 0.2);
/// Least share of the seen outline that differs.
const FILLED: f32 = 0.3;
/// Share of a pixel's evidence that a team must have for its man to claim it.
const OWN: f32 = 0.5;
/// Evidence nearer to none than this says nothing.
pub(crate) const UNKNOWN: f32 = 0.25;
/// Most scans of a frame.
const SCANS: usize = 4;
/// Distance of the places of the coarse scan, px.
const STEP: usize = 2;
/// Most bodies in a frame: 22, officials and whoever stands at the border.
const MOST: usize = 60;

/// Running sums of evidence for and against.
struct Sums {
    w: usize,
    plus: Vec<f32>,
    minus: Vec<f32>,
}

impl Sums {
    fn new(e: &[f32], w: usize, h: usize) -> Self {
        let stride = w + 1;
        let mut out = Self { w, plus: vec![0.0; stride * (h + 1)], minus: vec![0.0; stride * (h + 1)] };
        for y in 0..h {
            let (mut p, mut m) = (0.0f32, 0.0f32);
            for x in 0..w {
                let v = e[y * w + x];
                p += v.max(0.0);
                m += v.min(0.0);
                out.plus[(y + 1) * stride + x + 1] = out.plus[y * stride + x + 1] + p;
                out.minus[(y + 1) * stride + x + 1] = out.minus[y * stride + x + 1] + m;
            }
        }
        out
    }
    fn sum(&self, of: &[f32], r: [usize; 4]) -> f32 {
        let s = self.w + 1;
        of[r[3] * s + r[2]] - of[r[1] * s + r[2]] - of[r[3] * s + r[0]] + of[r[1] * s + r[0]]
    }
}

/// The rectangle of a part, clipped to the picture: left, top, right, bottom px.
fn rectangle(b: &Body, part: usize, w: usize, h: usize) -> [usize; 4] {
    let p = PARTS[part];
    let axis = b.x + b.lean * b.tall * (1.0 - 0.5 * (p.top + p.bottom));
    // Who bends gets wider as he gets lower.
    let half = p.half * b.tall * (b.upright / b.tall).powf(1.3);
    [
        clip(axis - half, w),
        clip(b.y - b.tall * (1.0 - p.top), h),
        clip(axis + half, w),
        clip(b.y - b.tall * (1.0 - p.bottom), h),
    ]
}

/// The search over one frame's evidence.
pub(crate) struct Search<'a> {
    /// Evidence as each team may claim it; one map when teams cannot be told apart.
    pub maps: Vec<Vec<f32>>,
    pub w: usize,
    pub h: usize,
    pub standing: &'a Standing<'a>,
}

impl Search<'_> {
    /// Score of an outline over the evidence as it now is, over that of an upright man's whole outline.
    fn score(&self, b: &Body) -> f32 {
        let mut total = 0.0;
        for (k, p) in PARTS.iter().enumerate() {
            let [x0, y0, x1, y1] = rectangle(b, k, self.w, self.h);
            for y in y0..y1 {
                for v in &self.maps[b.kit][y * self.w + x0..y * self.w + x1.max(x0)] {
                    total += if *v > 0.0 { p.filled * v } else { p.empty * v };
                }
            }
        }
        total / (whole() * b.upright * b.upright)
    }

    /// Geometry of standing at every place of the coarse scan.
    fn ground(&self) -> Vec<Option<(f32, f32)>> {
        let (across, down) = (self.w.div_ceil(STEP), self.h.div_ceil(STEP));
        let place = |k: usize| ((k % across * STEP) as f32 + 0.5, (k / across * STEP) as f32 + 0.5);
        (0..across * down).map(place).map(|(x, y)| (self.standing)(x, y)).collect()
    }

    /// Every local best of the coarse scan of a map; `ground` is [`Self::ground`].
    fn scan(&self, kit: usize, ground: &[Option<(f32, f32)>]) -> Vec<Body> {
        let sums = Sums::new(&self.maps[kit], self.w, self.h);
        let mut out = Vec::new();
        let (across, down) = (self.w.div_ceil(STEP), self.h.div_ceil(STEP));
        let mut best: Vec<Option<Body>> = vec![None; across * down];
        for j in 0..down {
            for i in 0..across {
                let (x, y) = ((i * STEP) as f32 + 0.5, (j * STEP) as f32 + 0.5);
                let Some((yard, lean)) = ground[j * across + i] else { continue };
                let upright = HEIGHTS[0].0 * yard;
                // Most of the ground is empty: no outline can score more than all that differs around it.
                let (half, side) = (0.3 * upright, (lean * upright).abs());
                let around = [
                    clip(x - half - side, self.w),
                    clip(y - upright, self.h),
                    clip(x + half + side, self.w),
                    clip(y, self.h),
                ];
                if sums.sum(&sums.plus, around) < ENOUGH * whole() * upright * upright {
                    continue;
                }
                for (height, cost) in [HEIGHTS[1], HEIGHTS[3]] {
                    let mut b = Body {
                        x,
                        y,
                        tall: height * yard,
                        upright,
                        lean,
                        score: 0.0,
                        seen: 1.0,
                        filled: 1.0,
                        feet: 1.0,
                        kit,
                    };
                    if b.tall < 8.0 {
                        continue;
                    }
                    let total: f32 = PARTS
                        .iter()
                        .enumerate()
                        .map(|(k, p)| {
                            let r = rectangle(&b, k, self.w, self.h);
                            p.filled * sums.sum(&sums.plus, r) + p.empty * sums.sum(&sums.minus, r)
                        })
                        .sum();
                    b.score = total / (whole() * b.upright * b.upright) - cost;
                    let slot = &mut best[j * across + i];
                    if b.score > ENOUGH && slot.is_none_or(|o| o.score < b.score) {
                        *slot = Some(b);
                    }
                }
            }
        }
        for j in 0..down {
            for i in 0..across {
                let Some(b) = best[j * across + i] else { continue };
                let near = (j.saturating_sub(1)..(j + 2).min(down))
                    .flat_map(|q| (i.saturating_sub(1)..(i + 2).min(across)).map(move |p| (p, q)));
                if near.into_iter().all(|(p, q)| best[q * across + p].is_none_or(|o| o.score <= b.score)) {
                    out.push(b);
                }
            }
        }
        out
    }

    /// The best place and height near `b`.
    fn settle(&self, b: Body) -> Body {
        let mut best = b;
        best.score = f32::NEG_INFINITY;
        let mut from = b;
        // In tenths of the height, then finer.
        for share in [0.06, 0.06, 0.03, 0.03, 0.015, 0.015] {
            let step = share * b.upright;
            for (dx, dy) in [(0.0, 0.0), (step, 0.0), (-step, 0.0), (0.0, step), (0.0, -step)] {
                let (x, y) = (from.x + dx, from.y + dy);
                let Some((yard, lean)) = (self.standing)(x, y) else { continue };
                for (height, cost) in HEIGHTS {
                    let mut c = Body { x, y, tall: height * yard, upright: HEIGHTS[0].0 * yard, lean, ..b };
                    c.score = self.score(&c) - cost;
                    if c.score > best.score {
                        best = c;
                    }
                }
            }
            from = best;
        }
        best
    }

    /// Share of the outline not explained by others, and of that the share that differs.
    fn shares(&self, b: &Body) -> (f32, f32) {
        let (mut all, mut open, mut filled) = (0.0f32, 0.0f32, 0.0f32);
        for (k, p) in PARTS.iter().enumerate() {
            let [x0, y0, x1, y1] = rectangle(b, k, self.w, self.h);
            for y in y0..y1 {
                for v in &self.maps[b.kit][y * self.w + x0..y * self.w + x1.max(x0)] {
                    all += p.filled;
                    if v.abs() > UNKNOWN {
                        open += p.filled;
                    }
                    if *v > UNKNOWN {
                        filled += p.filled;
                    }
                }
            }
        }
        (open / all.max(1.0), filled / open.max(1.0))
    }

    /// Takes a body's pixels out of the evidence and notes whose they are.
    fn claim(&mut self, b: &Body, id: u8, owner: &mut [u8]) {
        for k in 0..PARTS.len() {
            let [x0, y0, x1, y1] = rectangle(b, k, self.w, self.h);
            // Arms and a wide step reach beyond the outline.
            let reach = (0.06 * b.tall).ceil() as usize;
            let (x0, x1) = (x0.saturating_sub(reach), (x1 + reach).min(self.w));
            let y1 = if k == 2 { (y1 + reach / 2).min(self.h) } else { y1 };
            for y in y0..y1 {
                for x in x0..x1 {
                    let at = y * self.w + x;
                    let best = self.maps.iter().map(|m| m[at]).fold(0.0, f32::max);
                    // What is rather the other team's is left to it.
                    if best > 0.0 && self.maps[b.kit][at] >= OWN * best {
                        self.maps.iter_mut().for_each(|m| m[at] = m[at].min(0.0));
                        owner[at] = id;
                    }
                }
            }
        }
    }

    /// All bodies, and per pixel the one that explains it (its index plus one).
    pub fn run(&mut self) -> (Vec<Body>, Vec<u8>) {
        let before = self.maps.clone();
        let mut owner = vec![0u8; self.w * self.h];
        let ground = self.ground();
        let mut found: Vec<Body> = Vec::new();
        // What was hidden behind the clearest shows when those are taken away.
        for _ in 0..SCANS {
            let known = found.len();
            self.greedy(&ground, &mut found, &mut owner);
            if found.len() == known {
                break;
            }
        }
        share_out(&before, self.w, self.h, &mut found, &mut owner);
        for (k, b) in found.iter_mut().enumerate() {
            b.seen = b.seen.min(open_share(b, k as u8 + 1, &owner, self.w, self.h));
        }
        (found, owner)
    }

    /// Takes bodies from the clearest on, as long as something is left to explain.
    fn greedy(&mut self, ground: &[Option<(f32, f32)>], found: &mut Vec<Body>, owner: &mut [u8]) {
        let mut queue: Vec<Body> = (0..self.maps.len()).flat_map(|kit| self.scan(kit, ground)).collect();
        queue.sort_by(|a, b| a.score.total_cmp(&b.score));
        while let Some(next) = queue.pop() {
            if found.len() >= MOST {
                break;
            }
            let now = self.score(&next);
            // Others took some of it: back into the queue at its present worth.
            if now < next.score - 0.1 {
                if now > ENOUGH {
                    let at = queue.partition_point(|q| q.score < now);
                    queue.insert(at, Body { score: now, ..next });
                }
                continue;
            }
            let mut b = self.settle(next);
            (b.seen, b.filled) = self.shares(&b);
            if b.score < ENOUGH || b.filled < FILLED {
                continue;
            }
            // Two bodies cannot stand in one place.
            let close =
                |o: &&Body| (o.x - b.x).abs() < 0.14 * b.upright && (o.y - b.y).abs() < 0.1 * b.upright;
            if found.iter().any(|o| close(&o)) {
                continue;
            }
            // What a wide step leaves of somebody looks like a little of a team-mate behind him.
            let beside = |o: &Body| {
                let reach = REST.0 * b.upright;
                o.kit == b.kit && (o.x - b.x).abs() < reach && (o.y - b.y).abs() < reach
            };
            if b.score < REST.1 && found.iter().any(beside) {
                continue;
            }
            found.push(b);
            self.claim(&b, found.len() as u8, owner);
        }
    }
}

/// Share of a body's outline that no other body's pixels cover.
fn open_share(b: &Body, id: u8, owner: &[u8], w: usize, h: usize) -> f32 {
    let (mut all, mut others) = (0.0f32, 0.0f32);
    for (k, p) in PARTS.iter().enumerate() {
        let [x0, y0, x1, y1] = rectangle(b, k, w, h);
        for y in y0..y1 {
            for o in &owner[y * w + x0..y * w + x1.max(x0)] {
                all += p.filled;
                others += if *o != 0 && *o != id { p.filled } else { 0.0 };
            }
        }
    }
    1.0 - others / all.max(1.0)
}

/// A place in px as an index, kept inside the picture.
pub(crate) fn clip(v: f32, side: usize) -> usize {
    v.round().clamp(0.0, side as f32) as usize
}
