//! A mapping proposed from a table's headings and cells, to be looked at and corrected before anything is imported.

use crate::headings::{Use, fits};
use crate::mapping::{Ball, Columns, Event, Mapping, Origin, PlayColumns, Time, Unit};
use crate::rows::instant;
use crate::sheet::{Sheet, content, number};
use crate::{TableError, words};
use field::RuleBook;
use play::{Finding, Severity};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

/// A column as it looks.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TableColumn))]
pub struct ColumnSeen {
    /// Its heading.
    pub heading: String,
    /// Its first cells that hold something.
    pub first: Vec<String>,
}

/// A mapping to confirm.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TableProposal))]
pub struct Proposal {
    /// The mapping.
    pub mapping: Mapping,
    /// Columns of the table of positions.
    pub columns: Vec<ColumnSeen>,
    /// Columns of the table of plays.
    pub play_columns: Vec<ColumnSeen>,
    /// What follows from it, and what is guessed.
    pub findings: Vec<Finding>,
}

/// Error assumed of positions worn by players, yd in each direction: about half a foot; common practice, no source.
const WORN_SD_YD: f64 = 0.15;
/// Cells of a column that are remembered for showing.
const SHOWN: usize = 4;
/// Different words of a column that are remembered.
const REMEMBERED: usize = 400;
/// Most rows looked at.
const LOOKED_AT: u64 = 400_000;

#[derive(Default)]
struct Seen {
    first: Vec<String>,
    words: BTreeSet<String>,
    low: f64,
    high: f64,
    numbers: u64,
    filled: u64,
    whole: bool,
}

/// Looks at every column.
fn look(sheet: &Sheet<'_>) -> Result<(Vec<Seen>, u64), TableError> {
    let mut seen: Vec<Seen> = sheet
        .headings()
        .iter()
        .map(|_| Seen { low: f64::INFINITY, high: f64::NEG_INFINITY, whole: true, ..Seen::default() })
        .collect();
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
                s.numbers += 1;
                s.low = s.low.min(n);
                s.high = s.high.max(n);
                s.whole &= n.fract() == 0.0;
            }
        }
        rows < LOOKED_AT
    })?;
    if rows == 0 { Err(TableError::Empty) } else { Ok((seen, rows)) }
}

impl Seen {
    fn numeric(&self) -> bool {
        self.filled > 0 && self.numbers * 10 >= self.filled * 9
    }
}

/// Proposes how to read a table of positions, and a table of plays beside it.
///
/// # Errors
/// When a table cannot be read or holds no column for time, place or person.
pub fn propose(positions: &[u8], plays: Option<&[u8]>, book: RuleBook) -> Result<Proposal, TableError> {
    let sheet = Sheet::open(positions)?;
    let (seen, _) = look(&sheet)?;
    let mut findings = Vec::new();
    let best = |what: Use, good: &dyn Fn(&Seen) -> bool| -> Option<usize> {
        let fit = |k: usize| fits(&sheet.headings()[k], what);
        (0..seen.len())
            .filter(|&k| fit(k) > 0.0 && good(&seen[k]))
            .max_by(|&a, &b| fit(a).total_cmp(&fit(b)).then(b.cmp(&a)))
    };
    let any = |_: &Seen| true;
    let numbers = |s: &Seen| s.numeric();
    let heading = |k: usize| sheet.headings()[k].clone();
    let need = |found: Option<usize>, what: &'static str| {
        found.ok_or_else(|| TableError::NoColumn {
            wanted: what.to_owned(),
            what,
            have: sheet.headings().join(", "),
        })
    };
    let x = need(best(Use::X, &numbers), "x")?;
    let y = need(best(Use::Y, &numbers), "y")?;
    let clock = best(Use::Time, &|s| {
        s.first.iter().all(|c| instant(c, Time::Clock).is_some()) && !s.first.is_empty()
    });
    let sample = best(Use::Sample, &|s| s.numeric() && s.whole);
    let time = need(clock.or(sample), "time")?;
    let game = best(Use::Game, &any);
    let play = best(Use::Play, &|s| !s.words.is_empty());
    let keys: Vec<usize> = game.into_iter().chain(play).collect();
    let people = people(&sheet, &keys, time)?;
    let person = best(Use::Person, &any)
        .filter(|k| people.get(k).is_some_and(|n| (6.0..60.0).contains(n)))
        .or_else(|| closest_to_a_play(&people, &keys, &[x, y, time]));
    let person = need(person, "person")?;
    let side =
        best(Use::Side, &|s| (2..=REMEMBERED - 1).contains(&s.words.len())).filter(|k| !keys.contains(k));
    let word_column = |s: &Seen| !s.numeric();
    let columns = Columns {
        play: keys.iter().map(|&k| heading(k)).collect(),
        person: heading(person),
        time: heading(time),
        x: heading(x),
        y: heading(y),
        side: side.map(heading),
        position: best(Use::Position, &word_column).map(heading),
        shirt: best(Use::Shirt, &numbers).filter(|k| *k != person && !keys.contains(k)).map(heading),
        name: best(Use::Name, &word_column).filter(|k| Some(*k) != side).map(heading),
        event: best(Use::Event, &word_column).map(heading),
        going: best(Use::Going, &|s| {
            !s.words.is_empty() && s.words.iter().all(|w| words::going(w).is_some())
        })
        .map(heading),
    };
    let at = |h: &Option<String>| h.as_ref().and_then(|h| sheet.headings().iter().position(|k| k == h));
    let ball = ball(
        &sheet,
        &seen,
        person,
        &[at(&columns.side), at(&columns.name), at(&columns.position), Some(person)],
    );
    let words_of = |h: &Option<String>| at(h).map(|k| seen[k].words.clone()).unwrap_or_default();
    let events: BTreeMap<String, Event> =
        words_of(&columns.event).into_iter().map(|w| (w.clone(), words::event(&w))).collect();
    let going =
        words_of(&columns.going).into_iter().filter_map(|w| Some((w.clone(), words::going(&w)?))).collect();
    let sides =
        words_of(&columns.side).into_iter().filter_map(|w| Some((w.clone(), words::side(&w)?))).collect();
    let time = if clock.is_some() { Time::Clock } else { Time::Samples { per_second: 10.0 } };
    if clock.is_none() {
        let text = format!("“{}” counts samples; 10 a second are assumed", columns.time);
        findings.push(Finding::new(Severity::Weak, "rate-assumed", text));
    }
    let (unit, origin) = frame((&seen[x], &seen[y]), named_unit(&heading(x)), book, &mut findings);
    if columns.play.is_empty() {
        let text = "no column names the play; all rows are one play";
        findings.push(Finding::new(Severity::Weak, "one-play", text));
    }
    if columns.side.is_none() {
        findings.push(Finding::new(Severity::Missing, "no-side-column", "no column names the side"));
    }
    if ball.column.is_empty() {
        let text = "no row names the ball; snap, passer and throws cannot be told without it";
        findings.push(Finding::new(Severity::Missing, "no-ball", text));
    }
    if !events.values().any(|e| *e == Event::Snap) {
        let text = "no event names the snap; it is read off the ball's motion";
        findings.push(Finding::new(Severity::Weak, "no-snap-word", text));
    }
    let (plays, play_columns) = match plays {
        Some(bytes) => propose_plays(bytes, &columns.play, &mut findings)?,
        None => (None, Vec::new()),
    };
    let mapping = Mapping {
        columns,
        time,
        unit,
        origin,
        mirrored: false,
        ball,
        sd_yd: WORN_SD_YD,
        events,
        going,
        sides,
        plays,
    };
    Ok(Proposal { mapping, columns: shown(&sheet, &seen), play_columns, findings })
}

fn shown(sheet: &Sheet<'_>, seen: &[Seen]) -> Vec<ColumnSeen> {
    let columns = sheet.headings().iter().zip(seen);
    columns.map(|(h, s)| ColumnSeen { heading: h.clone(), first: s.first.clone() }).collect()
}

/// How many different words each column holds in one instant of one play, on average over the first plays: a person's
/// column holds one for each man.
fn people(sheet: &Sheet<'_>, keys: &[usize], time: usize) -> Result<HashMap<usize, f64>, TableError> {
    let mut words: HashMap<(String, String), Vec<HashSet<String>>> = HashMap::new();
    let n = sheet.headings().len();
    let mut rows = 0;
    sheet.rows(|_, r| {
        let key: Vec<&str> = keys.iter().map(|k| r.get(*k).unwrap_or("")).collect();
        let at = (key.join(" "), r.get(time).unwrap_or("").to_owned());
        let sets = words.entry(at).or_insert_with(|| vec![HashSet::new(); n]);
        for (k, set) in sets.iter_mut().enumerate() {
            if let Some(w) = content(r, k) {
                set.insert(w.to_owned());
            }
        }
        rows += 1;
        rows < 6000
    })?;
    // Instants cut off by the end of what was looked at would count too few.
    let full = words.values().map(|s| s.iter().map(HashSet::len).max().unwrap_or(0)).max().unwrap_or(0);
    let whole: Vec<_> =
        words.values().filter(|s| s.iter().map(HashSet::len).max().unwrap_or(0) * 2 > full).collect();
    Ok((0..n)
        .map(|k| (k, whole.iter().map(|s| s[k].len() as f64).sum::<f64>() / whole.len().max(1) as f64))
        .collect())
}

/// The column whose words are about as many as a play has people.
fn closest_to_a_play(people: &HashMap<usize, f64>, keys: &[usize], not: &[usize]) -> Option<usize> {
    people
        .iter()
        .filter(|(k, n)| !keys.contains(k) && !not.contains(k) && (11.0..=24.0).contains(*n))
        .max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(a.0)))
        .map(|(k, _)| *k)
}

/// The column and word that tell the ball's rows from people's.
fn ball(sheet: &Sheet<'_>, seen: &[Seen], person: usize, likely: &[Option<usize>]) -> Ball {
    for k in likely.iter().flatten().copied().chain(0..seen.len()) {
        if let Some(word) = seen[k].words.iter().find(|w| words::is_ball(w)) {
            return Ball { column: sheet.headings()[k].clone(), word: word.clone() };
        }
    }
    let rows = seen.iter().map(|s| s.filled).max().unwrap_or(0);
    let empty = rows - seen[person].filled;
    // One row in 23 without a person is the ball's.
    if empty * 40 > rows && empty * 12 < rows {
        return Ball { column: sheet.headings()[person].clone(), word: String::new() };
    }
    Ball::default()
}

/// The unit that a heading names behind the letter: "X (m)", "x_yards".
fn named_unit(heading: &str) -> Option<Unit> {
    match crate::headings::plain(heading).strip_prefix('x')? {
        "m" | "metres" | "meters" => Some(Unit::Metres),
        "yd" | "yds" | "yards" => Some(Unit::Yards),
        "ft" | "feet" => Some(Unit::Feet),
        _ => None,
    }
}

/// Unit and origin by how far the places reach.
fn frame(
    (x, y): (&Seen, &Seen),
    named: Option<Unit>,
    book: RuleBook,
    findings: &mut Vec<Finding>,
) -> (Unit, Origin) {
    let whole = book.length() + 2.0 * book.end_zone();
    let wide = (y.high - y.low).max(1.0);
    // The width is nearly filled by any game of plays; people stand some yards off it at most.
    let guessed = [Unit::Yards, Unit::Metres, Unit::Feet]
        .into_iter()
        .min_by(|a, b| {
            let off = |u: &Unit| (wide * u.yards() / book.width()).ln().abs();
            off(a).total_cmp(&off(b))
        })
        .unwrap_or(Unit::Yards);
    let unit = named.unwrap_or(guessed);
    let (low, high) = (x.low * unit.yards(), x.high * unit.yards());
    let origin = if y.low < -5.0 && y.high > 5.0 && low < -15.0 {
        Origin::Middle
    } else if low < -1.5 && high < book.length() + book.end_zone() + 1.5 {
        Origin::GoalLine
    } else {
        Origin::EndLine
    };
    let word = match unit {
        Unit::Yards => "yards",
        Unit::Metres => "metres",
        Unit::Feet => "feet",
    };
    let from = match origin {
        Origin::EndLine => "from the end line",
        Origin::GoalLine => "from the goal line",
        Origin::Middle => "from the middle of the field",
    };
    let text = format!(
        "x runs from {:.1} to {:.1} and y from {:.1} to {:.1}: read as {word} {from}, on a field {whole:.0} yd long with its end zones",
        x.low, x.high, y.low, y.high
    );
    let sure = (wide * unit.yards() / book.width() - 1.0).abs() < 0.15;
    findings.push(Finding::new(if sure { Severity::Note } else { Severity::Weak }, "frame", text));
    (unit, origin)
}

fn propose_plays(
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
        }),
        columns,
    ))
}
