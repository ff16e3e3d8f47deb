//! One play's rows to its clock, people, paths, moments and result.

mod bodies;
mod cast;
mod happened;
mod notes;
mod sides;
mod speeds;

use crate::infer::{self, Path, at};
use crate::mapping::{Event, Mapping};
use crate::rows::{RawPlay, Words};
use crate::situation::Said;
use crate::words;
use bodies::{Body, astray, bodies, outside, rate};
use cast::people;
use field::RuleBook;
use geometry::Point2;
use happened::{events, moments, no_other_play, result, target};
use motion::roles::Setting;
use notes::Notes;
use play::{Chart, Finding, Hash, Person, Severity, Situation, ThrowResult, Tracked, TrackedPath, Unit};
use sides::{passer, sides};
use speeds::speeds;

/// A play out of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct TablePlay {
    /// How the table names it.
    pub key: String,
    /// How the table names its game, where it has several.
    pub game: Option<String>,
    /// Where, which way and, from a second table, when.
    pub situation: Situation,
    /// Result, target and gain; the rest is for the evaluator.
    pub chart: Chart,
    /// Everybody with his role.
    pub people: Vec<Person>,
    /// Paths, ball and moments.
    pub tracked: Tracked,
    /// What is missing or weak.
    pub findings: Vec<Finding>,
}

/// What holds for all plays of a table.
pub(crate) struct Whole<'a> {
    pub mapping: &'a Mapping,
    pub words: &'a Words,
    pub book: RuleBook,
    pub source: &'a str,
}

/// Kept before the snap, s.
const BEFORE_S: f64 = 2.0;
/// Kept after the ball arrived or the play ended, s.
const AFTER_S: f64 = 1.0;
/// Error of a moment that a person or program put at a sample, beside the sample's own width, s; common practice, no source.
const TAGGED_S: f64 = 0.05;
/// Error of a moment read off the ball's motion, s.
const INFERRED_S: f64 = 0.1;
/// A play's rows lie within this of each other, s: longer, and two plays share a name.
const LONGEST_S: f64 = 90.0;

/// # Errors
/// In words, why the play cannot be used.
pub(crate) fn build(raw: &RawPlay, whole: &Whole<'_>, said: Option<&Said>) -> Result<TablePlay, String> {
    let mut notes = Notes(Vec::new());
    if let Some((row, column)) = &raw.first_unread {
        let text =
            format!("{} rows are left out: row {row} is the first with nothing in “{column}”", raw.unread);
        notes.add(Severity::Weak, "rows-unread", text);
    }
    if let Some(kind) = said.and_then(|s| s.left_out.as_deref()) {
        return Err(format!("the table of plays calls it “{kind}”, which is no pass"));
    }
    let (mut ball, mut bodies) = bodies(raw, whole, &mut notes);
    if ball.is_empty() {
        return Err(format!("no row is the ball's ({})", ball_told(whole.mapping)));
    }
    let (first, last) = (ball[0][0], ball[ball.len() - 1][0]);
    if last - first > LONGEST_S {
        return Err(format!(
            "its rows span {:.0} s, and no play lasts {LONGEST_S} s: a column that tells games apart may be missing",
            last - first
        ));
    }
    let tagged = events(raw, whole);
    let mut when = infer::instants(&tagged);
    no_other_play(&when)?;
    if let Some(foul) = when.get(&Event::Foul) {
        let text = format!(
            "a flag is thrown {:.1} s into its rows; the play is read as if there were none",
            foul - first
        );
        notes.add(Severity::Note, "flag", text);
    }
    let snap = match when.get(&Event::Snap) {
        Some(t) => *t,
        None => {
            let t = infer::snap(&ball).ok_or("it names no snap, and the ball shows none")?;
            notes.add(Severity::Weak, "snap-inferred", "the snap is read off the ball's motion");
            when.insert(Event::Snap, t);
            t
        }
    };
    let snap_se = if notes.has("snap-inferred") { INFERRED_S } else { TAGGED_S };
    when.values_mut().for_each(|t| *t -= snap);
    for path in std::iter::once(&mut ball).chain(bodies.values_mut().map(|b| &mut b.path)) {
        path.iter_mut().for_each(|s| s[0] -= snap);
    }
    let rate_hz = rate(&bodies).ok_or("nobody has two rows")?;
    let sample_se = TAGGED_S.hypot(1.0 / rate_hz / 12f64.sqrt());

    let declared = raw.going.as_deref().and_then(|w| whole.mapping.going.get(w).copied());
    let (offense, direction) = sides(&ball, &bodies, declared, said, whole, &mut notes)?;
    let unit = |b: &Body| b.team.map(|t| infer::unit_of(t, offense));
    for (key, b) in &bodies {
        if b.team.is_none() {
            notes.add(
                Severity::Weak,
                "no-side",
                format!("{} has no side and is left out", whole.words.word(*key)),
            );
        }
    }
    bodies.retain(|_, b| b.team.is_some());
    outside(&mut bodies, whole, &mut notes);
    for (side, word) in [(Unit::Offense, "offense"), (Unit::Defense, "defense")] {
        let n = bodies.values().filter(|b| unit(b) == Some(side)).count();
        if n != 11 {
            let text = format!("{n} men on {word}, not 11; who is missing counts as not seen");
            notes.add(Severity::Weak, "not-eleven", text);
        }
    }

    let until = when.get(&Event::Release).or(when.get(&Event::Sack)).or(when.get(&Event::Run)).copied();
    let passer = passer(&ball, &bodies, &raw.about, offense, until.unwrap_or(1.5), &mut notes)?;
    let passer_path = bodies.get(&passer).map(|b| b.path.clone()).unwrap_or_default();
    if !when.contains_key(&Event::Release)
        && !when.contains_key(&Event::Sack)
        && let Some(t) = infer::release(&ball, &passer_path)
    {
        notes.add(Severity::Weak, "release-inferred", "the release is read off the ball's motion");
        when.insert(Event::Release, t);
    }
    let result = result(&when, said);
    if result.is_none() && !when.contains_key(&Event::Release) {
        return Err("it shows no throw, sack or run of the passer".into());
    }
    if matches!(result, Some(ThrowResult::Sacked | ThrowResult::Scrambled)) {
        when.remove(&Event::Release);
    }
    let moments =
        moments(&when, &ball, &passer_path, direction, whole.mapping.sd_yd, (snap_se, sample_se), &mut notes);
    let end =
        moments.last().map_or(3.0, |m| m.at_s.value).max(when.get(&Event::Sack).copied().unwrap_or(0.0));
    let kept = |path: &Path| -> Path {
        path.iter().copied().filter(|s| (-BEFORE_S..=end + AFTER_S).contains(&s[0])).map(rounded).collect()
    };

    let start = at(&ball, 0.0, 0.3).ok_or("the ball has no row at the snap")?;
    let setting = Setting {
        ball: Point2::new(start[1], start[2]),
        direction,
        until_s: until.or(when.get(&Event::Release).copied()).unwrap_or(3.0),
    };
    let (people, keys) = people(&bodies, passer, &setting, whole, &raw.about, unit, &mut notes);
    let eligible = people.iter().filter(|p| p.eligible()).count();
    if eligible < ELIGIBLE {
        let text =
            format!("{eligible} eligible men are seen, not {ELIGIBLE}: windows are told for those alone");
        notes.add(Severity::Weak, "receivers-missing", text);
    }
    astray(&bodies, &keys, whole, &mut notes);
    let velocity_sd_ydps = speeds(&mut bodies, whole, &mut notes);
    let tracked = Tracked {
        source: whole.source.to_owned(),
        source_play: raw.key.clone(),
        rate_hz,
        sd_yd: whole.mapping.sd_yd,
        people: people
            .iter()
            .zip(&keys)
            .filter_map(|(p, k)| {
                let b = bodies.get(k)?;
                let samples = kept(&b.path);
                // What is kept is one stretch of the path.
                let from = b.path.partition_point(|s| s[0] < -BEFORE_S);
                let velocities = match velocity_sd_ydps {
                    Some(_) => b.velocities[from..from + samples.len()].to_vec(),
                    None => Vec::new(),
                };
                Some(TrackedPath { person: p.id.clone(), samples, velocities })
            })
            .collect(),
        ball: kept(&ball),
        moments,
        velocity_sd_ydps,
        findings: Vec::new(),
    };
    let situation = Situation {
        line_x: Some(start[1].clamp(0.0, whole.book.length())),
        hash: Some(hash(start[2], whole.book)),
        direction: Some(direction),
        margin: said.and_then(|s| s.home_ahead).and_then(|ahead| {
            let at_home = words::at_home(whole.words.word(offense))?;
            Some(if at_home { ahead } else { -ahead })
        }),
        ..said.map(|s| s.situation.clone()).unwrap_or_default()
    };
    let target = target(&tracked, &people, result, &mut notes);
    let tracked = Tracked { findings: notes.0.clone(), ..tracked };
    let chart = Chart { result, target, gain_yd: said.and_then(|s| s.gain_yd), ..Chart::default() };
    Ok(TablePlay {
        key: raw.key.clone(),
        game: raw.game.clone(),
        situation,
        chart,
        people,
        tracked,
        findings: notes.0,
    })
}

fn rounded(s: [f64; 3]) -> [f64; 3] {
    s.map(|v| (v * 1000.0).round() / 1000.0)
}

/// Men that a pass may be thrown to.
const ELIGIBLE: usize = 5;

/// How the mapping says that the ball is known.
fn ball_told(m: &Mapping) -> String {
    match (&m.wide[..], &m.ball.column[..], &m.ball.word[..]) {
        ([], "", _) => "no column tells it".to_owned(),
        ([], column, "") => format!("nothing in “{column}”"),
        ([], column, word) => format!("“{word}” in “{column}”"),
        (_, _, word) => format!("the columns of “{word}”"),
    }
}

fn hash(y: f64, book: RuleBook) -> Hash {
    [Hash::Near, Hash::Middle, Hash::Far]
        .into_iter()
        .min_by(|a, b| (a.y(book) - y).abs().total_cmp(&(b.y(book) - y).abs()))
        .unwrap_or(Hash::Middle)
}
