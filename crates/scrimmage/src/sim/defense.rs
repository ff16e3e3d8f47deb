//! What the men without the ball want to do next: a velocity and a heading.

use super::coverage::Task;
use super::offense::{ball_ground, chase_ball};
use super::plane::{P2, V2, limited};
use super::world::{Job, PASSER, Phase, World};

/// Backward is slower than forward.
const BACKPEDAL: f64 = 0.58;

/// A defender's wish.
pub fn defend(world: &World, i: usize, task: Task) -> (V2, f64) {
    let m = &world.men[i];
    if world.t < m.ability.reaction {
        return (V2::ZERO, m.body.facing);
    }
    if let Phase::Carry(c) = world.phase
        && world.t > world.since + 0.15
    {
        if World::defends(c) {
            return (chase_ball(world, i, 0.6), (ball_ground(world) - m.body.at).angle());
        }
        return pursue(world, i, c);
    }
    match task {
        Task::Rush { gap } => rush(world, i, gap),
        Task::Man { on, leverage } => match world.index_of(on) {
            Some(r) => man(world, i, r, leverage),
            None => (V2::ZERO, m.body.facing),
        },
        Task::Zone { at, reach, deep } => zone(world, i, at, reach, deep),
    }
}

/// To where the carrier will be.
fn pursue(world: &World, i: usize, c: usize) -> (V2, f64) {
    let m = &world.men[i];
    let runner = world.men[c].seen(world.t, 0.12);
    let lead = (m.body.at.distance(runner.at) / m.ability.top).min(1.6);
    let aim = runner.at + runner.velocity * (0.75 * lead);
    let gap = aim - m.body.at;
    let v = gap.unit().map_or(V2::ZERO, |u| u * m.ability.top);
    (v, v.angle())
}

fn rush(world: &World, i: usize, gap: f64) -> (V2, f64) {
    let m = &world.men[i];
    let passer = world.men[PASSER].body;
    if world.phase != Phase::Pocket {
        let late = world.t - world.since;
        // Pulls up a moment after the ball is gone.
        let v = if late < 0.3 { m.body.velocity * 0.96 } else { chase_ball(world, i, 0.55) };
        return (v, (ball_ground(world) - m.body.at).angle());
    }
    let at = m.body.at;
    let beaten = m.blocked_by.is_none() || world.t > m.wins_at;
    // Through his gap first, then at the passer, leading him a little.
    let aim = if at.x > 0.4 && (at.y - gap).abs() > 0.4 {
        P2::new(-0.4, gap)
    } else {
        passer.at + passer.velocity * 0.2
    };
    let mut v = (aim - at).unit().map_or(V2::ZERO, |u| u * m.ability.top * 0.92);
    if let Some(b) = m.blocked_by {
        let blocker = world.men[b].body.at;
        let d = blocker.distance(at);
        if !beaten && d < 1.15 {
            // Hand fighting: leans into him and drives him slowly, now to one shoulder, now to the other.
            let shake = (world.t * 2.1 + i as f64).sin();
            let side = V2::new(0.0, 1.0) * (0.9 * shake);
            v = (passer.at - at).unit().map_or(V2::ZERO, |u| u * 1.25) + side;
        } else if beaten && d < 1.6 {
            // Around the outside shoulder.
            let to = (passer.at - at).unit().unwrap_or(V2::new(-1.0, 0.0));
            let round = if (blocker - at).cross(to) > 0.0 { to.rotated(0.9) } else { to.rotated(-0.9) };
            v = round * (0.75 * m.ability.top);
        }
    }
    (v, (passer.at - at).angle())
}

fn man(world: &World, i: usize, r: usize, leverage: f64) -> (V2, f64) {
    let m = &world.men[i];
    let receiver = &world.men[r];
    if let Some(wish) = break_on_ball(world, i, 0.30) {
        return wish;
    }
    let delay = m.ability.reaction * 0.68;
    let seen = receiver.seen(world.t, delay);
    let start = receiver.track.at(-0.1).at;
    let cushion0 = (m.track.at(-0.1).at.x - start.x).clamp(0.8, 8.0);
    // The cushion is spent as the receiver closes, to a body's length over the top.
    let gone = ((seen.at.x - start.x) / 9.0).clamp(0.0, 1.0);
    let cushion = cushion0 * (1.0 - gone) + 0.9 * gone;
    // Once the receiver has broken across, the trailing hip is all that can be held.
    let across = (seen.velocity.y.abs() / 7.0).min(1.0) * gone.max(0.3);
    let spot = seen.at
        + V2::new(cushion * (1.0 - 0.6 * across), leverage * (0.8 - 0.5 * across))
        + seen.velocity * (delay * 0.55);
    let mut v = seen.velocity + (spot - m.body.at) * 3.3;
    let passer = world.men[PASSER].body.at;
    let mut facing = (seen.at - m.body.at).angle();
    let run = v.norm() > 4.5 && v.x > 2.0 && m.body.at.x - seen.at.x < 3.2 || v.norm() > 6.0;
    if run {
        facing = v.angle();
    } else {
        if m.body.at.distance(seen.at) > 6.0 {
            facing = (passer - m.body.at).angle();
        }
        v = limited(v, m.ability.top * BACKPEDAL);
    }
    (limited(v, m.ability.top), facing)
}

fn zone(world: &World, i: usize, at: P2, reach: f64, deep: bool) -> (V2, f64) {
    let m = &world.men[i];
    let passer = world.men[PASSER].body.at;
    if let Some(wish) = break_on_ball(world, i, 0.26) {
        return wish;
    }
    let delay = m.ability.reaction * 0.8;
    let mut spot = at;
    let mut follow = V2::ZERO;
    let eligible = (0..11).filter(|&k| matches!(world.men[k].job, Job::Run { .. }));
    if deep {
        // Deeper than the deepest in his width.
        let threat = eligible
            .map(|k| world.men[k].seen(world.t, delay))
            .filter(|b| (b.at.y + b.velocity.y * 0.4 - at.y).abs() < reach && b.at.x > 2.0)
            .max_by(|a, b| a.at.x.total_cmp(&b.at.x));
        if let Some(b) = threat {
            let near = ((b.at.x - 4.0) / 8.0).clamp(0.0, 1.0);
            spot = P2::new(at.x.max(b.at.x + 2.6), at.y + (b.at.y - at.y) * (0.35 + 0.45 * near));
            follow = b.velocity * (0.8 * near);
        }
    } else {
        let threat = eligible
            .map(|k| world.men[k].seen(world.t, delay))
            .map(|b| (b, (b.at + b.velocity * 0.35).distance(at)))
            .filter(|(b, d)| *d < reach && b.at.x > 0.5 && b.at.x < at.x + 6.0)
            .min_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((b, d)) = threat {
            let pull = 0.75 * (1.0 - d / reach).sqrt();
            let ahead = b.at + b.velocity * 0.2 + V2::new(0.9, 0.0);
            spot = at.lerp(ahead, pull);
            follow = b.velocity * (0.6 * pull);
        }
    }
    let gap = spot - m.body.at;
    let v = limited(gap * 2.2 + follow, m.ability.top);
    let to_passer = (passer - m.body.at).angle();
    if v.norm() > 5.2 {
        // Turns the hips and runs.
        (v, v.angle())
    } else {
        let back = v.dot(V2::from_angle(to_passer)) < 0.0;
        (limited(v, m.ability.top * if back { BACKPEDAL } else { 0.8 }), to_passer)
    }
}

/// Once the ball is seen in the air: to where it comes down.
fn break_on_ball(world: &World, i: usize, extra: f64) -> Option<(V2, f64)> {
    let m = &world.men[i];
    if world.phase == Phase::Dead {
        return Some((chase_ball(world, i, 0.4), (ball_ground(world) - m.body.at).angle()));
    }
    let flight = world.flight.as_ref()?;
    if world.phase != Phase::Air || world.t < flight.release + m.ability.reaction + extra * 0.3 {
        return None;
    }
    let left = flight.meets - world.t;
    let gap = flight.meet_at - m.body.at;
    let d = gap.norm();
    if d > 26.0 {
        return Some((gap * (0.5 * m.ability.top / d), gap.angle()));
    }
    // Those who can be there play the ball; the others rally to the catch.
    let v = if left > 0.1 && d < 0.6 { m.body.velocity * 0.92 } else { gap * (m.ability.top / d.max(0.3)) };
    Some((v, (flight.meet_at - m.body.at).angle()))
}
