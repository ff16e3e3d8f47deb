use crate::model::{Model, Surface};
use crate::samples::{Class, ENDS, Sample};
use geometry::Point2;
use geometry::frame::{Ground, Pixel};
use nalgebra as na;
use picture::{GrayView, Probe, Scratch};

/// A piece of chalk found in the picture.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Seen {
    pub ground: Point2<Ground>,
    /// Unit direction across the paint in the picture.
    pub normal: na::Vector2<f64>,
    /// Where the middle of the paint was found, px.
    pub at: na::Vector2<f64>,
    /// Picture px across per yard of the ground across.
    pub scale: f64,
    pub sd: f64,
    pub contrast: f64,
    pub place: f64,
    pub cluster: u32,
    pub group: u8,
    pub long: bool,
    pub class: Class,
}

/// How to look for chalk.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Look<'a> {
    /// Reach of the search to either side, px.
    pub radius: f64,
    /// The same for the ends and crossbars of hash marks, which alone may say where the picture is across the field.
    pub rows: f64,
    /// Least brightness over both sides, grey levels.
    pub least: f64,
    /// Least distance between samples of one stripe, px.
    pub spacing: f64,
    /// Paint thinner than this in the picture is not looked for, px.
    pub thinnest: f64,
    /// Only lines many yards long.
    pub long_only: bool,
    /// Paint drawn out by the camera's swing while the shutter was open.
    pub smear: Option<Smear<'a>>,
}

/// The picture moved while the shutter was open: stripes are drawn out and paler, their middles where they were at half-time.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Smear<'a> {
    /// The camera one frame earlier.
    pub before: &'a Model,
    /// Share of the frame's time that the shutter is open.
    pub share: f64,
}

impl Smear<'_> {
    /// How far paint at `g`, now at `q`, is drawn out along `crossing`, px to either side.
    fn reach(&self, s: &Surface, g: Point2<Ground>, q: Point2<Pixel>, crossing: &na::Vector2<f64>) -> f64 {
        self.before.pixel(s, g).map_or(0.0, |b| 0.5 * self.share * (q - b).column().dot(crossing).abs())
    }
}

/// Chalk found and chalk expected.
pub(crate) struct Looked {
    pub seen: Vec<Seen>,
    /// Samples that should show.
    pub expected: usize,
    /// Long-line samples that should show.
    pub expected_long: usize,
    /// Samples that tell the place across and should show.
    pub expected_rows: usize,
}

/// Paint thinner than this in the picture tells nothing of where it is, px.
pub(crate) const THINNEST: f64 = 0.35;
/// Blur allowed beside the paint, px.
const SOFT: f64 = 1.9;

/// Probes the picture wherever the model says there is chalk.
pub(crate) fn look(
    m: &Model,
    s: &Surface,
    samples: &[Sample],
    v: GrayView<'_>,
    how: &Look<'_>,
    scratch: &mut Scratch,
) -> Looked {
    let mut out = Looked { seen: Vec::with_capacity(512), expected: 0, expected_long: 0, expected_rows: 0 };
    let mut last: Option<(u32, Point2<Pixel>)> = None;
    let posed = m.posed(s);
    for sample in samples {
        if how.long_only && !sample.long {
            continue;
        }
        let Some(q) = posed.pixel(sample.ground) else { continue };
        if !v.contains(q, 4.0) {
            continue;
        }
        if last.is_some_and(|(c, p)| c == sample.cluster && p.distance(q) < how.spacing) {
            continue;
        }
        let Some((_, by_ground)) = posed.map(sample.ground) else { continue };
        let along = by_ground * sample.along.column();
        let per_yard = along.norm();
        if per_yard < 1e-9 {
            continue;
        }
        // A crossbar's half must show clear of the yard line it crosses.
        if sample.class == Class::Row && sample.cluster < ENDS && 0.2 * per_yard < 4.0 {
            continue;
        }
        let tangent = along / per_yard;
        let normal = na::Vector2::new(-tangent.y, tangent.x);
        let across = by_ground * na::Vector2::new(-sample.along.y, sample.along.x);
        let scale = normal.dot(&across).abs();
        // Long lines are crossed squarely. A mark is crossed along its own image, which perspective slants, so that the probe
        // stays on the paint.
        let slant = across / across.norm().max(1e-9);
        let (crossing, half_width) = if sample.long {
            (normal, 0.5 * scale * sample.width)
        } else {
            (slant, 0.5 * across.norm() * sample.width)
        };
        if 2.0 * half_width < how.thinnest {
            continue;
        }
        let drawn = how.smear.map_or(0.0, |m| m.reach(s, sample.ground, q, &crossing));
        // The same light over a wider stripe; under three levels nothing is told from noise.
        let least = (how.least * half_width / (half_width + drawn)).max(how.least.min(3.0));
        // Never reach half-way to the next of its kind.
        let usual = if sample.class == Class::Row { how.rows } else { how.radius };
        let reach = usual.min(0.35 * sample.repeat * scale.max(2.0));
        let probe = Probe {
            at: [q.x as f32, q.y as f32],
            across: [crossing.x as f32, crossing.y as f32],
            half_width: half_width as f32,
            radius: reach as f32,
            along: (sample.half_extent * per_yard - 0.5).clamp(0.0, 3.0) as f32,
            direction: [tangent.x as f32, tangent.y as f32],
            soft: (SOFT + drawn) as f32,
        };
        if !fits(&probe, v) {
            continue;
        }
        last = Some((sample.cluster, q));
        out.expected += 1;
        out.expected_long += usize::from(sample.long);
        out.expected_rows += usize::from(sample.class == Class::Row);
        let mut found = Seen {
            ground: sample.ground,
            normal,
            at: q.column(),
            scale,
            sd: 0.0,
            contrast: 0.0,
            place: sample.place,
            cluster: sample.cluster,
            group: sample.group,
            long: sample.long,
            class: sample.class,
        };
        if let Some(outward) = sample.outward {
            let off = by_ground * outward.column();
            if let Some(edge) = wide_border(v, &probe, q, &off, half_width, least) {
                let inside = sample.ground - outward * (0.5 * sample.width);
                let Some(place) = posed.pixel(inside) else { continue };
                let direction = off.normalize();
                let across = normal * normal.dot(&direction).signum();
                let probe = Probe {
                    at: [place.x as f32, place.y as f32],
                    across: [across.x as f32, across.y as f32],
                    ..probe
                };
                if let Some(r) = probe.find_edge(v, edge, scratch) {
                    found.ground = inside;
                    found.at = place.column() + across * f64::from(r.offset);
                    found.sd = f64::from(r.sd).hypot(0.05);
                    found.contrast = f64::from(r.contrast);
                    out.seen.push(found);
                }
                continue;
            }
        }
        if let Some(r) = probe.find(v, least as f32, scratch) {
            found.at += crossing * f64::from(r.offset);
            // A twentieth of a pixel of interpolation and shape error beside the noise.
            found.sd = (f64::from(r.sd) * normal.dot(&crossing).abs()).hypot(0.05);
            found.contrast = f64::from(r.contrast);
            out.seen.push(found);
        }
    }
    out
}

/// Whether the boundary here is painted wide: as bright a foot and a yard off the field as on its edge, and brighter than the field by
/// the contrast returned.
fn wide_border(
    v: GrayView<'_>,
    probe: &Probe,
    q: Point2<Pixel>,
    off: &na::Vector2<f64>,
    half: f64,
    least: f64,
) -> Option<f32> {
    // A yard must be wider than the search and the blur, or narrow paint could pass for it.
    if off.norm() < 2.0 * half + 6.0 {
        return None;
    }
    let level = |yards: f64| {
        let p = q.column() + off * yards;
        let p = [p.x as f32, p.y as f32];
        [-2.0, 0.0, 2.0]
            .iter()
            .map(|t| v.sample(p[0] + t * probe.direction[0], p[1] + t * probe.direction[1]))
            .sum::<f32>()
            / 3.0
    };
    let inside = level(-1.0).min(level(-0.6));
    let (near, far) = (level(0.5), level(0.9));
    let step = near.min(far) - inside;
    (f64::from(step) > least && (near - far).abs() < 0.3 * step).then_some(0.5 * step)
}

/// Whether the probe stays in the picture, so that a miss means no chalk and not no picture.
fn fits(p: &Probe, v: GrayView<'_>) -> bool {
    let end = p.reach() + 1.0 + p.along;
    let (ex, ey) = (end * p.across[0].abs() + p.along + 1.0, end * p.across[1].abs() + p.along + 1.0);
    p.at[0] > ex && p.at[1] > ey && p.at[0] + ex < v.width() as f32 && p.at[1] + ey < v.height() as f32
}
