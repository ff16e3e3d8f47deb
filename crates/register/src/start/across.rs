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
    /// Slant of the rows that was taken out, yd of y per yd of x: what the guessed roll gets wrong.
    pub shear: f64,
}

/// Yards of the ground per bin, and the range of y about the camera that is looked at.
const BIN: f64 = 0.2;
const LOW: f64 = -110.0;
const HIGH: f64 = 175.0;
const COUNT: usize = ((HIGH - LOW) / BIN) as usize;
/// Marks closer than this in the picture cannot be told apart, px.
const LEAST_PX: f64 = 4.0;

/// Lines along the field that stand more upright than this in the picture (sine) are taken for people and posts: no camera stands over
/// a sideline.
const UPRIGHT: f64 = 0.97;

/// Ridge points and visible ground as a shape sees them, before the place across the field is known.
pub(super) struct Ground {
    /// Marks on whole yards, weighted +1, to between them, −1, and the same with odd yards negative; lines along the field; yard lines:
    /// x, y and yards of paint.
    tick: Vec<[f64; 3]>,
    even: Vec<[f64; 3]>,
    along: Vec<[f64; 3]>,
    yard: Vec<[f64; 3]>,
    /// Cells of the picture: x, y, depth in y, yd along the field that each bin gains, and how well marks and yard lines can be told
    /// there.
    cells: Vec<[f64; 6]>,
    /// Middle of the ground in view along the field.
    pivot: f64,
}

/// What lies where across the field, in yards of paint per bin.
struct Profile {
    /// Marks on whole yards less marks between them.
    tick: Vec<f64>,
    /// Marks on even yards less marks on odd ones: at twice the true scale all lie on one kind.
    even: Vec<f64>,
    /// Lines along the field.
    along: Vec<f64>,
    /// Field in view, yd along the length.
    seen: Vec<f64>,
    /// How well marks can be told there, 0 to 1, times `seen`.
    fine: Vec<f64>,
    /// Yard lines, and as much as could show.
    there: Vec<f64>,
    could: Vec<f64>,
}

fn bin(y: f64) -> Option<usize> {
    (LOW..HIGH).contains(&y).then(|| ((y - LOW) / BIN) as usize)
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

impl Ground {
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
        let mut out = Self {
            tick: Vec::new(),
            even: Vec::new(),
            along: Vec::new(),
            yard: Vec::new(),
            cells: Vec::new(),
            pivot: 0.0,
        };
        for s in spots {
            let Some((g, [gx, gy])) = gradient(l, height, s.x, s.y) else { continue };
            if bin(g[1]).is_none() {
                continue;
            }
            let (ty, tx) = (l.toward(s.x, s.y, [0.0, 1.0]), l.toward(s.x, s.y, [1.0, 0.0]));
            let (cy, cx) = (dot(ty, s.direction).abs(), dot(tx, s.direction).abs());
            if cy > cx && cy > 0.9 {
                let across = dot([-ty[1], ty[0]], gx).abs();
                let yards = dot(ty, gy).abs() / share;
                let u = g[0] - offset;
                let off = (u / 5.0 - (u / 5.0).round()).abs() * 5.0;
                if off < (1.5 * across).max(0.12) {
                    out.yard.push([g[0], g[1], yards]);
                } else if off > 0.35 && across * LEAST_PX < 1.0 {
                    let turn = std::f64::consts::PI * u;
                    out.tick.push([g[0], g[1], yards * (2.0 * turn).cos()]);
                    out.even.push([g[0], g[1], yards * turn.cos()]);
                }
            } else if cx > cy && cx > 0.96 && tx[1].abs() < UPRIGHT {
                out.along.push([g[0], g[1], dot(tx, gx).abs() / share]);
            }
        }
        let (mut sum, mut weight) = (0.0, 0.0);
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
            // A line thinner than a third of a pixel is lost in the grass.
            let plain = ((wide_px * 0.111 - 0.3) / 0.5).clamp(0.0, 1.0);
            out.cells.push([g[0], g[1], deep, area / deep, fine, plain]);
            sum += g[0] * (0.05 + fine);
            weight += 0.05 + fine;
        }
        out.pivot = sum / f64::max(weight, 1e-9);
        out
    }

    /// The rows with a slant taken out.
    fn profile(&self, shear: f64) -> Profile {
        let zero = || vec![0.0; COUNT + 1];
        let mut p = Profile {
            tick: zero(),
            even: zero(),
            along: zero(),
            seen: zero(),
            fine: zero(),
            there: zero(),
            could: zero(),
        };
        let straight = |q: &[f64; 3]| bin(q[1] - shear * (q[0] - self.pivot));
        for (from, to) in [
            (&self.tick, &mut p.tick),
            (&self.even, &mut p.even),
            (&self.along, &mut p.along),
            (&self.yard, &mut p.there),
        ] {
            for q in from {
                if let Some(k) = straight(q) {
                    to[k] += q[2];
                }
            }
        }
        for &[x, y, deep, each, fine, plain] in &self.cells {
            let y = y - shear * (x - self.pivot);
            let (a, b) = (y - deep / 2.0, y + deep / 2.0);
            let (first, last) =
                (((a - LOW) / BIN).max(0.0) as usize, (((b - LOW) / BIN).max(0.0) as usize).min(COUNT));
            // A cell that covers part of a bin gives it that part.
            for k in first..=last {
                let (u, v) = ((LOW + k as f64 * BIN).max(a), (LOW + (k + 1) as f64 * BIN).min(b));
                if v > u && k < COUNT {
                    p.seen[k] += each * (v - u) / BIN;
                    p.fine[k] += each * (v - u) / BIN * fine;
                    p.could[k] += each * (v - u) / 5.0 * plain;
                }
            }
        }
        for k in 0..COUNT {
            p.there[k] = p.there[k].min(1.3 * p.could[k]);
        }
        // Running sums.
        for v in [&mut p.tick, &mut p.even, &mut p.along, &mut p.there, &mut p.could] {
            let mut sum = 0.0;
            for x in v.iter_mut() {
                let own = *x;
                *x = sum;
                sum += own;
            }
        }
        p
    }

    /// The best places of the camera within `range`, at most `count`, a yard or more apart. `slack` is how far paint may lie from its
    /// row, yd; every slant of `shears` is tried.
    pub fn best(
        &self,
        book: RuleBook,
        range: [f64; 2],
        slack: f64,
        count: usize,
        shears: &[f64],
    ) -> Vec<Across> {
        let mut all: Vec<Across> = Vec::new();
        for &shear in shears {
            let p = self.profile(shear);
            // The camera stands at x = 0: y of the field there is that at the pivot less the slant between.
            let moved = shear * self.pivot;
            let steps = ((range[1] - range[0]) / BIN) as usize;
            let scores: Vec<f64> =
                (0..=steps).map(|k| p.score(book, range[0] + k as f64 * BIN - moved, slack)).collect();
            for (k, &score) in scores.iter().enumerate() {
                let peak = (k == 0 || scores[k - 1] <= score) && (k == steps || scores[k + 1] < score);
                if peak {
                    all.push(Across { camera_y: range[0] + k as f64 * BIN, score, shear });
                }
            }
        }
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

impl Profile {
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

    /// Evidence for the camera standing at `camera_y`, paint within `slack` yd of its row.
    fn score(&self, book: RuleBook, camera_y: f64, slack: f64) -> f64 {
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
            let expected = 0.8 * fine.max(2.0) * mark;
            let all = Self::sum(&self.tick, place(low - slack), place(high + slack));
            let got = all - Self::sum(&self.even, place(low - slack), place(high + slack)).abs();
            let ratio = (got / (0.6 * expected)).clamp(-0.3, 1.0);
            out += 0.8 * fine * (worth * ratio - needed);
        }
        for y in [-0.055, w + 0.055] {
            let seen = Self::at(&self.seen, place(y));
            if seen < 2.0 {
                continue;
            }
            let got = Self::sum(&self.along, place(y - 0.2 - slack), place(y + 0.2 + slack));
            out += 0.35 * seen * ((got / (0.7 * seen)).min(1.0) - 0.12);
        }
        // Yard lines end at the sidelines, and reach them.
        let (low, high) = (place(0.3), place(w - 0.3));
        let within = Self::sum(&self.there, low, high);
        let beyond = Self::sum(&self.there, LOW, place(-0.8)) + Self::sum(&self.there, place(w + 0.8), HIGH);
        let could = Self::sum(&self.could, low, high);
        out += 20.0 * (within / could.max(5.0)).min(1.0) - 40.0 * beyond / (within + beyond).max(5.0);
        out
    }
}
