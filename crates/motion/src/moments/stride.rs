//! Set and first contact from people's paths.

use geometry::Vector2;
use geometry::frame::Ground;
use play::Track;
use stats::Estimate;

/// Drop slower than this share of its fastest is over.
const OVER: f64 = 0.3;
/// Slowest that a drop is at its fastest, yd/s: a passer who catches the ball and throws has none.
const DROPS: f64 = 1.2;
/// Standard deviation of when the last step of a drop lands against when the body stops, s; common practice, no source.
const SET_SD_S: f64 = 0.08;
/// Distance between two men's middles when one reaches the other, yd: an arm's length less than the sum of two bodies.
/// Common practice, no source.
pub const CONTACT_YD: f64 = 0.9;
/// Step in which paths are read, s.
const STEP_S: f64 = 1.0 / 60.0;

fn times(track: &Track, from: f64, to: f64) -> Vec<f64> {
    let Some((first, last)) = track.span() else { return Vec::new() };
    let (from, to) = (from.max(first), to.min(last));
    let n = ((to - from) / STEP_S).floor();
    if n < 1.0 { Vec::new() } else { (0..=n as usize).map(|k| from + k as f64 * STEP_S).collect() }
}

/// When the passer's drop ends: the body no longer goes back (against `downfield`, a unit vector). `None` without a drop.
pub fn set(passer: &Track, downfield: Vector2<Ground>, release_s: Option<f64>) -> Option<Estimate> {
    let back = |t: f64| passer.at(t).map_or(0.0, |p| -p.velocity.dot(downfield));
    let ts = times(passer, 0.0, release_s.unwrap_or(3.5).min(3.5));
    let fastest = ts.iter().copied().max_by(|a, b| back(*a).total_cmp(&back(*b)))?;
    if back(fastest) < DROPS {
        return None;
    }
    let limit = OVER * back(fastest);
    let at = ts.into_iter().find(|t| *t > fastest && back(*t) < limit)?;
    // How fast it slows says how sharply the crossing is known.
    let slope = (back(at - 0.05) - back(at + 0.05)).max(0.2) / 0.1;
    let speed_sd = passer.at(at)?.velocity_covariance.along(downfield.x, downfield.y).max(0.0).sqrt();
    Some(Estimate::new(at, SET_SD_S.hypot(speed_sd / slope)))
}

/// When the first of `rushers` reaches the passer, not after `until_s`. `None` when nobody does.
pub fn first_contact(passer: &Track, rushers: &[&Track], until_s: f64) -> Option<Estimate> {
    let gap = |r: &Track, t: f64| Some(r.at(t)?.position.distance(passer.at(t)?.position));
    rushers
        .iter()
        .filter_map(|r| {
            let at = times(passer, 0.0, until_s)
                .into_iter()
                .find(|t| gap(r, *t).is_some_and(|g| g <= CONTACT_YD))?;
            let (p, q) = (passer.at(at)?, r.at(at)?);
            let closing = (p.velocity - q.velocity).norm().max(1.0);
            let sd = p.position_covariance.plus(q.position_covariance).rms();
            Some(Estimate::new(at, sd / closing))
        })
        .min_by(|a, b| a.value.total_cmp(&b.value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use geometry::{Covariance2, Point2};
    use play::TrackPoint;

    fn track(who: &str, x: impl Fn(f64) -> (f64, f64)) -> Track {
        let points = (0..120)
            .map(|k| {
                let t_s = f64::from(k) / 30.0;
                let (at, v) = x(t_s);
                TrackPoint {
                    t_s,
                    position: Point2::new(at, 20.0),
                    velocity: Vector2::new(v, 0.0),
                    position_covariance: Covariance2::isotropic(0.05),
                    velocity_covariance: Covariance2::isotropic(0.2),
                }
            })
            .collect();
        Track { person: who.into(), points }
    }

    #[test]
    fn a_drop_ends_where_the_passer_stops_going_back() {
        // Back at 3 yd/s, slowing evenly to nothing between 1.2 and 1.5 s.
        let drop = track("passer", |t| {
            let slow = (t - 1.2).clamp(0.0, 0.3);
            (30.0 - 3.0 * t.min(1.2) - 3.0 * slow + 5.0 * slow * slow, -3.0 + 10.0 * slow)
        });
        let e = set(&drop, Vector2::new(1.0, 0.0), Some(2.5)).unwrap();
        // The body is at three tenths of its speed after .21 of the .3 s.
        assert!((e.value - 1.41).abs() < 0.03, "{e:?}");
        let stands = track("passer", |_| (30.0, 0.0));
        assert!(set(&stands, Vector2::new(1.0, 0.0), None).is_none());
    }

    #[test]
    fn contact_is_when_the_gap_closes() {
        let (passer, rusher) =
            (track("passer", |_| (20.0, 0.0)), track("rusher", |t| (30.0 - 4.0 * t, -4.0)));
        let e = first_contact(&passer, &[&rusher], 4.0).unwrap();
        assert!((e.value - 9.1 / 4.0).abs() < 0.02, "{e:?}");
        assert!(first_contact(&passer, &[&rusher], 1.0).is_none());
    }
}
