//! What the men with the ball want to do next: a velocity and a heading.

use super::coverage::Task;
use super::plane::{P2, V2, limited};
use super::route::RoutePath;
use super::track::DT;
use super::world::{Job, Man, PASSER, Phase, World};

/// Wanted velocity along a path for a body at `at` with speed `speed`, and the corner it runs to next.
pub fn along(path: &RoutePath, leg: usize, at: P2, speed: f64, top: f64) -> (V2, usize) {
    let mut leg = leg;
    while leg + 1 < path.corners.len() && at.distance(path.corners[leg].at) < 0.25 + 0.045 * speed {
        leg += 1;
    }
    let Some(corner) = path.corners.get(leg) else { return (V2::ZERO, leg) };
    let gap = corner.at - at;
    let d = gap.norm();
    let last = leg + 1 == path.corners.len();
    if last && !path.route.sits() && d < 1.0 {
        // Past the end he keeps going the way he went.
        let from = path.corners[leg.saturating_sub(1)].at;
        return ((corner.at - from).unit().map_or(V2::ZERO, |u| u * (0.6 * top)), leg);
    }
    if last && d < 0.15 {
        return (V2::ZERO, leg);
    }
    // Brakes early enough for this corner and for the next.
    let brake = 7.0;
    let mut allowed =
        if corner.speed.is_finite() { (corner.speed.powi(2) + 2.0 * brake * d).sqrt() } else { top };
    if let Some(next) = path.corners.get(leg + 1)
        && next.speed.is_finite()
    {
        allowed = allowed.min((next.speed.powi(2) + 2.0 * brake * (d + next.at.distance(corner.at))).sqrt());
    }
    (gap.unit().map_or(V2::ZERO, |u| u * allowed.min(top)), leg)
}

/// Where a runner will be if nobody touches him: his places each [`DT`] for `seconds`.
pub fn foresee(man: &Man, path: &RoutePath, leg: usize, t: f64, seconds: f64) -> Vec<(P2, V2)> {
    let (mut body, mut leg, mut now) = (man.body, leg, t);
    let mut out = Vec::with_capacity((seconds / DT) as usize + 1);
    while now < t + seconds {
        out.push((body.at, body.velocity));
        let v = if now < man.ability.reaction * 0.5 + path.route.delay() {
            V2::ZERO
        } else {
            let (v, l) = along(path, leg, body.at, body.speed(), man.ability.top);
            leg = l;
            v
        };
        let facing = body.facing;
        body.step(v, facing, &man.ability, DT);
        now += DT;
    }
    out
}

/// A receiver on his route.
pub fn run(world: &World, i: usize) -> (V2, f64, usize) {
    let m = &world.men[i];
    let Job::Run { path, leg } = &m.job else { return (V2::ZERO, m.body.facing, 0) };
    let passer = world.men[PASSER].body.at;
    let to_passer = (passer - m.body.at).angle();
    if world.t < m.ability.reaction * 0.5 + path.route.delay() {
        let facing = if path.route.delay() > 0.0 { 0.0 } else { m.body.facing };
        return (V2::ZERO, facing, *leg);
    }
    let (mut v, leg) = along(path, *leg, m.body.at, m.body.speed(), m.ability.top);
    // Nobody runs out of bounds on purpose.
    let ahead = m.body.at.y + v.y * 0.35;
    if ahead > world.edges.0 - 0.8 && v.y > 0.0 || ahead < world.edges.1 + 0.8 && v.y < 0.0 {
        v = V2::new(v.x.abs().max(2.0), 0.0);
    }
    let goal = world.script.place.goal_x() + 8.8;
    if m.body.at.x + v.x * 0.35 > goal && v.x > 0.0 {
        v = V2::new(0.0, v.y);
    }
    let facing = if v.norm() > 1.2 { v.angle() } else { to_passer };
    (v, facing, leg)
}

/// A blocker between his man and the passer.
pub fn block(world: &World, i: usize, on: Option<usize>) -> (V2, f64) {
    let m = &world.men[i];
    if world.t < m.ability.reaction {
        return (V2::ZERO, m.body.facing);
    }
    let passer = world.men[PASSER].body.at;
    if world.phase != Phase::Pocket && world.t > world.since + 0.5 {
        return (chase_ball(world, i, 0.55), (ball_ground(world) - m.body.at).angle());
    }
    let Some(r) = on else {
        // Nobody came: sets, then helps where the rush is nearest to the passer.
        let start = m.track.samples[0].at;
        let set = P2::new((start.x - 1.3).max(passer.x + 0.3), start.y * 0.9);
        let threat = (11..22)
            .filter(|&k| matches!(world.men[k].job, Job::Defend(Task::Rush { .. })))
            .map(|k| world.men[k].seen(world.t, 0.2).at)
            .min_by(|a, b| a.distance(passer).total_cmp(&b.distance(passer)));
        let Some(threat) = threat else { return (limited((set - m.body.at) * 2.5, 2.5), 0.0) };
        let help = threat + (passer - threat).unit().unwrap_or(V2::new(-1.0, 0.0)) * 1.5;
        let near = ((4.5 - help.distance(set)) / 2.0).clamp(0.0, 1.0);
        let want = set.lerp(P2::new(help.x.max(passer.x + 0.8), help.y), 0.8 * near);
        return (limited((want - m.body.at) * 2.5, 3.2), 0.6 * (threat - m.body.at).angle());
    };
    let rusher = &world.men[r];
    let seen = rusher.seen(world.t, 0.12);
    let gap = passer - seen.at;
    let spot = seen.at + seen.velocity * 0.12 + gap.unit().unwrap_or(V2::new(-1.0, 0.0)) * 0.9;
    // He gives ground but does not run downfield.
    let spot = P2::new(spot.x.min(-1.2).max(passer.x + 0.9), spot.y);
    let beaten = world.t > rusher.wins_at;
    let quick = if beaten { 2.6 } else { 4.6 };
    let v = limited((spot - m.body.at) * 5.0 + seen.velocity * 0.5, quick);
    (v, (seen.at - m.body.at).angle())
}

/// Where the ball is over the ground.
pub fn ball_ground(world: &World) -> P2 {
    match world.phase {
        Phase::Carry(c) => world.men[c].body.at,
        Phase::Before => P2::new(0.0, 0.0),
        Phase::Pocket => world.men[PASSER].body.at,
        Phase::Air | Phase::Dead => world.passer_ball_goal(),
    }
}

/// At a share of top speed toward the ball, easing off near it.
pub fn chase_ball(world: &World, i: usize, share: f64) -> V2 {
    let m = &world.men[i];
    let gap = ball_ground(world) - m.body.at;
    let near = ((gap.norm() - 2.0) / 4.0).clamp(0.0, 1.0);
    gap.unit().map_or(V2::ZERO, |u| u * (share * m.ability.top * near))
}

/// The man with the ball in the open.
pub fn carry(world: &World, i: usize) -> (V2, f64) {
    let m = &world.men[i];
    let up = if World::defends(i) { -1.0 } else { 1.0 };
    let mut way = V2::new(up, 0.0);
    let others = if World::defends(i) { 0..11 } else { 11..22 };
    for k in others {
        let gap = m.body.at - (world.men[k].body.at + world.men[k].body.velocity * 0.3);
        let d = gap.norm().max(0.5);
        if d < 9.0 && gap.x * up < 1.5 {
            // Away from whoever is in front.
            way = way + V2::new(gap.x * 0.15, gap.y) * (2.2 / (d * d));
        }
    }
    if m.body.at.y > world.edges.0 - 2.0 {
        way = way + V2::new(0.0, -0.5);
    } else if m.body.at.y < world.edges.1 + 2.0 {
        way = way + V2::new(0.0, 0.5);
    }
    let v = way.unit().unwrap_or(V2::new(up, 0.0)) * (0.96 * m.ability.top);
    (v, v.angle())
}

/// Toward a place so as to be there in `left` s; as fast as he can when late.
pub fn meet(m: &Man, at: P2, left: f64) -> V2 {
    let gap = at - m.body.at;
    let d = gap.norm();
    let need = if left > 0.05 { d / left } else { m.ability.top };
    // Runs through the place rather than stopping short: he arrives with the speed that he needs, a little early.
    let v = (need * 1.08).min(m.ability.top);
    if d < 0.12 { m.body.velocity * 0.9 } else { gap * (v / d) }
}
