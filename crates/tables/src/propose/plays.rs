//! The table of plays.

use super::look::look;
use super::{ColumnSeen, shown};
use crate::headings::{Use, fits, words as parts};
use crate::mapping::PlayColumns;
use crate::sheet::Sheet;
use crate::{TableError, words};
use play::{Finding, Severity};

/// Different words that a column of kinds may hold.
const KINDS: usize = 40;

/// How to read it; `None` when it cannot be joined to the positions by `keys`.
pub(super) fn propose_plays(
    bytes: &[u8],
    keys: &[String],
    findings: &mut Vec<Finding>,
) -> Result<(Option<PlayColumns>, Vec<ColumnSeen>), TableError> {
    let sheet = Sheet::open(bytes)?;
    let (seen, _) = look(&sheet)?;
    let best = |what: Use| {
        let fit = |k: usize| fits(&sheet.headings()[k], what);
        (0..seen.len())
            .filter(|&k| fit(k) > 0.0)
            .max_by(|&a, &b| fit(a).total_cmp(&fit(b)).then(b.cmp(&a)))
            .map(|k| sheet.headings()[k].clone())
    };
    // The same headings name a play in both tables, as a rule.
    let same = keys.iter().filter(|k| sheet.headings().contains(k)).count();
    let play: Vec<String> = if same == keys.len() {
        keys.to_vec()
    } else {
        [best(Use::Game), best(Use::Play)].into_iter().flatten().collect()
    };
    let columns = shown(&sheet, &seen);
    if play.len() != keys.len() {
        let text =
            format!("the table of plays has no columns to match {}; it is not used", keys.join(" and "));
        findings.push(Finding::new(Severity::Missing, "plays-unmatched", text));
        return Ok((None, columns));
    }
    // Of columns that may hold the result the one whose words mean results.
    let meaning = |k: usize| {
        let s = &seen[k];
        let known = s.words.iter().filter(|w| words::result(w).is_some()).count();
        (!s.words.is_empty() && known * 2 > s.words.len() && s.words.len() < 20).then_some(known)
    };
    let result = (0..seen.len())
        .filter(|&k| fits(&sheet.headings()[k], Use::Result) > 0.0)
        .filter_map(|k| Some((k, meaning(k)?)))
        .max_by_key(|r| r.1)
        .map(|r| r.0);
    let results = result
        .map(|k| seen[k].words.iter().filter_map(|w| Some((w.clone(), words::result(w)?))).collect())
        .unwrap_or_default();
    // Kinds of play are words, of which some are known to be no pass.
    let kind = (0..seen.len())
        .filter(|&k| fits(&sheet.headings()[k], Use::Kind) > 0.0 && !seen[k].numeric())
        .filter(|&k| seen[k].words.len() < KINDS && seen[k].words.iter().any(|w| !words::passes(w)))
        .max_by(|&a, &b| {
            fits(&sheet.headings()[a], Use::Kind).total_cmp(&fits(&sheet.headings()[b], Use::Kind))
        });
    let kinds = kind
        .map(|k| seen[k].words.iter().map(|w| (w.clone(), words::passes(w))).collect())
        .unwrap_or_default();
    let points = |who: &[&str]| {
        let is = |h: &&String| {
            let words = parts(h);
            let has = |of: &[&str]| words.iter().any(|w| of.contains(&w.as_str()));
            has(who) && has(&["score", "points", "pts"])
        };
        sheet.headings().iter().find(is).cloned()
    };
    let gain = best(Use::Gain).filter(|h| result.is_none_or(|k| sheet.headings()[k] != *h));
    Ok((
        Some(PlayColumns {
            play,
            quarter: best(Use::Quarter),
            clock: best(Use::Clock),
            down: best(Use::Down),
            distance: best(Use::Distance),
            offense: best(Use::Offense),
            gain,
            result: result.map(|k| sheet.headings()[k].clone()),
            results,
            kind: kind.map(|k| sheet.headings()[k].clone()),
            kinds,
            home_points: points(&["home"]),
            away_points: points(&["away", "visitor", "visitors", "visiting", "guest"]),
        }),
        columns,
    ))
}
