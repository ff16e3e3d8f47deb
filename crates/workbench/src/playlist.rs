//! A play list from a spreadsheet, matched to plays by order.

use crate::plays::{PlaySummary, check_situation, passer};
use crate::{WorkError, Workbench};
use calamine::{Data, Reader};
use field::Direction;
use play::{Chart, Finding, Game, GameId, Hash, Play, PlayId, Severity, Situation, ThrowResult};
use serde::Serialize;
use std::io::Cursor;
use store::{Change, OfPlay};

/// What a play list came to.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ListedPlays {
    /// The game's plays.
    pub plays: Vec<PlaySummary>,
    /// Rows read.
    pub rows: u32,
    /// What could not be read or does not fit.
    pub findings: Vec<Finding>,
}

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    Quarter,
    Clock,
    Down,
    Distance,
    Spot,
    X,
    Offense,
    Hash,
    Direction,
    Margin,
    Result,
    Gain,
}

/// Headings by which a column is known, lower case without signs. Common words of play lists, no source.
const HEADINGS: &[(Column, &[&str])] = &[
    (Column::Quarter, &["quarter", "qtr", "q", "period"]),
    (Column::Clock, &["clock", "time", "gameclock", "timeleft"]),
    (Column::Down, &["down"]),
    (Column::Distance, &["distance", "dist", "togo", "yardstogo"]),
    (Column::Spot, &["ballspot", "spot", "yardline", "ballon", "line", "yard"]),
    (Column::X, &["linex", "x"]),
    (Column::Offense, &["offense", "poss", "possession"]),
    (Column::Hash, &["hash"]),
    (Column::Direction, &["direction", "going", "drive"]),
    (Column::Margin, &["margin", "scorediff", "score"]),
    (Column::Result, &["result", "outcome"]),
    (Column::Gain, &["gain", "gainloss", "yards"]),
];

/// A row's facts.
#[derive(Clone, Debug, Default, PartialEq)]
struct Row {
    situation: Situation,
    result: Option<ThrowResult>,
    gain_yd: Option<f64>,
    /// The offense's short name, by which a spot says whose side it is on.
    offense: String,
}

impl Workbench {
    /// Reads a play list (CSV or XLSX) and gives its rows to the game's plays in order; plays are made for rows to
    /// spare. Cells that are empty or cannot be read leave what is known.
    ///
    /// # Errors
    /// `Invalid` when it is no table or has no heading that is known.
    pub async fn play_list(&self, game: &GameId, bytes: Vec<u8>) -> Result<ListedPlays, WorkError> {
        let guard = self.editing.lock().await;
        self.store.get::<Game>(game.as_str()).await?;
        let (rows, mut findings) = crate::error::blocking(move || read(&bytes)).await?;
        let mut plays: Vec<Play> = self.store.list_of(game.as_str()).await?;
        plays.sort_by_key(|p| p.number);
        if !plays.is_empty() && plays.len() != rows.len() {
            let said = format!(
                "the list has {} rows for {} plays; matched in order from the first",
                rows.len(),
                plays.len()
            );
            findings.push(Finding::new(Severity::Weak, "counts-differ", said));
        }
        let new = self.ids("p", rows.len().saturating_sub(plays.len())).await?;
        let mut changes = Vec::new();
        for id in new {
            let number = plays.last().map_or(0, |p| p.number) + 1;
            let play = Play { id: PlayId(id), game: game.clone(), number, situation: Situation::default() };
            changes.push(Change::put(&OfPlay { play: play.id.clone(), part: passer() }));
            plays.push(play);
        }
        for (row, play) in rows.iter().zip(&plays) {
            let situation = merged(&play.situation, &row.situation);
            changes.push(Change::put(&Play { situation, ..play.clone() }));
            if row.result.is_some() || row.gain_yd.is_some() {
                let mut chart: Chart = self.chart_of(&play.id).await?;
                chart.result = row.result.or(chart.result);
                chart.gain_yd = row.gain_yd.or(chart.gain_yd);
                changes.push(Change::put(&OfPlay { play: play.id.clone(), part: chart }));
            }
        }
        self.change("read a play list", None, &changes).await?;
        drop(guard);
        let plays = self.plays().await?.into_iter().filter(|p| p.game == *game).collect();
        Ok(ListedPlays { plays, rows: rows.len() as u32, findings })
    }
}

fn merged(old: &Situation, new: &Situation) -> Situation {
    Situation {
        quarter: new.quarter.or(old.quarter),
        clock_s: new.clock_s.or(old.clock_s),
        down: new.down.or(old.down),
        distance_yd: new.distance_yd.or(old.distance_yd),
        line_x: new.line_x.or(old.line_x),
        hash: new.hash.or(old.hash),
        direction: new.direction.or(old.direction),
        margin: new.margin.or(old.margin),
    }
}

/// Cells of the first sheet, or of the CSV.
fn cells(bytes: &[u8]) -> Result<Vec<Vec<String>>, WorkError> {
    // XLSX is a ZIP archive.
    if bytes.starts_with(b"PK") {
        let refuse = |e: calamine::XlsxError| WorkError::Invalid(format!("the sheet cannot be read: {e}"));
        let mut book: calamine::Xlsx<_> =
            calamine::open_workbook_from_rs(Cursor::new(bytes)).map_err(refuse)?;
        let name = book.sheet_names().first().cloned();
        let name = name.ok_or_else(|| WorkError::Invalid("the workbook has no sheet".into()))?;
        let range = book.worksheet_range(&name).map_err(refuse)?;
        return Ok(range.rows().map(|r| r.iter().map(cell).collect()).collect());
    }
    let text = std::str::from_utf8(bytes).map_err(|_| {
        WorkError::Invalid("the play list is neither an XLSX workbook nor CSV text in UTF-8".into())
    })?;
    let text = text.trim_start_matches('\u{feff}');
    let first = text.lines().next().unwrap_or_default();
    let delimiter = [b',', b';', b'\t'].into_iter().max_by_key(|d| first.bytes().filter(|b| b == d).count());
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter.unwrap_or(b','))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    reader
        .records()
        .map(|r| {
            let r = r.map_err(|e| WorkError::Invalid(format!("the play list cannot be read: {e}")))?;
            Ok(r.iter().map(str::to_owned).collect())
        })
        .collect()
}

fn cell(d: &Data) -> String {
    match d {
        // A clock cell is stored as a fraction of a day; sheets show 12:34 both for hours:minutes and minutes:seconds.
        Data::DateTime(t) => {
            let minutes = (t.as_f64().fract() * 24.0 * 60.0).round();
            format!("{}:{:02}", (minutes / 60.0).floor(), minutes % 60.0)
        }
        Data::Float(f) if f.fract() == 0.0 => format!("{f:.0}"),
        other => other.to_string().trim().to_owned(),
    }
}

fn plain(heading: &str) -> String {
    heading.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

fn read(bytes: &[u8]) -> Result<(Vec<Row>, Vec<Finding>), WorkError> {
    let table = cells(bytes)?;
    let known = |cell: &String| HEADINGS.iter().find(|h| h.1.contains(&plain(cell).as_str())).map(|h| h.0);
    let columns_of = |row: &Vec<String>| row.iter().map(known).collect::<Vec<_>>();
    let at = table.iter().position(|r| columns_of(r).iter().flatten().count() >= 2).ok_or_else(|| {
        let words: Vec<&str> = HEADINGS.iter().map(|h| h.1[0]).collect();
        WorkError::Invalid(format!("no row of headings found; known headings are {}", words.join(", ")))
    })?;
    let columns = columns_of(&table[at]);
    let mut findings = Vec::new();
    for (heading, column) in table[at].iter().zip(&columns) {
        if column.is_none() && !heading.is_empty() {
            findings.push(Finding::new(
                Severity::Note,
                "column-unread",
                format!("column \"{heading}\" is not used"),
            ));
        }
    }
    let mut rows = Vec::new();
    for (k, cells) in table.iter().enumerate().skip(at + 1) {
        if cells.iter().all(String::is_empty) {
            continue;
        }
        let mut row = Row::default();
        let mut filled: Vec<(&String, Column)> = cells
            .iter()
            .zip(&columns)
            .filter(|c| !c.0.is_empty())
            .filter_map(|(t, c)| Some((t, (*c)?)))
            .collect();
        // "own 35" needs the direction, "ABC 35" also the offense's name.
        filled.sort_by_key(|c| !matches!(c.1, Column::Direction | Column::Offense));
        for (text, column) in filled {
            if !put(&mut row, column, text) {
                let said = format!("row {}: \"{text}\" is no {}; left empty", k + 1, word(column));
                findings.push(Finding::new(Severity::Weak, "cell-unread", said));
            }
        }
        if let Err(e) = check_situation(&row.situation) {
            findings.push(Finding::new(
                Severity::Weak,
                "row-impossible",
                format!("row {}: {e}; its situation was left out", k + 1),
            ));
            row.situation = Situation::default();
        }
        rows.push(row);
    }
    if rows.is_empty() {
        return Err(WorkError::Invalid("the play list has headings and no rows".into()));
    }
    Ok((rows, findings))
}

const fn word(c: Column) -> &'static str {
    match c {
        Column::Quarter => "quarter (1 to 20)",
        Column::Clock => "clock (minutes:seconds)",
        Column::Down => "down (1 to 4)",
        Column::Distance => "distance in yards",
        Column::Spot => {
            "ball spot (own 35, opp 20, -35, +20, a team's short name and 35, or x from 0 to 100)"
        }
        Column::X => "line as x from 0 to 100",
        Column::Offense => "offense",
        Column::Hash => "hash (near, middle, far)",
        Column::Direction => "direction (up, down)",
        Column::Margin => "margin in points",
        Column::Result => "result",
        Column::Gain => "gain in yards",
    }
}

/// Reads a cell into the row; false when it is no such thing.
fn put(row: &mut Row, column: Column, text: &str) -> bool {
    let s = &mut row.situation;
    let lower = text.to_lowercase();
    let digits =
        |t: &str| t.trim_matches(|c: char| c.is_alphabetic() || c.is_whitespace()).parse::<u8>().ok();
    let number = || {
        text.replace('\u{2212}', "-").trim_start_matches('+').parse::<f64>().ok().filter(|v| v.is_finite())
    };
    fn set<T>(slot: &mut Option<T>, value: Option<T>) -> bool {
        let ok = value.is_some();
        if ok {
            *slot = value;
        }
        ok
    }
    match column {
        Column::Quarter => {
            set(&mut s.quarter, if lower.starts_with("ot") { Some(5) } else { digits(&lower) })
        }
        Column::Clock => set(&mut s.clock_s, clock(text)),
        Column::Down => set(&mut s.down, digits(&lower)),
        Column::Distance => set(&mut s.distance_yd, number()),
        Column::Spot => set(&mut s.line_x, spot(&lower, s.direction, &row.offense)),
        Column::X => set(&mut s.line_x, number().filter(|x| (0.0..=100.0).contains(x))),
        Column::Offense => {
            row.offense = lower;
            true
        }
        Column::Hash => set(
            &mut s.hash,
            match lower.as_str() {
                "near" | "n" => Some(Hash::Near),
                "middle" | "mid" | "m" => Some(Hash::Middle),
                "far" | "f" => Some(Hash::Far),
                _ => None,
            },
        ),
        Column::Direction => set(
            &mut s.direction,
            match lower.as_str() {
                "up" | "right" | "+" => Some(Direction::Up),
                "down" | "left" | "-" => Some(Direction::Down),
                _ => None,
            },
        ),
        Column::Margin => set(&mut s.margin, number().map(|v| v as i32)),
        Column::Result => set(&mut row.result, result(&lower)),
        Column::Gain => set(&mut row.gain_yd, number()),
    }
}

fn clock(text: &str) -> Option<f64> {
    let (minutes, seconds) = text.split_once(':')?;
    let (m, s) =
        (minutes.trim().parse::<u32>().ok()?, seconds.split(':').next()?.trim().parse::<u32>().ok()?);
    (m <= 15 && s < 60).then(|| f64::from(m * 60 + s))
}

/// x of the ball. "own 35" and "-35" are the offense's side, "opp 20" and "+20" the other, "ABC 35" the side of the team of
/// that short name; which end that is depends on
/// the direction (taken as up when the list does not say, which the evaluator may turn round). A bare number is x.
fn spot(text: &str, direction: Option<Direction>, offense: &str) -> Option<f64> {
    let text = text.replace('\u{2212}', "-");
    let (own, rest) = match text.trim() {
        t if t.starts_with("own") => (Some(true), t[3..].to_owned()),
        t if t.starts_with("opp") => (Some(false), t[3..].to_owned()),
        t if t.starts_with('-') => (Some(true), t[1..].to_owned()),
        t if t.starts_with('+') => (Some(false), t[1..].to_owned()),
        t => match t.split_once(' ') {
            Some((team, yards)) if !offense.is_empty() && team.chars().all(char::is_alphabetic) => {
                (Some(team == offense), yards.to_owned())
            }
            _ => (None, t.to_owned()),
        },
    };
    let yards = rest.trim().parse::<f64>().ok().filter(|y| (0.0..=100.0).contains(y))?;
    let from_own_goal = match own {
        None => return Some(yards),
        Some(_) if yards > 50.0 => return None,
        Some(true) => yards,
        Some(false) => 100.0 - yards,
    };
    Some(if direction == Some(Direction::Down) { 100.0 - from_own_goal } else { from_own_goal })
}

fn result(text: &str) -> Option<ThrowResult> {
    Some(match plain(text).as_str() {
        "complete" | "comp" | "c" | "completion" => ThrowResult::Complete,
        "incomplete" | "inc" | "i" | "incompletion" => ThrowResult::Incomplete,
        "intercepted" | "interception" | "int" => ThrowResult::Intercepted,
        "sack" | "sacked" => ThrowResult::Sacked,
        "scramble" | "scrambled" => ThrowResult::Scrambled,
        "thrownaway" | "throwaway" => ThrowResult::ThrownAway,
        "batted" => ThrowResult::Batted,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_as_people_write_them() {
        let text = "\u{feff}Game 1;;;;;;;\nQtr;Time;Down;Dist;Ball on;Hash;Going;Result;Coach\n\
                    1;12:34;1st;10;own 35;near;up;Comp;x\n2;0:07;3;7;opp 20;M;down;INT;\n;;;;;;;;\nOT;99:99;2;x;+20;F;up;;\n";
        let (rows, findings) = read(text.as_bytes()).unwrap();
        assert_eq!(rows.len(), 3);
        let s = &rows[0].situation;
        assert_eq!(
            (s.quarter, s.clock_s, s.down, s.distance_yd),
            (Some(1), Some(754.0), Some(1), Some(10.0))
        );
        assert_eq!(
            (s.line_x, s.hash, rows[0].result),
            (Some(35.0), Some(Hash::Near), Some(ThrowResult::Complete))
        );
        // The spot is read after the direction whatever the order of the columns.
        assert_eq!(rows[1].situation.line_x, Some(20.0));
        assert_eq!(rows[2].situation.quarter, Some(5));
        let codes: Vec<&str> = findings.iter().map(|f| f.code.as_str()).collect();
        assert_eq!(codes, ["column-unread", "cell-unread", "cell-unread"]);
        assert!(
            findings[1].message.contains("row 6") && findings[1].message.contains("99:99"),
            "{}",
            findings[1].message
        );
    }

    #[test]
    fn no_table_is_refused_with_the_headings_known() {
        let e = read(b"hello\nworld\n").unwrap_err().to_string();
        assert!(e.contains("quarter") && e.contains("ballspot"), "{e}");
        assert!(read(&[0xff, 0xfe, 0x00]).unwrap_err().to_string().contains("neither"));
        assert!(read(b"PK\x03\x04 not really").is_err());
    }

    #[test]
    fn spots_turn_with_the_direction() {
        assert_eq!(spot("own 35", Some(Direction::Up), ""), Some(35.0));
        assert_eq!(spot("own 35", Some(Direction::Down), ""), Some(65.0));
        assert_eq!(spot("+20", None, ""), Some(80.0));
        assert_eq!(spot("62.5", Some(Direction::Down), ""), Some(62.5));
        assert_eq!(spot("own 60", None, ""), None);
        assert_eq!(spot("abc 25", Some(Direction::Up), "abc"), Some(25.0));
        assert_eq!(spot("xyz 25", Some(Direction::Up), "abc"), Some(75.0));
        assert_eq!(spot("xyz 25", Some(Direction::Up), ""), None);
    }
}
