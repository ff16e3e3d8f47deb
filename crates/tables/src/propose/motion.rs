//! Which columns hold speeds and courses, and how these are written: told by how people move between their rows.

use super::look::Seen;
use crate::headings::{Use, fits};
use crate::infer::median;
use crate::mapping::{Axis, Motion, SpeedUnit, Time, Unit};
use crate::rows::instant;
use crate::sheet::{content, number};
use csv::StringRecord;
use play::{Finding, Severity};
use std::collections::HashMap;

/// What is told.
pub(super) struct Told {
    /// Columns of speed and course, and their reading.
    pub motion: Option<(usize, usize, Motion)>,
    /// White error of places along each axis, yd.
    pub noise_yd: Option<f64>,
    /// Median step between instants, in what the time column counts.
    pub step: Option<f64>,
}

/// Columns of a table with a row a person.
pub(super) struct At {
    pub person: usize,
    pub time: usize,
    pub x: usize,
    pub y: usize,
}

/// Slower bodies have no course, yd/s.
const MOVES_YDPS: f64 = 3.0;
/// Faster ones are faults, yd/s.
const RUNS_YDPS: f64 = 12.0;
/// A speed's median ratio to how far people move is this near its unit's.
const NEAR_UNIT: f64 = 0.08;
/// Mean cosine between courses and ways moved from which a reading is believed.
const AGREES: f64 = 0.9;

/// Step between instants of the time column, in its own count.
pub(super) fn step(rows: &[(String, StringRecord)], time: usize, form: Time) -> Option<f64> {
    let mut instants: HashMap<&str, Vec<f64>> = HashMap::new();
    for (key, r) in rows {
        instants.entry(key).or_default().extend(r.get(time).and_then(|c| instant(c, form)));
    }
    let mut steps = Vec::new();
    for t in instants.values_mut() {
        t.sort_by(f64::total_cmp);
        t.dedup();
        steps.extend(t.windows(2).map(|w| w[1] - w[0]));
    }
    median(&mut steps)
}

/// Reads speeds, courses and noise off the rows of a few plays.
pub(super) fn motion(
    rows: &[(String, StringRecord)],
    headings: &[String],
    seen: &[Seen],
    at: &At,
    form: Time,
    unit: Unit,
    findings: &mut Vec<Finding>,
) -> Told {
    let mut bodies: HashMap<(&str, &str), Vec<(f64, [f64; 2], &StringRecord)>> = HashMap::new();
    for (key, r) in rows {
        let cell = |c: usize| content(r, c).and_then(number);
        let (Some(t), Some(x), Some(y)) =
            (r.get(at.time).and_then(|c| instant(c, form)), cell(at.x), cell(at.y))
        else {
            continue;
        };
        let who = content(r, at.person).unwrap_or("");
        bodies.entry((key, who)).or_default().push((t, [x, y].map(|v| v * unit.yards()), r));
    }
    // How far and which way each body moves about each row, beside that row.
    let (mut moves, mut bends, mut spans) = (Vec::new(), Vec::new(), Vec::new());
    for path in bodies.values_mut() {
        path.sort_by(|a, b| a.0.total_cmp(&b.0));
        for w in path.windows(3) {
            let dt = w[2].0 - w[0].0;
            if !(0.02..0.5).contains(&dt) || w[1].0 == w[0].0 || w[2].0 == w[1].0 {
                continue;
            }
            bends.extend([0, 1].map(|k| (w[0].1[k] - 2.0 * w[1].1[k] + w[2].1[k]).abs()));
            let v = [(w[2].1[0] - w[0].1[0]) / dt, (w[2].1[1] - w[0].1[1]) / dt];
            spans.push(dt);
            if (MOVES_YDPS..RUNS_YDPS).contains(&v[0].hypot(v[1])) {
                moves.push((v, w[1].2));
            }
        }
    }
    // Median deviation to standard deviation, and white noise in a second difference.
    let noise_yd = median(&mut bends).map(|m| 1.4826 * m / 6f64.sqrt());
    let untold = Told { motion: None, noise_yd, step: step(rows, at.time, form) };
    // Faster than noise alone makes somebody seem who stands: four of its deviations.
    let blur = noise_yd.zip(median(&mut spans)).map_or(0.0, |(n, dt)| n * std::f64::consts::SQRT_2 / dt);
    moves.retain(|(v, _)| v[0].hypot(v[1]) > 4.0 * blur);
    if moves.len() < 50 {
        return untold;
    }
    let named = |k: usize, what| fits(&headings[k], what) > 0.0;
    let numeric = |k: &usize| seen[*k].numeric() && ![at.person, at.time, at.x, at.y].contains(k);
    let cell = |r: &StringRecord, k: usize| content(r, k).and_then(number);
    let speed = (0..seen.len())
        .filter(numeric)
        .filter(|&k| named(k, Use::Speed) && seen[k].range().0 >= 0.0)
        .filter_map(|k| {
            // Yards a second in one of the column's units, by the faster half of its figures: noise in the places makes
            // slow people seem fast, and fast ones hardly faster.
            let mut pairs: Vec<(f64, f64)> =
                moves.iter().filter_map(|(v, r)| Some((cell(r, k)?, v[0].hypot(v[1])))).collect();
            pairs.sort_by(|a, b| b.0.total_cmp(&a.0));
            pairs.truncate(pairs.len().div_ceil(2));
            let mut ratios: Vec<f64> = pairs.iter().filter(|p| p.0 > 0.0).map(|p| p.1 / p.0).collect();
            let ydps = median(&mut ratios)?;
            let off = |u: &SpeedUnit| (ydps / u.ydps()).ln().abs();
            let unit = SpeedUnit::ALL.into_iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
            (off(&unit) < NEAR_UNIT).then_some((k, unit, off(&unit)))
        })
        .min_by(|a, b| a.2.total_cmp(&b.2));
    let readings = |unit| {
        [Axis::X, Axis::Y].into_iter().flat_map(move |zero| {
            [false, true].into_iter().flat_map(move |clockwise| {
                [false, true].map(|radians| Motion { unit, zero, clockwise, radians })
            })
        })
    };
    let course = (0..seen.len())
        .filter(numeric)
        .filter(|&k| named(k, Use::Course))
        .flat_map(|k| readings(SpeedUnit::YardsPerSecond).map(move |m| (k, m)))
        .filter_map(|(k, m)| {
            let (mut sum, mut n) = (0.0, 0.0);
            for (v, r) in &moves {
                let Some(course) = cell(r, k) else { continue };
                let u = m.velocity(1.0, course);
                sum += (u[0] * v[0] + u[1] * v[1]) / v[0].hypot(v[1]);
                n += 1.0;
            }
            (n > 0.0).then_some((k, m, sum / n))
        })
        .max_by(|a, b| a.2.total_cmp(&b.2));
    let heading = |k: usize| &headings[k];
    match (speed, course) {
        (Some((s, unit, _)), Some((c, m, agrees))) if agrees > AGREES => {
            let motion = Motion { unit, ..m };
            let text = format!(
                "“{}” and “{}” are speed and course: {}; they point the way people move (mean cosine {agrees:.2})",
                heading(s),
                heading(c),
                motion.told()
            );
            findings.push(Finding::new(Severity::Note, "motion", text));
            Told { motion: Some((s, c, motion)), ..untold }
        }
        (_, Some((c, _, agrees))) => {
            let text = format!(
                "“{}” may be a course, but no speed beside it or reading of it agrees with how people move (mean cosine {agrees:.2} at best, {AGREES} needed); speeds are not used",
                heading(c)
            );
            findings.push(Finding::new(Severity::Weak, "motion-unclear", text));
            untold
        }
        _ => untold,
    }
}
