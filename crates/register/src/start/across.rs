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
        // Where cells begin and end: a cell that covers part of a bin gives it that part.
        for &[x, y, deep, each, fine, plain] in &self.cells {
            let y = y - shear * (x - self.pivot);
            for (edge, sign) in [(y - deep / 2.0, each), (y + deep / 2.0, -each)] {
                let t = ((edge - LOW) / BIN).clamp(0.0, COUNT as f64);
                let k = (t as usize).min(COUNT - 1);
                let (next, own) = (sign * (t - k as f64), sign * (k as f64 + 1.0 - t));
                for (v, worth) in [(&mut p.seen, 1.0), (&mut p.fine, fine), (&mut p.could, BIN / 5.0 * plain)]
                {
                    v[k] += own * worth;
                    v[k + 1] += next * worth;
                }
            }
        }
        let mut open = [0.0; 3];
        let mut sums = [0.0; 5];
        for k in 0..=COUNT {
            for (v, o) in [&mut p.seen, &mut p.fine, &mut p.could].into_iter().zip(&mut open) {
                *o += v[k];
                v[k] = *o;
            }
            p.there[k] = p.there[k].min(1.3 * p.could[k]);
            for (v, sum) in [&mut p.tick, &mut p.even, &mut p.along, &mut p.there, &mut p.could]
                .into_iter()
                .zip(&mut sums)
            {
                let own = v[k];
                v[k] = *sum;
                *sum += own;
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
            let rows = Rows::new(book, range[0] - moved, slack);
            let scores: Vec<f64> = (0..=steps).map(|k| rows.score(&p, k)).collect();
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

/// Sum of a profile between two places that move down by a bin at a time.
#[derive(Clone, Copy)]
struct Span([(isize, f64); 2]);

impl Span {
    fn new(a: f64, b: f64) -> Self {
        Self([a, b].map(|y| {
            let t = (y - LOW) / BIN;
            (t.floor() as isize, t - t.floor())
        }))
    }

    /// Over running sums `v`, both ends `k` bins lower.
    #[inline]
    fn sum(&self, v: &[f64], k: usize) -> f64 {
        let [a, b] = self.0.map(|(i, t)| match i - k as isize {
            i if i < 0 => v[0],
            i if i >= COUNT as isize => v[COUNT],
            i => {
                let (low, high) = (v[i as usize], v[i as usize + 1]);
                low + (high - low) * t
            }
        });
        b - a
    }
}

/// Bin of a place that moves down by a bin at a time.
#[derive(Clone, Copy)]
struct Spell(isize);

impl Spell {
    fn new(y: f64) -> Self {
        Self(((y - LOW) / BIN).floor() as isize)
    }

    #[inline]
    fn at(&self, v: &[f64], k: usize) -> f64 {
        let i = self.0 - k as isize;
        if (0..COUNT as isize).contains(&i) { v[i as usize] } else { 0.0 }
    }
}

/// A row of marks: where it lies, its evidence's span, the share that must show, and what showing is worth.
struct MarkRow {
    middle: Spell,
    span: Span,
    needed: f64,
    worth: f64,
}

/// Where a rule book has its paint, seen from a camera that steps a bin at a time away from the near sideline.
struct Rows {
    mark: f64,
    marks: [MarkRow; 4],
    sidelines: [(Spell, Span); 2],
    within: Span,
    beyond: [Span; 2],
}

impl Rows {
    /// `camera_y` is the first place of the camera, yd; paint may lie `slack` yd from its row.
    fn new(book: RuleBook, camera_y: f64, slack: f64) -> Self {
        let (w, mark) = (book.width(), book.hash_length());
        let place = |y: f64| y - camera_y;
        let row = |low: f64, needed: f64, worth: f64| MarkRow {
            middle: Spell::new(place(low + 0.5 * mark)),
            span: Span::new(place(low - slack), place(low + mark + slack)),
            needed,
            worth,
        };
        let sideline =
            |y: f64| (Spell::new(place(y)), Span::new(place(y - 0.2 - slack), place(y + 0.2 + slack)));
        Self {
            mark,
            marks: [
                row(book.hash_from_sideline() - mark, 0.45, 1.6),
                row(book.far_hash(), 0.45, 1.6),
                row(0.11, 0.0, 0.5),
                row(w - 0.11 - mark, 0.0, 0.5),
            ],
            sidelines: [sideline(-0.055), sideline(w + 0.055)],
            within: Span::new(place(0.3), place(w - 0.3)),
            beyond: [Span::new(-1e6, place(-0.8)), Span::new(place(w + 0.8), 1e6)],
        }
    }

    /// Evidence for the camera at its `k`th place.
    fn score(&self, p: &Profile, k: usize) -> f64 {
        let mut out = 0.0;
        for row in &self.marks {
            if row.middle.at(&p.seen, k) < 2.0 {
                continue;
            }
            let fine = row.middle.at(&p.fine, k);
            let expected = 0.8 * fine.max(2.0) * self.mark;
            let got = row.span.sum(&p.tick, k) - row.span.sum(&p.even, k).abs();
            let ratio = (got / (0.6 * expected)).clamp(-0.3, 1.0);
            out += 0.8 * fine * (row.worth * ratio - row.needed);
        }
        for (middle, span) in &self.sidelines {
            let seen = middle.at(&p.seen, k);
            if seen < 2.0 {
                continue;
            }
            out += 0.35 * seen * ((span.sum(&p.along, k) / (0.7 * seen)).min(1.0) - 0.12);
        }
        // Yard lines end at the sidelines, and reach them.
        let within = self.within.sum(&p.there, k);
        let beyond: f64 = self.beyond.iter().map(|s| s.sum(&p.there, k)).sum();
        let could = self.within.sum(&p.could, k);
        out + 20.0 * (within / could.max(5.0)).min(1.0) - 40.0 * beyond / (within + beyond).max(5.0)
    }
}
