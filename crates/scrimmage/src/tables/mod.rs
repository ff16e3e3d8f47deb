//! Invented games as tables: positions as worn sensors would give them ten times a second, and a row for each play.
//!
//! [`Style::plain`] is one tidy table; [`Style::wild`] is one of the many ways in which exports of such positions come:
//! other headings, ids, clocks, units, angles and words, rows in any order, plays that are no passes, and faults of every
//! kind. What is true of the plays stays apart, with what was spoilt.

mod faults;
mod others;
mod rows;
mod style;
mod text;

pub use faults::{Fault, Spoilt};
pub use style::{Angle, Clock, Events, Ids, Order, Speed, Style, Teams};

use crate::sim::game::GameScript;
use crate::sim::staged::StagedPlay;
use crate::sim::teams;
use crate::truth::{self, PlayTruth};
use rayon::prelude::*;
use serde::Serialize;

/// Most plays of a season that is one game.
pub const ONE_GAME: usize = 40;
/// Plays a game of a longer one.
const PLAYS_A_GAME: usize = 25;

/// A play of a season, with what is true of it.
pub struct Listed {
    /// From 1.
    pub game: u32,
    /// How the table numbers it within its game.
    pub number: u32,
    /// How it went.
    pub stage: StagedPlay,
    /// What is true of it.
    pub truth: PlayTruth,
}

/// A written season.
pub struct Written {
    /// The table of positions.
    pub positions: String,
    /// The table of plays.
    pub plays: String,
    /// Keys of the pass plays as a reader would join them: the game's cell, if there is one, a space, and the play's.
    pub keys: Vec<String>,
    /// What was spoilt.
    pub spoilt: Vec<Spoilt>,
    /// Keys of what is in the table and is no pass.
    pub others: Vec<String>,
}

/// `plays` pass plays of invented games by `seed`: one game when that is enough, else as many as it takes.
pub fn season(seed: u64, plays: usize, style: &Style) -> Vec<Listed> {
    let (games, each) =
        if plays <= ONE_GAME { (1, plays) } else { (plays.div_ceil(PLAYS_A_GAME), PLAYS_A_GAME) };
    let mut out: Vec<Listed> = (0..games as u32)
        .into_par_iter()
        .flat_map_iter(|k| {
            // Each game is the first of a season of its own: other pictures, other faults.
            let game = GameScript::with_plays(seed.wrapping_add(7919 * u64::from(k)), each);
            let kits = teams::kits(&game.teams[0], &game.teams[1]);
            game.plays
                .iter()
                .map(|p| {
                    let stage = StagedPlay::new(&p.script, &kits);
                    let truth = truth::of_play(p, &stage, Vec::new());
                    Listed { game: k + 1, number: style.numbered(p.number), stage, truth }
                })
                .collect::<Vec<_>>()
        })
        .collect();
    out.truncate(plays);
    out
}

/// The plays as tables in a style.
pub fn write(plays: &[Listed], style: &Style, seed: u64) -> Written {
    text::write(plays, style, seed)
}

/// What is true of a listed play, apart from its tracks.
#[derive(Serialize)]
pub struct PlayFacts<'a> {
    /// The reader's key.
    pub key: &'a str,
    /// Labels.
    pub labels: &'a truth::Labels,
    /// Instants.
    pub moments: &'a truth::Moments,
    /// Result.
    pub result: crate::sim::world::Outcome,
    /// What was spoilt in its rows.
    pub spoilt: Vec<Fault>,
}

/// Facts of all plays, in order.
pub fn facts<'a>(plays: &'a [Listed], written: &'a Written) -> Vec<PlayFacts<'a>> {
    plays
        .iter()
        .zip(&written.keys)
        .map(|(p, key)| PlayFacts {
            key,
            labels: &p.truth.labels,
            moments: &p.truth.moments,
            result: p.truth.result,
            spoilt: written.spoilt.iter().filter(|s| &s.key == key).map(|s| s.fault).collect(),
        })
        .collect()
}
