//! Groups' figures drawn toward each other, as far as their few plays ask for it, with the games of a short season told apart.

use super::answer::{Answer, AnswerKind, Ranged};
use crate::LEVEL;
use crate::facts::{Cell, Line, YES};
use play::{GameId, PlayId};
use stats::{Pooled, pool_means, pool_shares};
use std::collections::HashMap;

/// So that the same plays give the same figures.
const SEED: u64 = 20;

/// Fills in the pooled figures of an answer whose plays are split.
pub(super) fn pool(a: &mut Answer, lines: &[Line]) {
    if a.groups.len() < 2 || a.kind == AnswerKind::Dots {
        return;
    }
    let by_id: HashMap<&PlayId, &Line> = lines.iter().map(|l| (&l.play, l)).collect();
    let mut games: Vec<&GameId> = Vec::new();
    // Games split by themselves are the groups; they are no occasions besides.
    if a.by.is_some_and(|b| b.id != "game") {
        for l in a.whole.plays.iter().filter_map(|p| by_id.get(p)) {
            if !games.contains(&&l.game) {
                games.push(&l.game);
            }
        }
        games.sort();
    }
    let occasion = |l: &Line| games.iter().position(|g| **g == l.game).unwrap_or(0);
    let plays = |k: usize| a.groups[k].plays.iter().filter_map(|p| by_id.get(p).copied());
    let occasions = games.len().max(1);
    let word = a.word.as_deref().unwrap_or(YES);
    let pooled = match a.kind {
        AnswerKind::Shares => {
            let counts = (0..a.groups.len()).map(|k| {
                let mut row = vec![(0, 0); occasions];
                for l in plays(k) {
                    let c = &mut row[occasion(l)];
                    let yes = l.word(a.of.id).is_some_and(|w| w.eq_ignore_ascii_case(word));
                    *c = (c.0 + u64::from(yes), c.1 + 1);
                }
                row
            });
            pool_shares(&counts.collect::<Vec<_>>(), LEVEL, SEED)
        }
        _ => {
            let values = (0..a.groups.len()).map(|k| {
                let mut row = vec![Vec::new(); occasions];
                for l in plays(k) {
                    if let Some(Cell::Value(v)) = l.cell(a.of.id) {
                        row[occasion(l)].push(v.value);
                    }
                }
                row
            });
            pool_means(&values.collect::<Vec<_>>(), LEVEL, SEED)
        }
    };
    for (g, p) in a.groups.iter_mut().zip(pooled) {
        let Pooled { value, interval } = p;
        g.pooled = Some(Ranged { value, interval: Some(interval) });
    }
}
