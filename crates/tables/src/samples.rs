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
    let mut untold: Vec<&str> = Vec::new();
    for play in &raw.plays {
        let says = said.get(&play.key);
        if !said.is_empty() && says.is_none() {
            untold.push(&play.key);
        }
        match build(play, &whole, says) {
            Ok(p) => out.push(p),
            Err(why) => left.entry(why).or_default().push(&play.key),
        }
    }
    let mut findings = Vec::new();
    for (why, plays) in &left {
        let text = format!("{}: {why}; left out", named(plays));
        findings.push(Finding::new(Severity::Missing, "play-left-out", text));
    }
    if !untold.is_empty() {
        let text = format!("{}: no row in the table of plays", named(&untold));
        findings.push(Finding::new(Severity::Weak, "play-untold", text));
    }
    let mut by_code: BTreeMap<&str, Vec<(&str, &Finding)>> = BTreeMap::new();
    for p in &out {
        for f in &p.findings {
            by_code.entry(&f.code).or_default().push((&p.key, f));
        }
    }
    for (code, each) in by_code {
        let (key, first) = each[0];
        let mut others: Vec<&str> = each.iter().map(|e| e.0).filter(|k| *k != key).collect();
        others.dedup();
        let also =
            if others.is_empty() { String::new() } else { format!("; the like in {}", named(&others)) };
        let text = format!("play {key}: {}{also}", first.message);
        findings.push(Finding::new(first.severity, code, text));
    }
    findings.sort_by_key(|f| std::cmp::Reverse(f.severity));
    if out.is_empty() {
        let why: Vec<String> = left.into_keys().collect();
        return Err(TableError::NoPlay(why.join("; ")));
    }
    Ok((out, findings))
}

/// Plays by name, the first few of many.
fn named(plays: &[&str]) -> String {
    let few = plays[..plays.len().min(3)].join(", ");
    match plays.len() {
        1 => format!("play {few}"),
        n if n > 3 => format!("{n} plays ({few} and {} more)", n - 3),
        _ => format!("plays {few}"),
    }
}
