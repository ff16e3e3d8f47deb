use super::across::{Profile, Spot};
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
const SPOTS: usize = 2600;

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
}

/// A rough camera, its yard lines on multiples of five but not yet named.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rough {
    pub camera: Pinhole,
    pub score: f64,
    pub kind: usize,
}

/// Turns about the optical axis that are tried, rad.
const ROLLS: [f64; 5] = [0.0, -0.012, 0.012, -0.026, 0.026];

/// Rough cameras, best first.
pub(super) fn rough(c: &Chalk, kinds: &[StandKind], size: PictureSize, s: &Surface) -> Vec<Rough> {
    let w = f64::from(size.width);
    let focals: Vec<f64> = (0..14).map(|k| 0.62 * w * 1.17f64.powi(k)).collect();
    let mut shapes: Vec<(Level, Comb, usize, f64)> = Vec::new();
    for p in pencils(&c.strokes, c.half) {
        for (k, kind) in kinds.iter().enumerate() {
            let mut own =
                if kind.end_zone { down_the_field(c, &p, &focals) } else { across_the_field(c, &p, &focals) };
            own.retain(|(_, comb)| (kind.height[0]..=kind.height[1]).contains(&(5.0 / comb.step)));
            own.sort_by(|a, b| b.1.score.total_cmp(&a.1.score));
            own.truncate(60);
            shapes.extend(own.into_iter().map(|(l, comb)| (l, comb, k, 8.0 * comb.score / w)));
        }
    }
    shapes.sort_by(|a, b| b.3.total_cmp(&a.3));
    shapes.truncate(110);
    let step = (c.ridges.len() / SPOTS).max(1);
    let spots: Vec<Spot> = c
        .ridges
        .iter()
        .step_by(step)
        .map(|r| Spot { x: r.at.x, y: r.at.y, direction: [r.direction.x, r.direction.y] })
        .collect();
    let cell = 30.0 * c.unit;
    let mut grid = Vec::new();
    let mut y = cell / 2.0;
    while y < 2.0 * c.half[1] {
        let mut x = cell / 2.0;
        while x < 2.0 * c.half[0] {
            if c.mask.holds(x, y) {
                grid.push([x, y]);
            }
            x += cell;
        }
        y += cell;
    }
    let mut out: Vec<Rough> = Vec::new();
    for (l, comb, k, base) in shapes {
        let kind = &kinds[k];
        let height = 5.0 / comb.step;
        let profile = Profile::new(&l, height, comb.offset * height, &spots, 1.0 / step as f64, &grid, cell);
        for a in profile.best(s.book, kind.y, 4) {
            let mean = &kind.belief.mean.station.centre;
            let pull = |d: f64, i: usize| {
                let z2 = d * d * kind.belief.information[(4 + i, 4 + i)];
                0.5 * (1.0 + z2 / 4.0).ln() * 5.0
            };
            let prior = pull(a.camera_y - mean.y, 1) + pull(height - mean.z, 2);
            out.push(Rough {
                camera: named(&l, &comb, height, a.camera_y, size, s.book.length() / 2.0),
                score: base + a.score - prior,
                kind: k,
            });
        }
    }
    out.sort_by(|a, b| b.score.total_cmp(&a.score));
    out
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

/// Shapes for a camera at a sideline: the meeting point gives pan and tilt for each focal length and roll.
fn across_the_field(c: &Chalk, p: &Pencil, focals: &[f64]) -> Vec<(Level, Comb)> {
    let Some(v) = p.point(c.half) else { return Vec::new() };
    let mut out = Vec::new();
    for roll in ROLLS {
        for &focal in focals {
            let l = Level::from_vanishing(v, roll, focal, c.half);
            if !(0.04..1.0).contains(&l.tilt) || (l.pan - std::f64::consts::FRAC_PI_2).abs() > 1.15 {
                continue;
            }
            let places = places(c, &l, p, 60);
            if let Some(comb) = comb(&places, [5.0 / 70.0, 5.0 / 3.0], 12) {
                out.push((l, comb));
            }
        }
    }
    out
}

/// Shapes for a camera behind an end zone: the yard lines run across the picture and hardly meet, so that tilt is searched by their
/// spacing and pan is what makes them run across the field.
fn down_the_field(c: &Chalk, p: &Pencil, focals: &[f64]) -> Vec<(Level, Comb)> {
    let mut out = Vec::new();
    let rows = 22;
    for roll in ROLLS {
        for &focal in focals {
            for k in 0..rows {
                // Tilts as places of the horizon: from three picture heights over the middle to just over it.
                let t = f64::from(k) / f64::from(rows - 1);
                let over = c.half[1] * 2.0 * (0.12 * (25.0f64).powf(t));
                let tilt = (over / focal).atan();
                if tilt > 0.8 {
                    continue;
                }
                let straight = Level::new([0.0, tilt, roll, focal], c.half);
                let (mut s2, mut c2) = (0.0f64, 0.0f64);
                for &i in p.members.iter().take(30) {
                    let s = &c.strokes[i];
                    if let (Some(a), Some(b)) = (straight.ground(s.a.x, s.a.y), straight.ground(s.b.x, s.b.y))
                    {
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
                if pan.abs() > 0.75 {
                    continue;
                }
                let l = Level::new([pan, tilt, roll, focal], c.half);
                let places = places(c, &l, p, 24);
                if let Some(comb) = comb(&places, [5.0 / 45.0, 5.0 / 3.0], 8) {
                    out.push((l, comb));
                }
            }
        }
    }
    out
}

/// Settles the best rough cameras that differ from one another.
pub(super) fn settle_best(
    rough: &[Rough],
    kinds: &[StandKind],
    s: &Surface,
    samples: &[Sample],
    v: GrayView<'_>,
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
        if taken.len() >= 9 || r.score < first.score - 25.0 {
            break;
        }
        let own = shown(&r.camera);
        let near = taken.iter().any(|t| apart(t, &own) < 1.0);
        if near {
            continue;
        }
        taken.push(own);
        let kind = &kinds[r.kind];
        if let Some(f) = fit(&r.camera, &kind.belief, 1.0, s, samples, v, scratch) {
            let own = shown(&f.camera);
            // The same camera reached from two sides counts once.
            match out.iter_mut().find(|(o, _)| apart(&shown(&o.camera), &own) < 0.6) {
                Some(o) if o.0.evidence < f.evidence => *o = (f, r.kind),
                Some(_) => {}
                None => out.push((f, r.kind)),
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
