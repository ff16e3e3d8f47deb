use crate::evidence::{Look, Looked, THINNEST, look};
use crate::minimise::ALL;
use crate::model::{Matrix8, Model, Surface};
use crate::prior::Belief;
use crate::samples::{Class, Sample};
use crate::settle::{Anchor, Scales, Settled, settle};
use camera::Pinhole;
use picture::{GrayView, GroundMask, Scratch};

/// A camera settled on the chalk.
#[derive(Clone, Debug)]
pub(super) struct Fitted {
    pub camera: Pinhole,
    /// Covariance of the eight parameters.
    pub covariance: Matrix8,
    pub rms_px: f64,
    pub inliers: usize,
    /// Found and expected: long lines, marks crossed along the length, marks' ends and crossbars.
    pub shares: [[usize; 2]; 3],
    /// Evidence that this is the field: chalk where it should be, less chalk that is missing.
    pub evidence: f64,
}

impl Fitted {
    /// Whether nearly all paint of every kind is where it should be: no other camera can then do better.
    pub fn plain(&self) -> bool {
        let share = |k: usize| self.shares[k][0] as f64 / self.shares[k][1].max(1) as f64;
        self.evidence > 80.0 && share(0) > 0.82 && share(1) > 0.72 && share(2) > 0.62
    }
}

/// Paint error before the clip has shown its own, yd (half an inch). Common practice, no source.
const PAINT: f64 = 0.014;
/// Paint at least this wide in the picture should show, px.
const PLAIN: f64 = 0.6;
/// Least contrast of chalk looked for, grey levels.
const LEAST: f64 = 7.0;
/// Factor on the claimed variance for what the model of errors leaves out in one frame alone; set on invented pictures.
const LEFT_OUT: f64 = 2.0;

/// From a rough camera to the chalk: long lines first, then everything, closer and closer.
pub(super) fn fit(
    start: &Pinhole,
    belief: &Belief,
    end_zone: bool,
    s: &Surface,
    samples: &[Sample],
    v: GrayView<'_>,
    mask: &GroundMask,
    scratch: &mut Scratch,
) -> Option<Fitted> {
    let unit = f64::from(start.station.width) / 1280.0;
    let px = 15.0 * unit / start.aim.focal;
    // The rough camera is known to some pixels, a few percent of scale and a yard or two; what pulls it farther at first is other paint.
    let held = |slack: f64| {
        let mut i = belief.information;
        for (k, sd) in [(0, px), (1, px), (2, 0.006), (3, 0.03), (4, 0.6), (5, 1.2), (6, 0.4), (7, 0.02)] {
            i[(k, k)] += 1.0 / (sd * sd * slack * slack);
        }
        i
    };
    let near = held(1.0);
    let anchor = Anchor { model: Model::Pinhole(*start), information: near };
    let mut model = anchor.model;
    // Beyond the ground there are edges enough that pass for lines.
    let mut see =
        |m: &Model, how: &Look| -> Looked { look(m, s, &on_ground(m, s, samples, mask), v, how, scratch) };
    let rough = Look {
        radius: 10.0 * unit.max(0.6),
        rows: 0.0,
        least: LEAST,
        spacing: 16.0 * unit.max(0.6),
        thinnest: THINNEST,
        long_only: true,
        smear: None,
    };
    let seen = see(&model, &rough);
    model = settle(model, s, &seen.seen, &anchor, ALL, 0.05, Scales::ByClass, 5)?.model;
    // Behind an end zone a yard across the field is many pixels wide.
    let reaches = if end_zone { [28.0, 15.0, 7.0] } else { [9.0, 6.0, 5.0] };
    for ((radius, slack), rows) in [(7.0, 1.0), (5.0, 2.0), (4.0, 4.0)].into_iter().zip(reaches) {
        let nearer = Look {
            radius: radius * unit.max(0.6),
            rows: rows * unit.max(0.6),
            least: LEAST,
            spacing: 10.0 * unit.max(0.6),
            thinnest: THINNEST,
            long_only: false,
            smear: None,
        };
        let seen = see(&model, &nearer);
        let anchor = Anchor { model, information: held(slack) };
        model = settle(model, s, &seen.seen, &anchor, ALL, 0.03, Scales::ByClass, 4)?.model;
    }
    closed_in(model, belief, s, samples, v, mask, scratch)
}

/// From a camera within a pixel or two, whose yard lines are named, to the chalk as that name has it: what lies beyond the goal line is
/// not expected then.
pub(super) fn closed_in(
    mut model: Model,
    belief: &Belief,
    s: &Surface,
    samples: &[Sample],
    v: GrayView<'_>,
    mask: &GroundMask,
    scratch: &mut Scratch,
) -> Option<Fitted> {
    let close = Look {
        radius: 2.5,
        rows: 3.0,
        least: LEAST,
        spacing: 7.0,
        thinnest: THINNEST,
        long_only: false,
        smear: None,
    };
    let mut settled: Option<(Settled, Looked)> = None;
    for _ in 0..2 {
        let seen = look(&model, s, &on_ground(&model, s, samples, mask), v, &close, scratch);
        let anchor =
            Anchor { model: Model::Pinhole(centred(belief, &model)?), information: belief.information };
        let r = settle(model, s, &seen.seen, &anchor, ALL, PAINT, Scales::Joint, 4)?;
        model = r.model;
        settled = Some((r, seen));
    }
    let (settled, _) = settled?;
    // What is too thin to be missed tells for or against.
    let mut plain = on_ground(&model, s, samples, mask);
    plain.retain(|q| width_px(&model, s, q) >= PLAIN);
    let seen = look(&model, s, &plain, v, &close, scratch);
    let Model::Pinhole(camera) = model else { return None };
    let covariance = settled.information.try_inverse()? * LEFT_OUT;
    if !(0..8).all(|k| covariance[(k, k)].is_finite() && covariance[(k, k)] >= 0.0) {
        return None;
    }
    let mut shares = [[0usize; 2]; 3];
    let kind = |class: Class| match class {
        Class::YardLine | Class::Sideline => 0,
        Class::Mark => 1,
        Class::Row => 2,
    };
    for e in &seen.seen {
        let Some(p) = model.project(s, e.ground) else { continue };
        let r = e.normal.dot(&(e.at - p.pixel.column()));
        if r.abs() < 3.0 * e.sd.hypot(PAINT * e.scale).hypot(0.25) {
            shares[kind(e.class)][0] += 1;
        }
    }
    shares[0][1] = seen.expected_long;
    shares[2][1] = seen.expected_rows;
    shares[1][1] = seen.expected - seen.expected_long - seen.expected_rows;
    let part = |k: usize, worth: f64, needed: f64| {
        let [found, expected] = shares[k];
        worth * (found as f64 - needed * expected as f64)
    };
    let evidence = part(0, 1.0, 0.45) + part(1, 1.0, 0.35) + part(2, 0.7, 0.35);
    Some(Fitted { camera, covariance, rms_px: settled.rms_px, inliers: settled.inliers, shares, evidence })
}

/// The samples that the picture shows on ground.
fn on_ground(m: &Model, s: &Surface, samples: &[Sample], mask: &GroundMask) -> Vec<Sample> {
    let posed = m.posed(s);
    samples.iter().filter(|q| posed.pixel(q.ground).is_some_and(|p| mask.holds(p.x, p.y))).copied().collect()
}

/// Width of the paint in the picture, px.
pub(super) fn width_px(m: &Model, s: &Surface, q: &Sample) -> f64 {
    let Some(p) = m.project(s, q.ground) else { return 0.0 };
    let across = p.by_ground * nalgebra::Vector2::new(-q.along.y, q.along.x);
    if !q.long {
        return across.norm() * q.width;
    }
    let along = p.by_ground * q.along.column();
    let normal = nalgebra::Vector2::new(-along.y, along.x) / along.norm().max(1e-9);
    normal.dot(&across).abs() * q.width
}

/// The belief's mean where it says something, the model itself where it does not.
fn centred(b: &Belief, m: &Model) -> Option<Pinhole> {
    let Model::Pinhole(p) = m else { return None };
    let mut out = *p;
    let mean = &b.mean;
    if b.information[(4, 4)] > 0.0 {
        out.station.centre = mean.station.centre;
    }
    out.station.k1 = mean.station.k1;
    out.aim.roll = 0.0;
    Some(out)
}
