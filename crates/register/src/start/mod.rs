//! A start without clicks: the camera of one or a few frames from the chalk alone.
//!
//! Strokes of chalk on the field's colour are gathered into pencils; a pencil whose strokes are evenly spaced on level ground is the
//! yard lines, which gives the camera's aim and height for each focal length tried. Hash rows, sidelines and the lines' ends place the
//! camera across the field and tell the focal length. The best few are settled on all chalk, and numbers, arrows, goal lines and what
//! is known of the play tell which yard line is which. What stays open is given as several candidates with probabilities.

mod across;
mod comb;
mod fit;
mod frame;
mod glyphs;
mod level;
mod numbers;
mod pencil;
mod place;

use crate::prior::{KnownStation, StationPrior, stands};
use crate::samples::samples;
use crate::solve::row_major;
use crate::{FieldModel, PictureSize};
use camera::{CameraEstimate, FieldCamera, FrameQuality, Pinhole};
use field::Direction;
use fit::Fitted;
use frame::{Chalk, StandKind, rough, settle_best};
use geometry::{Point2, Point3};
use picture::{GrayView, GroundMask, RgbView, Scratch};
use place::Along;
use play::{Finding, Severity, View};

/// A decoded frame.
#[derive(Clone, Copy, Debug)]
pub struct FrameView<'a> {
    /// Which frame of the clip.
    pub index: u32,
    /// Brightness.
    pub luma: GrayView<'a>,
    /// Colour at the same size, which tells the field from its surroundings; much is lost without.
    pub colour: Option<RgbView<'a>>,
}

/// Where the ball lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BallSpot {
    /// Line of scrimmage in the field frame, yd.
    pub x: f64,
    /// Standard deviation, yd: 1 for a charted yard line.
    pub sd: f64,
}

/// What is known of a clip before its picture is read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct KnownAboutClip {
    /// Where the camera stood.
    pub view: Option<View>,
    /// Whether it stood beyond the far sideline, or behind the end of high x. Unknown for an end-zone view gives both; a sideline view
    /// is at the near sideline by the frame's definition unless this says otherwise.
    pub beyond: Option<bool>,
    /// This camera's station from other clips of the game, in the field frame.
    pub station: Option<KnownStation>,
    /// The ball before the snap.
    pub spot: Option<BallSpot>,
    /// Which way the offense goes.
    pub direction: Option<Direction>,
}

/// What settled a candidate, in words; `None` where nothing did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Grounds {
    /// What gave scale and focal length.
    pub scale: Option<String>,
    /// What gave the place across the field.
    pub side: Option<String>,
    /// What told which yard line is which.
    pub yard_line: Option<String>,
}

/// A camera that the chalk allows.
#[derive(Clone, Debug, PartialEq)]
pub struct StartCandidate {
    /// Index of the frame whose camera it is.
    pub frame: u32,
    /// The camera; `trusted` when the probability reaches [`SETTLED`] and its fit is good.
    pub camera: CameraEstimate,
    /// Probability that scale, side and yard line are right.
    pub probability: f64,
    /// What settled it.
    pub grounds: Grounds,
}

/// Probability from which a start is taken without asking: one wrong in two hundred such is the most a game's clips bear, and less sure
/// ones cost a key stroke each.
pub const SETTLED: f64 = 0.995;

/// Most candidates given.
const CANDIDATES: usize = 8;
/// Least probability of a candidate given.
const LEAST: f64 = 0.003;
/// Nats per unit of evidence: neighbouring samples hide and show together.
const EVIDENCE: f64 = 0.12;

/// A camera of one frame with a name for its yard lines.
#[derive(Clone, Debug)]
struct Named {
    camera: Pinhole,
    covariance: crate::model::Matrix8,
    /// Log of what this frame alone shows, and with what is believed of the stand; both normalised over the frame's names.
    likelihood: f64,
    weight: f64,
    good: f64,
    fitted: usize,
    shift: f64,
    turned: bool,
    end_zone: bool,
}

struct FrameResult {
    index: u32,
    fitted: Vec<(Fitted, usize)>,
    along: Vec<Along>,
    named: Vec<Named>,
}

/// Finds the camera of one of the frames of a clip without a click: candidates, the likeliest first, and what to know about them. All
/// frames are read by themselves and vote; they should lie some way apart, and the first (by index) before the snap, when the camera is
/// aimed at the ball. An empty list has a finding that says why.
pub fn find_field(
    frames: &[FrameView<'_>],
    size: PictureSize,
    field: &FieldModel,
    known: &KnownAboutClip,
) -> (Vec<StartCandidate>, Vec<Finding>) {
    let mut findings = Vec::new();
    let missing = |code: &str, message: String| Finding::new(Severity::Missing, code, message);
    if let Err(e) = size.checked() {
        return (Vec::new(), vec![missing("bad-picture", e.to_string())]);
    }
    let mut results: Vec<FrameResult> = Vec::new();
    let glyphs = glyphs::glyphs();
    for f in frames {
        if (f.luma.width(), f.luma.height()) != (size.width as usize, size.height as usize) {
            findings.push(missing(
                "bad-picture",
                format!(
                    "frame {} is {} x {} px; the clip is {} x {} px",
                    f.index,
                    f.luma.width(),
                    f.luma.height(),
                    size.width,
                    size.height
                ),
            ));
            continue;
        }
        let first = frames.iter().all(|o| o.index >= f.index);
        results.push(one(f, first, size, field, known, &glyphs));
    }
    if results.iter().all(|r| r.named.is_empty()) {
        if findings.is_empty() {
            findings.push(missing(
                "no-field",
                "no evenly spaced yard lines stand out; a click on two crossings would start this clip"
                    .into(),
            ));
        }
        return (Vec::new(), findings);
    }
    let (candidates, more) = vote(&results, size, field, known);
    findings.extend(more);
    (candidates, findings)
}

/// Field frame turned half about midfield: what stands beyond the far sideline or behind the high end is solved as its mirror.
fn turned(p: &Pinhole, length: f64, width: f64) -> Pinhole {
    let mut out = *p;
    let c = p.station.centre;
    out.station.centre = Point3::new(length - c.x, width - c.y, c.z);
    out.aim.pan += std::f64::consts::PI;
    if out.aim.pan > std::f64::consts::PI {
        out.aim.pan -= std::f64::consts::TAU;
    }
    out
}

/// The stands that what is known allows.
fn kinds(size: PictureSize, field: &FieldModel, known: &KnownAboutClip) -> Vec<StandKind> {
    let (w, length) = (field.rule_book.width(), field.rule_book.length());
    if let Some(k) = &known.station {
        let mut belief = stands(&StationPrior::Known(k.clone()), size, field.rule_book)
            .into_iter()
            .next()
            .expect("a known station is one stand")
            .belief;
        let end_zone = is_end_zone(k, w, known);
        let c = k.station.centre;
        if is_beyond(k, length, w, end_zone) {
            belief.mean = turned(&belief.mean, length, w);
            // Covariances of a half turn: x and y change sign together, so only their ties to height and distortion do.
            for (i, j) in [(4, 6), (5, 6), (4, 7), (5, 7)] {
                belief.information[(i, j)] *= -1.0;
                belief.information[(j, i)] *= -1.0;
            }
        }
        let y = belief.mean.station.centre.y;
        let x = Some([belief.mean.station.centre.x, k.covariance[0].max(0.0).sqrt()]);
        return vec![StandKind {
            end_zone,
            belief,
            y: [y - 1.5, y + 1.5],
            height: [0.85 * c.z, 1.18 * c.z],
            x,
        }];
    }
    let mut out = Vec::new();
    if known.view != Some(View::EndZone) {
        let belief = stands(&StationPrior::Sideline, size, field.rule_book).swap_remove(0).belief;
        out.push(StandKind { end_zone: false, belief, y: [-100.0, -3.0], height: [3.0, 60.0], x: None });
    }
    if known.view != Some(View::Sideline) {
        let belief = stands(&StationPrior::EndZone, size, field.rule_book).swap_remove(0).belief;
        out.push(StandKind {
            end_zone: true,
            belief,
            y: [w / 2.0 - 30.0, w / 2.0 + 30.0],
            height: [3.0, 45.0],
            x: None,
        });
    }
    out
}

fn is_end_zone(k: &KnownStation, width: f64, known: &KnownAboutClip) -> bool {
    let y = k.station.centre.y;
    known.view.map_or((0.0..=width).contains(&y), |v| v == View::EndZone)
}

fn is_beyond(k: &KnownStation, length: f64, width: f64, end_zone: bool) -> bool {
    let c = k.station.centre;
    if end_zone { c.x > length / 2.0 } else { c.y > width / 2.0 }
}

/// Reads one frame.
fn one(
    f: &FrameView<'_>,
    first: bool,
    size: PictureSize,
    field: &FieldModel,
    known: &KnownAboutClip,
    glyphs: &[glyphs::Glyph],
) -> FrameResult {
    let s = field.surface();
    let mask =
        f.colour.map_or_else(|| GroundMask::everything(f.luma.width(), f.luma.height()), GroundMask::learn);
    let chalk = Chalk::see(f.luma, mask);
    let ground = f.colour.map(|_| &chalk.mask);
    let mut kinds = kinds(size, field, known);
    for k in kinds.iter_mut().filter(|k| k.x.is_none()) {
        // Along the field every name is tried before the belief about x is heard.
        k.belief.information[(4, 4)] *= 0.01;
    }
    let all = samples(field.rule_book);
    let mut scratch = Scratch::default();
    let rough = rough(&chalk, &kinds, size, &s);
    let mut fitted = settle_best(&rough, &kinds, &s, &all, f.luma, &chalk.mask, &mut scratch);
    if let Some(best) = fitted.first().map(|f| f.0.evidence) {
        fitted.retain(|f| f.0.evidence > best - 40.0);
    }
    fitted.truncate(3);
    let mut out = FrameResult { index: f.index, fitted, along: Vec::new(), named: Vec::new() };
    for (k, (fit, kind)) in out.fitted.iter_mut().enumerate() {
        let m = crate::model::Model::Pinhole(fit.camera);
        let mut along = Along::look(&m, &s, f.luma, ground, glyphs, &mut scratch);
        let kind = &kinds[*kind];
        // Named wrongly, a picture of the goal line lacks lines that were never painted.
        let best = names(&fit.camera, size, field)
            .map(|(shift, camera, _)| (along.weigh(field.rule_book, shift), shift, camera))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, shift, camera)) = best {
            let m = crate::model::Model::Pinhole(camera);
            let again = fit::closed_in(m, &kind.belief, &s, &all, f.luma, &chalk.mask, &mut scratch);
            if let Some(mut again) = again.filter(|a| a.evidence > fit.evidence) {
                again.camera.station.centre.x -= shift;
                *fit = again;
            }
        }
        let mut alone = 1.0;
        if known.station.is_some() && kind.end_zone {
            for _ in 0..NEIGHBOURS {
                let (better, share) = next_to(fit, kind, &along, field, |m| {
                    fit::closed_in(m, &kind.belief, &s, &all, f.luma, &chalk.mask, &mut scratch)
                });
                alone = share;
                let Some(better) = better else { break };
                *fit = better;
                let m = crate::model::Model::Pinhole(fit.camera);
                along = Along::look(&m, &s, f.luma, ground, glyphs, &mut scratch);
            }
        }
        let good = goodness(fit) * alone;
        for (shift, camera, aimed) in names(&fit.camera, size, field) {
            let base = EVIDENCE * fit.evidence + along.weigh(field.rule_book, shift);
            for is_turned in turns(known, kind.end_zone, field) {
                let mut likelihood = base;
                if first {
                    likelihood += spot_weight(aimed.x, kind.end_zone, known, field, is_turned);
                }
                let weight =
                    likelihood + stand_weight(&camera, kind, known, field, is_turned, fit.covariance[(4, 4)]);
                out.named.push(Named {
                    camera,
                    covariance: fit.covariance,
                    likelihood,
                    weight,
                    good,
                    fitted: k,
                    shift,
                    turned: is_turned,
                    end_zone: kind.end_zone,
                });
            }
        }
        out.along.push(along);
    }
    normalise(&mut out.named);
    out
}

/// Names tried one after the other as long as the next is better.
const NEIGHBOURS: usize = 3;

/// A camera whose place is known beside those that name each line five yards higher or lower and stand there too: the one that is better,
/// and its own probability among them. From far behind an end line five yards are a few percent of zoom and tilt, so that both lie well
/// on the lines.
fn next_to(
    fit: &Fitted,
    kind: &StandKind,
    along: &Along,
    field: &FieldModel,
    mut settle: impl FnMut(crate::model::Model) -> Option<Fitted>,
) -> (Option<Fitted>, f64) {
    let worth = |f: &Fitted, shift: f64| {
        EVIDENCE * f.evidence + along.weigh(field.rule_book, shift) - kind.belief.pull(&f.camera).1
    };
    let own = worth(fit, 0.0);
    let mut total = 1.0;
    let mut best: Option<(f64, Fitted)> = None;
    for shift in [-5.0, 5.0] {
        let mut camera = fit.camera;
        camera.station.centre.x += shift;
        let Some(other) = settle(crate::model::Model::Pinhole(camera)) else { continue };
        let gain = worth(&other, shift) - own;
        total += gain.min(50.0).exp();
        if gain > best.as_ref().map_or(0.0, |b| b.0) {
            best = Some((gain, other));
        }
    }
    (best.map(|b| b.1), 1.0 / total)
}

/// Every name of a camera's yard lines under which its picture shows the field: yards added, the camera so named, and the ground that it
/// is aimed at.
fn names(
    camera: &Pinhole,
    size: PictureSize,
    field: &FieldModel,
) -> impl Iterator<Item = (f64, Pinhole, Point2<geometry::frame::Ground>)> {
    let (camera, length, ez) = (*camera, field.rule_book.length(), field.rule_book.end_zone());
    (-30..=30).filter_map(move |j| {
        let shift = 5.0 * f64::from(j);
        let mut camera = camera;
        camera.station.centre.x += shift;
        let aimed = middle(&camera, size)?;
        (-ez - 5.0..=length + ez + 5.0).contains(&aimed.x).then_some((shift, camera, aimed))
    })
}

/// Probability that the shape itself is right, from how much of the chalk is where it should be.
fn goodness(f: &Fitted) -> f64 {
    let share = |k: usize| f.shares[k][0] as f64 / f.shares[k][1].max(1) as f64;
    let long = ((share(0) - 0.35) / 0.2).clamp(0.0, 1.0);
    let marks = ((share(1) - 0.12) / 0.2).clamp(0.0, 1.0);
    let rows = ((share(2) - 0.12) / 0.15).clamp(0.0, 1.0);
    let many = ((f.inliers as f64 - 40.0) / 60.0).clamp(0.0, 1.0);
    let close = ((1.6 - f.rms_px) / 0.5).clamp(0.0, 1.0);
    // Marks may be too small to see; then lines and sidelines stand alone and a doubt remains.
    // Ends of marks alone tell a yard across the field: without them a fit may sit beside its rows.
    let small = if f.shares[1][1] < 20 {
        0.98
    } else if f.shares[2][1] < 20 {
        0.98 * marks
    } else {
        marks.min(rows)
    };
    long * small * many * close
}

/// Ground under the picture's middle, a little low.
fn middle(c: &Pinhole, size: PictureSize) -> Option<Point2<geometry::frame::Ground>> {
    let (w, h) = (f64::from(size.width), f64::from(size.height));
    [0.55, 0.7, 0.85]
        .iter()
        .find_map(|t| c.ground_from_pixel(Point2::new(0.5 * w, t * h), 0.0))
        .filter(|g| g.is_finite())
}

/// The half turns to consider.
fn turns(known: &KnownAboutClip, end_zone: bool, field: &FieldModel) -> Vec<bool> {
    if let Some(k) = &known.station {
        return vec![is_beyond(k, field.rule_book.length(), field.rule_book.width(), end_zone)];
    }
    match known.beyond {
        Some(b) => vec![b],
        None if end_zone => vec![false, true],
        None => vec![false],
    }
}

/// Log density with heavy tails (Student, four degrees of freedom) of a standardised difference.
fn heavy(z: f64) -> f64 {
    -2.5 * (1.0 + z * z / 4.0).ln()
}

/// Least log weight of a place that is not the station's: stations are moved between clips now and then.
const FARTHEST_STAND: f64 = -18.0;
/// Standard deviation of a sideline camera's place about midfield, and of an end-zone camera's distance, yd. Common practice, no source.
const STAND_SD: f64 = 12.0;
/// Standard deviation of an end-zone camera's place about the middle of the field's width, yd. Common practice, no source.
const MIDDLE_SD: f64 = 6.0;

fn stand_weight(
    c: &Pinhole,
    kind: &StandKind,
    known: &KnownAboutClip,
    field: &FieldModel,
    is_turned: bool,
    variance: f64,
) -> f64 {
    let (length, ez) = (field.rule_book.length(), field.rule_book.end_zone());
    let x = c.station.centre.x;
    if let Some(k) = &known.station {
        let own = k.station.centre.x;
        let at = if is_turned { length - own } else { own };
        let sd = (k.covariance[0] + variance + 0.25).sqrt();
        return (-0.5 * ((x - at) / sd).powi(2)).max(FARTHEST_STAND);
    }
    if kind.end_zone {
        let aside = c.station.centre.y - field.rule_book.width() / 2.0;
        heavy((x + ez + 24.0) / 15.0) + heavy(aside / MIDDLE_SD)
    } else {
        heavy((x - length / 2.0) / STAND_SD)
    }
}

/// Cameras are aimed at the ball before the snap; the aim leads it by some yards. Common practice, no source.
const AIM_SD: [f64; 2] = [6.0, 9.0];

fn spot_weight(
    aimed: f64,
    end_zone: bool,
    known: &KnownAboutClip,
    field: &FieldModel,
    is_turned: bool,
) -> f64 {
    let Some(spot) = known.spot else { return 0.0 };
    let at = if is_turned { field.rule_book.length() - spot.x } else { spot.x };
    let sd = spot.sd.hypot(AIM_SD[usize::from(end_zone)]);
    heavy((aimed - at) / sd)
}

fn normalise(all: &mut [Named]) {
    let total = |of: &dyn Fn(&Named) -> f64| {
        let top = all.iter().map(of).fold(f64::MIN, f64::max);
        top + all.iter().map(|n| (of(n) - top).exp()).sum::<f64>().ln()
    };
    let (weight, likelihood) = (total(&|n| n.weight), total(&|n| n.likelihood));
    for n in all.iter_mut() {
        n.weight -= weight;
        n.likelihood -= likelihood;
    }
}

/// Vote of a frame that sees nothing of a candidate: frames of a clip show the same paint, so that one reading wrong often means the
/// others are too.
const ODD_FRAME: f64 = 0.02;

/// Lets the frames vote on the station, and gives the candidates of the frame that stands best.
fn vote(
    results: &[FrameResult],
    size: PictureSize,
    field: &FieldModel,
    known: &KnownAboutClip,
) -> (Vec<StartCandidate>, Vec<Finding>) {
    let agree = |a: &Named, b: &Named| {
        let (p, q) = (a.camera.station.centre, b.camera.station.centre);
        let sd = |k: usize| (a.covariance[(k, k)] + b.covariance[(k, k)]).sqrt();
        a.turned == b.turned
            && a.end_zone == b.end_zone
            && (p.x - q.x).abs() < (1.2 + 2.0 * sd(4)).min(2.4)
            && (p.y - q.y).abs() < 4.0 + 3.0 * sd(5)
    };
    let mut best: Option<(f64, usize, Vec<(f64, usize)>)> = None;
    for (r, result) in results.iter().enumerate() {
        let mut scored: Vec<(f64, usize)> = result
            .named
            .iter()
            .enumerate()
            .filter(|(_, n)| n.weight > -14.0)
            .map(|(i, n)| {
                let mut w = n.weight;
                for (o, other) in results.iter().enumerate() {
                    if o == r || other.named.is_empty() {
                        continue;
                    }
                    let p: f64 =
                        other.named.iter().filter(|m| agree(n, m)).map(|m| m.likelihood.exp() * m.good).sum();
                    w += (ODD_FRAME + (1.0 - ODD_FRAME) * p).ln();
                }
                (w, i)
            })
            .collect();
        let Some(top) = scored.iter().map(|s| s.0).max_by(f64::total_cmp) else { continue };
        let sum: f64 = scored.iter().map(|s| (s.0 - top).exp()).sum();
        for s in &mut scored {
            s.0 = (s.0 - top).exp() / sum;
        }
        scored.sort_by(|a, b| b.0.total_cmp(&a.0));
        let n = &result.named[scored[0].1];
        let merit = scored[0].0
            * (0.05 + n.good)
            * (1.0 + 0.002 * result.fitted[n.fitted].0.evidence.clamp(0.0, 400.0));
        if best.as_ref().is_none_or(|b| merit > b.0) {
            best = Some((merit, r, scored));
        }
    }
    let Some((_, r, scored)) = best else { return (Vec::new(), Vec::new()) };
    let result = &results[r];
    let mut out = Vec::new();
    for (p, i) in scored.into_iter().take(CANDIDATES) {
        let n = &result.named[i];
        let read = !result.along[n.fitted].words(field.rule_book, n.shift).is_empty();
        let told = if read || known.station.is_some() { 1.0 } else { UNREAD };
        let probability = p * n.good * told * if strayed(n, field, known) { STRAYED } else { 1.0 };
        if probability < LEAST && !out.is_empty() {
            break;
        }
        out.push(candidate(n, result, probability, size, field, known));
    }
    let mut findings = Vec::new();
    if let Some(first) = out.first()
        && first.probability < SETTLED
    {
        let what = if first.grounds.yard_line.is_none() {
            "which yard line is which stays open"
        } else {
            "the camera is not settled beyond doubt"
        };
        findings.push(Finding::new(
            Severity::Weak,
            "start-open",
            format!(
                "{what}: the likeliest of {} has probability {:.2}, and {SETTLED} is needed",
                out.len(),
                first.probability
            ),
        ));
    }
    (out, findings)
}

/// Share of belief left where no number was read and no station is known: a shape that is wrong altogether finds goal lines too.
const UNREAD: f64 = 0.9;
/// Share of belief left in a camera that does not stand where the game's other clips put it: either it was moved, or this is wrong.
const STRAYED: f64 = 0.5;

/// Whether a candidate stands elsewhere than the known station.
fn strayed(n: &Named, field: &FieldModel, known: &KnownAboutClip) -> bool {
    known.station.as_ref().is_some_and(|k| {
        let own = k.station.centre.x;
        let at = if n.turned { field.rule_book.length() - own } else { own };
        let sd = (k.covariance[0] + n.covariance[(4, 4)] + 0.25).sqrt();
        (n.camera.station.centre.x - at).abs() > 4.0 * sd
    })
}

fn candidate(
    n: &Named,
    r: &FrameResult,
    probability: f64,
    size: PictureSize,
    field: &FieldModel,
    known: &KnownAboutClip,
) -> StartCandidate {
    let book = field.rule_book;
    let f = &r.fitted[n.fitted].0;
    let (camera, mut covariance) = if n.turned {
        (turned(&n.camera, book.length(), book.width()), n.covariance)
    } else {
        (n.camera, n.covariance)
    };
    if n.turned {
        for k in [4, 5] {
            for j in (0..8).filter(|j| *j != 4 && *j != 5) {
                covariance[(k, j)] *= -1.0;
                covariance[(j, k)] *= -1.0;
            }
        }
    }
    let ground = size_of_error(&camera, &covariance, size, field);
    let along = &r.along[n.fitted];
    let numbers = along.words(book, n.shift);
    let mut told = Vec::new();
    if !numbers.is_empty() {
        told.push(format!("numbers {}", numbers.join(", ")));
    }
    if along.end_in_view(book, n.shift) {
        told.push("the goal line, with no lines behind it".to_owned());
    }
    if known.station.is_some() {
        told.push("the camera's place in this game".to_owned());
    } else if known.spot.is_some() {
        told.push("the ball's spot".to_owned());
    }
    let [lines, marks, rows] = f.shares;
    let grounds = Grounds {
        scale: (lines[0] > 0).then(|| {
            format!(
                "{} of {} samples of lines five yards apart, {} of {} marks",
                lines[0], lines[1], marks[0], marks[1]
            )
        }),
        side: (rows[0] >= 4 || marks[0] >= 8)
            .then(|| format!("hash rows ({} of {} ends of marks) and sidelines", rows[0], rows[1])),
        yard_line: (!told.is_empty()).then(|| told.join("; ")),
    };
    StartCandidate {
        frame: r.index,
        camera: CameraEstimate {
            camera: FieldCamera::Pinhole(camera),
            covariance: row_major(&covariance),
            quality: FrameQuality {
                rms_px: f.rms_px,
                evidence: f.inliers as u32,
                coverage: (lines[0] as f64 / lines[1].max(1) as f64).min(1.0),
                trusted: probability >= SETTLED && f.rms_px < 1.2 && ground < 0.3,
            },
        },
        probability,
        grounds,
    }
}

/// Ground error over most of the field in view, yd RMS.
fn size_of_error(
    c: &Pinhole,
    covariance: &crate::model::Matrix8,
    size: PictureSize,
    field: &FieldModel,
) -> f64 {
    let (w, h) = (f64::from(size.width), f64::from(size.height));
    let (m, s) = (crate::model::Model::Pinhole(*c), field.surface());
    let mut errors: Vec<f64> = (0..20)
        .filter_map(|k| {
            let p = Point2::new((f64::from(k % 5) + 0.5) * w / 5.0, (f64::from(k / 5) + 0.5) * h / 4.0);
            m.ground(&s, p).filter(|g| field.rule_book.holds(*g))?;
            crate::model::ground_covariance(&m, &s, p, covariance).map(|c| c.rms())
        })
        .collect();
    errors.sort_by(f64::total_cmp);
    errors.get(errors.len() * 3 / 4).copied().unwrap_or(f64::INFINITY)
}
