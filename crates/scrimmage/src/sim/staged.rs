//! A simulated play as a function of time, for the film.

use super::engine;
use super::flight::Flight;
use super::gait::{self, Feet};
use super::operator;
use super::people::{self, Kits};
use super::plane::{P3, V3, ease};
use super::pose::Figure;
use super::script::Script;
use super::throwing::ThrowMotion;
use super::track::Track;
use super::world::{Ball, PASSER, START, World};
use crate::stage::{Actor, BallPose, Joint, Pose, Stage};
use geometry::frame::Field;
use geometry::{Point3, Vector3};

/// A play ready to be filmed, and all that is known of it.
pub struct StagedPlay {
    /// What was called.
    pub script: Script,
    /// How it went.
    pub world: World,
    /// Bodies: the offense, the defense, then officials.
    pub figures: Vec<Figure>,
    actors: Vec<Actor>,
    span: (f64, f64),
}

/// Turns of a spiral a second at `v` yd/s: about 600 a minute at a usual speed (Watts & Moore 2003).
fn spin_rate(v: f64) -> f64 {
    std::f64::consts::TAU * 10.0 * (v / 22.0)
}

impl StagedPlay {
    /// Plays `script` and dresses the players in `kits`.
    pub fn new(script: &Script, kits: &Kits) -> Self {
        let world = engine::play(script);
        let end = film_end(&world);
        let mut figures = Vec::with_capacity(60);
        for (i, m) in world.men.iter().enumerate() {
            let mut track = Track { start: m.track.start, samples: m.track.samples.clone() };
            let stays = ((end + 0.8 - START) / super::track::DT) as usize;
            track.samples.truncate(stays.max(2));
            let passer = i == PASSER;
            if !passer {
                track = track.smoothed();
            }
            let feet: Feet = if passer {
                if world.passer.free_at.is_finite() && world.passer.free_at < track.end() {
                    gait::plan(&track, world.passer.feet.clone(), world.passer.free_at, m.width)
                } else {
                    world.passer.feet.clone()
                }
            } else {
                gait::plan(&track, m.stance.clone(), START, m.width)
            };
            let throw = match (&world.flight, world.passer.windup) {
                (Some(f), Some(w)) if passer => Some(ThrowMotion {
                    release: f.release,
                    heading: w.heading,
                    axis: f.path.samples[0].1.unit().unwrap_or(V3::new(1.0, 0.0, 0.0)),
                    hips: track.clone(),
                }),
                _ => None,
            };
            let mut cues = m.cues.clone();
            cues.sort_by(|a, b| a.at.total_cmp(&b.at));
            figures.push(Figure { stature: m.stature, track, feet, cues, throw, jump: m.jump });
        }
        let mut actors = people::players(&world, kits);
        people::officials(&world, end, &mut actors, &mut figures);
        Self { script: script.clone(), world, figures, actors, span: (START + 0.2, end) }
    }

    /// The ball's centre and axis at `t`, play frame, and how fast it spins, rad/s, since when.
    pub fn ball_in_play(&self, t: f64) -> (P3, V3, f64) {
        let ball = &self.world.ball;
        let i = ball.partition_point(|b| b.0 <= t).saturating_sub(1);
        let (since, now) = &ball[i];
        match now {
            Ball::Ground(p) => (*p, V3::new(1.0, 0.0, 0.0), 0.0),
            Ball::Snap { from, until } => {
                let (to, _) = self.figures[PASSER].held_ball(*until);
                let u = ((t - since) / (until - since)).clamp(0.0, 1.0);
                let p = from.lerp(to, u);
                // Thrown back between the legs with a little arc.
                (P3::new(p.x, p.y, p.z + 0.35 * u * (1.0 - u)), V3::new(-1.0, 0.0, 0.25), 45.0 * (t - since))
            }
            Ball::Held(k) => {
                let (p, axis) = self.figures[*k].held_ball(t);
                // Just caught: the hands take it in.
                if i > 0
                    && let Ball::Air(f) = &ball[i - 1].1
                {
                    let (caught, v) = f.at(since - ball[i - 1].0);
                    let u = ease((t - since) / 0.16);
                    let a = v.unit().unwrap_or(axis);
                    return (caught.lerp(p, u), a * (1.0 - u) + axis * u, 0.0);
                }
                (p, axis, 0.0)
            }
            Ball::Air(f) => self.flying(f, *since, t, i),
        }
    }

    fn flying(&self, f: &Flight, since: f64, t: f64, i: usize) -> (P3, V3, f64) {
        let (p, v) = f.at(t - since);
        let thrown = self.world.flight.as_ref().is_some_and(|w| (w.release - since).abs() < 1e-9) || i == 0;
        if thrown {
            return (
                p,
                v.unit().unwrap_or(V3::new(1.0, 0.0, 0.0)),
                spin_rate(f.samples[0].1.norm()) * (t - since),
            );
        }
        // Knocked loose or bouncing: tumbles until it lies.
        let turn = 9.0 * (t - since).min(f.duration());
        let flat = V3::new(v.x, v.y, 0.0).unit().unwrap_or(V3::new(1.0, 0.0, 0.0));
        (P3::new(p.x, p.y, p.z.max(0.1)), flat * turn.cos() + V3::new(0.0, 0.0, turn.sin()), turn)
    }

    /// Joints of player `i`, play frame.
    pub fn joints(&self, i: usize, t: f64) -> super::pose::Joints {
        self.figures[i].joints(t)
    }
    /// Field frame of a play point.
    pub fn field(&self, p: P3) -> Point3<Field> {
        self.script.place.field(p)
    }
}

/// The film runs on for a second or two after the ball arrives.
fn film_end(world: &World) -> f64 {
    let last = world.men[0].track.end();
    let arrival = world.ending.as_ref().and_then(|e| e.arrival).unwrap_or(world.since);
    let dead = if world.phase == super::world::Phase::Dead { world.since } else { last };
    (arrival + 1.5).max((dead + 0.5).min(arrival + 2.0)).min((arrival + 0.9).max(6.0)).clamp(4.5, last - 0.05)
}

impl Stage for StagedPlay {
    fn actors(&self) -> &[Actor] {
        &self.actors
    }
    fn pose(&self, index: usize, t: f64) -> Pose {
        let j = self.figures[index].joints(t);
        Pose { joints: std::array::from_fn::<_, { Joint::COUNT }, _>(|k| self.script.place.field(j[k])) }
    }
    fn ball(&self, t: f64) -> Option<BallPose> {
        let (p, axis, spin) = self.ball_in_play(t);
        let axis: Vector3<Field> = self.script.place.field_vector(axis);
        Some(BallPose {
            centre: self.script.place.field(p),
            axis: axis.unit().unwrap_or(Vector3::new(1.0, 0.0, 0.0)),
            spin,
        })
    }
    fn span(&self) -> (f64, f64) {
        self.span
    }
    fn operator_aim(&self, t: f64) -> (Point3<Field>, f64) {
        self.aim_from(operator::PRESS_BOX, t)
    }
    fn aim_from(&self, centre: Point3<Field>, t: f64) -> (Point3<Field>, f64) {
        operator::aim(self, centre, t)
    }
}
