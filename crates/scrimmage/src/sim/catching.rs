//! Who gets a hand on the ball, and what comes of it. Own reach and catch model, for making plays.

use super::flight::Flight;
use super::plane::{P2, P3, V2, V3};
use super::pose::{Arms, Cue};
use super::world::{Ball, Ending, Outcome, Phase, World};

/// How far from his middle a man reaches sideways without diving, yd.
const REACH: f64 = 1.05;
/// Highest touch with a jump, yd.
const TOP: f64 = 2.95;

/// Where and when the target can best meet the ball as it flies: re-planned in flight.
pub fn plan_meeting(world: &mut World) {
    let Some(pass) = &world.flight else { return };
    let Some(target) = pass.target else { return };
    let m = &world.men[target];
    let now = world.t - pass.release;
    let mut best: Option<(f64, f64, P3)> = None;
    let mut s = now + 0.05;
    while s < pass.path.duration() {
        let (p, _) = pass.path.at(s);
        if p.z > 0.25 && p.z < TOP - 0.15 {
            let left = s - now;
            let ground = P2::new(p.x, p.y);
            // Coasting a little and then running at it.
            let coast = m.body.at + m.body.velocity * left.min(0.25);
            let need = (coast.distance(ground) - 0.5 * REACH).max(0.0) / (left - 0.25).max(0.08);
            let out = (ground.y - world.edges.0 + 0.3).max(world.edges.1 + 0.3 - ground.y).max(0.0);
            let cost = 2.5 * (need / m.ability.top - 0.9).max(0.0)
                + 0.55 * (p.z - 1.42).abs()
                + 0.10 * (coast.distance(ground) / 3.0)
                + 2.0 * out
                + 0.08 * left;
            if best.is_none_or(|b| cost < b.0) {
                best = Some((cost, s, p));
            }
        }
        s += 1.0 / 60.0;
    }
    if let (Some((_, s, p)), Some(pass)) = (best, &mut world.flight) {
        pass.meets = pass.release + s;
        pass.meet_at = P2::new(p.x, p.y);
        pass.meet_z = p.z;
    }
}

/// Looks whether anybody touches the ball in this step.
pub fn touches(world: &mut World) {
    let Some(pass) = world.flight.clone() else { return };
    let s = world.t - pass.release;
    let (p, v) = pass.path.at(s);
    let (q, _) = pass.path.at(s + 1.0 / 120.0);
    let ground = P2::new(p.x, p.y);
    if world.ending.is_some() {
        return;
    }
    // Defenders first: whoever is nearest now and was in the way.
    for i in 11..22 {
        if pass.tried.contains(&i) || s < 0.06 {
            continue;
        }
        let m = &world.men[i];
        let d = m.body.at.distance(ground);
        let leaving = m.body.at.distance(P2::new(q.x, q.y)) >= d;
        if d > 1.0 || !leaving || p.z > TOP || world.t < pass.release + m.ability.reaction {
            continue;
        }
        if let Some(f) = &mut world.flight {
            f.tried.push(i);
        }
        let line = p.x < 3.0 && s < 0.35;
        let squared = (1.0 - d).max(0.0) * if p.z < 2.3 { 1.0 } else { 0.6 };
        let chance = if line { 0.10 * squared } else { 0.34 + 0.58 * squared };
        if world.dice.chance(chance) {
            let picks = !line && world.dice.chance(0.30 + 0.40 * squared - 0.005 * v.norm());
            if picks {
                catch(world, i, p, Outcome::Intercepted);
            } else {
                deflect(world, p, v, 0.35);
                finish(
                    world,
                    if line { Outcome::Batted } else { Outcome::Incomplete },
                    if line { "batted" } else { "broken up" },
                    p,
                    None,
                );
            }
            return;
        }
    }
    if let Some(r) = pass.target {
        let body = world.men[r].body;
        let d = body.at.distance(ground);
        let leaving = body.at.distance(P2::new(q.x, q.y)) >= d;
        let at_meeting = world.t >= pass.meets - 0.02;
        if (leaving || at_meeting && d < 0.55) && d < REACH + 0.25 && p.z < TOP && !pass.tried.contains(&r) {
            if let Some(f) = &mut world.flight {
                f.tried.push(r);
            }
            attempt(world, r, p, v, d);
            return;
        }
    }
    if p.z < 0.15 {
        let target = pass.target;
        let bounce = Flight::new(
            P3::new(p.x, p.y, 0.16),
            V3::new(v.x * 0.55, v.y * 0.55, v.z.abs() * 0.5),
            &world.script.air,
            2.0,
        );
        world.ball.push((world.t, Ball::Air(bounce)));
        match target {
            Some(r) => {
                let miss = miss_word(world, r);
                finish(world, Outcome::Incomplete, miss, p, None);
            }
            None => finish(world, Outcome::ThrownAway, "thrown away", p, None),
        }
    }
}

/// The target tries.
fn attempt(world: &mut World, r: usize, p: P3, v: V3, d: f64) {
    let (_, near) = world.nearest_defender(world.men[r].body.at);
    let low = (0.75 - p.z).max(0.0);
    let high = (p.z - 2.05).max(0.0);
    let stretch = (d - 0.55).max(0.0);
    let crowd = match near {
        n if n < 0.9 => 1.9,
        n if n < 1.6 => 1.3,
        n if n < 2.6 => 0.5,
        _ => 0.0,
    };
    let score = 3.0 - 3.6 * low - 3.8 * high - 4.2 * stretch - crowd - 0.03 * (v.norm() - 18.0).max(0.0);
    if world.dice.chance(1.0 / (1.0 + (-score).exp())) {
        let (l, rgt) = world.edges;
        if p.y > l - 0.25 || p.y < rgt + 0.25 {
            deflect(world, p, v, 0.4);
            finish(world, Outcome::Incomplete, "wide", p, None);
        } else {
            catch(world, r, p, Outcome::Complete);
        }
        return;
    }
    let hard = low * 3.6 + high * 3.8 + stretch * 4.2;
    let word = if near < 1.3 && crowd >= hard {
        "broken up"
    } else if hard < 1.0 {
        "dropped"
    } else {
        miss_word(world, r)
    };
    deflect(world, p, v, 0.3);
    finish(world, Outcome::Incomplete, word, p, None);
}

/// Where the ball passed, seen from the receiver.
fn miss_word(world: &World, r: usize) -> &'static str {
    let Some(pass) = &world.flight else { return "" };
    let body = world.men[r].body;
    // Nearest pass of the ball by his body.
    let mut best = (f64::MAX, P3::new(0.0, 0.0, 0.0));
    let mut s = 0.0;
    while s < pass.path.duration() && pass.release + s <= world.t + 0.3 {
        let (p, _) = pass.path.at(s);
        let b = world.men[r].track.at(pass.release + s);
        let d = b.at.distance(P2::new(p.x, p.y));
        if d < best.0 {
            best = (d, p);
        }
        s += 1.0 / 60.0;
    }
    let (d, p) = best;
    if d < 1.2 {
        if p.z > 2.0 {
            return "high";
        }
        if p.z < 0.8 {
            return "low";
        }
    }
    let gap = P2::new(p.x, p.y) - body.at;
    let run = body.velocity;
    if let (Some(u), true) = (run.unit(), run.norm() > 2.5) {
        let (along, across) = (gap.dot(u), u.cross(gap));
        if across.abs() > along.abs() {
            return "wide";
        }
        let line = P2::new(p.x, p.y) - world.men[super::world::PASSER].body.at;
        let deep = line.unit().map_or(0.0, |l| l.dot(u)) > 0.8;
        return match (along > 0.0, deep) {
            (true, true) => "long",
            (true, false) => "ahead",
            (false, true) => "short",
            (false, false) => "behind",
        };
    }
    if p.z < 0.8 { "short" } else { "wide" }
}

fn finish(world: &mut World, result: Outcome, miss: &'static str, p: P3, by: Option<usize>) {
    world.ending = Some(Ending { result, miss, arrival: Some(world.t), arrival_at: Some(p), by });
    if by.is_none() {
        world.enter(Phase::Dead);
    }
}

fn deflect(world: &mut World, p: P3, v: V3, keep: f64) {
    let turn = world.dice.range(-1.2, 1.2);
    let w = V2::new(v.x, v.y).rotated(turn) * keep;
    let up = world.dice.range(0.3, 2.5);
    let path = Flight::new(p, V3::new(w.x, w.y, up), &world.script.air, 3.0);
    world.ball.push((world.t, Ball::Air(path)));
}

fn catch(world: &mut World, i: usize, p: P3, result: Outcome) {
    let t = world.t;
    let m = &mut world.men[i];
    if World::defends(i) {
        m.cue(Cue { at: t - 0.22, over: 0.2, crouch: 0.1, lean: 0.1, arms: Arms::Reach(p) });
    }
    m.cue(Cue { at: t + 0.06, over: 0.34, crouch: 0.08, lean: 0.12, arms: Arms::Tuck });
    world.ball.push((t, Ball::Held(i)));
    finish(world, result, "", p, Some(i));
    world.enter(Phase::Carry(i));
}
