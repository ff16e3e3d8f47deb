//! A season of a few games of one passer, each against other visitors.

use super::teams::{self, Team};

/// Games of a season.
pub const GAMES: usize = 3;

/// Seed of a season's game, from 0; the first game's is the season's.
pub fn game_seed(season: u64, game: usize) -> u64 {
    season.wrapping_add(1009 * game as u64)
}

/// The visitors of a season's game, from 0.
pub fn visitors(game: usize) -> Team {
    match game {
        0 => teams::away(),
        1 => teams::second_visitors(),
        _ => teams::third_visitors(),
    }
}
