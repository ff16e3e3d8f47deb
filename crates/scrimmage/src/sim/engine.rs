//! Plays a script from before the snap until it is over.

use super::catching::{plan_meeting, touches};
use super::coverage::{self, Task};
use super::defense::defend;
use super::dice::Dice;
use super::formation::{self, Who};
use super::gait::Feet;
use super::mover::{Ability, Body};
use super::offense::{block, carry, chase_ball, meet, run};
use super::passer::{BACK, Passer};
use super::plane::{P2, P3, V2};
use super::pose::{Arms, Cue};
use super::protection;
use super::reading::{Decision, decide, pressure};
use super::release::release;
use super::route::{self, Route};
use super::script::{Fault, Script};
use super::track::{DT, Track};
use super::world::{Ball, Ending, Job, Man, Outcome, PASSER, Phase, START, World};

/// Longest play, s.
const LIMIT: f64 = 14.0;

fn ability(kind: &str, dice: &mut Dice) -> Ability {
    let (forty, sd) = match kind {
        "wide" => (4.55, 0.07),
        "back" => (4.60, 0.07),
        "tight" => (4.75, 0.08),
        "qb" => (4.85, 0.1),
        "line" => (5.25, 0.1),
        "end" => (4.85, 0.1),
        "tackle" => (5.1, 0.1),
        "linebacker" => (4.72, 0.07),
        _ => (4.55, 0.06),
    };
    let reaction = match kind {
        "line" => 0.10,
        "wide" | "tight" | "back" | "qb" => 0.16,
        "end" | "tackle" => 0.22,
        _ => 0.27,
    };
    Ability::from_forty(forty + dice.normal(sd), (reaction + dice.normal(0.02)).max(0.05))
}

fn kind_of(id: &str) -> &'static str {
    match id {
        "off-qb" => "qb",
        "off-b" => "back",
        "off-lt" | "off-lg" | "off-c" | "off-rg" | "off-rt" => "line",
        "def-lde" | "def-rde" => "end",
        "def-ldt" | "def-rdt" => "tackle",
        "def-mike" | "def-will" => "linebacker",
        s if s.starts_with("off-") => "wide",
        _ => "secondary",
    }
}

/// Posture before the snap: crouch, lean, arms, width and stagger of the feet.
fn stance(id: &str, tight: bool) -> (f64, f64, Arms, f64, f64) {
    match kind_of(id) {
        "line" if id == "off-c" => (0.80, 1.05, Arms::Center, 0.50, 0.05),
        "line" => (0.72, 0.95, Arms::Ground, 0.50, 0.22),
        "wide" if tight => (0.70, 0.95, Arms::Ground, 0.46, 0.25),
        "wide" => (0.22, 0.35, Arms::Loose, 0.30, 0.42),
        "back" => (0.35, 0.50, Arms::Knees, 0.46, 0.05),
        "qb" => (0.18, 0.16, Arms::Ready, 0.42, 0.06),
        "end" | "tackle" => (0.74, 1.0, Arms::Ground, 0.50, 0.34),
        "linebacker" => (0.30, 0.35, Arms::Ready, 0.48, 0.06),
        _ => (0.26, 0.30, Arms::Loose, 0.40, 0.18),
    }
}

/// The play before it begins.
pub fn assemble(script: &Script) -> World {
    let mut dice = Dice::new(script.seed, 1);
    let edges = script.place.edges();
    let scheme = script.concept.scheme();
    let back = if dice.chance(0.5) { script.strong } else { -script.strong };
    let spots = formation::line_up(script.set, script.strong, script.gun, edges, back);
    let eligible: Vec<(Who, P2)> = spots.iter().filter_map(|s| s.who.map(|w| (w, s.at))).collect();
    let defense = coverage::line_up(&script.call, &eligible, script.strong, edges, script.place.goal_x());
    let mut men = Vec::with_capacity(22);
    for s in &spots {
        let tight = s.who.is_some() && s.at.y.abs() < 5.0 && s.who != Some(Who::Back);
        let job = match s.who {
            None if s.id == "off-qb" => Job::Pass,
            None => Job::Block(None),
            Some(w) => {
                let route = scheme.routes.iter().find(|r| r.0 == w).map_or(Route::Block, |r| r.1);
                // Extra blockers stay in: the back first, then the inner strong man.
                let stays = script.protection.blockers >= 6 && w == Who::Back && route != Route::Screen
                    || script.protection.blockers >= 7
                        && w == Who::Strong(script.set.counts().0 as u8)
                        && script.plan.looks.iter().all(|l| l.0 != w);
                if route == Route::Block || stays {
                    Job::Block(None)
                } else {
                    let path =
                        route::path(route, s.at, w.side(script.strong, back), edges, dice.normal(0.35));
                    Job::Run { path, leg: 0 }
                }
            }
        };
        men.push(man(&s.id, s.who, s.at, 0.0, tight, job, &mut dice));
    }
    for d in &defense {
        men.push(man(d.id, None, d.at, std::f64::consts::PI, false, Job::Defend(d.task), &mut dice));
    }
    let passer = Passer::new(spots[PASSER].at, scheme.drop, script.gun, dice.range(0.96, 1.05));
    let mut world = World {
        script: script.clone(),
        t: START,
        men,
        passer,
        ball: vec![(START - 1.0, Ball::Ground(P3::new(-0.05, 0.0, 0.10)))],
        phase: Phase::Before,
        since: START,
        edges,
        flight: None,
        ending: None,
        answer: None,
        contact: None,
        held_since: None,
        dice,
    };
    protection::tell_off(&mut world);
    if script.motion {
        send_in_motion(&mut world);
    }
    world
}

/// The inner man of the strong side comes from behind the line to his place before the snap.
fn send_in_motion(world: &mut World) {
    let Some(i) = world.index_of(Who::Strong(2)) else { return };
    let m = &mut world.men[i];
    let home = m.body.at;
    if home.y.abs() < 5.5 {
        return;
    }
    let start = P2::new(-3.4, home.y - home.y.signum() * (home.y.abs() - 2.0).min(7.5));
    let facing = (home - start).angle();
    m.motion = Some(home);
    m.body = Body { at: start, velocity: V2::ZERO, facing };
    m.track.samples[0] = m.body;
    m.stance = Feet::standing(start, facing, 0.36, 0.2);
    m.cues = vec![
        Cue { at: START - 1.0, over: 0.1, crouch: 0.05, lean: 0.10, arms: Arms::Swing },
        Cue { at: -0.55, over: 0.4, crouch: 0.18, lean: 0.28, arms: Arms::Loose },
    ];
}

fn man(id: &str, who: Option<Who>, at: P2, facing: f64, tight: bool, job: Job, dice: &mut Dice) -> Man {
    let kind = kind_of(id);
    let (crouch, lean, arms, width, stagger) = stance(id, tight);
    let stature = match kind {
        "line" | "end" | "tackle" => dice.range(2.06, 2.16),
        "qb" => 2.06,
        "linebacker" => dice.range(2.0, 2.08),
        _ => dice.range(1.94, 2.06),
    };
    let body = Body { at, velocity: V2::ZERO, facing };
    Man {
        id: id.to_owned(),
        who,
        stature,
        ability: ability(if tight { "tight" } else { kind }, dice),
        body,
        job,
        blocked_by: None,
        wins_at: f64::INFINITY,
        cues: vec![Cue { at: START - 1.0, over: 0.1, crouch, lean, arms }],
        stance: Feet::standing(at, facing, width, stagger),
        width: 0.40,
        motion: None,
        jump: None,
        track: Track { start: START, samples: vec![body] },
    }
}

/// Plays it.
pub fn play(script: &Script) -> World {
    let mut world = assemble(script);
    let mut pending: Option<(Decision, bool)> = None;
    let mut over_for = 0.0;
    while world.t < LIMIT && (over_for < 2.2 || world.t < 5.6) {
        if world.phase == Phase::Before && world.t >= 0.0 {
            snap(&mut world);
        }
        let mut wants = wishes(&mut world);
        if world.phase == Phase::Pocket {
            think(&mut world, &mut pending);
        }
        if !world.passer.free {
            let look = look_heading(&world);
            let (passer, t) = (world.passer.clone(), world.t);
            passer.follow(&mut world.men[PASSER].body, t, look);
            if world.passer.windup.is_some_and(|w| world.t > w.release + 0.7) {
                world.passer.let_go(t);
            }
        }
        let due = world.passer.windup.is_some_and(|w| world.phase == Phase::Pocket && world.t >= w.release);
        if due && let Some((decision, hurried)) = pending.take() {
            match decision {
                Decision::Throw(c) => release(&mut world, Some(c), None, hurried),
                _ => {
                    let out = away_place(&world);
                    release(&mut world, None, Some(out), hurried);
                }
            }
        }
        if world.phase == Phase::Air {
            let since = world.t - world.since;
            let again = |x: f64| (since - x).abs() < 0.5 * DT;
            if again(0.22) || again(0.5) || again(0.9) || again(1.4) || again(2.0) {
                plan_meeting(&mut world);
                reach_for_it(&mut world);
            }
            touches(&mut world);
        }
        if let Phase::Carry(c) = world.phase {
            tackle(&mut world, c);
        }
        if world.phase == Phase::Dead {
            over_for += DT;
        }
        if let Some(w) = wants.get_mut(PASSER)
            && world.passer.free
            && !matches!(world.phase, Phase::Carry(PASSER))
        {
            *w = (chase_ball(&world, PASSER, if world.phase == Phase::Dead { 0.0 } else { 0.22 }), w.1);
        }
        world.advance(&wants);
    }
    world
}

fn snap(world: &mut World) {
    world.enter(Phase::Pocket);
    let until = world.passer.receives;
    world.ball.push((0.0, Ball::Snap { from: P3::new(-0.05, 0.0, 0.10), until }));
    world.ball.push((until, Ball::Held(PASSER)));
    for i in 0..22 {
        let m = &mut world.men[i];
        let at = m.ability.reaction * 0.6;
        let cue = |crouch, lean, arms, over| Cue { at, over, crouch, lean, arms };
        let first = match &m.job {
            Job::Pass => Cue { at: until - 0.12, over: 0.22, crouch: 0.10, lean: 0.08, arms: Arms::Hold },
            Job::Block(_) => cue(0.32, 0.30, Arms::Block, 0.35),
            Job::Run { path, .. } if path.route.delay() > 0.0 => cue(0.28, 0.25, Arms::Block, 0.4),
            Job::Run { .. } => cue(0.06, 0.14, Arms::Swing, 0.45),
            Job::Defend(Task::Rush { .. }) => cue(0.30, 0.45, Arms::Ready, 0.4),
            Job::Defend(_) => cue(0.14, 0.20, Arms::Swing, 0.6),
        };
        let slow = match &m.job {
            Job::Run { path, .. } => path.route.delay(),
            _ => 0.0,
        };
        m.cue(first);
        if slow > 0.0 {
            m.cue(Cue { at: slow, over: 0.3, crouch: 0.06, lean: 0.12, arms: Arms::Swing });
        }
    }
}

fn look_heading(world: &World) -> f64 {
    if world.t < 0.3 {
        return 0.0;
    }
    let looks = &world.script.plan.looks;
    let since = world.t - world.passer.set;
    let now = looks.iter().rev().find(|l| since > l.1 - 0.8).or(looks.first());
    let at = now.and_then(|l| world.index_of(l.0)).map_or(P2::new(15.0, 0.0), |i| world.men[i].body.at);
    0.6 * (at - world.men[PASSER].body.at).angle().clamp(-1.0, 1.0)
}

/// What everybody wants now.
fn wishes(world: &mut World) -> Vec<(V2, f64)> {
    let mut out = Vec::with_capacity(22);
    for i in 0..22 {
        let m = &world.men[i];
        if world.phase == Phase::Before {
            out.push(match m.motion {
                Some(home) if m.body.at.distance(home) > 0.1 && world.t > START + 0.3 => {
                    let gap = home - m.body.at;
                    let v = gap.unit().map_or(V2::ZERO, |u| u * (5.6f64).min(2.5 * gap.norm()));
                    (v, if gap.norm() > 1.2 { v.angle() } else { 0.0 })
                }
                Some(_) => (V2::ZERO, 0.0),
                None => (V2::ZERO, m.body.facing),
            });
            continue;
        }
        if world.phase == Phase::Carry(i) {
            out.push(carry(world, i));
            continue;
        }
        if world.phase == Phase::Dead {
            let slow = m.body.velocity * 0.9;
            let v = if slow.norm() > 2.2 { slow } else { chase_ball(world, i, 0.12) };
            let facing = if v.norm() > 1.5 { v.angle() } else { m.body.facing };
            out.push((v, facing));
            continue;
        }
        let wish = match m.job.clone() {
            Job::Pass => (V2::ZERO, m.body.facing),
            Job::Block(on) => block(world, i, on),
            Job::Defend(task) => defend(world, i, task),
            Job::Run { .. } => {
                let target = world.flight.as_ref().filter(|f| {
                    f.target == Some(i) && world.phase == Phase::Air && world.t > f.release + 0.22
                });
                if let Some(f) = target {
                    let v = meet(m, f.meet_at, f.meets - world.t);
                    let facing = if v.norm() > 2.0 {
                        v.angle()
                    } else {
                        (world.men[PASSER].body.at - m.body.at).angle()
                    };
                    (v, facing)
                } else if matches!(world.phase, Phase::Carry(_)) && world.t > world.since + 0.3 {
                    let v = chase_ball(world, i, 0.5);
                    (v, if v.norm() > 1.0 { v.angle() } else { m.body.facing })
                } else {
                    let (v, facing, leg) = run(world, i);
                    if let Job::Run { leg: l, .. } = &mut world.men[i].job {
                        *l = leg;
                    }
                    (v, facing)
                }
            }
        };
        out.push(wish);
    }
    out
}

/// The passer looks, steps, decides, or is brought down.
fn think(world: &mut World, pending: &mut Option<(Decision, bool)>) {
    let t = world.t;
    let passer = world.men[PASSER].body;
    let grab = (11..22).any(|i| {
        matches!(world.men[i].job, Job::Defend(Task::Rush { .. }))
            && world.men[i].body.at.distance(passer.at) < 0.95
    });
    if grab && world.contact.is_none() {
        world.contact = Some(t);
    }
    let windup = world.passer.windup;
    if let Some(c) = world.contact
        && t > c + 0.10
        && windup.is_none_or(|w| t < w.release - 0.12)
    {
        world.ending =
            Some(Ending { result: Outcome::Sacked, miss: "", arrival: None, arrival_at: None, by: None });
        world.passer.let_go(t);
        world.passer.windup = None;
        *pending = None;
        bring_down(world, PASSER);
        world.enter(Phase::Dead);
        return;
    }
    // What the plan would do is followed to the release, whatever the passer does. Thinks thirty times a second, as film shows.
    let tick = (t / DT).round() as i64;
    let ready = t > world.passer.receives + 0.12 && t >= world.passer.set - 0.14;
    if ready && tick % 4 == 0 {
        let landing = world.passer.feet.last(BACK).from.max(world.passer.feet.last(0).from - 0.02);
        let hurried = pressure(world) < 0.75;
        let wait = (landing - t).max(0.0) + if hurried { 0.30 } else { 0.41 };
        if world.answer.is_none()
            && let Decision::Throw(c) = decide(world, wait, Fault::None)
        {
            world.answer = Some((c, t + wait));
        }
        if windup.is_some() {
            return;
        }
        match decide(world, wait, world.script.fault) {
            Decision::Wait => {}
            Decision::Run => {
                world.passer.let_go(t);
                world.men[PASSER].cue(Cue { at: t, over: 0.3, crouch: 0.05, lean: 0.15, arms: Arms::Tuck });
                world.ending = Some(Ending {
                    result: Outcome::Scrambled,
                    miss: "",
                    arrival: None,
                    arrival_at: None,
                    by: None,
                });
                world.enter(Phase::Carry(PASSER));
                return;
            }
            Decision::Throw(c) => {
                begin(world, c.target, P2::new(c.at.x, c.at.y), hurried);
                *pending = Some((Decision::Throw(c), hurried));
                return;
            }
            Decision::Away => {
                let p = away_place(world);
                begin(world, PASSER, P2::new(p.x, p.y), hurried);
                *pending = Some((Decision::Away, hurried));
                return;
            }
        }
    }
    if windup.is_none() && t > world.passer.next_hitch && world.passer.settled(t) {
        let danger = pressure(world);
        let look = look_heading(world);
        if danger < 1.1 {
            // Slides away from whoever comes.
            let threat = (11..22)
                .filter(|&i| matches!(world.men[i].job, Job::Defend(Task::Rush { .. })))
                .min_by(|&a, &b| {
                    world.men[a]
                        .body
                        .at
                        .distance(passer.at)
                        .total_cmp(&world.men[b].body.at.distance(passer.at))
                });
            let away = threat.map_or(V2::ZERO, |i| passer.at - world.men[i].body.at);
            let by = V2::new(0.25, 0.32 * away.y.signum());
            world.passer.slide(t, by);
        } else {
            let long = if world.passer.hitches == 0 { 0.34 } else { 0.16 };
            world.passer.hitch(t, look, long);
        }
    }
}

fn begin(world: &mut World, target: usize, at: P2, hurried: bool) {
    let t = world.t;
    let untidy = world.script.untidy;
    let arm = world.script.arm;
    let loose = arm.feet_spread * (4.0 + 9.0 * untidy + if hurried { 7.0 } else { 0.0 });
    // Untidy feet are more often closed than open.
    let error = (world.dice.normal(loose) - 5.0 * untidy).clamp(-38.0, 34.0);
    let weight = (0.72 + world.dice.normal(arm.weight_sd)
        - 0.22 * untidy * world.dice.unit()
        - if hurried { 0.16 } else { 0.0 })
    .clamp(0.2, 0.9);
    let base = (0.92 + world.dice.normal(0.09) - if hurried { 0.16 } else { 0.0 }).clamp(0.5, 1.15);
    let from = world.passer.feet.last(BACK).at;
    let heading = (at - from).angle();
    world.passer.stride(t, target, heading, error.to_radians(), base, weight, hurried);
}

/// Over the nearer sideline, deep enough to be nobody's.
fn away_place(world: &World) -> P3 {
    let y = world.men[PASSER].body.at.y;
    let edge = if world.edges.0 - y < y - world.edges.1 { world.edges.0 + 4.0 } else { world.edges.1 - 4.0 };
    P3::new(14.0, edge, 1.2)
}

fn reach_for_it(world: &mut World) {
    let Some(f) = world.flight.clone() else { return };
    let Some(r) = f.target else { return };
    let place = P3::new(f.meet_at.x, f.meet_at.y, f.meet_z);
    let at = (f.meets - 0.30).max(world.t);
    let m = &mut world.men[r];
    m.cues.retain(|c| !(matches!(c.arms, Arms::Reach(_)) && c.at > world.t - 1e-9));
    let crouch = if f.meet_z < 0.9 { 0.75 } else { 0.08 };
    let lean = if f.meet_z < 0.9 { 0.7 } else { 0.10 };
    m.cue(Cue { at, over: 0.26, crouch, lean, arms: Arms::Reach(place) });
    m.jump = if f.meet_z > 2.35 {
        let rise = (f.meet_z - 2.3).clamp(0.1, 0.6);
        let up = (2.0 * rise / units::GRAVITY_YDPS2).sqrt();
        Some((f.meets - up, rise))
    } else {
        None
    };
}

fn tackle(world: &mut World, c: usize) {
    let at = world.men[c].body.at;
    let out = at.y > world.edges.0 - 0.1 || at.y < world.edges.1 + 0.1;
    let scored = if World::defends(c) {
        at.x < world.script.place.goal_x() - 100.0
    } else {
        at.x > world.script.place.goal_x()
    };
    if out || scored {
        world.enter(Phase::Dead);
        return;
    }
    let others = if World::defends(c) { 0..11 } else { 11..22 };
    let held = others.clone().any(|i| world.men[i].body.at.distance(at) < 0.98);
    match (held, world.held_since) {
        (true, None) => world.held_since = Some(world.t),
        (false, _) => world.held_since = None,
        (true, Some(s)) if world.t > s + 0.28 && world.t > world.since + 0.25 => {
            // A passer who runs and is brought down behind the line was sacked.
            if let Some(e) = &mut world.ending
                && e.result == Outcome::Scrambled
                && at.x < 0.0
            {
                e.result = Outcome::Sacked;
            }
            bring_down(world, c);
            world.enter(Phase::Dead);
        }
        _ => {}
    }
}

/// The carrier goes down with whoever holds him.
fn bring_down(world: &mut World, c: usize) {
    let t = world.t;
    let at = world.men[c].body.at;
    let arms = if c == PASSER && world.flight.is_none() { Arms::Hold } else { Arms::Tuck };
    world.men[c].cue(Cue { at: t, over: 0.55, crouch: 1.65, lean: 1.25, arms });
    for i in 0..22 {
        if i != c && World::defends(i) != World::defends(c) && world.men[i].body.at.distance(at) < 1.1 {
            world.men[i].cue(Cue { at: t, over: 0.5, crouch: 1.0, lean: 1.1, arms: Arms::Block });
        }
    }
}
