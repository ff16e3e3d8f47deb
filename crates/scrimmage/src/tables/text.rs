//! Rows as separated text.

use super::faults::{Fault, Spoilt, spoil};
use super::others::{self, Other};
use super::rows::{self, Row, Who, position};
use super::style::{Angle, Clock, Column, Ids, Order, Speed, Style, Teams};
use super::{Listed, Written};
use crate::sim::dice::Dice;
use crate::sim::world::Outcome;
use crate::stage::Role;
use field::Direction;
use rayon::prelude::*;
use std::fmt::Write;

/// Letters of a game's two teams, the home team first.
fn codes(game: u32) -> [&'static str; 2] {
    const AWAY: [&str; 3] = ["GRE", "SAL", "IRO"];
    ["HOL", AWAY[game as usize % 3]]
}

/// Whether the team with the ball is at home in a game.
fn at_home(style: &Style, game: u32) -> bool {
    style.teams == Teams::Plain || game % 2 == 1
}

/// One play of the table, pass or not.
struct Block {
    lines: String,
    play: String,
    key: String,
    fault: Option<Fault>,
    pass: bool,
}

pub(super) fn write(plays: &[Listed], style: &Style, seed: u64) -> Written {
    let blocks: Vec<Vec<Block>> = plays.par_iter().map(|p| blocks(p, style, seed)).collect();
    let blocks: Vec<Block> = blocks.into_iter().flatten().collect();
    let separator = style.separator.to_string();
    let mut headings: Vec<String> = style.columns.iter().map(|c| c.1.to_owned()).collect();
    if style.wide {
        headings.extend(wide_headings());
    }
    let mut positions = headings.iter().map(|h| quoted(h, style)).collect::<Vec<_>>().join(&separator);
    positions.push('\n');
    let mut table: Vec<String> =
        style.play_headings.iter().filter(|h| !h.is_empty()).map(|h| quoted(h, style)).collect();
    if !style.has(Column::Game) {
        table.remove(0);
    }
    let mut told = table.join(&separator);
    told.push('\n');
    let mut written = Written {
        positions: String::new(),
        plays: String::new(),
        keys: Vec::new(),
        spoilt: Vec::new(),
        others: Vec::new(),
    };
    for b in blocks {
        positions.push_str(&b.lines);
        told.push_str(&b.play);
        if let Some(fault) = b.fault {
            written.spoilt.push(Spoilt { key: b.key.clone(), fault });
        }
        if b.pass { written.keys.push(b.key) } else { written.others.push(b.key) }
    }
    if style.order == Order::Shuffled && !style.wide {
        positions = shuffled(&positions, seed);
    }
    Written { positions, plays: told, ..written }
}

/// Rows of all plays in any order.
fn shuffled(text: &str, seed: u64) -> String {
    let mut lines = text.lines();
    let first = lines.next().unwrap_or_default();
    let mut rest: Vec<&str> = lines.collect();
    let mut dice = Dice::new(seed, 77);
    for i in (1..rest.len()).rev() {
        rest.swap(i, dice.below(i + 1));
    }
    let mut out = format!("{first}\n{}", rest.join("\n"));
    out.push('\n');
    out
}

fn blocks(p: &Listed, style: &Style, seed: u64) -> Vec<Block> {
    let stream = u64::from(p.game) * 1000 + u64::from(p.truth.number);
    let mut dice = Dice::new(seed, stream);
    let mut rows = rows::of_play(p, style, &mut dice);
    let fault = dice.chance(style.faults).then(|| style.only.unwrap_or(*dice.pick(&Fault::ALL)));
    if let Some(fault) = fault {
        let of = |role, slot: bool| {
            let people = p.truth.people.iter().enumerate();
            people
                .filter(move |(_, x)| x.role == role && x.slot.is_some() == slot)
                .map(|x| x.0)
                .collect::<Vec<_>>()
        };
        spoil(&mut rows, fault, &of(Role::Offense, true), &of(Role::Defense, false), &mut dice);
    }
    let mut out = vec![Block {
        lines: lines(&rows, p, p.number, style, &mut dice),
        play: told(p, p.number, None, style),
        key: key(p, p.number, style),
        fault,
        pass: true,
    }];
    if dice.chance(style.others) {
        let what = *dice.pick(&Other::ALL);
        let number = p.number + 3;
        let rows = others::rows(what, p, style, &mut dice);
        out.push(Block {
            lines: lines(&rows, p, number, style, &mut dice),
            play: told(p, number, Some(what), style),
            key: key(p, number, style),
            fault: None,
            pass: false,
        });
    }
    out
}

fn game_id(game: u32, style: &Style) -> String {
    if style.ids == Ids::Words { game.to_string() } else { format!("20240900{game:02}") }
}

fn key(p: &Listed, number: u32, style: &Style) -> String {
    if style.has(Column::Game) { format!("{} {number}", game_id(p.game, style)) } else { number.to_string() }
}

fn quoted(text: &str, style: &Style) -> String {
    if style.quoted && !text.is_empty() || text.contains(style.separator) {
        format!("\"{text}\"")
    } else {
        text.to_owned()
    }
}

/// The table's two coordinates of a place.
fn coordinates(at: [f64; 2], style: &Style) -> [f64; 2] {
    let [x, y] = if style.turned { [100.0 - at[0], 160.0 / 3.0 - at[1]] } else { at };
    [(x - style.origin[0]) / style.unit_yd, (y - style.origin[1]) / style.unit_yd]
}

fn instant(t: f64, p: &Listed, number: u32, style: &Style) -> String {
    // Plays follow each other by forty seconds.
    let began = 40.0 * f64::from(number) + 3.0;
    match style.clock {
        Clock::FromSnap => format!("{t:.1}"),
        Clock::Seconds => format!("{:.2}", began + t),
        Clock::Frames => String::new(),
        Clock::Iso => {
            let s = began + t;
            let (h, m) = ((s / 3600.0) as u32, (s / 60.0) as u32 % 60);
            format!("2024-09-{:02}T{:02}:{m:02}:{:06.3}Z", 1 + p.game % 28, 13 + h, s % 60.0)
        }
        Clock::Milliseconds => {
            format!("{:.0}", 1_725_200_000_000.0 + 86_400_000.0 * f64::from(p.game) + 1000.0 * (began + t))
        }
    }
}

/// Compass words of a running direction, degrees in the table's frame.
fn angle(v: [f64; 2], style: &Style) -> f64 {
    let [x, y] = if style.turned { [-v[0], -v[1]] } else { v };
    match style.angle {
        Angle::ClockwiseFromY => x.atan2(y),
        Angle::CounterFromX => y.atan2(x),
    }
    .to_degrees()
    .rem_euclid(360.0)
}

fn lines(rows: &[Row], p: &Listed, number: u32, style: &Style, dice: &mut Dice) -> String {
    let mut rows: Vec<&Row> = rows.iter().collect();
    match style.order {
        Order::ByPerson if !style.wide => rows.sort_by(|a, b| a.who.cmp(&b.who).then(a.t.total_cmp(&b.t))),
        // Whoever was added stands with his instant.
        _ => rows.sort_by(|a, b| a.t.total_cmp(&b.t)),
    }
    if style.wide {
        return wide(&rows, p, number, style);
    }
    let mut out = String::new();
    for r in rows {
        let cells: Vec<String> = style.columns.iter().map(|c| cell(c.0, r, p, number, style, dice)).collect();
        out.push_str(&cells.join(&style.separator.to_string()));
        out.push('\n');
    }
    out
}

fn cell(column: Column, r: &Row, p: &Listed, number: u32, style: &Style, dice: &mut Dice) -> String {
    let man = match r.who {
        Who::Man(i) => Some((i, &p.truth.people[i])),
        _ => None,
    };
    let word = |text: &str| {
        if text.is_empty() { style.nothing.to_owned() } else { quoted(text, style) }
    };
    let figure = |v: f64| if v.is_finite() { format!("{v:.2}") } else { style.nothing.to_owned() };
    let [x, y] = coordinates(r.at, style);
    let speed = r.velocity[0].hypot(r.velocity[1]);
    let has_course = man.is_some();
    match column {
        Column::Game => game_id(p.game, style),
        Column::Play => number.to_string(),
        Column::Id => word(&id(r.who, p, style)),
        Column::Name => match (r.who, style.ids) {
            (Who::Ball, _) => word(style.ball_word),
            (_, Ids::Words) => String::new(),
            (Who::Man(i), _) => word(&format!("Man{}, {}", i, (b'A' + i as u8) as char)),
            (Who::Extra, _) => word("Man23, Z"),
        },
        Column::Number => word(&man.and_then(|m| m.1.number).map(|n| n.to_string()).unwrap_or_default()),
        Column::Position => word(man.map_or("", |m| position(&m.1.id, m.1.role))),
        Column::Team => word(&team(r, p, style)),
        Column::Time => instant(r.t, p, number, style),
        Column::Frame => (r.frame + 1).to_string(),
        Column::X => figure(x),
        Column::Y => figure(y),
        Column::Speed => figure(match style.speed {
            Speed::YardsPerSecond => speed,
            Speed::MetresPerSecond => speed * 0.9144,
            Speed::MilesPerHour => speed * 3600.0 / 1760.0,
        }),
        Column::Acceleration => figure(dice.range(0.0, 4.0)),
        Column::Moved => figure(speed / rows::RATE_HZ),
        Column::Facing if has_course => {
            figure((angle(r.velocity, style) + dice.normal(20.0)).rem_euclid(360.0))
        }
        Column::Running if has_course => {
            // A standing body's course is anything.
            let blur = (0.15 / speed.max(0.05)).atan().to_degrees();
            figure((angle(r.velocity, style) + dice.normal(blur)).rem_euclid(360.0))
        }
        Column::Facing | Column::Running => style.nothing.to_owned(),
        Column::Event => word(&r.event),
        Column::Going => {
            let up = (p.truth.scene.direction == Direction::Up) != style.turned;
            word(if up { "right" } else { "left" })
        }
    }
}

fn id(who: Who, p: &Listed, style: &Style) -> String {
    let n = match who {
        Who::Ball if style.ids == Ids::Words => return "ball".to_owned(),
        Who::Ball if style.ball_without_id => return String::new(),
        Who::Ball => 1,
        Who::Man(i) if style.ids == Ids::Words => return p.truth.people[i].id.clone(),
        Who::Man(i) => 41_200 + 37 * i as u64,
        Who::Extra => 49_999,
    };
    match style.ids {
        Ids::Fractions => format!("{n}.0"),
        Ids::Big => format!("{}", 5_100_000_000_000_000_000 + n),
        _ => n.to_string(),
    }
}

fn team(r: &Row, p: &Listed, style: &Style) -> String {
    let offense = match r.who {
        Who::Ball => return style.ball_word.to_owned(),
        Who::Extra => false,
        Who::Man(i) => p.truth.people[i].role == Role::Offense,
    } != r.other_side;
    let home = offense == at_home(style, p.game);
    match style.teams {
        Teams::Plain => if home { "HOME" } else { "AWAY" }.to_owned(),
        Teams::HomeAway => if home { "home" } else { "away" }.to_owned(),
        Teams::Codes => codes(p.game)[usize::from(!home)].to_owned(),
        Teams::Units => if offense { "offense" } else { "defense" }.to_owned(),
    }
}

/// A person's word in the headings of a wide table.
fn wide_person(i: usize) -> String {
    match i {
        0..11 => format!("off_{}", i + 1),
        11..22 => format!("def_{}", i - 10),
        _ => "ball".to_owned(),
    }
}

fn wide_headings() -> Vec<String> {
    (0..23).flat_map(|i| [format!("{}_x", wide_person(i)), format!("{}_y", wide_person(i))]).collect()
}

/// One row an instant. Two rows of one body give its first; a body too many has no column.
fn wide(rows: &[&Row], p: &Listed, number: u32, style: &Style) -> String {
    let mut out = String::new();
    for instant in rows.chunk_by(|a, b| a.frame == b.frame) {
        let Some(any) = instant.iter().find(|r| r.who == Who::Ball).or(instant.first()) else { continue };
        let mut dice = Dice::new(0, 0);
        let mut cells: Vec<String> =
            style.columns.iter().map(|c| cell(c.0, any, p, number, style, &mut dice)).collect();
        for i in 0..23 {
            let who = if i < 22 { Who::Man(i) } else { Who::Ball };
            let at = instant.iter().find(|r| r.who == who).map(|r| coordinates(r.at, style));
            for k in 0..2 {
                cells.push(
                    at.filter(|a| a[k].is_finite())
                        .map_or(style.nothing.to_owned(), |a| format!("{:.2}", a[k])),
                );
            }
        }
        out.push_str(&cells.join(&style.separator.to_string()));
        out.push('\n');
    }
    out
}

/// The play's row in the table of plays.
fn told(p: &Listed, number: u32, other: Option<Other>, style: &Style) -> String {
    let t = &p.truth;
    let s = &t.scene;
    let clock = s.clock_s.round() as i64;
    let result = match (t.result, style.letters) {
        _ if other.is_some() => "",
        (Outcome::Complete, true) => "C",
        (Outcome::Intercepted, true) => "IN",
        (Outcome::Sacked, true) => "S",
        (Outcome::Scrambled, true) => "R",
        (_, true) => "I",
        (Outcome::Complete, false) => "complete",
        (Outcome::Intercepted, false) => "intercepted",
        (Outcome::Sacked, false) => "sack",
        (Outcome::Scrambled, false) => "scramble",
        (Outcome::ThrownAway, false) => "thrown away",
        (Outcome::Batted, false) => "batted",
        (Outcome::Incomplete, false) => "incomplete",
    };
    let result = if result.is_empty() { style.nothing } else { result };
    let offense = match style.teams {
        Teams::Plain => "HOME",
        // The letters, although the positions say home and away.
        _ => codes(p.game)[usize::from(!at_home(style, p.game))],
    };
    let gain = match other {
        None => t.gain_yd,
        Some(Other::Run) => 4.0,
        Some(_) => 0.0,
    };
    let mut cells = vec![
        game_id(p.game, style),
        number.to_string(),
        s.quarter.to_string(),
        format!("{}:{:02}", clock / 60, clock % 60),
        s.down.to_string(),
        format!("{:.0}", s.distance),
        quoted(offense, style),
        quoted(result, style),
        format!("{gain:.0}"),
    ];
    if !style.play_headings[9].is_empty() {
        cells.push(quoted(other.map_or("pass", Other::kind), style));
    }
    if !style.has(Column::Game) {
        cells.remove(0);
    }
    let mut out = String::new();
    // Writing to a string does not fail.
    let _ = writeln!(out, "{}", cells.join(&style.separator.to_string()));
    out
}
