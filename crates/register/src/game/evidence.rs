use crate::PictureSize;
use crate::evidence::Seen;
use crate::model::{Model, Surface};
use crate::samples::Class;
use crate::stripe::bias;
use camera::Pinhole;
use field::RuleBook;
use geometry::Point2;
use geometry::frame::Ground;
use nalgebra as na;
use serde::{Deserialize, Serialize};

/// A point of paint as one frame saw it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PaintSeen {
    /// Where the book puts it, yd.
    pub ground: Point2<Ground>,
    /// Unit direction across the paint in the picture.
    pub normal: [f64; 2],
    /// Where it was seen, px.
    pub at: [f64; 2],
    /// Standard deviation of `at` along `normal` from noise and uneven grass, px; not the painter's error.
    pub sd_px: f64,
    /// Which string of the painter's it was laid along.
    pub string: PaintString,
    /// Place along the paint, 0 to 1.
    pub place: f64,
}

/// Everything of a frame that a game's adjustment needs, a few kilobytes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(from = "Packed", into = "Packed")]
pub struct FrameEvidence {
    /// The frame's own camera, from which to start.
    pub camera: Pinhole,
    /// The paint seen.
    pub seen: Vec<PaintSeen>,
    /// Standard deviation of the painter's error as the clip showed it, yd.
    pub paint_sd: f64,
}

/// As kept: bare numbers, to a thousandth of a pixel and of a yard.
#[derive(Serialize, Deserialize)]
struct Packed {
    camera: Pinhole,
    paint_sd: f64,
    seen: Vec<(i16, [f64; 8])>,
}

impl From<FrameEvidence> for Packed {
    fn from(e: FrameEvidence) -> Self {
        let thousandth = |v: f64| (v * 1e3).round() / 1e3;
        let fine = |v: f64| (v * 1e5).round() / 1e5;
        let pack = |p: &PaintSeen| {
            let [x, y] = [p.ground.x, p.ground.y].map(thousandth);
            let [u, v] = p.normal.map(fine);
            let [a, b] = p.at.map(thousandth);
            (p.string.code(), [x, y, u, v, a, b, fine(p.sd_px), thousandth(p.place)])
        };
        Self { camera: e.camera, paint_sd: e.paint_sd, seen: e.seen.iter().map(pack).collect() }
    }
}

impl From<Packed> for FrameEvidence {
    fn from(p: Packed) -> Self {
        let unpack = |(code, [x, y, u, v, a, b, sd_px, place]): (i16, [f64; 8])| PaintSeen {
            ground: Point2::new(x, y),
            normal: [u, v],
            at: [a, b],
            sd_px,
            string: PaintString::from_code(code),
            place,
        };
        Self { camera: p.camera, paint_sd: p.paint_sd, seen: p.seen.into_iter().map(unpack).collect() }
    }
}

/// What the painter laid along one string, whose error it shares: a long line, whose two ends may each be off, or a row of marks, which
/// is off as a whole beside each mark's own error.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PaintString {
    /// A line across the field at this x, yd.
    Across(i16),
    /// The near (`false`) or far sideline.
    Along(bool),
    /// Marks of a row crossed along the length: far side or near, sideline or inbounds line.
    Marks {
        /// The far one.
        far: bool,
        /// At the sideline.
        ticks: bool,
    },
    /// Ends and crossbars of a row's marks, which tell the place across.
    Ends {
        /// The far one.
        far: bool,
        /// At the sideline.
        ticks: bool,
    },
}

impl PaintString {
    /// Whether its error moves it across the field (y) and not along it (x).
    pub(crate) fn moves_across(self) -> bool {
        matches!(self, Self::Along(_) | Self::Ends { .. })
    }
    /// Unknown shifts: two ends, or one row.
    pub(crate) fn shifts(self) -> usize {
        match self {
            Self::Across(_) | Self::Along(_) => 2,
            Self::Marks { .. } | Self::Ends { .. } => 1,
        }
    }
    fn of(e: &Seen) -> Self {
        let (far, ticks) = (e.group % 2 == 1, e.group % 4 >= 2);
        match e.class {
            Class::YardLine => Self::Across(e.ground.x.round() as i16),
            Class::Sideline => Self::Along(e.ground.y > 20.0),
            Class::Mark => Self::Marks { far, ticks },
            Class::Row => Self::Ends { far, ticks },
        }
    }
    /// As a number, for keeping: lines across by their x from 0 on, the rest below.
    fn code(self) -> i16 {
        match self {
            Self::Across(x) => x.saturating_add(1000),
            Self::Along(far) => i16::from(far),
            Self::Marks { far, ticks } => 2 + i16::from(far) + 2 * i16::from(ticks),
            Self::Ends { far, ticks } => 6 + i16::from(far) + 2 * i16::from(ticks),
        }
    }
    fn from_code(code: i16) -> Self {
        let (far, ticks) = (code % 2 == 1, (code - 2) % 4 >= 2);
        match code {
            0 | 1 => Self::Along(far),
            2..=5 => Self::Marks { far, ticks },
            6..=9 => Self::Ends { far, ticks },
            _ => Self::Across(code - 1000),
        }
    }
    fn shifted(self, yards: i16) -> Self {
        match self {
            Self::Across(x) => Self::Across(x + yards),
            other => other,
        }
    }
    fn turned(self) -> Self {
        match self {
            Self::Across(x) => Self::Across(100 - x),
            Self::Along(far) => Self::Along(!far),
            Self::Marks { far, ticks } => Self::Marks { far: !far, ticks },
            Self::Ends { far, ticks } => Self::Ends { far: !far, ticks },
        }
    }
}

impl FrameEvidence {
    /// Picture size.
    pub fn size(&self) -> PictureSize {
        PictureSize { width: self.camera.station.width, height: self.camera.station.height }
    }
    /// The same picture read as if the camera's field lay `yards` farther along.
    pub fn shifted(&self, yards: i16) -> Self {
        let mut out = self.clone();
        out.camera.station.centre.x += f64::from(yards);
        for p in &mut out.seen {
            p.ground.x += f64::from(yards);
            p.string = p.string.shifted(yards);
        }
        out
    }
    /// The same picture read from the other side: the field turned by half a turn.
    pub fn turned(&self, book: RuleBook) -> Self {
        let mut out = self.clone();
        out.camera = turned(&self.camera, book);
        for p in &mut out.seen {
            p.ground = Point2::new(100.0 - p.ground.x, book.width() - p.ground.y);
            p.place = 1.0 - p.place;
            p.string = p.string.turned();
        }
        out
    }
    /// Compresses what a fit at `camera` saw. The samples of one stripe become the two points at which a straight line through them is
    /// known independently: a deviation either side of their mean.
    pub(crate) fn compress(camera: &Pinhole, s: &Surface, seen: &[Seen], paint_sd: f64) -> Self {
        let m = Model::Pinhole(*camera);
        let mut out = Vec::new();
        let mut k = 0;
        while k < seen.len() {
            let end = k + seen[k..].iter().take_while(|e| e.cluster == seen[k].cluster).count();
            stripe(&m, s, &seen[k..end], paint_sd, &mut out);
            k = end;
        }
        Self { camera: *camera, seen: out, paint_sd }
    }
}

/// The camera as seen when the field is turned by half a turn about its middle.
pub(crate) fn turned(c: &Pinhole, book: RuleBook) -> Pinhole {
    let mut out = *c;
    out.station.centre.x = 100.0 - c.station.centre.x;
    out.station.centre.y = book.width() - c.station.centre.y;
    out.aim.pan = c.aim.pan + if c.aim.pan > 0.0 { -std::f64::consts::PI } else { std::f64::consts::PI };
    out
}

/// Residuals beyond this many standard deviations are not this paint (Tukey's constant, as in following).
const CUT: f64 = 4.685;

fn stripe(m: &Model, s: &Surface, samples: &[Seen], paint_sd: f64, out: &mut Vec<PaintSeen>) {
    let (mut w, mut wu, mut wuu, mut wr, mut wur) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let mut kept: Vec<&Seen> = Vec::with_capacity(samples.len());
    let mut contrast = 0.0;
    for e in samples {
        let Some(q) = m.pixel(s, e.ground) else { continue };
        let r = e.normal.dot(&(e.at - q.column()));
        if r.abs() > CUT * e.sd.hypot(bias(e.contrast)).hypot(paint_sd * e.scale) {
            continue;
        }
        let i = 1.0 / (e.sd * e.sd);
        (w, wu, wuu, wr, wur) =
            (w + i, wu + i * e.place, wuu + i * e.place * e.place, wr + i * r, wur + i * e.place * r);
        contrast += i * e.contrast;
        kept.push(e);
    }
    let Some(first) = kept.first() else { return };
    let last = kept[kept.len() - 1];
    let grass = bias(contrast / w);
    let (mean, level) = (wu / w, wr / w);
    let spread = (wuu / w - mean * mean).max(0.0);
    let long = kept.len() >= 3 && last.place - first.place > 1e-3 && spread > 1e-8;
    let slope = if long { (wur / w - mean * level) / spread } else { 0.0 };
    let places: &[f64] = if long { &[-1.0, 1.0] } else { &[0.0] };
    for side in places {
        let u = mean + side * spread.sqrt();
        let t = if long { (u - first.place) / (last.place - first.place) } else { 0.0 };
        let ground = first.ground.lerp(last.ground, t);
        let Some(p) = m.project(s, ground) else { continue };
        let normal = if long {
            let tangent = p.by_ground * (last.ground - first.ground).column();
            let n = na::Vector2::new(-tangent.y, tangent.x).normalize();
            n * n.dot(&first.normal).signum()
        } else {
            first.normal
        };
        let at = p.pixel.column() + normal * (level + slope * (u - mean));
        let noise = (places.len() as f64 / w).sqrt();
        out.push(PaintSeen {
            ground,
            normal: [normal.x, normal.y],
            at: [at.x, at.y],
            sd_px: noise.hypot(grass),
            string: PaintString::of(first),
            place: u.clamp(0.0, 1.0),
        });
    }
}
