//! One play's rows to its clock, people, paths, moments and result.

use crate::infer::{self, Path, apart, at};
use crate::mapping::{Event, Mapping, Origin};
use crate::rows::{About, BALL, NONE, RawPlay, Sample, Words};
use crate::situation::Said;
use crate::words;
use field::{Direction, RuleBook};
use geometry::Point2;
use motion::roles::{Setting, Starter, roles};
use motion::sampled::{FASTEST_YDPS, reachable};
use play::{
    Chart, Finding, Flank, Hash, Moment, MomentKind, Person, PersonId, Role, Severity, Situation,
    ThrowResult, Tracked, TrackedPath, Unit,
};
use stats::Estimate;
use std::collections::BTreeMap;

/// A play out of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct TablePlay {
    /// How the table names it.
    pub key: String,
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
/// A man within this of the ball when it arrives may be whom it was thrown to, yd.
const TARGET_YD: f64 = 4.0;
/// The same for a ball that nobody caught, and how long before its tag it may have passed him, s; common practice, no
/// source.
const MISSED_YD: f64 = 7.0;
/// See [`MISSED_YD`].
const MISSED_S: f64 = 0.5;
/// A passer is on average nearer to the ball than this until he throws, yd.
const HOLDS_YD: f64 = 2.5;
/// A play's rows lie within this of each other, s: longer, and two plays share a name.
const LONGEST_S: f64 = 90.0;
/// Who stands farther outside the sidelines at the snap than this does not play, yd.
const OUTSIDE_YD: f64 = 1.0;
/// Two places of one body at one instant, farther apart than this, are two bodies, yd.
const TWO_PLACES_YD: f64 = 0.3;

struct Notes(Vec<Finding>);

impl Notes {
    fn add(&mut self, severity: Severity, code: &str, text: impl Into<String>) {
        self.0.push(Finding::new(severity, code, text));
    }
    fn has(&self, code: &str) -> bool {
        self.0.iter().any(|f| f.code == code)
    }
}

/// Somebody's rows in the field frame.
struct Body {
    team: Option<u32>,
    path: Path,
    /// Of each place: its row, and how he ran.
    rows: Vec<u64>,
    velocities: Vec<Option<[f64; 2]>>,
}

impl Body {
    fn new(seen: &[Seen]) -> Self {
        Self {
            team: None,
            path: seen.iter().map(|s| s.at).collect(),
            rows: seen.iter().map(|s| s.row).collect(),
            velocities: seen.iter().map(|s| s.velocity).collect(),
        }
    }
}

/// One row in the field frame.
#[derive(Clone, Copy)]
struct Seen {
    at: [f64; 3],
    velocity: Option<[f64; 2]>,
    row: u64,
}

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
    Ok(TablePlay { key: raw.key.clone(), situation, chart, people, tracked, findings: notes.0 })
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

/// # Errors
/// When the events say that it is no pass play.
fn no_other_play(when: &BTreeMap<Event, f64>) -> Result<(), String> {
    let passed = [Event::Release, Event::Sack, Event::Caught].iter().any(|e| when.contains_key(e));
    match (passed, when.contains_key(&Event::Handoff), when.contains_key(&Event::Kick)) {
        (false, true, _) => Err("its events hand the ball off: a run, no pass".into()),
        (false, _, true) => Err("its events kick the ball: no pass".into()),
        _ => Ok(()),
    }
}

/// The ball's and everybody's paths in the field frame, on the table's clock.
fn bodies(raw: &RawPlay, whole: &Whole<'_>, notes: &mut Notes) -> (Path, BTreeMap<u32, Body>) {
    let mut rows: BTreeMap<u32, Vec<&Sample>> = BTreeMap::new();
    for s in &raw.samples {
        rows.entry(s.person).or_default().push(s);
    }
    let mut ball = Vec::new();
    let mut bodies = BTreeMap::new();
    for (person, mut of) in rows {
        of.sort_by(|a, b| a.t.total_cmp(&b.t));
        let seen: Vec<Seen> = of.iter().map(|s| place(s, whole)).collect();
        let anchor =
            (person == BALL).then(|| middle(raw, whole, seen.first().map_or(0.0, |s| s.at[0]))).flatten();
        let (seen, doubles) = without_doubles(&seen, anchor);
        let who = if person == BALL { "the ball" } else { whole.words.word(person) };
        if let Some((row, gap)) = doubles.first {
            let code = if person == BALL { "two-balls" } else { "double-rows" };
            let text = format!(
                "{who} is in two places at {} instants, {gap:.1} yd apart in row {row} (at most {TWO_PLACES_YD} yd); the place nearer to the one before is kept",
                doubles.apart
            );
            notes.add(Severity::Weak, code, text);
        } else if doubles.same > 0 {
            let text = format!("{who} has {} rows twice; one of each is kept", doubles.same);
            notes.add(Severity::Note, "rows-repeated", text);
        }
        let mut body = Body::new(&seen);
        if person == BALL {
            ball = body.path;
            continue;
        }
        let mut teams: BTreeMap<u32, usize> = BTreeMap::new();
        for s in of.iter().filter(|s| s.side != NONE) {
            *teams.entry(s.side).or_default() += 1;
        }
        body.team = teams.iter().max_by_key(|t| t.1).map(|t| *t.0);
        if let Some(other) = of.iter().find(|s| s.side != NONE && Some(s.side) != body.team) {
            let text = format!(
                "{who} changes sides: “{}” from row {}; the more frequent side is kept",
                whole.words.word(other.side),
                other.row
            );
            notes.add(Severity::Weak, "side-changes", text);
        }
        bodies.insert(person, body);
    }
    (ball, bodies)
}

fn place(s: &Sample, whole: &Whole<'_>) -> Seen {
    let (m, book) = (whole.mapping, whole.book);
    let (x, y) = (s.x * m.unit.yards(), s.y * m.unit.yards());
    let (x, y) = match m.origin {
        Origin::EndLine => (x - book.end_zone(), y),
        Origin::GoalLine => (x, y),
        Origin::Middle => (x + book.length() / 2.0, y + book.width() / 2.0),
    };
    let velocity = m.motion.filter(|_| s.speed.is_finite() && s.course.is_finite()).map(|motion| {
        let [vx, vy] = motion.velocity(s.speed, s.course);
        [vx, if m.mirrored { -vy } else { vy }]
    });
    Seen { at: [s.t, x, if m.mirrored { book.width() - y } else { y }], velocity, row: s.row }
}

/// Rows of one body at one instant.
#[derive(Default)]
struct Doubles {
    /// Instants at which they repeat a place.
    same: usize,
    /// Instants at which they tell two places, and the first such row with how far apart they are, yd.
    apart: usize,
    first: Option<(u64, f64)>,
}

/// The middle of all people about an instant of the table's clock.
fn middle(raw: &RawPlay, whole: &Whole<'_>, t: f64) -> Option<[f64; 3]> {
    let near = raw.samples.iter().filter(|s| s.person != BALL && (s.t - t).abs() < 0.15);
    let (mut x, mut y): (Vec<f64>, Vec<f64>) =
        near.map(|s| place(s, whole).at).map(|[_, x, y]| (x, y)).unzip();
    Some([t, infer::median(&mut x)?, infer::median(&mut y)?])
}

/// One place an instant. Rows that repeat a place are no matter; of two places the one nearer to the place before stays, and
/// at first the one nearer to `anchor`.
fn without_doubles(seen: &[Seen], anchor: Option<[f64; 3]>) -> (Vec<Seen>, Doubles) {
    let mut out: Vec<Seen> = Vec::with_capacity(seen.len());
    let mut doubles = Doubles::default();
    for s in seen {
        match out.last().copied() {
            Some(last) if (s.at[0] - last.at[0]).abs() < 1e-4 => {
                let gap = apart(s.at, last.at);
                if gap <= TWO_PLACES_YD {
                    doubles.same += 1;
                    continue;
                }
                doubles.apart += 1;
                doubles.first.get_or_insert((s.row, gap));
                let before = out.len().checked_sub(2).map(|k| out[k].at).or(anchor);
                if before.is_some_and(|b| apart(s.at, b) < apart(last.at, b)) {
                    out.pop();
                    out.push(*s);
                }
            }
            _ => out.push(*s),
        }
    }
    (out, doubles)
}

/// Takes out whoever stands beside the field at the snap.
fn outside(bodies: &mut BTreeMap<u32, Body>, whole: &Whole<'_>, notes: &mut Notes) {
    let beyond = |b: &Body| {
        let s = at(&b.path, 0.0, 0.3)?;
        let off = (-s[2]).max(s[2] - whole.book.width());
        (off > OUTSIDE_YD).then_some(off)
    };
    bodies.retain(|key, b| {
        let Some(off) = beyond(b) else { return true };
        let text = format!(
            "{} stands {off:.1} yd outside the sideline at the snap (at most {OUTSIDE_YD} yd) and is left out",
            whole.words.word(*key)
        );
        notes.add(Severity::Weak, "out-of-bounds", text);
        false
    });
}

/// Names the rows of people that nobody could have run to; the smoother leaves them out.
fn astray(bodies: &BTreeMap<u32, Body>, keys: &[u32], whole: &Whole<'_>, notes: &mut Notes) {
    for key in keys {
        let Some(b) = bodies.get(key) else { continue };
        let kept = reachable(&b.path, whole.mapping.sd_yd);
        let Some(k) = (0..b.path.len()).find(|k| kept.binary_search(k).is_err()) else { continue };
        let near = kept.iter().copied().min_by_key(|i| i.abs_diff(k)).unwrap_or(k);
        let (here, there) = (b.path[k], b.path[near]);
        let text = format!(
            "{} is {:.1} yd away after {:.2} s in row {}, and nobody runs faster than {FASTEST_YDPS} yd/s; {} such rows are left out",
            whole.words.word(*key),
            apart(here, there),
            (here[0] - there[0]).abs(),
            b.rows[k],
            b.path.len() - kept.len()
        );
        notes.add(Severity::Weak, "teleport", text);
    }
}

/// A velocity that is known worse than this says nothing that the places do not, yd/s.
const USELESS_YDPS: f64 = 2.0;
/// No column of speeds is better than this, yd/s; common practice, no source.
const SPEED_SD_YDPS: f64 = 0.25;

/// How well the table's velocities are known, yd/s in each direction, by how they agree with the places; takes those away
/// that contradict them. `None` when none are left.
fn speeds(bodies: &mut BTreeMap<u32, Body>, whole: &Whole<'_>, notes: &mut Notes) -> Option<f64> {
    let (mut off, mut noise) = (Vec::new(), Vec::new());
    let mut each: Vec<(u32, Vec<f64>, u64)> = Vec::new();
    for (key, b) in bodies.iter() {
        let mut own = Vec::new();
        let mut worst = (0.0, 0);
        for k in 1..b.path.len().saturating_sub(1) {
            let (p, s, n) = (b.path[k - 1], b.path[k], b.path[k + 1]);
            let dt = n[0] - p[0];
            let Some(v) = b.velocities[k].filter(|_| (0.0..0.5).contains(&dt)) else { continue };
            let moved = [(n[1] - p[1]) / dt, (n[2] - p[2]) / dt];
            let (ex, ey) = (v[0] - moved[0], v[1] - moved[1]);
            off.extend([ex.abs(), ey.abs()]);
            // What white noise of the places does to the difference, by their second differences.
            noise.extend([1, 2].map(|i| (p[i] - 2.0 * s[i] + n[i]).abs() * (2.0f64 / 6.0).sqrt() / dt));
            own.push(ex.hypot(ey));
            if ex.hypot(ey) > worst.0 {
                worst = (ex.hypot(ey), b.rows[k]);
            }
        }
        each.push((*key, own, worst.1));
    }
    // Median deviation to standard deviation of a normal error.
    let spread = |v: &mut Vec<f64>| infer::median(v).map(|m| 1.4826 * m);
    let (all, blur) = (spread(&mut off)?, spread(&mut noise)?);
    let sd = (all * all - blur * blur).max(0.0).sqrt().max(SPEED_SD_YDPS);
    let columns = || {
        let c = &whole.mapping.columns;
        [c.speed.as_deref(), c.course.as_deref()].into_iter().flatten().collect::<Vec<_>>().join("” and “")
    };
    if sd > USELESS_YDPS {
        let text = format!(
            "“{}” disagree with how far people move by {sd:.1} yd/s (at most {USELESS_YDPS}) and are not used",
            columns()
        );
        notes.add(Severity::Weak, "speeds-disagree", text);
        return None;
    }
    for (key, mut own, row) in each {
        let limit = USELESS_YDPS + 3.0 * blur;
        let Some(median) = infer::median(&mut own).filter(|m| *m > limit) else { continue };
        let text = format!(
            "speed and course of {} disagree with how far he moves by {median:.1} yd/s (at most {limit:.1}), most in row {row}; they are not used",
            whole.words.word(key)
        );
        notes.add(Severity::Weak, "speed-disagrees", text);
        if let Some(b) = bodies.get_mut(&key) {
            b.velocities.iter_mut().for_each(|v| *v = None);
        }
    }
    Some(sd)
}

fn events(raw: &RawPlay, whole: &Whole<'_>) -> Vec<(Event, f64, bool)> {
    raw.samples
        .iter()
        .filter(|s| s.event != NONE)
        .filter_map(|s| {
            let word = whole.words.word(s.event);
            let what = *whole.mapping.events.get(word)?;
            (what != Event::Nothing).then(|| (what, s.t, words::automatic(word)))
        })
        .collect()
}

/// Samples a second, by the median step.
fn rate(bodies: &BTreeMap<u32, Body>) -> Option<f64> {
    let longest = bodies.values().max_by_key(|b| b.path.len())?;
    let mut steps: Vec<f64> = longest.path.windows(2).map(|w| w[1][0] - w[0][0]).collect();
    steps.sort_by(f64::total_cmp);
    steps.get(steps.len() / 2).filter(|s| **s > 0.0).map(|s| 1.0 / s)
}

/// Word of the offense's team, and which way it goes.
fn sides(
    ball: &Path,
    bodies: &BTreeMap<u32, Body>,
    declared: Option<Direction>,
    said: Option<&Said>,
    whole: &Whole<'_>,
    notes: &mut Notes,
) -> Result<(u32, Direction), String> {
    let mut teams: BTreeMap<u32, Vec<[f64; 3]>> = BTreeMap::new();
    for b in bodies.values() {
        if let (Some(team), Some(s)) = (b.team, at(&b.path, 0.0, 0.3)) {
            teams.entry(team).or_default().push(s);
        }
    }
    while teams.len() > 2 {
        let fewest = *teams.iter().min_by_key(|t| t.1.len()).expect("more than two teams").0;
        let text = format!("“{}” is a third side and is left out", whole.words.word(fewest));
        notes.add(Severity::Weak, "third-side", text);
        teams.remove(&fewest);
    }
    if teams.len() < 2 {
        return Err(format!("it has {} sides at the snap, not 2", teams.len()));
    }
    let named = teams.keys().copied().find(|t| {
        let word = whole.words.word(*t);
        whole.mapping.sides.get(word) == Some(&Unit::Offense)
            || said.and_then(|s| s.offense.as_deref()).is_some_and(|o| o.eq_ignore_ascii_case(word))
    });
    let seen = infer::possession(ball, &teams, declared);
    match (named, seen) {
        (Some(team), Some((by_motion, direction))) => {
            if team != by_motion {
                let text = "the ball goes back to the other side than the one that the table names";
                notes.add(Severity::Weak, "possession-doubtful", text);
                let direction = declared.ok_or("which way the offense goes is not told")?;
                return Ok((team, direction));
            }
            Ok((team, agreed(direction, declared, notes)))
        }
        (None, Some((team, direction))) => Ok((team, agreed(direction, declared, notes))),
        (Some(team), None) => Ok((team, declared.ok_or("which way the offense goes is not told")?)),
        (None, None) => Err("neither words nor motion say which side has the ball".into()),
    }
}

fn agreed(seen: Direction, declared: Option<Direction>, notes: &mut Notes) -> Direction {
    if declared.is_some_and(|d| d != seen) {
        let text = "the table names the other direction than the one the sides stand in; the latter is taken";
        notes.add(Severity::Weak, "direction-contradicted", text);
    }
    seen
}

fn passer(
    ball: &Path,
    bodies: &BTreeMap<u32, Body>,
    about: &std::collections::HashMap<u32, About>,
    offense: u32,
    until: f64,
    notes: &mut Notes,
) -> Result<u32, String> {
    let men: BTreeMap<u32, &Path> =
        bodies.iter().filter(|(_, b)| b.team == Some(offense)).map(|(k, b)| (*k, &b.path)).collect();
    let by_ball = infer::holder(ball, &men, until).filter(|h| h.1 < HOLDS_YD).map(|h| h.0);
    let called = |k: &u32| about.get(k).and_then(|a| a.position.as_deref()).is_some_and(words::is_passer);
    let by_word: Vec<u32> = men.keys().copied().filter(called).collect();
    match (by_word[..].first(), by_ball) {
        (Some(word), Some(ball)) if *word != ball && by_word.len() == 1 => {
            notes.add(
                Severity::Weak,
                "other-passer",
                "another man than the one called the passer has the ball",
            );
            Ok(ball)
        }
        (_, Some(ball)) => Ok(ball),
        (Some(word), None) => Ok(*word),
        (None, None) => Err("nobody of the offense has the ball after the snap".into()),
    }
}

fn result(when: &BTreeMap<Event, f64>, said: Option<&Said>) -> Option<ThrowResult> {
    let by_event = [
        (Event::Intercepted, ThrowResult::Intercepted),
        (Event::Incomplete, ThrowResult::Incomplete),
        (Event::Caught, ThrowResult::Complete),
    ];
    let thrown = when.contains_key(&Event::Release);
    said.and_then(|s| s.result).or_else(|| {
        by_event.into_iter().filter(|_| thrown).find(|e| when.contains_key(&e.0)).map(|e| e.1).or_else(|| {
            match (thrown, when.contains_key(&Event::Sack), when.contains_key(&Event::Run)) {
                (false, true, _) => Some(ThrowResult::Sacked),
                (false, _, true) => Some(ThrowResult::Scrambled),
                _ => None,
            }
        })
    })
}

fn moments(
    when: &BTreeMap<Event, f64>,
    ball: &Path,
    passer: &Path,
    direction: Direction,
    sd_yd: f64,
    (snap_se, sample_se): (f64, f64),
    notes: &mut Notes,
) -> Vec<Moment> {
    let moment = |kind, t, se: f64| Moment { kind, at_s: Estimate::new(t, se) };
    let mut out = vec![moment(MomentKind::Snap, 0.0, snap_se)];
    let release = when.get(&Event::Release).copied();
    let sack = when.get(&Event::Sack).copied().filter(|_| release.is_none());
    let until = release.or(sack).or(when.get(&Event::Run).copied()).unwrap_or(3.0);
    if let Some(at_s) = infer::set(passer, direction, until, sd_yd) {
        out.push(Moment { kind: MomentKind::Set, at_s });
    }
    if let Some(t) = sack {
        out.push(moment(MomentKind::FirstContact, t, sample_se));
    }
    if let Some(r) = release {
        let inferred = notes.has("release-inferred");
        out.push(moment(MomentKind::Release, r, if inferred { INFERRED_S } else { sample_se }));
        let told = [Event::Arrival, Event::Caught, Event::Intercepted, Event::Incomplete];
        let told =
            told.iter().filter_map(|e| when.get(e)).copied().filter(|t| *t > r + 0.05).min_by(f64::total_cmp);
        match (told, infer::arrival(ball, r)) {
            // An incomplete pass is often tagged when it lies on the ground; the ball's turn comes first.
            (Some(t), Some(seen)) if seen < t - 0.35 && !when.contains_key(&Event::Arrival) => {
                out.push(moment(MomentKind::Arrival, seen, INFERRED_S));
            }
            (Some(t), _) => out.push(moment(MomentKind::Arrival, t, sample_se)),
            (None, Some(seen)) => {
                notes.add(Severity::Weak, "arrival-inferred", "the arrival is read off the ball's motion");
                out.push(moment(MomentKind::Arrival, seen, INFERRED_S));
            }
            (None, None) => notes.add(Severity::Weak, "no-arrival", "when the ball arrived is not told"),
        }
    }
    out.sort_by(|a, b| a.at_s.value.total_cmp(&b.at_s.value));
    out
}

/// Everybody with id and role, and the word of each, in the same order.
fn people(
    bodies: &BTreeMap<u32, Body>,
    passer: u32,
    setting: &Setting,
    whole: &Whole<'_>,
    about: &std::collections::HashMap<u32, About>,
    unit: impl Fn(&Body) -> Option<Unit>,
    notes: &mut Notes,
) -> (Vec<Person>, Vec<u32>) {
    // From the offense's left to its right, so that counted ids follow the picture.
    let left = |b: &Body| at(&b.path, 0.0, 0.6).map_or(0.0, |s| setting.direction.sign() * s[2]);
    let mut order: Vec<(&u32, &Body)> = bodies.iter().collect();
    order.sort_by(|a, b| left(b.1).total_cmp(&left(a.1)));
    let starters: Vec<Starter> = order
        .iter()
        .map(|(_, b)| Starter { unit: unit(b).unwrap_or(Unit::Defense), samples: b.path.clone() })
        .collect();
    let index = order.iter().position(|(k, _)| **k == passer).unwrap_or(0);
    let given = roles(&starters, index, setting);
    let (mut line, mut backs, mut defenders) = (0, 0, 0);
    let (mut people, mut keys) = (Vec::new(), Vec::new());
    for (((key, _), starter), role) in order.iter().zip(&starters).zip(given) {
        let Some(role) = role else {
            let text = format!("{} has no row at the snap and is left out", whole.words.word(**key));
            notes.add(Severity::Weak, "not-at-snap", text);
            continue;
        };
        let counted = |n: &mut u32, letter: &str| {
            *n += 1;
            format!("{letter}{n}")
        };
        let id = match role {
            Role::Passer => PersonId::PASSER.to_owned(),
            Role::Receiver { flank: Flank::Left, number } => format!("L{number}"),
            Role::Receiver { flank: Flank::Right, number } => format!("R{number}"),
            Role::Back if backs == 0 => {
                backs = 1;
                "B".to_owned()
            }
            Role::Back => counted(&mut backs, "B"),
            Role::Blocker => counted(&mut line, "O"),
            Role::Rusher | Role::Cover => counted(&mut defenders, "D"),
        };
        let a = about.get(key).cloned().unwrap_or_default();
        let name = a.name.unwrap_or_else(|| {
            let parts = [a.position, a.shirt.map(|n| n.to_string())];
            parts.into_iter().flatten().collect::<Vec<_>>().join(" ")
        });
        people.push(Person { id: id.into(), unit: starter.unit, role, shirt: a.shirt, name });
        keys.push(**key);
    }
    (people, keys)
}

fn hash(y: f64, book: RuleBook) -> Hash {
    [Hash::Near, Hash::Middle, Hash::Far]
        .into_iter()
        .min_by(|a, b| (a.y(book) - y).abs().total_cmp(&(b.y(book) - y).abs()))
        .unwrap_or(Hash::Middle)
}

/// The eligible man nearest to the ball when it arrived. A ball that nobody caught is tagged anywhere between the hands that
/// missed it and the ground behind them: there the nearest over the end of its flight counts, and from farther off.
fn target(
    t: &Tracked,
    people: &[Person],
    result: Option<ThrowResult>,
    notes: &mut Notes,
) -> Option<PersonId> {
    if matches!(result, Some(ThrowResult::ThrownAway | ThrowResult::Batted)) {
        return None;
    }
    let arrival = t.moments.iter().find(|m| m.kind == MomentKind::Arrival)?.at_s.value;
    let caught = matches!(result, Some(ThrowResult::Complete));
    let (from, limit) = if caught { (arrival - 0.05, TARGET_YD) } else { (arrival - MISSED_S, MISSED_YD) };
    at(&t.ball, arrival, 0.15)?;
    let end: Vec<[f64; 3]> =
        t.ball.iter().copied().filter(|s| (from..=arrival + 0.15).contains(&s[0])).collect();
    let (id, d) = people
        .iter()
        .filter(|p| p.eligible())
        .filter_map(|p| {
            let path = &t.people.iter().find(|x| x.person == p.id)?.samples;
            let gaps = end.iter().filter_map(|ball| Some(apart(*ball, at(path, ball[0], 0.15)?)));
            Some((&p.id, gaps.min_by(f64::total_cmp)?))
        })
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    if d > limit {
        let text = format!(
            "nobody eligible was within {limit} yd of the ball when it arrived; {id} was {d:.1} yd off"
        );
        notes.add(Severity::Weak, "no-target", text);
        return None;
    }
    Some(id.clone())
}
