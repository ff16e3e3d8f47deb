//! Where the ball arrived in the receiver's own frame.

use crate::flight_fit::Stand;
use geometry::frame::Ground;
use geometry::{Covariance2, Vector2};
use play::{Placement, Seen, Track, TrackPoint};
use stats::Estimate;

/// Standard error above which an axis is not seen, yd: a ball a yard off is another throw.
pub const WORST_YD: f64 = 1.0;
/// Slower than this he has no run direction, yd/s: a walk.
pub const LEAST_SPEED: f64 = 1.5;
/// Standard error of his run direction above which there is none to speak of, degrees.
pub const WORST_DIRECTION_DEG: f64 = 20.0;
/// How far beyond its last point a track is carried on, s.
const CARRY_S: f64 = 0.15;

/// Somebody at `t_s`, carried on from the track's end for at most [`CARRY_S`] with the error that adds.
pub(crate) fn near(track: &Track, t_s: f64) -> Option<TrackPoint> {
    let (first, last) = track.span()?;
    let end = t_s.clamp(first, last);
    let beyond = t_s - end;
    if beyond.abs() > CARRY_S {
        return None;
    }
    let p = track.at(end)?;
    let drift = Covariance2 {
        xx: p.velocity_covariance.xx * beyond * beyond,
        xy: p.velocity_covariance.xy * beyond * beyond,
        yy: p.velocity_covariance.yy * beyond * beyond,
    };
    Some(TrackPoint {
        t_s,
        position: p.position + p.velocity * beyond,
        position_covariance: p.position_covariance.plus(drift),
        ..p
    })
}

fn within(e: Estimate, along: &str) -> Seen<Estimate> {
    if e.se <= WORST_YD {
        Seen::Seen(e)
    } else {
        Seen::NotSeen(format!(
            "not seen from this angle: the views leave {along} open by {:.1} yd (limit {WORST_YD} yd)",
            e.se
        ))
    }
}

/// Placement of a ball that arrived at `landing` (by its own marks, not the receiver's feet) at `arrival_s`.
pub fn place(
    landing: &Seen<Stand>,
    height_ft: &Seen<Estimate>,
    receiver: &Track,
    defenders: &[&Track],
    arrival_s: f64,
) -> Seen<Placement> {
    let Some(man) = near(receiver, arrival_s) else {
        return Seen::not("the receiver is not marked when the ball arrives");
    };
    let nearest = defenders
        .iter()
        .filter_map(|t| near(t, arrival_s))
        .min_by(|a, b| a.position.distance(man.position).total_cmp(&b.position.distance(man.position)));
    let separation_yd = match &nearest {
        Some(d) => within(separation(&man, d), "the separation"),
        None => Seen::not("no defender is marked when the ball arrives"),
    };
    let (lead_yd, left_yd, away_yd) = match landing {
        Seen::NotSeen(why) => (Seen::not(why), Seen::not(why), Seen::not(why)),
        Seen::Seen(ball) => {
            let (lead, left) = along_run(&man, ball);
            let away = match &nearest {
                Some(d) => within(away(&man, d, ball), "toward or away from the defender"),
                None => Seen::not("no defender is marked when the ball arrives"),
            };
            (lead, left, away)
        }
    };
    Seen::Seen(Placement {
        lead_yd,
        left_yd,
        height_ft: height_ft.clone(),
        away_yd,
        receiver: man.position,
        separation_yd,
    })
}

fn along_run(man: &TrackPoint, ball: &Stand) -> (Seen<Estimate>, Seen<Estimate>) {
    let speed = man.velocity.norm();
    let Some(ahead) = man.velocity.unit().filter(|_| speed >= LEAST_SPEED) else {
        let why = format!("he stands ({speed:.1} yd/s): there is no run to be ahead or behind of");
        return (Seen::not(why.clone()), Seen::not(why));
    };
    let left = Vector2::<Ground>::new(-ahead.y, ahead.x);
    let turn = man.velocity_covariance.along(left.x, left.y).max(0.0).sqrt() / speed;
    if turn.to_degrees() > WORST_DIRECTION_DEG {
        let why = format!(
            "his run direction is open by {:.0} degrees (limit {WORST_DIRECTION_DEG})",
            turn.to_degrees()
        );
        return (Seen::not(why.clone()), Seen::not(why));
    }
    let d = ball.point - man.position;
    let c = ball.covariance.plus(man.position_covariance);
    let (x, y) = (d.dot(ahead), d.dot(left));
    // A turn of his frame moves what is beside him into ahead and behind.
    let se = |u: Vector2<Ground>, other: f64| (c.along(u.x, u.y).max(0.0) + (other * turn).powi(2)).sqrt();
    (
        within(Estimate::new(x, se(ahead, y)), "ahead or behind"),
        within(Estimate::new(y, se(left, x)), "left or right"),
    )
}

fn separation(man: &TrackPoint, defender: &TrackPoint) -> Estimate {
    let d = man.position - defender.position;
    let u = d.unit().unwrap_or(Vector2::new(1.0, 0.0));
    let c = man.position_covariance.plus(defender.position_covariance);
    Estimate::new(d.norm(), c.along(u.x, u.y).max(0.0).sqrt())
}

/// How much farther from the defender the ball is than the man.
fn away(man: &TrackPoint, defender: &TrackPoint, ball: &Stand) -> Estimate {
    let (to_ball, to_man) = (ball.point - defender.position, man.position - defender.position);
    let side = Vector2::new(1.0, 0.0);
    let (a, b) = (to_ball.unit().unwrap_or(side), to_man.unit().unwrap_or(side));
    let both = a - b;
    let variance = ball.covariance.along(a.x, a.y)
        + man.position_covariance.along(b.x, b.y)
        + defender.position_covariance.along(both.x, both.y);
    Estimate::new(to_ball.norm() - to_man.norm(), variance.max(0.0).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use geometry::Point2;

    fn man(x: f64, y: f64, v: Vector2<Ground>) -> Track {
        let point = |t_s: f64| TrackPoint {
            t_s,
            position: Point2::new(x, y) + v * (t_s - 3.0),
            velocity: v,
            position_covariance: Covariance2::isotropic(0.1),
            velocity_covariance: Covariance2::isotropic(0.3),
        };
        Track { person: "R1".into(), points: vec![point(2.9), point(3.0)] }
    }
    fn ball(covariance: Covariance2) -> Seen<Stand> {
        Seen::Seen(Stand { point: Point2::new(41.0, 20.5), covariance })
    }

    #[test]
    fn ahead_is_along_the_run_and_left_is_to_its_left() {
        let runner = man(40.0, 20.0, Vector2::new(0.0, 6.0));
        let defender = man(40.0, 17.0, Vector2::ZERO);
        let height = Seen::Seen(Estimate::new(4.0, 0.3));
        let p = place(&ball(Covariance2::isotropic(0.1)), &height, &runner, &[&defender], 3.0);
        let p = p.get().unwrap();
        assert!((p.lead_yd.get().unwrap().value - 0.5).abs() < 1e-9);
        assert!((p.left_yd.get().unwrap().value + 1.0).abs() < 1e-9);
        assert!((p.separation_yd.get().unwrap().value - 3.0).abs() < 1e-9);
        assert!((p.away_yd.get().unwrap().value - (1f64.hypot(3.5) - 3.0)).abs() < 1e-9);
    }

    #[test]
    fn an_axis_along_the_line_of_sight_is_not_seen() {
        let runner = man(40.0, 20.0, Vector2::new(0.0, 6.0));
        let blind_along_y = ball(Covariance2 { xx: 0.01, xy: 0.0, yy: 4.0 });
        let p = place(&blind_along_y, &Seen::not("x"), &runner, &[], 3.05);
        let p = p.get().unwrap();
        assert!(p.lead_yd.get().is_none() && p.left_yd.get().is_some());
        assert!(p.separation_yd.get().is_none() && p.away_yd.get().is_none());
        let standing = man(40.0, 20.0, Vector2::new(0.2, 0.1));
        let p = place(&ball(Covariance2::isotropic(0.1)), &Seen::not("x"), &standing, &[], 3.0);
        assert!(p.get().unwrap().lead_yd.get().is_none());
        assert!(
            place(&ball(Covariance2::isotropic(0.1)), &Seen::not("x"), &runner, &[], 4.0).get().is_none()
        );
    }
}
