//! The instant the ball leaves: what feet, weight and hurry do to it.
//!
//! The model is this crate's own, for making plays: closed feet pull the ball by the arm's habit to the side that the receiver comes
//! from (behind him; to the inside of a man who stands), open feet push it the other way and lift it 0.05 degrees a degree; weight
//! left behind lifts it by the arm's other habit; hurry doubles chance.

use super::flight::{self, Flight};
use super::passer::{BACK, FRONT};
use super::plane::{P2, P3, V2, V3};
use super::pose::{Arms, Cue};
use super::reading::Chance;
use super::throwing::release_point;
use super::world::{Ball, PASSER, Pass, Phase, World};

/// Signed angle from the line to `target` to the line of the feet at `t`, back to front, deg: open positive for a right-handed
/// passer (front foot to the left of the line).
pub fn feet_error_deg(world: &World, t: f64, target: P2) -> f64 {
    let (b, f) = (world.passer.feet.at(BACK, t).at, world.passer.feet.at(FRONT, t).at);
    let line = (target - b.lerp(f, 0.5)).angle();
    units::wrap_angle((f - b).angle() - line).to_degrees()
}

/// Lets the ball go.
pub fn release(world: &mut World, meant: Option<Chance>, away: Option<P3>, hurried: bool) {
    let Some(windup) = world.passer.windup else { return };
    let body = world.men[PASSER].body;
    let goal = meant.map(|c| c.at).or(away).expect("a throw has a receiver or a place");
    let heading = windup.heading;
    let from = release_point(body.at, heading, world.men[PASSER].stature);
    let arm = world.script.arm;
    let top = units::yards_per_second_from_mph(arm.top_mph);
    let wanted = meant.map_or(0.8 * top, |c| c.speed);
    let air = world.script.air;
    let (straight, _) = [wanted, 0.5 * (wanted + top), top, 1.15 * top]
        .iter()
        .find_map(|&s| flight::aim(from, goal, s, &air))
        .unwrap_or((V3::new(top * heading.cos() * 0.8, top * heading.sin() * 0.8, 0.5 * top), 2.0));
    let feet = feet_error_deg(world, windup.release, P2::new(goal.x, goal.y));
    let loose = if hurried { 2.0 } else { 1.0 };
    // The side the receiver runs to, as seen from the passer; away from the middle for a man who stands.
    let line = V2::from_angle(heading);
    let run = meant.map_or(0.0, |c| line.cross(c.running));
    let outward = if run.abs() > 2.0 {
        run.signum()
    } else {
        (goal.y - 0.5 * (world.edges.0 + world.edges.1)).signum()
    };
    let side = world.dice.normal(arm.side_sd_deg * loose) + arm.pull * feet * outward;
    let lift = world.dice.normal(arm.lift_sd_deg * loose)
        + arm.rise_deg * (0.68 - windup.weight)
        + 0.05 * feet.max(0.0);
    let pace = world.dice.normal(0.012 * loose);
    let turned = V2::new(straight.x, straight.y).rotated(side.to_radians());
    let flat = turned.norm();
    let angle = straight.z.atan2(flat) + lift.to_radians();
    let speed = straight.norm() * (1.0 + pace);
    let unit = turned.unit().unwrap_or(line);
    let velocity = V3::new(unit.x * speed * angle.cos(), unit.y * speed * angle.cos(), speed * angle.sin());
    let path = Flight::new(from, velocity, &air, 6.0);
    let (meets, meet) = meant.map_or((path.duration(), goal), |c| (c.flight, c.at));
    world.flight = Some(Pass {
        release: world.t,
        path: path.clone(),
        target: meant.map(|c| c.target),
        meant,
        meets: world.t + meets,
        meet_at: P2::new(meet.x, meet.y),
        meet_z: meet.z,
        error: [side, lift, pace],
        tried: Vec::new(),
    });
    world.ball.push((world.t, Ball::Air(path)));
    let t = world.t;
    world.men[PASSER].cue(Cue { at: t + 0.1, over: 0.3, crouch: 0.06, lean: 0.10, arms: Arms::Loose });
    world.enter(Phase::Air);
}
