//! Rows to people and ball in the field frame, with what cannot be so left out and named.

use super::{Notes, Whole};
use crate::infer::{self, Path, apart, at};
use crate::mapping::Origin;
use crate::rows::{BALL, NONE, RawPlay, Sample};
use motion::sampled::{FASTEST_YDPS, TOLD_BY_TABLE, reachable};
use play::Severity;
use std::collections::BTreeMap;

/// Who stands farther outside the sidelines at the snap than this does not play, yd.
const OUTSIDE_YD: f64 = 1.0;
/// Two places of one body at one instant, farther apart than this, are two bodies, yd.
const TWO_PLACES_YD: f64 = 0.3;

/// Somebody's rows in the field frame.
pub(super) struct Body {
    pub team: Option<u32>,
    pub path: Path,
    /// Of each place: its row, and how he ran.
    pub rows: Vec<u64>,
    pub velocities: Vec<Option<[f64; 2]>>,
}

impl Body {
    fn new(seen: &[Seen]) -> Self {
        Self {
            team: None,
            path: seen.iter().map(|s| s.at).collect(),
            rows: seen.iter().map(|s| s.row).collect(),
            velocities: seen.iter().map(|s| s.velocity).collect(),
        }
    }
}

/// One row in the field frame.
#[derive(Clone, Copy)]
struct Seen {
    at: [f64; 3],
    velocity: Option<[f64; 2]>,
    row: u64,
}

/// The ball's and everybody's paths in the field frame, on the table's clock.
pub(super) fn bodies(raw: &RawPlay, whole: &Whole<'_>, notes: &mut Notes) -> (Path, BTreeMap<u32, Body>) {
    let mut rows: BTreeMap<u32, Vec<&Sample>> = BTreeMap::new();
    for s in &raw.samples {
        rows.entry(s.person).or_default().push(s);
    }
    let mut ball = Vec::new();
    let mut bodies = BTreeMap::new();
    for (person, mut of) in rows {
        of.sort_by(|a, b| a.t.total_cmp(&b.t));
        let seen: Vec<Seen> = of.iter().map(|s| place(s, whole)).collect();
        let anchor =
            (person == BALL).then(|| middle(raw, whole, seen.first().map_or(0.0, |s| s.at[0]))).flatten();
        let (seen, doubles) = without_doubles(&seen, anchor);
        let who = if person == BALL { "the ball" } else { whole.words.word(person) };
        if let Some((row, gap)) = doubles.first {
            let code = if person == BALL { "two-balls" } else { "double-rows" };
            let text = format!(
                "{who} is in two places at {} instants, {gap:.1} yd apart in row {row} (at most {TWO_PLACES_YD} yd); the place nearer to the one before is kept",
                doubles.apart
            );
            notes.add(Severity::Weak, code, text);
        } else if doubles.same > 0 {
            let text = format!("{who} has {} rows twice; one of each is kept", doubles.same);
            notes.add(Severity::Note, "rows-repeated", text);
        }
        let mut body = Body::new(&seen);
        if person == BALL {
            ball = body.path;
            continue;
        }
        let mut teams: BTreeMap<u32, usize> = BTreeMap::new();
        for s in of.iter().filter(|s| s.side != NONE) {
            *teams.entry(s.side).or_default() += 1;
        }
        body.team = teams.iter().max_by_key(|t| t.1).map(|t| *t.0);
        if let Some(other) = of.iter().find(|s| s.side != NONE && Some(s.side) != body.team) {
            let text = format!(
                "{who} changes sides: “{}” from row {}; the more frequent side is kept",
                whole.words.word(other.side),
                other.row
            );
            notes.add(Severity::Weak, "side-changes", text);
        }
        bodies.insert(person, body);
    }
    (ball, bodies)
}

fn place(s: &Sample, whole: &Whole<'_>) -> Seen {
    let (m, book) = (whole.mapping, whole.book);
    let (x, y) = (s.x * m.unit.yards(), s.y * m.unit.yards());
    let (x, y) = match m.origin {
        Origin::EndLine => (x - book.end_zone(), y),
        Origin::GoalLine => (x, y),
        Origin::Middle => (x + book.length() / 2.0, y + book.width() / 2.0),
    };
    let velocity = m.motion.filter(|_| s.speed.is_finite() && s.course.is_finite()).map(|motion| {
        let [vx, vy] = motion.velocity(s.speed, s.course);
        [vx, if m.mirrored { -vy } else { vy }]
    });
    Seen { at: [s.t, x, if m.mirrored { book.width() - y } else { y }], velocity, row: s.row }
}

/// Rows of one body at one instant.
#[derive(Default)]
struct Doubles {
    /// Instants at which they repeat a place.
    same: usize,
    /// Instants at which they tell two places, and the first such row with how far apart they are, yd.
    apart: usize,
    first: Option<(u64, f64)>,
}

/// The middle of all people about an instant of the table's clock.
fn middle(raw: &RawPlay, whole: &Whole<'_>, t: f64) -> Option<[f64; 3]> {
    let near = raw.samples.iter().filter(|s| s.person != BALL && (s.t - t).abs() < 0.15);
    let (mut x, mut y): (Vec<f64>, Vec<f64>) =
        near.map(|s| place(s, whole).at).map(|[_, x, y]| (x, y)).unzip();
    Some([t, infer::median(&mut x)?, infer::median(&mut y)?])
}

/// One place an instant. Rows that repeat a place are no matter; of two places the one nearer to the place before stays, and
/// at first the one nearer to `anchor`.
fn without_doubles(seen: &[Seen], anchor: Option<[f64; 3]>) -> (Vec<Seen>, Doubles) {
    let mut out: Vec<Seen> = Vec::with_capacity(seen.len());
    let mut doubles = Doubles::default();
    for s in seen {
        match out.last().copied() {
            Some(last) if (s.at[0] - last.at[0]).abs() < 1e-4 => {
                let gap = apart(s.at, last.at);
                if gap <= TWO_PLACES_YD {
                    doubles.same += 1;
                    continue;
                }
                doubles.apart += 1;
                doubles.first.get_or_insert((s.row, gap));
                let before = out.len().checked_sub(2).map(|k| out[k].at).or(anchor);
                if before.is_some_and(|b| apart(s.at, b) < apart(last.at, b)) {
                    out.pop();
                    out.push(*s);
                }
            }
            _ => out.push(*s),
        }
    }
    (out, doubles)
}

/// Takes out whoever stands beside the field at the snap.
pub(super) fn outside(bodies: &mut BTreeMap<u32, Body>, whole: &Whole<'_>, notes: &mut Notes) {
    let beyond = |b: &Body| {
        let s = at(&b.path, 0.0, 0.3)?;
        let off = (-s[2]).max(s[2] - whole.book.width());
        (off > OUTSIDE_YD).then_some(off)
    };
    bodies.retain(|key, b| {
        let Some(off) = beyond(b) else { return true };
        let text = format!(
            "{} stands {off:.1} yd outside the sideline at the snap (at most {OUTSIDE_YD} yd) and is left out",
            whole.words.word(*key)
        );
        notes.add(Severity::Weak, "out-of-bounds", text);
        false
    });
}

/// Names the rows of people that nobody could have run to; the smoother leaves them out.
pub(super) fn astray(bodies: &BTreeMap<u32, Body>, keys: &[u32], whole: &Whole<'_>, notes: &mut Notes) {
    for key in keys {
        let Some(b) = bodies.get(key) else { continue };
        let kept = reachable(&b.path, whole.mapping.sd_yd);
        let Some(k) = (0..b.path.len()).find(|k| kept.binary_search(k).is_err()) else { continue };
        let near = kept.iter().copied().min_by_key(|i| i.abs_diff(k)).unwrap_or(k);
        let (here, there) = (b.path[k], b.path[near]);
        let text = format!(
            "{} is {:.1} yd away after {:.2} s in row {}, and nobody runs faster than {FASTEST_YDPS} yd/s; {} such rows are left out",
            whole.words.word(*key),
            apart(here, there),
            (here[0] - there[0]).abs(),
            b.rows[k],
            b.path.len() - kept.len()
        );
        notes.add(Severity::Weak, TOLD_BY_TABLE, text);
    }
}

/// Samples a second, by the median step.
pub(super) fn rate(bodies: &BTreeMap<u32, Body>) -> Option<f64> {
    let longest = bodies.values().max_by_key(|b| b.path.len())?;
    let mut steps: Vec<f64> = longest.path.windows(2).map(|w| w[1][0] - w[0][0]).collect();
    steps.sort_by(f64::total_cmp);
    steps.get(steps.len() / 2).filter(|s| **s > 0.0).map(|s| 1.0 / s)
}
