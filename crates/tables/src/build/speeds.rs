//! How far a table's velocities can be believed.

use super::bodies::Body;
use super::{Notes, Whole};
use crate::infer;
use play::Severity;
use std::collections::BTreeMap;

/// A velocity that is known worse than this says nothing that the places do not, yd/s.
const USELESS_YDPS: f64 = 2.0;
/// No column of speeds is better than this, yd/s; common practice, no source.
const SPEED_SD_YDPS: f64 = 0.25;

/// How well the table's velocities are known, yd/s in each direction, by how they agree with the places; takes those away
/// that contradict them. `None` when none are left.
pub(super) fn speeds(bodies: &mut BTreeMap<u32, Body>, whole: &Whole<'_>, notes: &mut Notes) -> Option<f64> {
    let (mut off, mut noise) = (Vec::new(), Vec::new());
    let mut each: Vec<(u32, Vec<f64>, u64)> = Vec::new();
    for (key, b) in bodies.iter() {
        let mut own = Vec::new();
        let mut worst = (0.0, 0);
        for k in 1..b.path.len().saturating_sub(1) {
            let (p, s, n) = (b.path[k - 1], b.path[k], b.path[k + 1]);
            let dt = n[0] - p[0];
            let Some(v) = b.velocities[k].filter(|_| (0.0..0.5).contains(&dt)) else { continue };
            let moved = [(n[1] - p[1]) / dt, (n[2] - p[2]) / dt];
            let (ex, ey) = (v[0] - moved[0], v[1] - moved[1]);
            off.extend([ex.abs(), ey.abs()]);
            // What white noise of the places does to the difference, by their second differences.
            noise.extend([1, 2].map(|i| (p[i] - 2.0 * s[i] + n[i]).abs() * (2.0f64 / 6.0).sqrt() / dt));
            own.push(ex.hypot(ey));
            if ex.hypot(ey) > worst.0 {
                worst = (ex.hypot(ey), b.rows[k]);
            }
        }
        each.push((*key, own, worst.1));
    }
    // Median deviation to standard deviation of a normal error.
    let spread = |v: &mut Vec<f64>| infer::median(v).map(|m| 1.4826 * m);
    let (all, blur) = (spread(&mut off)?, spread(&mut noise)?);
    let sd = (all * all - blur * blur).max(0.0).sqrt().max(SPEED_SD_YDPS);
    let columns = || {
        let c = &whole.mapping.columns;
        [c.speed.as_deref(), c.course.as_deref()].into_iter().flatten().collect::<Vec<_>>().join("” and “")
    };
    if sd > USELESS_YDPS {
        let text = format!(
            "“{}” disagree with how far people move by {sd:.1} yd/s (at most {USELESS_YDPS}) and are not used",
            columns()
        );
        notes.add(Severity::Weak, "speeds-disagree", text);
        return None;
    }
    for (key, mut own, row) in each {
        let limit = USELESS_YDPS + 3.0 * blur;
        let Some(median) = infer::median(&mut own).filter(|m| *m > limit) else { continue };
        let text = format!(
            "speed and course of {} disagree with how far he moves by {median:.1} yd/s (at most {limit:.1}), most in row {row}; they are not used",
            whole.words.word(key)
        );
        notes.add(Severity::Weak, "speed-disagrees", text);
        if let Some(b) = bodies.get_mut(&key) {
            b.velocities.iter_mut().for_each(|v| *v = None);
        }
    }
    Some(sd)
}
