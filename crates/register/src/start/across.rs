use super::level::Level;
use field::RuleBook;

/// A ridge point as the search across the field uses it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    pub x: f64,
    pub y: f64,
    pub direction: [f64; 2],
}

/// A place across the field where the paint fits.
#[derive(Clone, Copy, Debug)]
pub(super) struct Across {
    /// y of the camera in the field frame, yd.
    pub camera_y: f64,
    /// Evidence, in marks seen where they should be.
    pub score: f64,
}

/// Yards of the ground per bin, and the range of y about the camera that is looked at.
const BIN: f64 = 0.2;
const LOW: f64 = -110.0;
const HIGH: f64 = 175.0;
const COUNT: usize = ((HIGH - LOW) / BIN) as usize;
/// Marks closer than this in the picture cannot be told apart, px.
const LEAST_PX: f64 = 4.0;

/// What lies where across the field, in yards of paint per bin.
pub(super) struct Profile {
    /// Marks on whole yards less marks between them.
    tick: Vec<f64>,
    /// Lines along the field.
    along: Vec<f64>,
    /// Yard lines, and as much as could show.
    yard: Vec<f64>,
    /// Field in view, yd along the length.
    seen: Vec<f64>,
    /// How well marks can be told there, 0 to 1, times `seen`.
    fine: Vec<f64>,
    inside: Vec<f64>,
    outside: Vec<f64>,
}

fn bin(y: f64) -> Option<usize> {
    (y >= LOW && y < HIGH).then(|| ((y - LOW) / BIN) as usize)
}

/// Gradients of the ground, yd per px: (by picture x, by picture y) of ground x and y.
fn gradient(l: &Level, height: f64, x: f64, y: f64) -> Option<([f64; 2], [[f64; 2]; 2])> {
    let g = l.ground(x, y)?;
    let (a, b) = (l.ground(x + 1.0, y)?, l.ground(x, y + 1.0)?);
    let d = |k: usize| [(a[k] - g[k]) * height, (b[k] - g[k]) * height];
    Some(([g[0] * height, g[1] * height], [d(0), d(1)]))
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

impl Profile {
    /// Over ridge points and a grid of visible pixels, each of `cell` by `cell` px. `offset` is the ground x of a yard line, yd.
    pub fn new(
        l: &Level,
        height: f64,
        offset: f64,
        spots: &[Spot],
        share: f64,
        grid: &[[f64; 2]],
        cell: f64,
    ) -> Self {
        let zero = || vec![0.0; COUNT + 1];
        let mut p = Self {
            tick: zero(),
            along: zero(),
            yard: zero(),
            seen: zero(),
            fine: zero(),
            inside: zero(),
            outside: zero(),
        };
        for s in spots {
            let Some((g, [gx, gy])) = gradient(l, height, s.x, s.y) else { continue };
            let Some(k) = bin(g[1]) else { continue };
            let (ty, tx) = (l.toward(s.x, s.y, [0.0, 1.0]), l.toward(s.x, s.y, [1.0, 0.0]));
            let (cy, cx) = (dot(ty, s.direction).abs(), dot(tx, s.direction).abs());
            if cy > cx && cy > 0.9 {
                let across = dot([-ty[1], ty[0]], gx).abs();
                let yards = dot(ty, gy).abs() / share;
                let u = g[0] - offset;
                let off = (u / 5.0 - (u / 5.0).round()).abs() * 5.0;
                if off < (1.5 * across).max(0.12) {
                    p.yard[k] += yards;
                } else if off > 0.35 && across * LEAST_PX < 1.0 {
                    p.tick[k] += yards * (std::f64::consts::TAU * u).cos();
                }
            } else if cx > cy && cx > 0.96 {
                p.along[k] += dot(tx, gx).abs() / share;
            }
        }
        for q in grid {
            let Some((g, [gx, gy])) = gradient(l, height, q[0], q[1]) else { continue };
            let area = (gx[0] * gy[1] - gx[1] * gy[0]).abs() * cell * cell;
            let deep = (gy[0].abs() + gy[1].abs()) * cell;
            if !(deep > 1e-9 && deep < 60.0) {
                continue;
            }
            let ty = l.toward(q[0], q[1], [0.0, 1.0]);
            let wide_px = 1.0 / dot([-ty[1], ty[0]], gx).abs().max(1e-9);
            let long_px = 0.667 / dot(ty, gy).abs().max(1e-9);
            let fine = ((wide_px - LEAST_PX) / 6.0).clamp(0.0, 1.0) * ((long_px - 1.0) / 3.0).clamp(0.0, 1.0);
            let (a, b) = (g[1] - deep / 2.0, g[1] + deep / 2.0);
            let each = area / deep;
            let (first, last) =
                (((a - LOW) / BIN).max(0.0) as usize, (((b - LOW) / BIN).max(0.0) as usize).min(COUNT));
            // A cell that covers part of a bin gives it that part.
            for k in first..=last {
                let (u, v) = ((LOW + k as f64 * BIN).max(a), (LOW + (k + 1) as f64 * BIN).min(b));
                if v > u && k < COUNT {
                    p.seen[k] += each * (v - u) / BIN;
                    p.fine[k] += each * (v - u) / BIN * fine;
                }
            }
        }
        for k in 0..COUNT {
            let could = p.seen[k] / 5.0 * BIN;
            let there = p.yard[k].min(1.3 * could);
            p.inside[k] = there - 0.35 * could;
            p.outside[k] = -there;
        }
        // Running sums.
        for v in [&mut p.tick, &mut p.along, &mut p.inside, &mut p.outside] {
            let mut sum = 0.0;
            for x in v.iter_mut() {
                let own = *x;
                *x = sum;
                sum += own;
            }
        }
        p
    }

    fn sum(v: &[f64], a: f64, b: f64) -> f64 {
        let at = |y: f64| {
            let t = ((y - LOW) / BIN).clamp(0.0, COUNT as f64);
            let k = (t as usize).min(COUNT - 1);
            v[k] + (v[k + 1] - v[k]) * (t - k as f64)
        };
        at(b) - at(a)
    }

    fn at(v: &[f64], y: f64) -> f64 {
        bin(y).map_or(0.0, |k| v[k])
    }

    /// Evidence for the camera standing at `camera_y`.
    fn score(&self, book: RuleBook, camera_y: f64) -> f64 {
        let w = book.width();
        let place = |y: f64| y - camera_y;
        let mut out = 0.0;
        let mark = book.hash_length();
        for (low, high, needed, worth) in [
            (book.hash_from_sideline() - mark, book.hash_from_sideline(), 0.45, 1.6),
            (book.far_hash(), book.far_hash() + mark, 0.45, 1.6),
            (0.11, 0.11 + mark, 0.0, 0.5),
            (w - 0.11 - mark, w - 0.11, 0.0, 0.5),
        ] {
            let mid = place(0.5 * (low + high));
            let (seen, fine) = (Self::at(&self.seen, mid), Self::at(&self.fine, mid));
            if seen < 2.0 {
                continue;
            }
            let expected = 0.8 * seen * mark;
            let got = Self::sum(&self.tick, place(low - 0.15), place(high + 0.15));
            let ratio = (got / (0.6 * expected)).clamp(-0.3, 1.0);
            out += 0.8 * fine * (worth * ratio - needed);
        }
        for y in [-0.055, w + 0.055] {
            let seen = Self::at(&self.seen, place(y));
            if seen < 2.0 {
                continue;
            }
            let got = Self::sum(&self.along, place(y - 0.35), place(y + 0.35));
            out += 0.35 * seen * ((got / (0.7 * seen)).min(1.0) - 0.12);
        }
        out += 0.5 * Self::sum(&self.inside, place(0.3), place(w - 0.3));
        out += 0.8
            * (Self::sum(&self.outside, LOW, place(-0.8)) + Self::sum(&self.outside, place(w + 0.8), HIGH));
        out
    }

    /// The best places within `range`, at most `count`, a yard or more apart.
    pub fn best(&self, book: RuleBook, range: [f64; 2], count: usize) -> Vec<Across> {
        let steps = ((range[1] - range[0]) / BIN) as usize;
        let mut all: Vec<Across> = (0..=steps)
            .map(|k| {
                let camera_y = range[0] + k as f64 * BIN;
                Across { camera_y, score: self.score(book, camera_y) }
            })
            .collect();
        all.sort_by(|a, b| b.score.total_cmp(&a.score));
        let mut out: Vec<Across> = Vec::new();
        for a in all {
            if out.iter().all(|o| (o.camera_y - a.camera_y).abs() > 1.0) {
                out.push(a);
                if out.len() == count {
                    break;
                }
            }
        }
        out
    }
}
