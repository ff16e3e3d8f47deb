//! Where the ball arrived in the receiver's own frame.

use crate::flight_fit::Stand;
use geometry::frame::{Field, Ground};
use geometry::{Covariance2, Point2, Point3, Vector2};
use play::{Placement, Seen, Track, TrackPoint};
use stats::Estimate;

/// Standard error above which an axis is not seen, yd: a ball a yard off is another throw.
pub const WORST_YD: f64 = 1.0;
/// Slower than this he has no run direction, yd/s: a walk.
pub const LEAST_SPEED: f64 = 1.5;
/// Standard error of his run direction above which there is none to speak of, degrees.
pub const WORST_DIRECTION_DEG: f64 = 20.0;
/// Slower than this at the release he is not led by a throw but hit where he is, yd/s: a jog.
pub const LEAST_RUN: f64 = 3.0;
/// A run that turns by more than this while the ball flies was not meant to go straight on, degrees.
pub const MOST_TURN_DEG: f64 = 40.0;
/// Standard error of a height above which it is not seen, ft: a ball a foot off is chest instead of head.
pub const WORST_FT: f64 = 1.0;
/// How long a ball that was met is carried on, and in which steps, s.
const CARRY_ON_S: f64 = 0.4;
const CARRY_STEP_S: f64 = 0.005;
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

/// A ball that was thrown, as far as it was seen.
pub struct Thrown<'a> {
    /// Where it arrived over the ground, by its own marks, not the receiver's feet.
    pub landing: &'a Seen<Stand>,
    /// How high it arrived, ft.
    pub height_ft: &'a Seen<Estimate>,
    /// Its way: (s from the snap, place), release first.
    pub path: &'a [(f64, Point3<Field>)],
    /// Release, s from the snap.
    pub release_s: f64,
    /// Arrival, s from the snap.
    pub arrival_s: f64,
}

/// Placement of a ball for its receiver.
pub fn place(ball: &Thrown<'_>, receiver: &Track, defenders: &[&Track]) -> Seen<Placement> {
    let (landing, arrival_s) = (ball.landing, ball.arrival_s);
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
    let run = run_at_release(receiver, ball, &man);
    let ahead_of_run_yd = match (&run, landing) {
        (Err(why), _) | (_, Seen::NotSeen(why)) => Seen::not(why),
        (Ok(run), Seen::Seen(stand)) => run.ahead(stand, arrival_s - ball.release_s),
    };
    let over_run_ft = match (&run, ball.height_ft) {
        (Err(why), _) | (_, Seen::NotSeen(why)) => Seen::not(why),
        (Ok(run), Seen::Seen(height)) => run.passed_at(ball, *height),
    };
    Seen::Seen(Placement {
        lead_yd,
        ahead_of_run_yd,
        over_run_ft,
        left_yd,
        height_ft: ball.height_ft.clone(),
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

/// The run somebody is on as the ball leaves, carried straight on.
struct Run {
    from: TrackPoint,
    release_s: f64,
}

fn run_at_release(receiver: &Track, ball: &Thrown<'_>, then: &TrackPoint) -> Result<Run, String> {
    let from = near(receiver, ball.release_s).ok_or("the receiver is not marked when the ball leaves")?;
    let (was, is) = (from.velocity.unit(), then.velocity.unit());
    let turned = was.zip(is).map_or(0.0, |(a, b)| a.dot(b).clamp(-1.0, 1.0).acos().to_degrees());
    let runs = from.velocity.norm() >= LEAST_SPEED && then.velocity.norm() >= LEAST_SPEED;
    if runs && turned > MOST_TURN_DEG {
        return Err(format!(
            "his run turns by {turned:.0} degrees while the ball flies (limit {MOST_TURN_DEG})"
        ));
    }
    Ok(Run { from, release_s: ball.release_s })
}

impl Run {
    /// Where it would have him at `t_s`.
    fn at(&self, t_s: f64) -> Point2<Ground> {
        self.from.position + self.from.velocity * (t_s - self.release_s)
    }
    /// Variance of that along `u`, yd².
    fn variance(&self, t_s: f64, u: Vector2<Ground>) -> f64 {
        let s = t_s - self.release_s;
        self.from.position_covariance.along(u.x, u.y).max(0.0)
            + self.from.velocity_covariance.along(u.x, u.y).max(0.0) * s * s
    }
    /// How far ahead of it the ball arrived.
    fn ahead(&self, ball: &Stand, flies_s: f64) -> Seen<Estimate> {
        let speed = self.from.velocity.norm();
        let Some(ahead) = self.from.velocity.unit().filter(|_| speed >= LEAST_RUN) else {
            return Seen::not(format!(
                "he runs {speed:.1} yd/s as the ball leaves (limit {LEAST_RUN}): there is no run to lead"
            ));
        };
        let left = Vector2::<Ground>::new(-ahead.y, ahead.x);
        let arrival_s = self.release_s + flies_s;
        let off = ball.point - self.at(arrival_s);
        let turn = self.from.velocity_covariance.along(left.x, left.y).max(0.0).sqrt() / speed;
        let variance = ball.covariance.along(ahead.x, ahead.y).max(0.0)
            + self.variance(arrival_s, ahead)
            + (off.dot(left) * turn).powi(2);
        within(Estimate::new(off.dot(ahead), variance.sqrt()), "ahead or behind of his run")
    }
    /// How high the ball passed where it was nearest to it over the ground, ft: met early or late, a ball is high or low for where he
    /// was going.
    fn passed_at(&self, ball: &Thrown<'_>, height: Estimate) -> Seen<Estimate> {
        let Some((way, slope)) = carried_on(ball.path) else {
            return Seen::not("the ball's way is not fitted");
        };
        let nearest = way
            .iter()
            .min_by(|a, b| {
                let off = |p: &(f64, Point3<Field>)| p.1.ground().distance(self.at(p.0));
                off(a).total_cmp(&off(b))
            })
            .expect("a way has points");
        let along = (nearest.1.ground() - ball.path[0].1.ground()).unit().unwrap_or(Vector2::new(1.0, 0.0));
        // Where his run has him along the throw decides how far the ball has come down.
        let se = height.se.hypot(units::FEET_PER_YARD * slope * self.variance(nearest.0, along).sqrt());
        let e = Estimate::new(units::FEET_PER_YARD * nearest.1.z, se);
        if e.se > WORST_FT {
            return Seen::not(format!(
                "the height at his run is open by {:.1} ft (limit {WORST_FT} ft)",
                e.se
            ));
        }
        Seen::Seen(e)
    }
}

/// A ball's way and what would have come of it had nobody met it: carried on as it falls, in vacuum, which over so short a time
/// differs by inches; with how steeply it comes down at the end, rise over run.
fn carried_on(path: &[(f64, Point3<Field>)]) -> Option<(Vec<(f64, Point3<Field>)>, f64)> {
    let [.., before, last] = path else { return None };
    let dt = last.0 - before.0;
    if dt <= 0.0 {
        return None;
    }
    let flat = (last.1.ground() - before.1.ground()) * (1.0 / dt);
    let down = (last.1.z - before.1.z) / dt - 0.5 * units::GRAVITY_YDPS2 * dt;
    let mut way = path.to_vec();
    let steps = (CARRY_ON_S / CARRY_STEP_S) as usize;
    for k in 1..=steps {
        let s = k as f64 * CARRY_STEP_S;
        let z = last.1.z + down * s - 0.5 * units::GRAVITY_YDPS2 * s * s;
        if z < 0.0 {
            break;
        }
        way.push((last.0 + s, (last.1.ground() + flat * s).at_height(z)));
    }
    Some((way, (down / flat.norm().max(1.0)).abs()))
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

    fn thrown(
        landing: &Seen<Stand>,
        height_ft: &Seen<Estimate>,
        release_s: f64,
        arrival_s: f64,
        receiver: &Track,
        defenders: &[&Track],
    ) -> Seen<Placement> {
        place(&Thrown { landing, height_ft, path: &[], release_s, arrival_s }, receiver, defenders)
    }

    #[test]
    fn ahead_is_along_the_run_and_left_is_to_its_left() {
        let runner = man(40.0, 20.0, Vector2::new(0.0, 6.0));
        let defender = man(40.0, 17.0, Vector2::ZERO);
        let height = Seen::Seen(Estimate::new(4.0, 0.3));
        let p = thrown(&ball(Covariance2::isotropic(0.1)), &height, 2.9, 3.0, &runner, &[&defender]);
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
        let p = thrown(&blind_along_y, &Seen::not("x"), 2.9, 3.05, &runner, &[]);
        let p = p.get().unwrap();
        assert!(p.lead_yd.get().is_none() && p.left_yd.get().is_some());
        assert!(p.separation_yd.get().is_none() && p.away_yd.get().is_none());
        let standing = man(40.0, 20.0, Vector2::new(0.2, 0.1));
        let p = thrown(&ball(Covariance2::isotropic(0.1)), &Seen::not("x"), 2.9, 3.0, &standing, &[]);
        assert!(p.get().unwrap().lead_yd.get().is_none());
        assert!(
            thrown(&ball(Covariance2::isotropic(0.1)), &Seen::not("x"), 2.9, 4.0, &runner, &[])
                .get()
                .is_none()
        );
    }

    #[test]
    fn a_receiver_who_slows_down_for_the_ball_was_thrown_behind() {
        // 6 yd/s as the ball leaves, 4 as it arrives 0.8 s later: the ball is on his hands, yet behind the run he was on.
        let point = |t_s: f64, y: f64, speed: f64| TrackPoint {
            t_s,
            position: Point2::new(40.0, y),
            velocity: Vector2::new(0.0, speed),
            position_covariance: Covariance2::isotropic(0.1),
            velocity_covariance: Covariance2::isotropic(0.3),
        };
        let slowing =
            Track { person: "R1".into(), points: vec![point(2.2, 16.0, 6.0), point(3.0, 20.0, 4.0)] };
        let on_him =
            Seen::Seen(Stand { point: Point2::new(40.0, 20.0), covariance: Covariance2::isotropic(0.1) });
        let p = thrown(&on_him, &Seen::not("x"), 2.2, 3.0, &slowing, &[]);
        let p = p.get().unwrap();
        assert!(p.lead_yd.get().unwrap().value.abs() < 1e-9);
        let e = p.ahead_of_run_yd.get().unwrap();
        assert!((e.value + 0.8).abs() < 1e-9);
        // 0.1 yd of the ball, 0.1 of him, 0.3 yd/s for 0.8 s.
        assert!((e.se - (0.02 + 0.24f64.powi(2)).sqrt()).abs() < 1e-9);

        let standing = man(40.0, 20.0, Vector2::new(0.0, 2.0));
        let p = thrown(&on_him, &Seen::not("x"), 2.9, 3.0, &standing, &[]);
        assert!(p.get().unwrap().ahead_of_run_yd.get().is_none());
        let breaking = Track {
            person: "R1".into(),
            points: vec![
                point(2.2, 16.0, 6.0),
                TrackPoint { velocity: Vector2::new(-4.0, 0.0), ..point(3.0, 20.0, 0.0) },
            ],
        };
        let p = thrown(&on_him, &Seen::not("x"), 2.2, 3.0, &breaking, &[]);
        assert!(p.get().unwrap().ahead_of_run_yd.get().is_none());
    }

    /// A ball that is met early is high for the place where he was going: its height there, not where he met it.
    #[test]
    fn a_ball_met_short_of_his_run_is_told_by_its_height_over_it() {
        let standing = man(40.0, 20.0, Vector2::ZERO);
        // Straight at him from 20 yd away, 20 yd/s, met a yard short at 0.95 s and 2 yd of height, falling 4 yd/s then.
        let g = units::GRAVITY_YDPS2;
        let at = |s: f64| {
            let back = 0.95 - s;
            Point3::new(20.0 + 20.0 * s, 20.0, 2.0 + 4.0 * back - 0.5 * g * back * back)
        };
        let path: Vec<(f64, Point3<Field>)> =
            (0..=19).map(|k| f64::from(k) * 0.05).map(|s| (2.0 + s, at(s))).collect();
        let height = Seen::Seen(Estimate::new(6.0, 0.2));
        let landing = ball(Covariance2::isotropic(0.1));
        let there = man(40.0, 20.0, Vector2::ZERO);
        let early = Track { person: "R1".into(), points: [standing.points, there.points].concat() };
        let early = Track {
            points: vec![
                TrackPoint { t_s: 1.9, ..early.points[0] },
                TrackPoint { t_s: 3.0, ..early.points[0] },
            ],
            ..early
        };
        let p = place(
            &Thrown { landing: &landing, height_ft: &height, path: &path, release_s: 2.0, arrival_s: 2.95 },
            &early,
            &[],
        );
        let p = p.get().unwrap();
        let e = p.over_run_ft.get().unwrap();
        let truth = 3.0 * at(1.0).z;
        assert!((e.value - truth).abs() < 0.02, "{} against {truth}", e.value);
        assert!(e.se > 0.2, "his place adds to it: {}", e.se);
        assert!(p.ahead_of_run_yd.get().is_none(), "a man who stands has no run to lead");
    }
}
