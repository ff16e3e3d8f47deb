//! Rows to samples by play, still in the table's own frame and words.

use crate::TableError;
use crate::mapping::{Mapping, PersonColumns, Time};
use crate::sheet::{Sheet, content, number};
use csv::StringRecord;
use std::collections::HashMap;
use time::format_description::well_known::Rfc3339;
use time::{OffsetDateTime, PrimitiveDateTime, macros::format_description};

/// Words that occur again and again, by number.
#[derive(Default)]
pub(crate) struct Words {
    all: Vec<String>,
    at: HashMap<String, u32>,
}

impl Words {
    pub fn id(&mut self, word: &str) -> u32 {
        if let Some(k) = self.at.get(word) {
            return *k;
        }
        let k = self.all.len() as u32;
        self.all.push(word.to_owned());
        self.at.insert(word.to_owned(), k);
        k
    }
    pub fn word(&self, id: u32) -> &str {
        self.all.get(id as usize).map_or("", String::as_str)
    }
}

/// One row.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sample {
    /// Word of the person; [`BALL`] for the ball.
    pub person: u32,
    /// Seconds on the table's clock.
    pub t: f64,
    /// In the table's unit and frame.
    pub x: f64,
    /// See `x`.
    pub y: f64,
    /// Word of the event, [`NONE`] without one.
    pub event: u32,
    /// Word of the side.
    pub side: u32,
    /// In the table's unit and its axes; not a number without one.
    pub speed: f64,
    /// See `speed`.
    pub course: f64,
    /// Row of the table, the headings being row 1.
    pub row: u64,
}

pub(crate) const BALL: u32 = u32::MAX;
pub(crate) const NONE: u32 = u32::MAX - 1;

/// A person's words, as first seen in a play.
#[derive(Clone, Debug, Default)]
pub(crate) struct About {
    pub position: Option<String>,
    pub shirt: Option<u8>,
    pub name: Option<String>,
}

/// A play's rows.
pub(crate) struct RawPlay {
    /// Cells that name it.
    pub key: String,
    /// Cell of the game column, first seen.
    pub game: Option<String>,
    pub samples: Vec<Sample>,
    pub about: HashMap<u32, About>,
    /// Word of the going column, first seen.
    pub going: Option<String>,
    /// Rows without a place, time or person: how many, and the first with the column that has nothing.
    pub unread: u32,
    /// See `unread`.
    pub first_unread: Option<(u64, String)>,
}

/// Everything read.
pub(crate) struct Raw {
    pub plays: Vec<RawPlay>,
    pub words: Words,
    pub rows: u64,
}

/// Where one body's columns are.
struct Body {
    x: usize,
    y: usize,
    speed: Option<usize>,
    course: Option<usize>,
    /// In a table with one row an instant: who, and his side.
    who: Option<(u32, u32)>,
}

struct At {
    play: Vec<usize>,
    game: Option<usize>,
    person: Option<usize>,
    time: usize,
    side: Option<usize>,
    position: Option<usize>,
    shirt: Option<usize>,
    name: Option<usize>,
    event: Option<usize>,
    going: Option<usize>,
    ball: Option<usize>,
    bodies: Vec<Body>,
}

impl At {
    fn of(sheet: &Sheet<'_>, m: &Mapping, words: &mut Words) -> Result<Self, TableError> {
        let c = &m.columns;
        let some =
            |heading: &Option<String>, what| heading.as_deref().map(|h| sheet.column(h, what)).transpose();
        let body = |x: &str, y: &str, speed: &Option<String>, course: &Option<String>, who| {
            Ok::<_, TableError>(Body {
                x: sheet.column(x, "the place along the field")?,
                y: sheet.column(y, "the place across the field")?,
                speed: some(speed, "the speed")?,
                course: some(course, "the course")?,
                who,
            })
        };
        let bodies = if m.wide.is_empty() {
            vec![body(&c.x, &c.y, &c.speed, &c.course, None)?]
        } else {
            let of = |p: &PersonColumns| {
                let ball = p.person.eq_ignore_ascii_case(&m.ball.word);
                let who = if ball { BALL } else { words.id(&p.person) };
                let side = p.side.as_deref().map_or(NONE, |s| words.id(s));
                body(&p.x, &p.y, &p.speed, &p.course, Some((who, side)))
            };
            m.wide.iter().map(of).collect::<Result<_, _>>()?
        };
        let long = m.wide.is_empty();
        Ok(Self {
            play: c.play.iter().map(|h| sheet.column(h, "the play")).collect::<Result<_, _>>()?,
            game: some(&c.game, "the game")?,
            person: long.then(|| sheet.column(&c.person, "the person")).transpose()?,
            time: sheet.column(&c.time, "the time")?,
            side: some(&c.side, "the side")?,
            position: some(&c.position, "the position")?,
            shirt: some(&c.shirt, "the shirt")?,
            name: some(&c.name, "the name")?,
            event: some(&c.event, "the event")?,
            going: some(&c.going, "the direction")?,
            ball: (long && !m.ball.column.is_empty())
                .then(|| sheet.column(&m.ball.column, "the ball"))
                .transpose()?,
            bodies,
        })
    }
}

/// A column's cells that could not be read.
#[derive(Default)]
struct Bad {
    count: u64,
    first: Option<(u64, String)>,
}

impl Bad {
    fn note(&mut self, row: u64, cell: &str) {
        self.count += 1;
        self.first.get_or_insert_with(|| (row, cell.to_owned()));
    }
    fn check(self, column: &str, what: &'static str, rows: u64) -> Result<(), TableError> {
        match self.first {
            Some((row, cell)) if self.count * 10 > rows => Err(TableError::BadColumn {
                column: column.to_owned(),
                what,
                bad: self.count,
                rows,
                row,
                cell,
            }),
            _ => Ok(()),
        }
    }
}

/// A cell as part of a key: a whole number is the same with and without a fraction of nothing.
pub(crate) fn key_part(cell: &str) -> &str {
    cell.strip_suffix(".0").filter(|n| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit())).unwrap_or(cell)
}

/// The cells that name a play, joined.
pub(crate) fn key_of(r: &StringRecord, columns: &[usize], key: &mut String) {
    key.clear();
    for (k, c) in columns.iter().enumerate() {
        if k > 0 {
            key.push(' ');
        }
        key.push_str(key_part(r.get(*c).unwrap_or("")));
    }
}

/// Reads every row. Plays come in the order in which they first occur.
///
/// # Errors
/// When a column is missing, or more than a tenth of its cells cannot be read.
pub(crate) fn read(bytes: &[u8], m: &Mapping) -> Result<Raw, TableError> {
    let sheet = Sheet::open(bytes)?;
    let mut raw = Raw { plays: Vec::new(), words: Words::default(), rows: 0 };
    let at = At::of(&sheet, m, &mut raw.words)?;
    let mut index: HashMap<String, usize> = HashMap::new();
    let (mut bad_time, mut bad_x, mut bad_y) = (Bad::default(), Bad::default(), Bad::default());
    let mut key = String::new();
    sheet.rows(|row, r| {
        raw.rows += 1;
        key_of(r, &at.play, &mut key);
        let k = match index.get(&key) {
            Some(k) => *k,
            None => {
                index.insert(key.clone(), raw.plays.len());
                raw.plays.push(RawPlay {
                    key: key.clone(),
                    game: at.game.and_then(|c| content(r, c)).map(|g| key_part(g).to_owned()),
                    samples: Vec::new(),
                    about: HashMap::new(),
                    going: None,
                    unread: 0,
                    first_unread: None,
                });
                raw.plays.len() - 1
            }
        };
        let cell = |c: usize| r.get(c).unwrap_or("");
        let play = &mut raw.plays[k];
        let mut unread = |column: usize| {
            play.unread += 1;
            play.first_unread.get_or_insert_with(|| (row, sheet.headings()[column].clone()));
        };
        let Some(t) = instant(cell(at.time), m.time) else {
            bad_time.note(row, cell(at.time));
            unread(at.time);
            return true;
        };
        let mut word = |c: Option<usize>| c.and_then(|c| content(r, c)).map_or(NONE, |w| raw.words.id(w));
        let (event, side) = (word(at.event), word(at.side));
        for body in &at.bodies {
            let place = |c: usize| content(r, c).and_then(number);
            let (Some(x), Some(y)) = (place(body.x), place(body.y)) else {
                // One row an instant: a body without a place is not there at that instant.
                if body.who.is_none() {
                    for (c, bad) in [(body.x, &mut bad_x), (body.y, &mut bad_y)] {
                        if place(c).is_none() {
                            bad.note(row, cell(c));
                        }
                    }
                    unread(if place(body.x).is_none() { body.x } else { body.y });
                }
                continue;
            };
            let (person, side) = match (body.who, at.person) {
                (Some(who), _) => who,
                (None, _) if is_ball(r, &at, m) => (BALL, side),
                (None, Some(c)) => match content(r, c) {
                    Some(p) => (raw.words.id(p), side),
                    None => {
                        unread(c);
                        continue;
                    }
                },
                (None, None) => continue,
            };
            if person != BALL {
                play.about.entry(person).or_insert_with(|| about(r, &at));
            }
            let figure =
                |c: Option<usize>| c.and_then(|c| content(r, c)).and_then(number).unwrap_or(f64::NAN);
            let (speed, course) = (figure(body.speed), figure(body.course));
            play.samples.push(Sample { person, t, x, y, event, side, speed, course, row });
        }
        if play.going.is_none() {
            play.going = at.going.and_then(|c| content(r, c)).map(str::to_owned);
        }
        true
    })?;
    if raw.rows == 0 {
        return Err(TableError::Empty);
    }
    bad_time.check(&m.columns.time, "time", raw.rows)?;
    bad_x.check(&m.columns.x, "number", raw.rows)?;
    bad_y.check(&m.columns.y, "number", raw.rows)?;
    Ok(raw)
}

fn is_ball(r: &StringRecord, at: &At, m: &Mapping) -> bool {
    let Some(c) = at.ball else { return false };
    match content(r, c) {
        Some(w) => !m.ball.word.is_empty() && w.eq_ignore_ascii_case(&m.ball.word),
        None => m.ball.word.is_empty(),
    }
}

fn about(r: &StringRecord, at: &At) -> About {
    let text = |c: Option<usize>| c.and_then(|c| content(r, c)).map(str::to_owned);
    About {
        position: text(at.position),
        shirt: text(at.shirt).and_then(|s| number(&s)).filter(|n| (0.0..100.0).contains(n)).map(|n| n as u8),
        name: text(at.name),
    }
}

/// Seconds on the table's clock.
pub(crate) fn instant(text: &str, form: Time) -> Option<f64> {
    if text.is_empty() {
        return None;
    }
    match form {
        Time::Samples { per_second } => number(text).map(|n| n / per_second),
        Time::Milliseconds => number(text).map(|n| n / 1000.0),
        Time::Clock => {
            if let Some(n) = number(text) {
                return Some(n);
            }
            if text.len() >= 16
                && let Some(t) = date_time(text)
            {
                return Some(t);
            }
            // Hours, minutes and seconds, the last with a fraction.
            let mut total = 0.0;
            for part in text.split(':') {
                total = total * 60.0 + number(part)?;
            }
            text.contains(':').then_some(total)
        }
    }
}

/// Seconds since 1970 of a date and time (RFC 3339, or with a space and without a zone).
fn date_time(text: &str) -> Option<f64> {
    let seconds = |t: OffsetDateTime| t.unix_timestamp_nanos() as f64 / 1e9;
    if let Ok(t) = OffsetDateTime::parse(text, &Rfc3339) {
        return Some(seconds(t));
    }
    let plain = text.replace('T', " ");
    let plain = plain.trim_end_matches('Z');
    let with = format_description!("[year]-[month]-[day] [hour]:[minute]:[second].[subsecond]");
    let without = format_description!("[year]-[month]-[day] [hour]:[minute]:[second]");
    let parsed =
        PrimitiveDateTime::parse(plain, &with).or_else(|_| PrimitiveDateTime::parse(plain, &without));
    parsed.ok().map(|t| seconds(t.assume_utc()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn instants_are_read_as_people_write_them() {
        let clock = |t| instant(t, Time::Clock);
        assert_eq!(clock("3.1"), Some(3.1));
        assert_eq!(clock("3,1"), Some(3.1));
        assert_eq!(clock("1:02.5"), Some(62.5));
        assert_eq!(clock("00:01:02.5"), Some(62.5));
        let a = clock("2024-09-05T20:15:07.3Z").unwrap();
        for (same, later) in [
            ("2024-09-05 20:15:07.4", 0.1),
            ("2024-09-05T20:15:08", 0.7),
            ("2024-09-05T22:15:07.300+02:00", 0.0),
            ("2024-09-05 20:15:07.300000", 0.0),
        ] {
            assert!((clock(same).unwrap() - a - later).abs() < 1e-6, "{same}");
        }
        assert_eq!(clock("noon"), None);
        assert_eq!(instant("31", Time::Samples { per_second: 10.0 }), Some(3.1));
        assert_eq!(instant("1725200003100", Time::Milliseconds), Some(1_725_200_003.1));
    }
}
