//! The key: a defender in conflict between two receivers, what he chose, and when it showed.

use crate::board::Board;
use play::PersonId;
use stats::Estimate;

/// A choice below this is for the first receiver, above one minus it for the second.
pub const DECLARED: f64 = 0.35;

/// Where the key stands between receivers `a` and `b` at `t_s`: 0 fully on `a`, 1 fully on `b`.
pub fn choice(board: &Board<'_>, key: &PersonId, a: &PersonId, b: &PersonId, t_s: f64) -> Option<Estimate> {
    let (k, a, b) = (board.spot(key, t_s)?, board.spot(a, t_s)?, board.spot(b, t_s)?);
    let across = b.at - a.at;
    let length = across.norm();
    // Two receivers on top of each other put nobody in conflict.
    if length < 2.0 {
        return None;
    }
    let along = (k.at - a.at).dot(across) / (length * length);
    // Errors of the key and, weighted by where he stands, of the two ends.
    let w = along.clamp(0.0, 1.0);
    let sd = (k.sd.powi(2) + ((1.0 - w) * a.sd).powi(2) + (w * b.sd).powi(2)).sqrt() / length;
    Some(Estimate::new(along.clamp(0.0, 1.0), sd))
}

/// A key's declaration.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Declared {
    /// Whether he went with the first receiver (then the throw is to the second).
    pub to_first: bool,
    /// When he passed the threshold for good, s from the snap.
    pub at_s: Estimate,
}

/// Step of the search, s.
const STEP_S: f64 = 1.0 / 30.0;

/// When the key's choice passed a threshold and stayed beyond it until `until_s`; `None` while he has not declared.
pub fn declared(
    board: &Board<'_>,
    key: &PersonId,
    a: &PersonId,
    b: &PersonId,
    from_s: f64,
    until_s: f64,
) -> Option<Declared> {
    let n = ((until_s - from_s) / STEP_S).floor().max(0.0) as usize;
    let times: Vec<f64> = (0..=n).map(|k| from_s + k as f64 * STEP_S).collect();
    let choices: Vec<(f64, Estimate)> =
        times.iter().filter_map(|&t| choice(board, key, a, b, t).map(|c| (t, c))).collect();
    let last = choices.last()?.1.value;
    let to_first = last < DECLARED;
    if !to_first && last <= 1.0 - DECLARED {
        return None;
    }
    // From first receiver's side: distance past the threshold.
    let past = |c: &Estimate| if to_first { DECLARED - c.value } else { c.value - (1.0 - DECLARED) };
    let stays_from = choices.iter().rposition(|(_, c)| past(c) <= 0.0).map_or(0, |k| k + 1);
    let (t1, c1) = choices[stays_from];
    if stays_from == 0 {
        return Some(Declared { to_first, at_s: Estimate::new(t1, STEP_S) });
    }
    let (t0, c0) = choices[stays_from - 1];
    let (p0, p1) = (past(&c0), past(&c1));
    let t = t0 + (t1 - t0) * (-p0 / (p1 - p0)).clamp(0.0, 1.0);
    // How fast the choice moves there, over a fifth of a second, turns its error into one of time.
    let near: Vec<&(f64, Estimate)> = choices.iter().filter(|(u, _)| (u - t).abs() <= 0.1).collect();
    let (x, y) = (near.first()?, near.last()?);
    let rate = ((past(&y.1) - past(&x.1)) / (y.0 - x.0).max(STEP_S)).abs().max(0.1);
    Some(Declared { to_first, at_s: Estimate::new(t, (c1.se / rate).hypot(STEP_S / 12.0f64.sqrt())) })
}

/// The defender in conflict between two receivers: he who stays nearest to the line between them from `from_s` to
/// `until_s`, not within arm's reach of a third receiver all along.
pub fn find(board: &Board<'_>, a: &PersonId, b: &PersonId, from_s: f64, until_s: f64) -> Option<PersonId> {
    let times: Vec<f64> = (0..6).map(|k| from_s + (until_s - from_s) * f64::from(k) / 5.0).collect();
    let cost = |id: &PersonId| -> Option<f64> {
        let mut sum = 0.0;
        for &t in &times {
            let (d, a, b) = (board.spot(id, t)?, board.spot(a, t)?, board.spot(b, t)?);
            let across = b.at - a.at;
            let w = ((d.at - a.at).dot(across) / across.dot(across).max(1e-9)).clamp(0.0, 1.0);
            sum += d.at.distance(a.at.lerp(b.at, w));
        }
        Some(sum / times.len() as f64)
    };
    board
        .covers()
        .filter_map(|p| cost(&p.id).map(|c| (p.id.clone(), c)))
        .min_by(|x, y| x.1.total_cmp(&y.1))
        .map(|x| x.0)
}
