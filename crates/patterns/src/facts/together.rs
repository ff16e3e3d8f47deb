//! Fields that take a game's other plays to tell.

use super::line::{Cell, Line};
use std::collections::BTreeMap;

/// Brings lines in the order of games and plays and says which half of its game's dropbacks each belongs to.
pub fn together(mut lines: Vec<Line>) -> Vec<Line> {
    // Ids count up with a number at their end: the shorter is the earlier.
    lines.sort_by(|a, b| (a.game.0.len(), &a.game, a.number).cmp(&(b.game.0.len(), &b.game, b.number)));
    let mut games: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (k, l) in lines.iter().enumerate() {
        games.entry(l.game.0.clone()).or_default().push(k);
    }
    for plays in games.values() {
        for (at, &k) in plays.iter().enumerate() {
            let early = 2 * at < plays.len();
            let word = if early { "the earlier ones" } else { "the later ones" };
            lines[k].put("early-late", Cell::Word(word.to_owned()));
        }
    }
    lines
}
