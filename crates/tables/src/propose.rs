//! A mapping proposed from a table's headings and cells, to be looked at and corrected before anything is imported.

mod frame;
mod look;
mod motion;
mod plays;
mod wide;

use crate::headings::{Use, fits};
use crate::mapping::{Ball, Columns, Event, Mapping, Time};
use crate::rows::{instant, key_of};
use crate::sheet::{Sheet, content, number};
use crate::{TableError, words};
use csv::StringRecord;
use field::RuleBook;
use frame::{frame, named_unit};
use look::{LOOKED_AT, REMEMBERED, Seen, first_plays, look};
use play::{Finding, Severity};
use serde::Serialize;
use std::collections::{BTreeMap, HashMap};

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
/// A clock that counts by more than this from sample to sample counts thousandths, and by less than [`HIGHEST`].
const MILLIS: f64 = 20.0;
/// See [`MILLIS`].
const HIGHEST: f64 = 1200.0;

/// Proposes how to read a table of positions, and a table of plays beside it.
///
/// # Errors
/// When a table cannot be read or holds no column for time, place or person.
pub fn propose(positions: &[u8], plays: Option<&[u8]>, book: RuleBook) -> Result<Proposal, TableError> {
    let sheet = Sheet::open(positions)?;
    let (seen, _) = look(&sheet)?;
    let mut findings = Vec::new();
    let wide = wide::people(sheet.headings());
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
    let clock = best(Use::Time, &|s| {
        s.first.iter().all(|c| instant(c, Time::Clock).is_some()) && !s.first.is_empty()
    });
    let sample = best(Use::Sample, &|s| s.numeric() && s.whole);
    let game = best(Use::Game, &any);
    let play = best(Use::Play, &|s| !s.words.is_empty());
    let keys: Vec<usize> = game.into_iter().chain(play).collect();
    let rows = first_plays(&sheet, &keys)?;
    // Places come before the time in what is asked for, so that a table of something else is told so.
    let place = |what: Use, word: &'static str| need(best(what, &numbers), word);
    let (x, y) = if wide.is_empty() { (place(Use::X, "x")?, place(Use::Y, "y")?) } else { (0, 0) };
    let time = need(clock.or(sample), "time")?;
    let form = match clock {
        None => Time::Samples { per_second: 10.0 },
        Some(k) if seen[k].numeric() => match motion::step(&rows, k, Time::Clock) {
            Some(step) if (MILLIS..HIGHEST).contains(&step) => Time::Milliseconds,
            // A clock that counts by ones counts samples.
            Some(step) if seen[k].whole && (step - 1.0).abs() < 1e-6 => Time::Samples { per_second: 10.0 },
            _ => Time::Clock,
        },
        Some(_) => Time::Clock,
    };
    let side =
        best(Use::Side, &|s| (2..=REMEMBERED - 1).contains(&s.words.len())).filter(|k| !keys.contains(k));
    let word_column = |s: &Seen| !s.numeric();
    let mut columns = Columns {
        play: keys.iter().map(|&k| heading(k)).collect(),
        game: game.map(heading),
        time: heading(time),
        event: best(Use::Event, &word_column).map(heading),
        going: best(Use::Going, &|s| {
            !s.words.is_empty() && s.words.iter().all(|w| words::going(w).is_some())
        })
        .map(heading),
        ..Columns::default()
    };
    let at = |h: &Option<String>| h.as_ref().and_then(|h| sheet.headings().iter().position(|k| k == h));
    let mut sd_yd = WORN_SD_YD;
    let (mut motion, unit, origin, ball, side_words);
    if wide.is_empty() {
        let people = look::people(&rows, seen.len(), time);
        let person = best(Use::Person, &any)
            .filter(|k| people.get(k).is_some_and(|n| (6.0..60.0).contains(n)))
            .or_else(|| closest_to_a_play(&people, &keys, &[x, y, time]));
        let person = need(person, "person")?;
        columns = Columns {
            person: heading(person),
            x: heading(x),
            y: heading(y),
            side: side.map(heading),
            position: best(Use::Position, &word_column).map(heading),
            shirt: best(Use::Shirt, &numbers).filter(|k| *k != person && !keys.contains(k)).map(heading),
            name: best(Use::Name, &word_column).filter(|k| Some(*k) != side).map(heading),
            ..columns
        };
        let likely = [at(&columns.side), at(&columns.name), at(&columns.position), Some(person)];
        ball = ball_rows(&sheet, &seen, person, &likely);
        let of = sheet.headings().iter().position(|h| *h == ball.column);
        let is = |r: &StringRecord| {
            of.is_some_and(|k| content(r, k).unwrap_or("").eq_ignore_ascii_case(&ball.word))
        };
        let starts = starts(&sheet, &keys, (time, form), (x, y), is)?;
        let named = named_unit(&heading(x)).or(named_unit(&heading(y)));
        (unit, origin) = frame((&[&seen[x]], &[&seen[y]]), &starts, named, book, &mut findings);
        let of = motion::At { person, time, x, y };
        let told = motion::motion(&rows, sheet.headings(), &seen, &of, form, unit, &mut findings);
        motion = told.motion.map(|(s, c, m)| {
            (columns.speed, columns.course) = (Some(heading(s)), Some(heading(c)));
            m
        });
        if let Some(noise) = told.noise_yd.filter(|n| *n > WORN_SD_YD) {
            sd_yd = (noise.min(1.0) * 100.0).ceil() / 100.0;
            let text = format!(
                "places scatter by {noise:.2} yd from row to row, more than the usual {WORN_SD_YD} yd; {sd_yd} yd is taken as their error"
            );
            findings.push(Finding::new(Severity::Note, "noise", text));
        }
        if let (Time::Clock, Some(step)) = (form, told.step.filter(|s| *s > 0.55)) {
            let text = format!("rows are {step:.2} s apart; at most half a second is of use");
            findings.push(Finding::new(Severity::Weak, "sparse", text));
        }
        side_words = at(&columns.side).map(|k| seen[k].words.clone()).unwrap_or_default();
    } else {
        let of = |h: &str| sheet.headings().iter().position(|k| k == h).map(|k| &seen[k]);
        let xs: Vec<&Seen> = wide.iter().filter_map(|p| of(&p.x)).collect();
        let ys: Vec<&Seen> = wide.iter().filter_map(|p| of(&p.y)).collect();
        let named = wide.iter().find_map(|p| named_unit(&p.x));
        let its = wide.iter().find(|p| words::is_ball(&p.person));
        let place = |h: &str| sheet.headings().iter().position(|k| k == h);
        let starts = match its.and_then(|p| place(&p.x).zip(place(&p.y))) {
            Some(of_ball) => starts(&sheet, &keys, (time, form), of_ball, |_| true)?,
            None => Vec::new(),
        };
        (unit, origin) = frame((&xs, &ys), &starts, named, book, &mut findings);
        ball = Ball { column: String::new(), word: its.map(|p| p.person.clone()).unwrap_or_default() };
        side_words = wide.iter().filter_map(|p| p.side.clone()).collect();
        motion = None;
        let text =
            format!("each row is an instant; {} column pairs are read as people and the ball", wide.len());
        findings.push(Finding::new(Severity::Note, "row-an-instant", text));
    }
    let words_of = |h: &Option<String>| at(h).map(|k| seen[k].words.clone()).unwrap_or_default();
    let events: BTreeMap<String, Event> =
        words_of(&columns.event).into_iter().map(|w| (w.clone(), words::event(&w))).collect();
    let going =
        words_of(&columns.going).into_iter().filter_map(|w| Some((w.clone(), words::going(&w)?))).collect();
    let sides: BTreeMap<String, play::Unit> =
        side_words.iter().filter_map(|w| Some((w.clone(), words::side(w)?))).collect();
    if let Time::Samples { per_second } = form {
        let text = format!("“{}” counts samples; {per_second} a second are assumed", columns.time);
        findings.push(Finding::new(Severity::Weak, "rate-assumed", text));
    }
    if columns.play.is_empty() {
        let text = "no column names the play; all rows are one play";
        findings.push(Finding::new(Severity::Weak, "one-play", text));
    }
    if side_words.is_empty() {
        findings.push(Finding::new(Severity::Missing, "no-side-column", "no column names the side"));
    }
    if ball == Ball::default() {
        let text = "no row names the ball; snap, passer and throws cannot be told without it";
        findings.push(Finding::new(Severity::Missing, "no-ball", text));
    }
    if !events.values().any(|e| *e == Event::Snap) {
        let text = "no event names the snap; it is read off the ball's motion";
        findings.push(Finding::new(Severity::Weak, "no-snap-word", text));
    }
    let (plays, play_columns) = match plays {
        Some(bytes) => plays::propose_plays(bytes, &columns.play, &mut findings)?,
        None => (None, Vec::new()),
    };
    let mapping = Mapping {
        columns,
        time: form,
        unit,
        origin,
        mirrored: false,
        motion: motion.take(),
        wide,
        ball,
        sd_yd,
        events,
        going,
        sides,
        plays,
    };
    Ok(Proposal { mapping, columns: shown(&sheet, &seen), play_columns, findings })
}

/// Where the ball first lies in each play, in columns `x` and `y`.
fn starts(
    sheet: &Sheet<'_>,
    keys: &[usize],
    (time, form): (usize, Time),
    (x, y): (usize, usize),
    is_ball: impl Fn(&StringRecord) -> bool,
) -> Result<Vec<[f64; 2]>, TableError> {
    let mut first: HashMap<String, (f64, [f64; 2])> = HashMap::new();
    let mut key = String::new();
    let mut rows = 0;
    sheet.rows(|_, r| {
        rows += 1;
        if is_ball(r)
            && let Some(t) = r.get(time).and_then(|c| instant(c, form))
            && let Some((x, y)) = content(r, x).and_then(number).zip(content(r, y).and_then(number))
        {
            key_of(r, keys, &mut key);
            match first.get_mut(&key) {
                Some(kept) if t < kept.0 => *kept = (t, [x, y]),
                Some(_) => {}
                None => {
                    first.insert(key.clone(), (t, [x, y]));
                }
            }
        }
        rows < LOOKED_AT
    })?;
    Ok(first.into_values().map(|f| f.1).collect())
}

fn shown(sheet: &Sheet<'_>, seen: &[Seen]) -> Vec<ColumnSeen> {
    let columns = sheet.headings().iter().zip(seen);
    columns.map(|(h, s)| ColumnSeen { heading: h.clone(), first: s.first.clone() }).collect()
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
fn ball_rows(sheet: &Sheet<'_>, seen: &[Seen], person: usize, likely: &[Option<usize>]) -> Ball {
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
