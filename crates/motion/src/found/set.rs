//! Men who stood still before the snap, hidden until somebody moved.

use super::FoundTrack;
use crate::tracks::{GroundObservation, Origin};
use geometry::{Covariance2, Point2, Vector2, frame::Ground};

/// Latest first sighting of somebody who stood there before the snap, s: by then a pile has opened. Common practice, no source.
const OPENED_S: f64 = 0.8;
/// Fastest that he goes when first seen, yd/s: who is faster came from elsewhere.
const SLOW: f64 = 4.0;
/// Somebody who was mostly seen within this of his place is himself under another name, yd: less than men stand apart.
const SAME: f64 = 0.5;
/// Times at which he is known to have stood still are this far apart, s.
const STEP_S: f64 = 0.25;
/// All but one of the offense are set for this long before the snap, s (NCAA football rules 7-1-4; the professional code's
/// rule 7 section 4 says the same), and who faces them in a stance stands too; before it they may shift.
const SET_S: f64 = 1.0;
/// Standard deviation of the speed of somebody who is set, yd/s per axis: heads turn, weight shifts. Common practice, no
/// source.
const STILL: f64 = 0.15;
/// Standard deviation of a place that says nothing, yd.
const ANYWHERE: f64 = 50.0;

/// Notes since when each must have stood still: `from_s` is the film's first instant; the clock's zero is the snap.
pub(super) fn set_before_the_snap(tracks: &mut [FoundTrack], from_s: f64) {
    if from_s >= 0.0 {
        return;
    }
    let from_s = from_s.max(-SET_S);
    let firsts: Vec<Option<(f64, Point2<Ground>)>> = tracks.iter().map(place_when_first_seen).collect();
    let stood: Vec<bool> = (0..tracks.len())
        .map(|k| {
            let Some((t, at)) = firsts[k] else { return false };
            let another = |o: &FoundTrack| {
                let before = || o.spots.iter().filter(|s| (t - 2.0 * OPENED_S..t).contains(&s.at.t_s));
                let here = before().filter(|s| s.at.position.distance(at) < SAME).count();
                2 * here > before().count()
            };
            t > from_s + STEP_S && !tracks.iter().enumerate().any(|(n, o)| n != k && another(o))
        })
        .collect();
    for (t, stood) in tracks.iter_mut().zip(stood) {
        t.set_from_s = stood.then_some(from_s);
    }
}

/// When and where a slow man who appears before a pile has opened was first seen.
fn place_when_first_seen(t: &FoundTrack) -> Option<(f64, Point2<Ground>)> {
    let (first, _) = t.span()?;
    let early: Vec<_> = t.spots.iter().filter(|s| s.at.t_s < first + OPENED_S / 2.0).collect();
    let slow = super::spot::pace(&t.spots, first + OPENED_S / 4.0) < SLOW;
    let n = early.len() as f64;
    let mean = |of: fn(&Point2<Ground>) -> f64| early.iter().map(|s| of(&s.at.position)).sum::<f64>() / n;
    (first < OPENED_S && slow).then(|| (first, Point2::new(mean(|p| p.x), mean(|p| p.y))))
}

/// That he stood still, at instants before he was first seen and before the snap.
pub(super) fn stillness(t: &FoundTrack) -> Vec<GroundObservation> {
    let (Some(from), Some(first)) = (t.set_from_s, t.spots.first()) else { return Vec::new() };
    let until = (first.at.t_s - STEP_S).min(0.0);
    let steps = ((until - from) / STEP_S).max(0.0) as usize;
    (0..=steps)
        .map(|k| GroundObservation {
            t_s: from + (until - from).max(0.0) * k as f64 / steps.max(1) as f64,
            velocity: Some((Vector2::new(0.0, 0.0), STILL)),
            noise: Covariance2::isotropic(ANYWHERE),
            common: Covariance2::default(),
            origin: Origin::Found,
            ..first.at
        })
        .collect()
}
