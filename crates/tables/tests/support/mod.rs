//! Invented plays written as tables, in the dialects that people write them in.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]
#![allow(dead_code, reason = "each test file uses its part")]

use field::Direction;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use scrimmage::sim::game::GameScript;
use scrimmage::sim::staged::StagedPlay;
use scrimmage::sim::teams;
use scrimmage::stage::{Role, Stage};
use scrimmage::truth::{self, PlayTruth, TRACK_RATE};
use std::fmt::Write;

/// Error of a place along each axis, yd.
pub const SD_YD: f64 = 0.12;

/// How a table is written.
#[derive(Clone, Copy, Debug)]
pub struct Dialect {
    pub separator: char,
    pub headings: [&'static str; 12],
    /// 0 end line, 1 goal line, 2 middle.
    pub origin: u8,
    /// Table units a yard.
    pub unit: f64,
    /// 0 seconds, 1 counted samples, 2 date and time, 3 minutes and seconds.
    pub time: u8,
    pub events: bool,
    pub going: bool,
    /// 0 teams, 1 offense and defense.
    pub sides: u8,
    /// 0 its side is "ball", 1 its name is "Football", 2 its id is empty.
    pub ball: u8,
}

pub const PLAIN: Dialect = Dialect {
    separator: ',',
    headings: [
        "game",
        "play",
        "id",
        "name",
        "number",
        "position",
        "team",
        "time",
        "x",
        "y",
        "event",
        "direction",
    ],
    origin: 0,
    unit: 1.0,
    time: 0,
    events: true,
    going: true,
    sides: 0,
    ball: 0,
};

pub const DIALECTS: [Dialect; 5] = [
    PLAIN,
    Dialect {
        separator: ';',
        headings: [
            "Match",
            "Play No",
            "Player ID",
            "Player name",
            "Shirt",
            "Pos.",
            "Side",
            "Timestamp",
            "X (m)",
            "Y (m)",
            "Events",
            "Attacking",
        ],
        origin: 2,
        unit: 0.9144,
        time: 2,
        ball: 1,
        ..PLAIN
    },
    Dialect {
        separator: '\t',
        headings: [
            "game_id",
            "play_id",
            "track_id",
            "player_name",
            "jersey",
            "role",
            "club",
            "frame",
            "x_position",
            "y_position",
            "tag",
            "going",
        ],
        origin: 1,
        time: 1,
        going: false,
        sides: 1,
        ball: 2,
        ..PLAIN
    },
    Dialect { events: false, going: false, time: 3, ..PLAIN },
    Dialect { unit: 3.0, origin: 0, ball: 1, ..PLAIN },
];

pub struct Dice(ChaCha8Rng);
impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.0.random::<f64>()).sum::<f64>() - 6.0
    }
}

/// The plays of an invented game with what is true of them.
pub fn game(seed: u64, plays: usize) -> (GameScript, Vec<(StagedPlay, PlayTruth)>) {
    let game = GameScript::with_plays(seed, plays);
    let staged = game
        .plays
        .iter()
        .map(|p| {
            let stage = StagedPlay::new(&p.script, &teams::kits(&game.teams[0], &game.teams[1]));
            let truth = truth::of_play(p, &stage, Vec::new());
            (stage, truth)
        })
        .collect();
    (game, staged)
}

/// Rows as cells: headings first.
pub fn rows(plays: &[(StagedPlay, PlayTruth)], d: &Dialect, seed: u64) -> Vec<Vec<String>> {
    let mut dice = Dice::new(seed);
    let mut out = vec![d.headings.iter().map(|h| (*h).to_owned()).collect()];
    for (n, (stage, truth)) in plays.iter().enumerate() {
        let m = &truth.moments;
        let step = 1.0 / 10.0;
        let first = (stage.span().0.max(-1.5) / step).ceil() as i64;
        let last = (m.dead.min(stage.span().1) / step).ceil() as i64;
        let began = 100.0 * n as f64 + 7.3;
        for k in first..=last {
            let t = k as f64 * step;
            let is = |at: Option<f64>| at.is_some_and(|a| (a / step).round() as i64 == k);
            let word = match () {
                () if !d.events => "",
                () if k == 0 => "ball snap",
                () if is(m.release) => "pass forward",
                () if is(m.arrival) && m.release.is_some() => match outcome(truth) {
                    "C" => "outcome: pass caught",
                    "IN" => "outcome: interception",
                    _ => "outcome: incomplete",
                },
                () if m.release.is_none() && is(m.first_contact) => "sack",
                () => "",
            };
            let mut row = |who: &str, name: &str, number: String, side: &str, at: [f64; 2]| {
                let book = truth.rule_book;
                let at = at.map(|v| v + SD_YD * dice.normal());
                let (x, y) = match d.origin {
                    0 => (at[0] + 10.0, at[1]),
                    1 => (at[0], at[1]),
                    _ => (at[0] - 50.0, at[1] - book.width() / 2.0),
                };
                let clock = began + t + 1.5;
                let time = match d.time {
                    0 => format!("{clock:.1}"),
                    1 => format!("{}", k - first + 1),
                    2 => format!("2024-09-05T20:{:02}:{:04.1}Z", 10 + (clock / 60.0) as u32, clock % 60.0),
                    _ => format!("{}:{:04.1}", (clock / 60.0) as u32, clock % 60.0),
                };
                let going = match truth.scene.direction {
                    _ if !d.going => "",
                    Direction::Up => "right",
                    Direction::Down => "left",
                };
                out.push(vec![
                    "G1".into(),
                    format!("{}", n + 1),
                    who.into(),
                    name.into(),
                    number,
                    String::new(),
                    side.into(),
                    time,
                    format!("{:.2}", x * d.unit),
                    format!("{:.2}", y * d.unit),
                    word.into(),
                    going.into(),
                ]);
            };
            for (i, p) in truth.people.iter().enumerate() {
                let side = match (p.role, d.sides) {
                    (Role::Offense, 0) => "HOM",
                    (Role::Defense, 0) => "VIS",
                    (Role::Offense, _) => "offense",
                    _ => "defense",
                };
                let at =
                    p.hips[(((t - truth.tracks_from_s) * TRACK_RATE).round() as usize).min(p.hips.len() - 1)];
                let number = p.number.map(|n| n.to_string()).unwrap_or_default();
                row(&format!("{}", 1000 + i), &format!("man {i}"), number, side, [at.x, at.y]);
            }
            if let Some(b) = stage.ball(t) {
                let (who, name, side) = match d.ball {
                    0 => ("1", "", "ball"),
                    1 => ("1", "Football", ""),
                    _ => ("", "", ""),
                };
                row(who, name, String::new(), side, [b.centre.x, b.centre.y]);
            }
        }
    }
    out
}

/// The letter that play lists use.
pub fn outcome(t: &PlayTruth) -> &'static str {
    use scrimmage::sim::world::Outcome as O;
    match t.result {
        O::Complete => "C",
        O::Intercepted => "IN",
        O::Sacked => "S",
        O::Scrambled => "R",
        _ => "I",
    }
}

pub fn text(rows: &[Vec<String>], separator: char) -> Vec<u8> {
    let mut out = String::new();
    for r in rows {
        writeln!(out, "{}", r.join(&separator.to_string())).unwrap();
    }
    out.into_bytes()
}

/// A table with one row a play.
pub fn play_table(plays: &[(StagedPlay, PlayTruth)]) -> Vec<u8> {
    let mut out = "game,play,quarter,clock,down,to go,possession,result,gain\n".to_owned();
    for (n, (_, t)) in plays.iter().enumerate() {
        let s = &t.scene;
        let clock = format!("{}:{:02}", (s.clock_s / 60.0) as u32, (s.clock_s % 60.0) as u32);
        writeln!(
            out,
            "G1,{},{},{clock},{},{:.0},HOM,{},{:.0}",
            n + 1,
            s.quarter,
            s.down,
            s.distance,
            outcome(t),
            t.gain_yd
        )
        .unwrap();
    }
    out.into_bytes()
}
