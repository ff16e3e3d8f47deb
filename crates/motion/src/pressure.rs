//! When the rush reached the passer.

use play::{Pressure, Seen, Track, TrackPoint};
use stats::Estimate;

/// Distance from a rusher's to the passer's ground point at which he can touch him, yd: an arm and a step; common
/// practice, no source.
pub const REACH_YD: f64 = 1.5;

/// Step of the search, s.
const STEP_S: f64 = 1.0 / 60.0;
/// Least closing speed that a crossing time is computed with, yd/s: a man drifting past crosses at no certain time.
const LEAST_CLOSING: f64 = 0.5;

struct Gap {
    distance: f64,
    sd: f64,
    /// Rate of closing, yd/s.
    closing: f64,
}

fn gap(a: &TrackPoint, b: &TrackPoint) -> Gap {
    let d = b.position - a.position;
    let u = d.unit().unwrap_or(geometry::Vector2::new(1.0, 0.0));
    let c = a.position_covariance.plus(b.position_covariance);
    Gap {
        distance: d.norm(),
        sd: c.along(u.x, u.y).max(0.0).sqrt(),
        closing: -(b.velocity - a.velocity).dot(u),
    }
}

/// The first of `rushers` within `reach_yd` of the passer, not later than `until_s`.
pub fn pressure(passer: Option<&Track>, rushers: &[&Track], reach_yd: f64, until_s: Option<f64>) -> Pressure {
    let none = |why: String| Pressure { at_s: Seen::NotSeen(why), rusher: None };
    let Some(passer) = passer else { return none("the passer is not marked".into()) };
    if rushers.is_empty() {
        return none("no rusher is marked".into());
    }
    let mut first: Option<(f64, &Track)> = None;
    let mut compared = false;
    for rusher in rushers {
        let (Some((a, b)), Some((c, d))) = (passer.span(), rusher.span()) else { continue };
        let (from, to) = (a.max(c), b.min(d).min(until_s.unwrap_or(f64::INFINITY)));
        compared |= from < to;
        if let Some(t) = crossing(passer, rusher, from, to, reach_yd)
            && first.is_none_or(|(best, _)| t < best)
        {
            first = Some((t, rusher));
        }
    }
    let Some((t, rusher)) = first else {
        return none(if compared {
            format!("no marked rusher came within {reach_yd} yd of the passer while both are marked")
        } else {
            "passer and rushers are not marked at the same time".into()
        });
    };
    let (Some(p), Some(r)) = (passer.at(t), rusher.at(t)) else { return none("the tracks end".into()) };
    let g = gap(&p, &r);
    let at_s = if g.distance < reach_yd - 2.0 * g.sd.max(0.05) {
        Seen::NotSeen(format!(
            "a rusher was already within {reach_yd} yd at {t:.2} s, the first time both are marked"
        ))
    } else {
        Seen::Seen(Estimate::new(t, g.sd / g.closing.max(LEAST_CLOSING)))
    };
    Pressure { at_s, rusher: Some(rusher.person.clone()) }
}

/// When the distance first falls to `reach`, between `from` and `to`.
fn crossing(passer: &Track, rusher: &Track, from: f64, to: f64, reach: f64) -> Option<f64> {
    let distance = |t: f64| Some(passer.at(t)?.position.distance(rusher.at(t)?.position));
    let steps = ((to - from) / STEP_S).ceil().max(0.0) as usize;
    let mut before = (from, distance(from)?);
    if before.1 <= reach {
        return Some(from);
    }
    for k in 1..=steps {
        let t = (from + k as f64 * STEP_S).min(to);
        let d = distance(t)?;
        if d <= reach {
            let w = (before.1 - reach) / (before.1 - d);
            return Some(before.0 + (t - before.0) * w);
        }
        before = (t, d);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use geometry::{Covariance2, Point2, Vector2};

    fn straight(name: &str, x: f64, vx: f64, end: f64) -> Track {
        let points = (0..=(end * 30.0) as usize)
            .map(|k| {
                let t_s = k as f64 / 30.0;
                TrackPoint {
                    t_s,
                    position: Point2::new(x + vx * t_s, 20.0),
                    velocity: Vector2::new(vx, 0.0),
                    position_covariance: Covariance2::isotropic(0.1),
                    velocity_covariance: Covariance2::isotropic(0.3),
                }
            })
            .collect();
        Track { person: name.into(), points }
    }

    #[test]
    fn the_first_rusher_strikes_when_his_distance_is_the_reach() {
        let passer = straight("passer", 20.0, 0.0, 4.0);
        let (slow, fast) = (straight("D1", 30.0, -2.0, 4.0), straight("D2", 30.0, -4.0, 4.0));
        let p = pressure(Some(&passer), &[&slow, &fast], 1.5, Some(3.5));
        let at = *p.at_s.get().unwrap();
        assert!((at.value - 8.5 / 4.0).abs() < 1e-9 && (at.se - 0.1 * 2f64.sqrt() / 4.0).abs() < 1e-9);
        assert_eq!(p.rusher, Some("D2".into()));
        let none = pressure(Some(&passer), &[&slow], 1.5, Some(3.5));
        assert!(matches!(none.at_s, Seen::NotSeen(_)) && none.rusher.is_none());
        let near = straight("D3", 21.0, 0.0, 4.0);
        assert!(matches!(pressure(Some(&passer), &[&near], 1.5, None).at_s, Seen::NotSeen(_)));
        assert!(matches!(pressure(Some(&passer), &[], 1.5, None).at_s, Seen::NotSeen(_)));
    }
}
