//! The state of a play while it is simulated.

use super::coverage::Task;
use super::dice::Dice;
use super::flight::Flight;
use super::formation::Who;
use super::gait::Feet;
use super::mover::{Ability, Body};
use super::passer::Passer;
use super::plane::{P2, P3};
use super::pose::Cue;
use super::reading::Chance;
use super::route::RoutePath;
use super::script::Script;
use super::track::{DT, Track};

/// First instant simulated, s from the snap.
pub const START: f64 = -2.4;

/// What a man is doing.
#[derive(Clone, Debug)]
pub enum Job {
    /// The passer.
    Pass,
    /// Runs a route.
    Run {
        /// Path.
        path: RoutePath,
        /// Corner he runs to.
        leg: usize,
    },
    /// Blocks the man with this index, if any.
    Block(Option<usize>),
    /// Defends.
    Defend(Task),
}

/// Somebody in the play.
#[derive(Clone, Debug)]
pub struct Man {
    /// Unique.
    pub id: String,
    /// Receiver, if eligible.
    pub who: Option<Who>,
    /// Stature, yd.
    pub stature: f64,
    /// What he can do.
    pub ability: Ability,
    /// Where he is.
    pub body: Body,
    /// Job.
    pub job: Job,
    /// Blocker who has him (rushers).
    pub blocked_by: Option<usize>,
    /// When he beats his blocker, s.
    pub wins_at: f64,
    /// Posture so far.
    pub cues: Vec<Cue>,
    /// Feet before the snap.
    pub stance: Feet,
    /// Distance between standing feet, yd.
    pub width: f64,
    /// Where he moves to before the snap, if he moves.
    pub motion: Option<P2>,
    /// Jump, if any.
    pub jump: Option<(f64, f64)>,
    /// Where he has been.
    pub track: Track,
}

impl Man {
    /// Adds a posture.
    pub fn cue(&mut self, cue: Cue) {
        self.cues.push(cue);
    }
    /// Where he was `delay` s ago.
    pub fn seen(&self, t: f64, delay: f64) -> Body {
        self.track.at(t - delay)
    }
}

/// Who or what has the ball from an instant on.
#[derive(Clone, Debug)]
pub enum Ball {
    /// On the grass.
    Ground(P3),
    /// On its way back from the center, from a place to the passer's hands by `until`.
    Snap {
        /// From.
        from: P3,
        /// Arrives, s.
        until: f64,
    },
    /// In somebody's hands.
    Held(usize),
    /// In the air.
    Air(Flight),
}

/// What the play has come to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Phase {
    /// Before the snap.
    Before,
    /// The passer has it or is about to.
    Pocket,
    /// Thrown.
    Air,
    /// Somebody runs with it.
    Carry(usize),
    /// Over.
    Dead,
}

/// The play.
pub struct World {
    /// What was called.
    pub script: Script,
    /// Now, s from the snap.
    pub t: f64,
    /// Offense 0..11 in the order of `formation::line_up`, defense 11..22.
    pub men: Vec<Man>,
    /// Passer's feet and mind.
    pub passer: Passer,
    /// Ball by time.
    pub ball: Vec<(f64, Ball)>,
    /// State.
    pub phase: Phase,
    /// When the state last changed, s.
    pub since: f64,
    /// Sidelines (left, right), play frame, yd.
    pub edges: (f64, f64),
    /// The pass in the air or come down.
    pub flight: Option<Pass>,
    /// How it ended, once it has.
    pub ending: Option<Ending>,
    /// The throw that the plan, read without fault, would first have made, and when the ball would have left, s.
    pub answer: Option<(Chance, f64)>,
    /// When a rusher first reached the passer, s.
    pub contact: Option<f64>,
    /// Since when somebody has hold of the carrier, s.
    pub held_since: Option<f64>,
    /// Chance.
    pub dice: Dice,
}

/// A pass.
#[derive(Clone, Debug)]
pub struct Pass {
    /// When the ball left, s.
    pub release: f64,
    /// Its way from there.
    pub path: Flight,
    /// For whom; nobody when thrown away.
    pub target: Option<usize>,
    /// The throw that was meant.
    pub meant: Option<Chance>,
    /// When ball and receiver are to meet, s, as it turned out.
    pub meets: f64,
    /// Where over the ground.
    pub meet_at: P2,
    /// How high, yd.
    pub meet_z: f64,
    /// Error put on direction (left positive) and launch, deg, and on speed, share.
    pub error: [f64; 3],
    /// Nearest distance at which each man's try was last looked at, yd (defenders try once).
    pub tried: Vec<usize>,
}

/// How a play ended.
#[derive(Clone, Debug, PartialEq)]
pub struct Ending {
    /// What.
    pub result: Outcome,
    /// How it missed or was played; empty when there is nothing to say.
    pub miss: &'static str,
    /// When the ball arrived (hand or ground), s.
    pub arrival: Option<f64>,
    /// Where.
    pub arrival_at: Option<P3>,
    /// Who caught it.
    pub by: Option<usize>,
}

/// Result of a pass play.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the trade's words")]
pub enum Outcome {
    Complete,
    Incomplete,
    Intercepted,
    Sacked,
    Scrambled,
    ThrownAway,
    Batted,
}

/// Index of the passer.
pub const PASSER: usize = 5;

impl World {
    /// Enters a state.
    pub fn enter(&mut self, phase: Phase) {
        self.phase = phase;
        self.since = self.t;
    }
    /// Index of a receiver.
    pub fn index_of(&self, who: Who) -> Option<usize> {
        self.men.iter().position(|m| m.who == Some(who))
    }
    /// Where a thrown ball is going over the ground, or where it lies.
    pub fn passer_ball_goal(&self) -> P2 {
        match (&self.ending, &self.flight) {
            (Some(Ending { arrival_at: Some(p), .. }), _) => P2::new(p.x, p.y),
            (_, Some(f)) => f.meet_at,
            _ => self.men[PASSER].body.at,
        }
    }
    /// Whether a man is on defense.
    pub fn defends(i: usize) -> bool {
        i >= 11
    }
    /// The defender nearest to a place, and his distance, yd.
    pub fn nearest_defender(&self, at: P2) -> (usize, f64) {
        (11..22)
            .map(|i| (i, self.men[i].body.at.distance(at)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .expect("eleven defenders")
    }
    /// Moves everyone one step toward what they want, keeps bodies apart, and records.
    pub fn advance(&mut self, wanted: &[(super::plane::V2, f64)]) {
        for (i, m) in self.men.iter_mut().enumerate() {
            if i == PASSER && !self.passer.free {
                continue;
            }
            let (v, facing) = wanted[i];
            m.body.step(v, facing, &m.ability, DT);
        }
        self.keep_apart();
        for m in &mut self.men {
            m.track.samples.push(m.body);
        }
        self.t += DT;
    }

    /// Bodies that touch lose the speed at which they close, and are eased apart.
    fn keep_apart(&mut self) {
        let room = 0.72;
        for i in 0..self.men.len() {
            for j in 0..i {
                let d = self.men[i].body.at - self.men[j].body.at;
                let gap = d.norm();
                if gap >= room {
                    continue;
                }
                let u = d.unit().unwrap_or(super::plane::V2::new(1.0, 0.0));
                let closing = (self.men[i].body.velocity - self.men[j].body.velocity).dot(u);
                let part = ((room - gap) * 5.0).min(2.5);
                let impulse = (part - closing).max(0.0);
                // The passer's body follows his feet; others give way to him.
                let (wi, wj) = match (i == PASSER && !self.passer.free, j == PASSER && !self.passer.free) {
                    (true, _) => (0.0, 1.0),
                    (_, true) => (1.0, 0.0),
                    _ => (0.5, 0.5),
                };
                // Contact lasts a few hundredths of a second.
                let share = 0.22;
                self.men[i].body.velocity = self.men[i].body.velocity + u * (impulse * wi * share);
                self.men[j].body.velocity = self.men[j].body.velocity - u * (impulse * wj * share);
            }
        }
    }
}
