use super::across::{Ground, Spot};
use super::comb::{Comb, Place, comb};
use super::fit::{Fitted, fit};
use super::level::Level;
use super::pencil::{Pencil, pencils};
use crate::PictureSize;
use crate::model::Surface;
use crate::prior::Belief;
use crate::samples::Sample;
use camera::{Aim, Pinhole, Station};
use geometry::Point3;
use picture::{GrayView, GroundMask, Ridge, RidgeSettings, Scratch, Stroke, ridges, strokes};

/// Chalk of one frame before anything is known of its camera.
pub(super) struct Chalk {
    pub mask: GroundMask,
    pub ridges: Vec<Ridge>,
    pub strokes: Vec<Stroke>,
    half: [f64; 2],
    unit: f64,
}

/// Least curvature of a ridge, grey levels per px².
const LEAST: f32 = 1.0;
/// Ridge points kept, the strongest.
const POINTS: usize = 24_000;
/// Ridge points used to search across the field.
const SPOTS: usize = 1500;

impl Chalk {
    pub fn see(v: GrayView<'_>, mask: GroundMask) -> Self {
        let unit = (v.width() as f64 / 1280.0).max(0.5);
        let sigma = if v.width() > 900 { 1.5 } else { 1.1 };
        let mut points = ridges(v, RidgeSettings { sigma, least: LEAST, flatness: 0.5 });
        points.retain(|r| mask.holds(r.at.x, r.at.y));
        if points.len() > POINTS {
            points.select_nth_unstable_by(POINTS, |a, b| b.strength.total_cmp(&a.strength));
            points.truncate(POINTS);
        }
        let (strokes, _) = strokes(&points, v.width(), v.height(), 18.0 * unit);
        let half = [v.width() as f64 / 2.0, v.height() as f64 / 2.0];
        Self { mask, ridges: points, strokes, half, unit }
    }
}

/// Where a camera of one kind stands, in the frame where a sideline camera is at y < 0 and an end-zone camera at the low end.
pub(super) struct StandKind {
    pub end_zone: bool,
    pub belief: Belief,
    /// y of the camera, yd.
    pub y: [f64; 2],
    pub height: [f64; 2],
    /// x of the camera and its standard deviation, when this game has shown them, yd.
    pub x: Option<[f64; 2]>,
}

/// A rough camera, its yard lines on multiples of five but not yet named.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rough {
    pub camera: Pinhole,
    pub score: f64,
    pub kind: usize,
    /// Slant of the rows under the guessed roll.
    pub shear: f64,
}

/// Turns about the optical axis that are tried, rad.
const ROLLS: [f64; 5] = [0.0, -0.012, 0.012, -0.026, 0.026];
/// Horizons tried for end-zone views, as their height over the picture's middle in picture heights: how many, the first and the step's
/// factor.
const HORIZONS: (usize, f64, f64) = (150, 0.08, 1.028);
/// Horizons kept for every focal length.
const KEPT: usize = 6;
/// Shapes whose paint across the field is looked at, and rough cameras that are polished.
const SHAPES: usize = 110;
const POLISHED: usize = 7;
/// Strokes that may be sidelines, and the shortest of them, px at 1280 columns.
const SQUARE: usize = 8;
const SQUARE_PX: f64 = 60.0;
/// How far from its row paint may lie, yd, before and after polishing.
const SLACK: [f64; 2] = [0.4, 0.15];

/// Slants of the rows that a wrong roll gives, yd per yd.
const SHEARS: [f64; 11] = [0.0, -0.016, 0.016, -0.032, 0.032, -0.048, 0.048, -0.064, 0.064, -0.08, 0.08];

/// The same about a polished roll.
const FINE: [f64; 9] = [0.0, -0.004, 0.004, -0.008, 0.008, -0.013, 0.013, -0.02, 0.02];

/// Worth of the belief about a stand beside the marks that were seen.
const PRIOR: f64 = 7.0;

/// Farthest that the picture's middle may lie, yd.
const FARTHEST: f64 = 150.0;

/// What makes a level camera from a pencil of yard lines.
#[derive(Clone, Copy, Debug)]
struct Shape {
    pencil: usize,
    kind: usize,
    roll: f64,
    focal: f64,
    /// Height of the horizon over the picture's middle, px; only for end-zone views, where the pencil does not give it.
    over: f64,
}

/// A shape's camera and its yard lines.
type Seen = (Level, Comb);

struct Search<'a> {
    chalk: &'a Chalk,
    pencils: Vec<Pencil>,
    kinds: &'a [StandKind],
    size: PictureSize,
    book: field::RuleBook,
    spots: Vec<Spot>,
    share: f64,
    grid: Vec<[f64; 2]>,
    cell: f64,
}

/// Rough cameras, best first.
pub(super) fn rough(c: &Chalk, kinds: &[StandKind], size: PictureSize, s: &Surface) -> Vec<Rough> {
    let step = (c.ridges.len() / SPOTS).max(1);
    let spots = c
        .ridges
        .iter()
        .step_by(step)
        .map(|r| Spot { x: r.at.x, y: r.at.y, direction: [r.direction.x, r.direction.y] })
        .collect();
    let cell = 32.0 * c.unit;
    let (nx, ny) = ((2.0 * c.half[0] / cell) as usize, (2.0 * c.half[1] / cell) as usize);
    let grid = (0..nx * ny)
        .map(|i| [((i % nx) as f64 + 0.5) * cell, ((i / nx) as f64 + 0.5) * cell])
        .filter(|q| c.mask.holds(q[0], q[1]))
        .collect();
    let search = Search {
        chalk: c,
        pencils: pencils(&c.strokes, c.half),
        kinds,
        size,
        book: s.book,
        spots,
        share: 1.0 / step as f64,
        grid,
        cell,
    };
    search.run()
}

impl Search<'_> {
    fn run(&self) -> Vec<Rough> {
        let w = f64::from(self.size.width);
        let focals: Vec<f64> = (0..15).map(|k| 0.62 * w * 1.16f64.powi(k)).collect();
        let mut shapes: Vec<(f64, Shape, Seen)> = Vec::new();
        for pencil in 0..self.pencils.len() {
            for kind in 0..self.kinds.len() {
                shapes.extend(self.shapes(pencil, kind, &focals));
            }
        }
        shapes.sort_by(|a, b| b.0.total_cmp(&a.0));
        shapes.truncate(SHAPES);
        let mut out: Vec<(Rough, Shape)> = Vec::new();
        for (_, shape, seen) in &shapes {
            out.extend(self.placed(shape, seen, SLACK[0], None, 3).into_iter().map(|r| (r, *shape)));
        }
        out.sort_by(|a, b| b.0.score.total_cmp(&a.0.score));
        let mut chosen: Vec<(Rough, Shape)> = Vec::new();
        for o in out {
            let known = chosen.iter().any(|c| {
                c.1.pencil == o.1.pencil
                    && c.1.kind == o.1.kind
                    && (c.1.focal / o.1.focal).ln().abs() < 0.2
                    && (c.1.roll - o.1.roll).abs() < 0.015
                    && (c.0.camera.station.centre.y - o.0.camera.station.centre.y).abs() < 2.0
            });
            if !known {
                chosen.push(o);
            }
            if chosen.len() == POLISHED {
                break;
            }
        }
        let mut out: Vec<Rough> = chosen.into_iter().map(|(r, s)| self.polished(r, s)).collect();
        out.sort_by(|a, b| b.score.total_cmp(&a.score));
        out
    }

    /// Even lines of a pencil under every focal length.
    fn shapes(&self, pencil: usize, kind: usize, focals: &[f64]) -> Vec<(f64, Shape, Seen)> {
        let usual = focals[focals.len() / 2];
        let end_zone = self.kinds[kind].end_zone;
        let mut lines: Vec<(f64, Shape)> = Vec::new();
        for roll in ROLLS {
            let count = if end_zone { HORIZONS.0 } else { 1 };
            for k in 0..count {
                let over = self.chalk.half[1] * 2.0 * HORIZONS.1 * HORIZONS.2.powi(k as i32);
                let shape = Shape { pencil, kind, roll, focal: usual, over };
                lines.extend(self.seen(&shape, 8).map(|s| (s.1.score, shape)));
            }
        }
        lines.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut kept: Vec<Shape> = Vec::new();
        for (_, l) in lines {
            let near = |k: &Shape| (k.roll - l.roll).abs() < 1e-6 && (k.over / l.over).ln().abs() < 0.06;
            if !kept.iter().any(near) {
                kept.push(l);
            }
            if kept.len() == KEPT {
                break;
            }
        }
        let mut out = Vec::new();
        for l in kept {
            let square = self.square(&l, focals);
            for &focal in focals.iter().chain(&square) {
                let shape = Shape { focal, ..l };
                let Some(seen) = self.seen(&shape, 8) else { continue };
                let [low, high] = self.kinds[kind].height;
                if (low..=high).contains(&(5.0 / seen.1.step)) {
                    out.push((self.worth(&seen.1), shape, seen));
                }
            }
        }
        out
    }

    /// Focal lengths under which a long stroke beside the pencil runs square to the yard lines, as sidelines do. Seen aslant, a sideline
    /// turns so fast with the focal length that none of a coarse row of them holds it.
    fn square(&self, l: &Shape, focals: &[f64]) -> Vec<f64> {
        let c = self.chalk;
        let members = &self.pencils[l.pencil].members;
        let mut long: Vec<&Stroke> =
            c.strokes.iter().enumerate().filter(|(i, _)| !members.contains(i)).map(|(_, s)| s).collect();
        long.sort_by(|a, b| b.length().total_cmp(&a.length()));
        long.retain(|s| s.length() > SQUARE_PX * c.unit);
        long.truncate(SQUARE);
        // Angle of a stroke off the field's length, on the ground.
        let off = |focal: f64, s: &Stroke| {
            let level = self.level(&Shape { focal, ..*l })?;
            let (a, b) = (level.ground(s.a.x, s.a.y)?, level.ground(s.b.x, s.b.y)?);
            let angle = ((b[1] - a[1]) / (b[0] - a[0])).atan();
            angle.is_finite().then_some(angle)
        };
        let mut out = Vec::new();
        for s in long {
            for pair in focals.windows(2) {
                let (Some(low), Some(high)) = (off(pair[0], s), off(pair[1], s)) else { continue };
                if low * high < 0.0 && low.abs().max(high.abs()) < 0.4 {
                    out.push((pair[0].ln() + (pair[1] / pair[0]).ln() * low / (low - high)).exp());
                }
            }
        }
        out.sort_by(f64::total_cmp);
        out.dedup_by(|a, b| (*a / *b).ln().abs() < 0.004);
        out
    }

    fn worth(&self, comb: &Comb) -> f64 {
        8.0 * comb.score / f64::from(self.size.width)
    }

    /// A shape's level camera.
    fn level(&self, s: &Shape) -> Option<Level> {
        let c = self.chalk;
        let p = &self.pencils[s.pencil];
        if self.kinds[s.kind].end_zone {
            return looking_down(c, p, s.roll, s.focal, s.over);
        }
        let l = Level::from_vanishing(p.point(c.half)?, s.roll, s.focal, c.half);
        let looks = (0.03..1.1).contains(&l.tilt) && (l.pan - std::f64::consts::FRAC_PI_2).abs() <= 1.15;
        looks.then_some(l)
    }

    /// Builds a shape's camera and finds its yard lines.
    fn seen(&self, s: &Shape, seeds: usize) -> Option<Seen> {
        let c = self.chalk;
        let p = &self.pencils[s.pencil];
        let l = self.level(s)?;
        let comb = comb(&places(c, &l, p, 50), [5.0 / 90.0, 5.0 / 2.0], seeds)?;
        // The middle of the picture shows field, and the field has an end.
        let away = [0.5, 0.7, 0.9].iter().find_map(|t| l.ground(c.half[0], 2.0 * t * c.half[1]))?;
        let yards = away[0].hypot(away[1]) * 5.0 / comb.step;
        (6.0..=FARTHEST).contains(&yards).then_some((l, comb))
    }

    /// Places across the field for a shape: all that the kind of stand allows, or near a given y.
    fn placed(
        &self,
        shape: &Shape,
        (l, comb): &Seen,
        slack: f64,
        near: Option<(f64, bool)>,
        count: usize,
    ) -> Vec<Rough> {
        let kind = &self.kinds[shape.kind];
        let height = 5.0 / comb.step;
        let ground =
            Ground::new(l, height, comb.offset * height, &self.spots, self.share, &self.grid, self.cell);
        let range = near.map_or(kind.y, |(y, _)| [y - 3.0, y + 3.0]);
        let mean = &kind.belief.mean.station.centre;
        let pull = |d: f64, i: usize| {
            let z2 = d * d * kind.belief.information[(4 + i, 4 + i)];
            PRIOR * (1.0 + z2 / 4.0).ln()
        };
        let shears: &[f64] = match (near, kind.end_zone) {
            (Some((_, true)), _) => &FINE,
            (Some((_, false)), _) => &SHEARS[..1],
            (None, false) => &SHEARS[..5],
            (None, true) => &SHEARS,
        };
        ground
            .best(self.book, range, slack, count, shears)
            .into_iter()
            .map(|a| {
                let mut camera = named(l, comb, height, a.camera_y, self.size, self.book.length() / 2.0);
                let mut score =
                    self.worth(comb) + a.score - pull(a.camera_y - mean.y, 1) - pull(height - mean.z, 2);
                if let Some([x, sd]) = kind.x {
                    // Which line is which follows from where the camera stands; how far it is from there counts.
                    let off = camera.station.centre.x - x;
                    let off = off - 5.0 * (off / 5.0).round();
                    camera.station.centre.x = x + off;
                    score -= PRIOR * (1.0 + 0.25 * (off / sd.hypot(0.6)).powi(2)).ln();
                }
                Rough { camera, score, kind: shape.kind, shear: a.shear }
            })
            .collect()
    }

    /// Climbs by focal length, roll and horizon to where the paint lies closest to its rows.
    fn polished(&self, first: Rough, shape: Shape) -> Rough {
        let look = |s: &Shape, y: f64, slant: bool| {
            let seen = self.seen(s, 8)?;
            self.placed(s, &seen, SLACK[1], Some((y, slant)), 1).into_iter().next()
        };
        let again = |s: &Shape, y: f64| look(s, y, false);
        let y = first.camera.station.centre.y;
        // A slant is a roll seen at the camera's tilt.
        let roll = first.shear * first.camera.aim.tilt.tan();
        let turned = [0.0, roll, -roll].map(|r| Shape { roll: shape.roll + r, ..shape });
        let Some((mut best, mut shape)) = turned
            .into_iter()
            .filter_map(|s| Some((again(&s, y)?, s)))
            .max_by(|a, b| a.0.score.total_cmp(&b.0.score))
        else {
            return first;
        };
        let end_zone = self.kinds[shape.kind].end_zone;
        let mut sign = 1.0;
        for scale in [1.0f64, 0.4, 0.15] {
            for axis in 0..3 {
                if axis == 2 && !end_zone {
                    continue;
                }
                for way in [1.0, -1.0] {
                    loop {
                        let mut s = shape;
                        match axis {
                            0 => s.focal *= (0.07 * scale * way).exp(),
                            1 => s.roll += 0.006 * scale * way,
                            _ => s.over *= (0.015 * scale * way).exp(),
                        }
                        let allowed = s.roll.abs() < 0.05
                            && (0.6..8.0).contains(&(s.focal / f64::from(self.size.width)));
                        match again(&s, best.camera.station.centre.y) {
                            Some(r) if allowed && r.score > best.score + 1e-6 => (best, shape) = (r, s),
                            _ => break,
                        }
                    }
                }
            }
            // What slant is left is roll.
            for _ in 0..2 {
                let Some(slanted) = look(&shape, best.camera.station.centre.y, true) else { break };
                if slanted.shear == 0.0 {
                    break;
                }
                let turned = |sign: f64| Shape {
                    roll: shape.roll + sign * slanted.shear * best.camera.aim.tilt.tan(),
                    ..shape
                };
                let y = slanted.camera.station.centre.y;
                let tried = [sign, -sign].into_iter().find_map(|way| {
                    let s = turned(way);
                    again(&s, y).filter(|r| r.score > best.score).map(|r| (r, s, way))
                });
                match tried {
                    Some(t) => (best, shape, sign) = t,
                    None => break,
                }
            }
        }
        best
    }
}

/// The pinhole of a shape, with a yard line of the picture's middle named so that it lies near midfield.
fn named(l: &Level, comb: &Comb, height: f64, y: f64, size: PictureSize, middle: f64) -> Pinhole {
    let offset = comb.offset * height;
    let seen = [0.5, 0.65, 0.8, 0.95]
        .iter()
        .find_map(|t| l.ground(0.5 * f64::from(size.width), t * f64::from(size.height)))
        .map_or(0.0, |g| g[0] * height);
    // A yard line at `offset` from the camera; the camera's x makes it a multiple of five.
    let wish = middle - seen;
    let x = ((wish + offset) / 5.0).round() * 5.0 - offset;
    Pinhole {
        station: Station {
            centre: Point3::new(x, y, height),
            k1: 0.0,
            width: size.width,
            height: size.height,
        },
        aim: Aim { pan: l.pan, tilt: l.tilt, roll: l.roll, focal: l.focal },
    }
}

fn places(c: &Chalk, l: &Level, p: &Pencil, most: usize) -> Vec<Place> {
    p.members
        .iter()
        .take(most)
        .filter_map(|&i| {
            let s = &c.strokes[i];
            let (m, d) = (s.middle(), s.direction());
            let g = l.ground(m.x, m.y)?;
            let q = l.ground(m.x - d.y, m.y + d.x)?;
            // Both ends must lie on ground, or the stroke is none of the field's.
            l.ground(s.a.x, s.a.y)?;
            l.ground(s.b.x, s.b.y)?;
            Some(Place { x: g[0], weight: s.length(), per_px: (q[0] - g[0]).abs() })
        })
        .collect()
}

/// The level camera behind an end zone whose horizon lies `over` px over the picture's middle: pan is what makes the lines run across
/// the field.
fn looking_down(c: &Chalk, p: &Pencil, roll: f64, focal: f64, over: f64) -> Option<Level> {
    let tilt = (over / focal).atan();
    if tilt > 1.0 {
        return None;
    }
    let straight = Level::new([0.0, tilt, roll, focal], c.half);
    let (mut s2, mut c2) = (0.0f64, 0.0f64);
    for &i in p.members.iter().take(30) {
        let s = &c.strokes[i];
        if let (Some(a), Some(b)) = (straight.ground(s.a.x, s.a.y), straight.ground(s.b.x, s.b.y)) {
            let angle = (b[1] - a[1]).atan2(b[0] - a[0]);
            s2 += s.length() * (2.0 * angle).sin();
            c2 += s.length() * (2.0 * angle).cos();
        }
    }
    // Direction of the lines; the field's y axis lies along it, to the left.
    let mut along = 0.5 * s2.atan2(c2);
    if along < 0.0 {
        along += std::f64::consts::PI;
    }
    let pan = std::f64::consts::FRAC_PI_2 - along;
    (pan.abs() < 0.75).then(|| Level::new([pan, tilt, roll, focal], c.half))
}

/// Settles the best rough cameras that differ from one another.
pub(super) fn settle_best(
    rough: &[Rough],
    kinds: &[StandKind],
    s: &Surface,
    samples: &[Sample],
    v: GrayView<'_>,
    mask: &GroundMask,
    scratch: &mut Scratch,
) -> Vec<(Fitted, usize)> {
    let (w, h) = (v.width() as f64, v.height() as f64);
    let spots = [(0.2, 0.85), (0.8, 0.85), (0.25, 0.5), (0.75, 0.5), (0.5, 0.65)];
    let shown = |c: &Pinhole| -> Vec<[f64; 2]> {
        spots
            .iter()
            .map(|(x, y)| {
                c.ground_from_pixel(geometry::Point2::new(x * w, y * h), 0.0)
                    .map_or([f64::NAN, f64::NAN], |g| [g.x, g.y])
            })
            .collect()
    };
    let mut taken: Vec<Vec<[f64; 2]>> = Vec::new();
    let mut out: Vec<(Fitted, usize)> = Vec::new();
    let Some(first) = rough.first() else { return out };
    for r in rough.iter().take(160) {
        if taken.len() >= 8 || r.score < first.score - f64::max(30.0, 0.6 * first.score) {
            break;
        }
        let own = shown(&r.camera);
        let near = taken.iter().any(|t| apart(t, &own) < 1.0);
        if near {
            continue;
        }
        taken.push(own);
        let kind = &kinds[r.kind];
        if let Some(f) = fit(&r.camera, &kind.belief, kind.end_zone, s, samples, v, mask, scratch) {
            let plain = f.plain();
            let own = shown(&f.camera);
            // The same camera reached from two sides counts once.
            match out.iter_mut().find(|(o, _)| apart(&shown(&o.camera), &own) < 0.6) {
                Some(o) if o.0.evidence < f.evidence => *o = (f, r.kind),
                Some(_) => {}
                None => out.push((f, r.kind)),
            }
            if plain {
                break;
            }
        }
    }
    out.sort_by(|a, b| b.0.evidence.total_cmp(&a.0.evidence));
    out
}

/// Mean distance of what two cameras show, whole steps of five yards along the field aside.
fn apart(a: &[[f64; 2]], b: &[[f64; 2]]) -> f64 {
    let (mut sum, mut n) = (0.0, 0.0);
    for (p, q) in a.iter().zip(b) {
        if p[0].is_finite() && q[0].is_finite() {
            let dx = p[0] - q[0];
            let dx = dx - 5.0 * (dx / 5.0).round();
            sum += dx.hypot(p[1] - q[1]).min(10.0);
            n += 1.0;
        } else if p[0].is_finite() != q[0].is_finite() {
            sum += 10.0;
            n += 1.0;
        }
    }
    if n > 0.0 { sum / n } else { 0.0 }
}
