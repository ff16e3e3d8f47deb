//! How the simulated passer sees who is open, and how he decides. Its own model, for making plays; not an estimator.

use super::concept::{Drop, Reading};
use super::flight::{self, Air};
use super::offense::foresee;
use super::plane::{P2, P3, V2};
use super::route::Route;
use super::script::Fault;
use super::throwing::release_point;
use super::track::DT;
use super::world::{Job, PASSER, World};
use units::yards_per_second_from_mph;

/// A throw that could be made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chance {
    /// Receiver.
    pub target: usize,
    /// Where ball and receiver would meet.
    pub at: P3,
    /// The receiver's velocity there, yd/s.
    pub running: V2,
    /// Time of flight, s.
    pub flight: f64,
    /// Release speed, yd/s.
    pub speed: f64,
    /// First defender after the receiver, s; negative when before.
    pub margin: f64,
}

/// What the passer settles on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Decision {
    /// Keep looking.
    Wait,
    /// Throw.
    Throw(Chance),
    /// Throw it where nobody is.
    Away,
    /// Run.
    Run,
}

/// A margin that a passer takes for open, s.
pub const OPEN: f64 = 0.16;

/// How fast and on which arc a throw of `range` yd leaves, mph.
pub fn pace(route: Route, range: f64, top_mph: f64) -> f64 {
    let deep = matches!(
        route,
        Route::Go | Route::Fade | Route::SlotFade | Route::Seam | Route::Post | Route::Wheel | Route::Corner
    );
    let soft = matches!(route, Route::Swing | Route::Screen | Route::Check | Route::Flat | Route::Bubble);
    let mph = if deep && range > 24.0 {
        38.0 + 0.40 * range
    } else if soft {
        30.0 + 0.45 * range
    } else {
        39.0 + 0.42 * range
    };
    mph.min(top_mph)
}

/// The throw to `target` if the ball leaves `wait` s from now.
pub fn chance(world: &World, target: usize, wait: f64) -> Option<Chance> {
    let m = &world.men[target];
    let Job::Run { path, leg } = &m.job else { return None };
    let way = foresee(m, path, *leg, world.t, wait + 3.4);
    let passer = &world.men[PASSER];
    let aim_at = |p: P2| {
        let heading = (p - passer.body.at).angle();
        release_point(passer.body.at + V2::from_angle(heading) * 0.15, heading, passer.stature)
    };
    let air: &Air = &world.script.air;
    let mut flight_s = 0.6;
    let mut out = None;
    for _ in 0..5 {
        let k = (((wait + flight_s) / DT) as usize).min(way.len() - 1);
        let (p, v) = way[k];
        // A runner is led a little; a man sitting down is hit in the chest.
        let lead = (v.norm() / 9.0).min(1.0);
        let mut to = p + v.unit().map_or(V2::ZERO, |u| u * (0.08 * lead));
        to = P2::new(to.x, to.y.clamp(world.edges.1 + 0.7, world.edges.0 - 0.7));
        let range = passer.body.at.distance(to);
        let speed = yards_per_second_from_mph(pace(path.route, range, world.script.arm.top_mph));
        let height = if range > 26.0 { 1.75 } else { 1.42 };
        let goal = P3::new(to.x, to.y, height);
        let (_, s) = flight::aim(aim_at(to), goal, speed, air).or_else(|| {
            flight::aim(aim_at(to), goal, yards_per_second_from_mph(world.script.arm.top_mph), air)
        })?;
        flight_s = s;
        out = Some(Chance { target, at: goal, running: v, flight: s, speed, margin: 0.0 });
    }
    let mut c = out?;
    c.margin = margin(world, &c, wait);
    Some(c)
}

/// How much later than the receiver the first defender is there, or at the ball on its way, s.
fn margin(world: &World, c: &Chance, wait: f64) -> f64 {
    let from = world.men[PASSER].body.at;
    let to = P2::new(c.at.x, c.at.y);
    let mut worst = f64::MAX;
    for i in 11..22 {
        let m = &world.men[i];
        // He goes on as he goes for the wait and a moment of the flight, then breaks.
        let react = m.ability.reaction + 0.08;
        let coast = m.body.at + m.body.velocity * (wait + react).min(0.75);
        let reach = 0.75;
        for k in [0.35, 0.5, 0.65, 0.8, 0.9, 1.0] {
            // Over his head until the ball comes down.
            let z = c.at.z + 4.0 * apex(from.distance(to)) * k * (1.0 - k);
            if z > 2.9 || from.distance(to) * k < 3.0 {
                continue;
            }
            let p = from.lerp(to, k);
            let d = (coast.distance(p) - reach).max(0.0);
            let run = d / (0.82 * m.ability.top) + 0.12 * (d / 3.0).min(1.0);
            worst = worst.min(react + run - c.flight * k);
        }
    }
    worst
}

/// How high over the straight line a usual throw of `range` yd rises, yd.
fn apex(range: f64) -> f64 {
    0.0028 * range * range
}

/// The decision at `world.t`, when the ball could leave after `wait` s, of a passer with `fault`.
pub fn decide(world: &World, wait: f64, fault: Fault) -> Decision {
    let plan = &world.script.plan;
    let since_set = world.t + wait - world.passer.set;
    let looks: Vec<(usize, f64)> =
        plan.looks.iter().filter_map(|(w, s)| world.index_of(*w).map(|i| (i, *s))).collect();
    let late = if fault == Fault::Late { 0.75 } else { 0.0 };
    let danger = pressure(world);
    if danger < 0.62 {
        return under_pressure(world, &looks, wait, danger, fault);
    }
    let due = |k: usize| since_set >= looks[k].1 + late - 1e-9;
    if fault == Fault::Forced && !looks.is_empty() {
        if due(0)
            && let Some(c) = chance(world, looks[0].0, wait)
        {
            return Decision::Throw(c);
        }
        return Decision::Wait;
    }
    let last = looks.len().saturating_sub(1);
    if plan.reading == Reading::Key && looks.len() >= 2 && due(0) && due(1) {
        // The key's choice: the better of the two, if either is there.
        let (a, b) = (chance(world, looks[0].0, wait), chance(world, looks[1].0, wait));
        let (better, worse) = match (a, b) {
            (Some(a), Some(b)) if b.margin > a.margin => (Some(b), Some(a)),
            (a, b) => (a.or(b), b),
        };
        let pick = if fault == Fault::WrongMan { worse.or(better) } else { better };
        if let (Some(best), Some(c)) = (better, pick)
            && best.margin > OPEN
        {
            return Decision::Throw(c);
        }
    }
    for k in 0..looks.len() {
        if plan.reading == Reading::Key && k < 2 && looks.len() > 2 || !due(k) {
            continue;
        }
        // A look is over half a second after it was due.
        if k < last && since_set > looks[k].1 + late + 0.30 {
            continue;
        }
        let Some(c) = chance(world, looks[k].0, wait) else { continue };
        if c.margin > OPEN {
            if fault == Fault::WrongMan && looks.len() > 1 {
                let other = looks[(k + 1) % looks.len()].0;
                if let Some(o) = chance(world, other, wait) {
                    return Decision::Throw(o);
                }
            }
            return Decision::Throw(c);
        }
        if k == last && since_set > looks[k].1 + late + 0.35 && c.margin > -0.05 {
            return Decision::Throw(c);
        }
    }
    let patience = looks.last().map_or(1.2, |l| l.1)
        + late
        + if world.script.concept.scheme().drop == Drop::Deep { 1.1 } else { 0.95 };
    if since_set > patience {
        return bail(world, wait);
    }
    Decision::Wait
}

/// Nobody came open: the best of a bad lot, or the sideline, or his legs.
fn bail(world: &World, wait: f64) -> Decision {
    let best = (0..11).filter_map(|i| chance(world, i, wait)).max_by(|a, b| a.margin.total_cmp(&b.margin));
    match best {
        Some(c) if c.margin > 0.02 => Decision::Throw(c),
        _ if world.script.seed.is_multiple_of(3) => Decision::Run,
        _ => Decision::Away,
    }
}

fn under_pressure(world: &World, looks: &[(usize, f64)], wait: f64, danger: f64, fault: Fault) -> Decision {
    if fault == Fault::NoAnswer {
        return Decision::Wait;
    }
    let hot = world.index_of(world.script.plan.hot).or_else(|| looks.first().map(|l| l.0));
    let best = looks
        .iter()
        .map(|l| l.0)
        .chain(hot)
        .filter_map(|i| chance(world, i, wait))
        .max_by(|a, b| a.margin.total_cmp(&b.margin));
    match best {
        Some(c) if c.margin > 0.0 => Decision::Throw(c),
        _ if danger < 0.42 && world.t > 1.4 => {
            if world.script.seed.is_multiple_of(2) {
                Decision::Away
            } else {
                Decision::Run
            }
        }
        _ => Decision::Wait,
    }
}

/// Seconds until the first rusher who is past his blocker could reach the passer.
pub fn pressure(world: &World) -> f64 {
    let passer = world.men[PASSER].body;
    (11..22)
        .filter(|&i| {
            let m = &world.men[i];
            matches!(m.job, Job::Defend(super::coverage::Task::Rush { .. }))
                && (m.blocked_by.is_none() || world.t > m.wins_at)
        })
        .map(|i| {
            let b = world.men[i].body;
            let gap = passer.at - b.at;
            let closing = gap.unit().map_or(0.0, |u| b.velocity.dot(u)).max(3.5);
            (gap.norm() - 0.8).max(0.0) / closing
        })
        .fold(f64::MAX, f64::min)
}
