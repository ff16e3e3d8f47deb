//! Everything that is decided about a play before it is played.

use super::concept::{Concept, ReadPlan};
use super::coverage::Call;
use super::flight::Air;
use super::formation::Set;
use super::plane::Place;
use serde::{Deserialize, Serialize};

/// What the simulated passer gets wrong in his reading, if anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fault {
    /// Reads by his plan.
    None,
    /// Sees it, waits.
    Late,
    /// Throws to somebody else than the plan's answer.
    WrongMan,
    /// Throws to the first look although it is covered.
    Forced,
    /// Has no answer to the rush.
    NoAnswer,
}

/// How the blockers are told off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Protection {
    /// Five to seven.
    pub blockers: u8,
    /// Somebody is let through.
    pub bust: bool,
}

impl Protection {
    /// The trade's word.
    pub fn word(&self) -> &'static str {
        match self.blockers {
            5 => "five-man slide",
            6 => "six-man half-slide",
            _ => "seven-man max",
        }
    }
}

/// What a passer can do; his own, the same all game.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Arm {
    /// Hardest throw, mph.
    pub top_mph: f64,
    /// Random error of direction, to one side, one standard deviation, deg.
    pub side_sd_deg: f64,
    /// Random error of launch angle, one standard deviation, deg.
    pub lift_sd_deg: f64,
    /// How unsteady his feet are: times the usual spread of their line.
    pub feet_spread: f64,
    /// How unsteady his weight is at the release, one standard deviation, share of the base.
    pub weight_sd: f64,
    /// Habit: by how many degrees each degree of closed feet pulls the ball behind a running receiver.
    pub pull: f64,
    /// Habit: by how much the ball rises for weight left behind, all of the base, deg.
    pub rise_deg: f64,
}

/// A play as called.
#[derive(Clone, Debug, PartialEq)]
pub struct Script {
    /// Seed of all chance in it.
    pub seed: u64,
    /// Where.
    pub place: Place,
    /// Air and ball.
    pub air: Air,
    /// Set.
    pub set: Set,
    /// +1: the strong side is the offense's left.
    pub strong: f64,
    /// Passer five yards back.
    pub gun: bool,
    /// A receiver moves across before the snap.
    pub motion: bool,
    /// Concept.
    pub concept: Concept,
    /// The plan the passer follows.
    pub plan: ReadPlan,
    /// Reading fault seeded into him.
    pub fault: Fault,
    /// Protection.
    pub protection: Protection,
    /// Defense.
    pub call: Call,
    /// The passer's arm.
    pub arm: Arm,
    /// How untidy his feet are on this play, 0 tidy to 1.
    pub untidy: f64,
}

impl Script {
    /// One play alone, at midfield on a college field: `concept` against `coverage`, everything else by seed.
    pub fn example(concept: Concept, coverage: super::coverage::Coverage, seed: u64) -> Self {
        let mut dice = super::dice::Dice::new(seed, 0);
        let scheme = concept.scheme();
        let book = field::RuleBook::College;
        let y = *dice.pick(&[book.hash_from_sideline(), 0.5 * book.width(), book.far_hash()]);
        let rushers = *dice.pick(&[4, 4, 5]);
        Self {
            seed,
            place: Place {
                spot: (dice.range(30.0, 60.0).round(), y),
                direction: if dice.chance(0.5) { field::Direction::Up } else { field::Direction::Down },
                book,
            },
            air: Air { drag: 0.09, density: 1.225 },
            set: *dice.pick(&scheme.sets),
            strong: if dice.chance(0.5) { 1.0 } else { -1.0 },
            gun: dice.chance(0.75),
            motion: false,
            concept,
            plan: scheme.plans[0].clone(),
            fault: Fault::None,
            protection: Protection { blockers: 5, bust: false },
            call: Call { coverage, shown: coverage, rushers, press: dice.chance(0.5) },
            arm: Arm {
                top_mph: 57.0,
                side_sd_deg: 1.5,
                lift_sd_deg: 1.1,
                feet_spread: 1.0,
                weight_sd: 0.06,
                pull: 0.16,
                rise_deg: 5.0,
            },
            untidy: 0.3,
        }
    }
}
