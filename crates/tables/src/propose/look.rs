//! What a table's columns hold, and the rows of its first plays.

use crate::TableError;
use crate::rows::key_of;
use crate::sheet::{Sheet, content, number};
use csv::StringRecord;
use std::collections::{BTreeSet, HashMap, HashSet};

/// Cells of a column that are remembered for showing.
const SHOWN: usize = 4;
/// Different words of a column that are remembered.
pub(super) const REMEMBERED: usize = 400;
/// Most rows looked at.
pub(super) const LOOKED_AT: u64 = 400_000;
/// Plays whose rows are kept, and most rows of them.
const PLAYS: usize = 12;
const ROWS: usize = 60_000;

/// A column as it looks.
pub(super) struct Seen {
    pub first: Vec<String>,
    pub words: BTreeSet<String>,
    pub numbers: Vec<f64>,
    pub filled: u64,
    pub whole: bool,
}

impl Seen {
    pub fn numeric(&self) -> bool {
        self.filled > 0 && self.numbers.len() as u64 * 10 >= self.filled * 9
    }
    /// Where all numbers but one in 250 lie.
    pub fn most(&self) -> (f64, f64) {
        let mut n = self.numbers.clone();
        n.sort_by(f64::total_cmp);
        let beyond = n.len() / 500;
        match (n.get(beyond), n.get(n.len().saturating_sub(1 + beyond))) {
            (Some(low), Some(high)) => (*low, *high),
            _ => (0.0, 0.0),
        }
    }
    /// Smallest and largest number, unless few numbers lie far beyond all others: then without these.
    pub fn range(&self) -> (f64, f64) {
        let mut n = self.numbers.clone();
        n.sort_by(f64::total_cmp);
        let (Some(low), Some(high)) = (n.first(), n.last()) else { return (0.0, 0.0) };
        let (inner, outer) = self.most();
        let margin = 0.15 * (outer - inner);
        (if inner - low > margin { inner } else { *low }, if high - outer > margin { outer } else { *high })
    }
}

/// Looks at every column.
pub(super) fn look(sheet: &Sheet<'_>) -> Result<(Vec<Seen>, u64), TableError> {
    let empty =
        || Seen { first: Vec::new(), words: BTreeSet::new(), numbers: Vec::new(), filled: 0, whole: true };
    let mut seen: Vec<Seen> = sheet.headings().iter().map(|_| empty()).collect();
    let mut rows = 0;
    sheet.rows(|_, r| {
        rows += 1;
        for (k, s) in seen.iter_mut().enumerate() {
            let Some(text) = content(r, k) else { continue };
            s.filled += 1;
            if s.first.len() < SHOWN && !s.first.iter().any(|f| f == text) {
                s.first.push(text.to_owned());
            }
            if s.words.len() < REMEMBERED && !s.words.contains(text) {
                s.words.insert(text.to_owned());
            }
            if let Some(n) = number(text) {
                s.numbers.push(n);
                s.whole &= n.fract() == 0.0;
            }
        }
        rows < LOOKED_AT
    })?;
    if rows == 0 { Err(TableError::Empty) } else { Ok((seen, rows)) }
}

/// All rows of the first plays, wherever in the table they stand.
pub(super) fn first_plays(
    sheet: &Sheet<'_>,
    keys: &[usize],
) -> Result<Vec<(String, StringRecord)>, TableError> {
    let mut known: HashSet<String> = HashSet::new();
    let mut out = Vec::new();
    let mut key = String::new();
    let mut rows = 0;
    sheet.rows(|_, r| {
        rows += 1;
        key_of(r, keys, &mut key);
        if known.len() < PLAYS && !known.contains(&key) {
            known.insert(key.clone());
        }
        if known.contains(&key) {
            out.push((key.clone(), r.clone()));
        }
        rows < LOOKED_AT && out.len() < ROWS
    })?;
    Ok(out)
}

/// How many different words each column holds in one instant of one play, on average: a person's column holds one for each
/// man.
pub(super) fn people(rows: &[(String, StringRecord)], columns: usize, time: usize) -> HashMap<usize, f64> {
    let mut words: HashMap<(&str, &str), Vec<HashSet<&str>>> = HashMap::new();
    for (key, r) in rows {
        let at = (key.as_str(), r.get(time).unwrap_or(""));
        let sets = words.entry(at).or_insert_with(|| vec![HashSet::new(); columns]);
        for (k, set) in sets.iter_mut().enumerate() {
            if let Some(w) = content(r, k) {
                set.insert(w);
            }
        }
    }
    // Instants cut off by the end of what was looked at would count too few.
    let full = words.values().map(|s| s.iter().map(HashSet::len).max().unwrap_or(0)).max().unwrap_or(0);
    let whole: Vec<_> =
        words.values().filter(|s| s.iter().map(HashSet::len).max().unwrap_or(0) * 2 > full).collect();
    (0..columns)
        .map(|k| (k, whole.iter().map(|s| s[k].len() as f64).sum::<f64>() / whole.len().max(1) as f64))
        .collect()
}
