//! What is known of a play, written apart from its film: only tests open these files.
//!
//! One JSON file per play, `<out>/truth/<stem>.json`, holding a [`PlayTruth`]; and `<out>/truth/game.json`, a [`GameTruth`]. Points are in
//! the field frame with flat ground, yd; times are seconds from the snap; frame k of a view shows the instant
//! `views[..].film.frames[k].time_s`.

use crate::render::FilmTruth;
use crate::sim::game::{Down, GamePlay, GameScript, Scene};
use crate::sim::passer::{BACK, FRONT};
use crate::sim::plane::{P2, P3};
use crate::sim::reading::OPEN;
use crate::sim::script::Fault;
use crate::sim::staged::StagedPlay;
use crate::sim::teams::Team;
use crate::sim::world::{Job, Outcome, PASSER};
use crate::stage::{Joint, Role, Stage};
use field::RuleBook;
use geometry::frame::{Field, Ground};
use geometry::{Point2, Point3, Vector3};
use serde::{Deserialize, Serialize};

/// Rate of the tracks, 1/s.
pub const TRACK_RATE: f64 = 30.0;

/// A whole game.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct GameTruth {
    /// Home, away.
    pub teams: [Team; 2],
    /// Markings.
    pub rule_book: RuleBook,
    /// Drag coefficient of the day's ball.
    pub drag: f64,
    /// Air density, kg/m³.
    pub density: f64,
    /// Every down, filmed or not.
    pub downs: Vec<Down>,
    /// Stems of the filmed plays, in order.
    pub plays: Vec<String>,
}

/// A play.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct PlayTruth {
    /// Name shared by the play's files: `G1-Q1-03`.
    pub stem: String,
    /// From 1.
    pub number: u32,
    /// Markings.
    pub rule_book: RuleBook,
    /// Scoreboard and chains.
    pub scene: Scene,
    /// The ball's spot on the ground.
    pub spot: Point2<Ground>,
    /// Words and labels.
    pub labels: Labels,
    /// Instants.
    pub moments: Moments,
    /// The 22.
    pub people: Vec<PersonTruth>,
    /// Time of the tracks' first sample, s; then [`TRACK_RATE`] a second.
    pub tracks_from_s: f64,
    /// The passer's feet at release, if he threw.
    pub feet: Option<FeetTruth>,
    /// The ball, if he threw.
    pub ball: Option<BallTruth>,
    /// Where it arrived, seen from the receiver, if it was thrown to one.
    pub placement: Option<PlacementTruth>,
    /// Result.
    pub result: Outcome,
    /// How it missed.
    pub miss: String,
    /// Yards gained.
    pub gain_yd: f64,
    /// Films of it.
    pub views: Vec<ViewTruth>,
}

/// What the play was.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Labels {
    /// Set, trade word.
    pub formation: String,
    /// `left` or `right`: the side with more receivers, or the one the concept is run to.
    pub strong_side: String,
    /// From the gun.
    pub gun: bool,
    /// A man moved before the snap.
    pub motion: bool,
    /// Concept, trade word.
    pub concept: String,
    /// Plan the passer followed, id within the concept.
    pub plan: String,
    /// Slots of its looks in order, with seconds after set.
    pub looks: Vec<(String, f64)>,
    /// Routes by slot.
    pub routes: Vec<RouteTruth>,
    /// Coverage shown, trade word.
    pub coverage_before: String,
    /// Coverage played, trade word.
    pub coverage_after: String,
    /// Men who rushed.
    pub rushers: u32,
    /// Men who blocked.
    pub blockers: u32,
    /// Rusher nobody blocked.
    pub free_rusher: Option<String>,
    /// Fault seeded into the reading.
    pub fault: Fault,
    /// Whether it showed: a forced throw that was open, or a free man who never came, is no fault to see.
    pub fault_shown: bool,
    /// What the plan read without fault would first have thrown (before the ball was gone).
    pub answer: Option<AnswerTruth>,
    /// Number of the picture when it comes more than once in the game.
    pub picture: Option<u32>,
    /// Slot of the man thrown to.
    pub target: Option<String>,
}

/// The plan's answer, by the simulated passer's own eye.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct AnswerTruth {
    /// Slot.
    pub slot: String,
    /// When the ball would have left, s from the snap.
    pub at_s: f64,
    /// Margin then, s.
    pub margin_s: f64,
}

/// A route.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct RouteTruth {
    /// Slot.
    pub slot: String,
    /// Who runs it.
    pub id: String,
    /// Trade word.
    pub route: String,
    /// Depth of the break from the line of scrimmage as run, yd.
    pub break_depth_yd: Option<f64>,
}

/// Instants, s from the snap.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub struct Moments {
    /// Always 0.
    pub snap: f64,
    /// The last step of the drop lands.
    pub set: Option<f64>,
    /// The ball leaves the hand.
    pub release: Option<f64>,
    /// The ball reaches a hand or the ground.
    pub arrival: Option<f64>,
    /// A rusher first reaches the passer.
    pub first_contact: Option<f64>,
    /// The play is over.
    pub dead: f64,
}

/// Somebody through the play.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct PersonTruth {
    /// Unique in the play.
    pub id: String,
    /// Offense or defense.
    pub role: Role,
    /// `L1`, `R2`, `B` for the eligible.
    pub slot: Option<String>,
    /// Shirt number.
    pub number: Option<u8>,
    /// Stature, yd.
    pub stature_yd: f64,
    /// Under the middle of the hips.
    pub hips: Vec<Point2<Ground>>,
    /// Middle of the two feet's middles, over the ground.
    pub feet: Vec<Point2<Ground>>,
}

/// The passer's feet.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub struct FeetTruth {
    /// Back (right) toe.
    pub back_toe: Point3<Field>,
    /// Back heel.
    pub back_heel: Point3<Field>,
    /// Front toe.
    pub front_toe: Point3<Field>,
    /// Front heel.
    pub front_heel: Point3<Field>,
    /// From the line between the hips' ground point and the arrival to the line of the feet's middles, back to front; open positive, deg.
    pub error_deg: f64,
    /// Between the feet's middles, yd.
    pub base_yd: f64,
    /// How far the front foot moved in the step into the throw, yd.
    pub step_yd: f64,
    /// When the front foot landed, s.
    pub front_lands_s: f64,
    /// Hips over the base: 0 over the back foot, 1 over the front.
    pub weight: f64,
    /// Under the hips.
    pub hips: Point2<Ground>,
}

/// The ball's flight.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct BallTruth {
    /// Where it left the hand.
    pub release: Point3<Field>,
    /// Velocity there, yd/s.
    pub velocity: Vector3<Field>,
    /// mph.
    pub speed_mph: f64,
    /// Above the horizon, deg.
    pub launch_deg: f64,
    /// Drag coefficient.
    pub drag: f64,
    /// Air density, kg/m³.
    pub density: f64,
    /// Where it arrived.
    pub arrival: Point3<Field>,
    /// Highest point, yd.
    pub apex_yd: f64,
    /// Ground distance from release to arrival, yd.
    pub air_yd: f64,
    /// (s, centre) thirty times a second from release to arrival.
    pub path: Vec<(f64, Point3<Field>)>,
    /// Error put on: direction (left positive), launch, deg; speed, share.
    pub error: [f64; 3],
    /// Where the passer meant it to meet the receiver.
    pub meant: Option<Point3<Field>>,
}

/// Where the ball arrived in the receiver's frame.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct PlacementTruth {
    /// Under the receiver's hips at arrival.
    pub receiver: Point2<Ground>,
    /// His velocity, yd/s.
    pub speed: f64,
    /// Ahead along his run (the way he faces when he stands), yd.
    pub lead_yd: f64,
    /// Ahead positive of where his run at the release, carried straight on, would have had him, yd.
    pub ahead_of_run_yd: f64,
    /// Height as the ball, had nobody met it, would have passed nearest to that run, ft.
    pub over_run_ft: f64,
    /// To his left, yd.
    pub left_yd: f64,
    /// Over the ground, ft.
    pub height_ft: f64,
    /// Nearest defender's distance at arrival, yd.
    pub separation_yd: f64,
    /// Who.
    pub nearest: String,
    /// How much farther from that defender than the receiver is the ball, yd.
    pub away_yd: f64,
    /// Nearest defender's distance at release, yd.
    pub separation_at_release_yd: f64,
    /// The simulated passer's own margin for the throw, s.
    pub margin_s: Option<f64>,
}

/// A film of the play.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct ViewTruth {
    /// File in `<out>/film`.
    pub file: String,
    /// View, rate, and for every frame the instant it shows and its camera.
    pub film: FilmTruth,
}

/// Name of a play's files.
pub fn stem(play: &GamePlay) -> String {
    format!("G{}-Q{}-{:02}", play.game, play.scene.quarter, play.number)
}

fn ground(stage: &StagedPlay, p: P2) -> Point2<Ground> {
    let q = stage.field(P3::new(p.x, p.y, 0.0));
    Point2::new(q.x, q.y)
}

/// Everything known of a game.
pub fn of_game(game: &GameScript) -> GameTruth {
    GameTruth {
        teams: game.teams.clone(),
        rule_book: game.book,
        drag: game.air.drag,
        density: game.air.density,
        downs: game.downs.clone(),
        plays: game.plays.iter().map(stem).collect(),
    }
}

/// Everything known of a play.
pub fn of_play(play: &GamePlay, stage: &StagedPlay, views: Vec<ViewTruth>) -> PlayTruth {
    let world = &stage.world;
    let script = &stage.script;
    let (start, end) = stage.span();
    let samples = ((end - start) * TRACK_RATE) as usize + 1;
    let time = |k: usize| start + k as f64 / TRACK_RATE;
    let people = world
        .men
        .iter()
        .enumerate()
        .map(|(i, m)| {
            let f = &stage.figures[i];
            let actor = &stage.actors()[i];
            PersonTruth {
                id: m.id.clone(),
                role: actor.role,
                slot: m.who.map(|w| w.slot(script.strong)),
                number: actor.number,
                stature_yd: m.stature,
                hips: (0..samples).map(|k| ground(stage, f.track.at(time(k)).at)).collect(),
                feet: (0..samples)
                    .map(|k| ground(stage, f.foot(0, time(k)).at.lerp(f.foot(1, time(k)).at, 0.5)))
                    .collect(),
            }
        })
        .collect();
    let ending = world.ending.clone();
    let arrival = ending.as_ref().and_then(|e| e.arrival);
    let threw = world.flight.is_some();
    PlayTruth {
        stem: stem(play),
        number: play.number,
        rule_book: script.place.book,
        scene: play.scene,
        spot: Point2::new(script.place.spot.0, script.place.spot.1),
        labels: labels(play, stage),
        moments: Moments {
            snap: 0.0,
            set: (world.passer.set < world.since || threw).then_some(world.passer.set),
            release: world.flight.as_ref().map(|f| f.release),
            arrival,
            first_contact: world.contact,
            dead: world.since,
        },
        people,
        tracks_from_s: start,
        feet: feet(stage),
        ball: ball(stage),
        placement: placement(stage),
        result: play.outcome,
        miss: play.miss.to_owned(),
        gain_yd: play.gain,
        views,
    }
}

fn labels(play: &GamePlay, stage: &StagedPlay) -> Labels {
    let (world, script) = (&stage.world, &stage.script);
    let routes = world
        .men
        .iter()
        .filter_map(|m| {
            let slot = m.who?.slot(script.strong);
            let (route, depth) = match &m.job {
                Job::Run { path, .. } => (path.route.word(), path.corners.get(path.break_at).map(|c| c.at.x)),
                _ => ("block", None),
            };
            Some(RouteTruth { slot, id: m.id.clone(), route: route.to_owned(), break_depth_yd: depth })
        })
        .collect();
    let rushing = |i: usize| matches!(world.men[i].job, Job::Defend(crate::sim::coverage::Task::Rush { .. }));
    Labels {
        formation: script.set.word().to_owned(),
        strong_side: if script.strong > 0.0 { "left" } else { "right" }.to_owned(),
        gun: script.gun,
        motion: script.motion,
        concept: script.concept.word().to_owned(),
        plan: script.plan.id.clone(),
        looks: script.plan.looks.iter().map(|(w, s)| (w.slot(script.strong), *s)).collect(),
        routes,
        coverage_before: script.call.shown.word().to_owned(),
        coverage_after: script.call.coverage.word().to_owned(),
        rushers: (11..22).filter(|&i| rushing(i)).count() as u32,
        blockers: (0..11).filter(|&i| matches!(world.men[i].job, Job::Block(_))).count() as u32,
        free_rusher: (11..22)
            .find(|&i| rushing(i) && world.men[i].blocked_by.is_none())
            .map(|i| world.men[i].id.clone()),
        fault: script.fault,
        fault_shown: fault_shown(stage),
        answer: world.answer.and_then(|(c, at)| {
            Some(AnswerTruth {
                slot: world.men[c.target].who?.slot(script.strong),
                at_s: at,
                margin_s: c.margin,
            })
        }),
        picture: play.picture.repeats,
        target: world
            .flight
            .as_ref()
            .and_then(|f| f.target)
            .and_then(|i| world.men[i].who)
            .map(|w| w.slot(script.strong)),
    }
}

/// Whether the seeded fault made a difference that film could show.
fn fault_shown(stage: &StagedPlay) -> bool {
    let world = &stage.world;
    let thrown = world.flight.as_ref().and_then(|f| Some((f.target?, f.release, f.meant?.margin)));
    match (stage.script.fault, thrown, world.answer) {
        (Fault::None, ..) => false,
        (Fault::Late, Some((_, release, _)), Some((_, at))) => release > at + 0.4,
        (Fault::WrongMan, Some((target, ..)), Some((c, _))) => target != c.target,
        (Fault::Forced, Some((_, _, margin)), _) => margin < OPEN,
        (Fault::NoAnswer, ..) => world.contact.is_some(),
        _ => false,
    }
}

fn feet(stage: &StagedPlay) -> Option<FeetTruth> {
    let world = &stage.world;
    let flight = world.flight.as_ref()?;
    let windup = world.passer.windup?;
    let t = flight.release;
    let figure = &stage.figures[PASSER];
    let j = stage.pose(PASSER, t).joints;
    let (b, f) = (figure.foot(BACK, t).at, figure.foot(FRONT, t).at);
    let hips = figure.track.at(t).at;
    let goal = world.ending.as_ref().and_then(|e| e.arrival_at).map_or(flight.meet_at, |p| P2::new(p.x, p.y));
    let line = f - b;
    let base = line.norm();
    let before = figure.foot(FRONT, windup.began).at;
    Some(FeetTruth {
        back_toe: j[Joint::ToeRight as usize],
        back_heel: j[Joint::HeelRight as usize],
        front_toe: j[Joint::ToeLeft as usize],
        front_heel: j[Joint::HeelLeft as usize],
        error_deg: units::wrap_angle(line.angle() - (goal - hips).angle()).to_degrees(),
        base_yd: base,
        step_yd: before.distance(f),
        front_lands_s: windup.lands,
        weight: (hips - b).dot(line) / (base * base).max(1e-9),
        hips: ground(stage, hips),
    })
}

fn ball(stage: &StagedPlay) -> Option<BallTruth> {
    let world = &stage.world;
    let flight = world.flight.as_ref()?;
    let ending = world.ending.as_ref()?;
    let arrival = ending.arrival?;
    let (p, v) = flight.path.samples[0];
    let n = ((arrival - flight.release) * TRACK_RATE).ceil() as usize;
    let path: Vec<(f64, Point3<Field>)> = (0..=n)
        .map(|k| {
            let s = (k as f64 / TRACK_RATE).min(arrival - flight.release);
            (flight.release + s, stage.field(flight.path.at(s).0))
        })
        .collect();
    let end = flight.path.at(arrival - flight.release).0;
    let apex = flight.path.samples.iter().take_while(|s| s.0.z >= 0.0).map(|s| s.0.z).fold(0.0, f64::max);
    Some(BallTruth {
        release: stage.field(p),
        velocity: stage.script.place.field_vector(v),
        speed_mph: units::mph_from_yards_per_second(v.norm()),
        launch_deg: v.z.atan2(v.x.hypot(v.y)).to_degrees(),
        drag: stage.script.air.drag,
        density: stage.script.air.density,
        arrival: stage.field(end),
        apex_yd: apex,
        air_yd: P2::new(p.x, p.y).distance(P2::new(end.x, end.y)),
        path,
        error: flight.error,
        meant: flight.meant.map(|c| stage.field(c.at)),
    })
}

/// Height of the ball where it passes nearest over the ground to a run carried straight on from the release.
fn over_run_ft(flight: &crate::sim::world::Pass, run: &crate::sim::mover::Body) -> f64 {
    let steps = (flight.path.duration() * TRACK_RATE) as usize;
    let passes = |k: usize| {
        let s = k as f64 / TRACK_RATE;
        let p = flight.path.at(s).0;
        (P2::new(p.x, p.y).distance(run.at + run.velocity * s), p.z)
    };
    let nearest = (0..=steps).map(passes).min_by(|a, b| a.0.total_cmp(&b.0));
    nearest.map_or(0.0, |p| p.1 * units::FEET_PER_YARD)
}

fn placement(stage: &StagedPlay) -> Option<PlacementTruth> {
    let world = &stage.world;
    let flight = world.flight.as_ref()?;
    let target = flight.target?;
    let arrival = world.ending.as_ref()?.arrival?;
    let p = flight.path.at(arrival - flight.release).0;
    let at = |i: usize, t: f64| stage.figures[i].track.at(t);
    let r = at(target, arrival);
    let ahead = if r.speed() > 1.5 { r.velocity.unit()? } else { geometry::Vector2::from_angle(r.facing) };
    let gap = P2::new(p.x, p.y) - r.at;
    let left = at(target, flight.release);
    let nearest = |t: f64| {
        let me = at(target, t).at;
        (11..22).map(|i| (i, at(i, t).at.distance(me))).min_by(|a, b| a.1.total_cmp(&b.1))
    };
    let (d, separation) = nearest(arrival)?;
    Some(PlacementTruth {
        receiver: ground(stage, r.at),
        speed: r.speed(),
        lead_yd: gap.dot(ahead),
        ahead_of_run_yd: (P2::new(p.x, p.y) - (left.at + left.velocity * (arrival - flight.release)))
            .dot(left.velocity.unit().unwrap_or(ahead)),
        over_run_ft: over_run_ft(flight, &left),
        left_yd: ahead.cross(gap),
        height_ft: p.z * units::FEET_PER_YARD,
        separation_yd: separation,
        nearest: world.men[d].id.clone(),
        away_yd: at(d, arrival).at.distance(P2::new(p.x, p.y)) - separation,
        separation_at_release_yd: nearest(flight.release)?.1,
        margin_s: flight.meant.map(|c| c.margin),
    })
}
