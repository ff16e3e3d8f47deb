//! A whole table to plays.

use crate::build::{TablePlay, Whole, build};
use crate::mapping::Mapping;
use crate::{TableError, rows, situation};
use field::RuleBook;
use play::{Finding, Severity};
use std::collections::BTreeMap;

/// Reads the plays of a table of positions, and of a second table with one row a play where there is one. Plays that
/// cannot be used are named in the findings with the reason; so is what is weak, for all plays together.
///
/// # Errors
/// When a column is missing or cannot be read, the mapping holds a value that cannot be, or no play can be used.
pub fn read_plays(
    positions: &[u8],
    plays: Option<&[u8]>,
    mapping: &Mapping,
    book: RuleBook,
    source: &str,
) -> Result<(Vec<TablePlay>, Vec<Finding>), TableError> {
    mapping.check()?;
    let raw = rows::read(positions, mapping)?;
    let said = match (plays, &mapping.plays) {
        (Some(bytes), Some(columns)) => situation::read(bytes, columns)?,
        _ => Default::default(),
    };
    let whole = Whole { mapping, words: &raw.words, book, source };
    let mut out = Vec::new();
    let mut left: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    let mut untold = 0;
    for play in &raw.plays {
        let says = said.get(&play.key);
        untold += usize::from(!said.is_empty() && says.is_none());
        match build(play, &whole, says) {
            Ok(p) => out.push(p),
            Err(why) => left.entry(why).or_default().push(&play.key),
        }
    }
    let mut findings = Vec::new();
    for (why, plays) in &left {
        let few: Vec<&str> = plays.iter().copied().take(3).collect();
        let more = if plays.len() > few.len() { " and others" } else { "" };
        let text =
            format!("{} plays are left out because of each {why} ({}{more})", plays.len(), few.join(", "));
        findings.push(Finding::new(Severity::Missing, "play-left-out", text));
    }
    if untold > 0 {
        let text = format!("{untold} plays have no row in the table of plays");
        findings.push(Finding::new(Severity::Weak, "play-untold", text));
    }
    let mut counts: BTreeMap<&str, (usize, &Finding)> = BTreeMap::new();
    for f in out.iter().flat_map(|p| &p.findings) {
        counts.entry(&f.code).or_insert((0, f)).0 += 1;
    }
    for (code, (n, first)) in counts {
        let text = if n == 1 { first.message.clone() } else { format!("{} ({n} times)", first.message) };
        findings.push(Finding::new(first.severity, code, text));
    }
    if out.is_empty() {
        let why: Vec<String> = left.into_keys().collect();
        return Err(TableError::NoPlay(why.join("; ")));
    }
    Ok((out, findings))
}
