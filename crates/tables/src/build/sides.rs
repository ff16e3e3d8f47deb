//! Which side has the ball, which way it goes, and who throws it.

use super::bodies::Body;
use super::{Notes, Whole};
use crate::infer::{self, Path, at};
use crate::rows::About;
use crate::situation::Said;
use crate::words;
use field::Direction;
use play::{Severity, Unit};
use std::collections::{BTreeMap, HashMap};

/// A passer is on average nearer to the ball than this until he throws, yd.
const HOLDS_YD: f64 = 2.5;

/// Word of the offense's team, and which way it goes.
pub(super) fn sides(
    ball: &Path,
    bodies: &BTreeMap<u32, Body>,
    declared: Option<Direction>,
    said: Option<&Said>,
    whole: &Whole<'_>,
    notes: &mut Notes,
) -> Result<(u32, Direction), String> {
    let mut teams: BTreeMap<u32, Vec<[f64; 3]>> = BTreeMap::new();
    for b in bodies.values() {
        if let (Some(team), Some(s)) = (b.team, at(&b.path, 0.0, 0.3)) {
            teams.entry(team).or_default().push(s);
        }
    }
    while teams.len() > 2 {
        let fewest = *teams.iter().min_by_key(|t| t.1.len()).expect("more than two teams").0;
        let text = format!("“{}” is a third side and is left out", whole.words.word(fewest));
        notes.add(Severity::Weak, "third-side", text);
        teams.remove(&fewest);
    }
    if teams.len() < 2 {
        return Err(format!("it has {} sides at the snap, not 2", teams.len()));
    }
    let named = teams.keys().copied().find(|t| {
        let word = whole.words.word(*t);
        whole.mapping.sides.get(word) == Some(&Unit::Offense)
            || said.and_then(|s| s.offense.as_deref()).is_some_and(|o| o.eq_ignore_ascii_case(word))
    });
    let seen = infer::possession(ball, &teams, declared);
    match (named, seen) {
        (Some(team), Some((by_motion, direction))) => {
            if team != by_motion {
                let text = "the ball goes back to the other side than the one that the table names";
                notes.add(Severity::Weak, "possession-doubtful", text);
                let direction = declared.ok_or("which way the offense goes is not told")?;
                return Ok((team, direction));
            }
            Ok((team, agreed(direction, declared, notes)))
        }
        (None, Some((team, direction))) => Ok((team, agreed(direction, declared, notes))),
        (Some(team), None) => Ok((team, declared.ok_or("which way the offense goes is not told")?)),
        (None, None) => Err("neither words nor motion say which side has the ball".into()),
    }
}

fn agreed(seen: Direction, declared: Option<Direction>, notes: &mut Notes) -> Direction {
    if declared.is_some_and(|d| d != seen) {
        let text = "the table names the other direction than the one the sides stand in; the latter is taken";
        notes.add(Severity::Weak, "direction-contradicted", text);
    }
    seen
}

pub(super) fn passer(
    ball: &Path,
    bodies: &BTreeMap<u32, Body>,
    about: &HashMap<u32, About>,
    offense: u32,
    until: f64,
    notes: &mut Notes,
) -> Result<u32, String> {
    let men: BTreeMap<u32, &Path> =
        bodies.iter().filter(|(_, b)| b.team == Some(offense)).map(|(k, b)| (*k, &b.path)).collect();
    let by_ball = infer::holder(ball, &men, until).filter(|h| h.1 < HOLDS_YD).map(|h| h.0);
    let called = |k: &u32| about.get(k).and_then(|a| a.position.as_deref()).is_some_and(words::is_passer);
    let by_word: Vec<u32> = men.keys().copied().filter(called).collect();
    match (by_word[..].first(), by_ball) {
        (Some(word), Some(ball)) if *word != ball && by_word.len() == 1 => {
            notes.add(
                Severity::Weak,
                "other-passer",
                "another man than the one called the passer has the ball",
            );
            Ok(ball)
        }
        (_, Some(ball)) => Ok(ball),
        (Some(word), None) => Ok(*word),
        (None, None) => Err("nobody of the offense has the ball after the snap".into()),
    }
}
