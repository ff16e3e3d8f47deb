//! A play's line, from what was charted, measured and judged of it.

use super::field::{DEPTHS, FEET, NO, WEIGHT, YES};
use super::line::{Cell, Line, banded};
use super::scouted::Scouted;
use geometry::Vector2;
use play::{
    Chart, Hash, Judgement, Measurement, MomentKind, Outcome, OwnCall, Person, Play, Role, Seen, ThrowResult,
};
use stats::Estimate;

/// Everything known of one play.
#[derive(Clone, Copy, Debug)]
pub struct Known<'a> {
    /// The play.
    pub play: &'a Play,
    /// Name of its game.
    pub game: &'a str,
    /// As charted.
    pub chart: &'a Chart,
    /// Who is in it.
    pub people: &'a [Person],
    /// As measured.
    pub measurement: Option<&'a Measurement>,
    /// As judged by the program, the evaluator's first plan first.
    pub judgements: &'a [Judgement],
    /// The evaluator's calls.
    pub calls: &'a [OwnCall],
    /// True for a right-handed passer.
    pub right_handed: bool,
    /// What was recognised.
    pub scouted: &'a Scouted,
}

/// A passer faster than this at the release is on the move, yd/s: a jog.
const MOVES_YDPS: f64 = 2.5;
/// A throw that arrives within this of the ball's spot across the field is to the middle, yd. Ours.
const MIDDLE_YD: f64 = 8.0;
/// Likelihood from which a recognised coverage is said. Ours.
const SURE: f64 = 0.8;

/// The play's line. Fields that take other plays to tell are added by [`super::together`].
pub fn line(k: &Known<'_>) -> Line {
    let mut l = Line {
        play: k.play.id.clone(),
        game: k.play.game.clone(),
        number: k.play.number,
        cells: Default::default(),
    };
    result(&mut l, k);
    decision(&mut l, k);
    situation(&mut l, k);
    calls(&mut l, k);
    defense(&mut l, k);
    pressure(&mut l, k);
    if thrown(k.chart.result).unwrap_or(true) {
        throw(&mut l, k);
        feet(&mut l, k);
        placement(&mut l, k);
        expected(&mut l, k);
    }
    l
}

/// Whether the ball was thrown to somebody; `None` when the result is not charted.
fn thrown(result: Option<ThrowResult>) -> Option<bool> {
    use ThrowResult::{Batted, Complete, Incomplete, Intercepted};
    result.map(|r| matches!(r, Complete | Incomplete | Intercepted | Batted))
}

fn said(yes: bool) -> Cell {
    Cell::Word(if yes { YES } else { NO }.to_owned())
}
fn word(w: &str, why: &str) -> Cell {
    match w.trim() {
        "" => Cell::NotSeen(why.to_owned()),
        w => Cell::Word(w.to_owned()),
    }
}
fn unseen(why: &str) -> Cell {
    Cell::NotSeen(why.to_owned())
}
fn seen(s: Option<&Seen<Estimate>>, otherwise: &str) -> Cell {
    match s {
        Some(Seen::Seen(e)) => Cell::Value(*e),
        Some(Seen::NotSeen(why)) => unseen(why),
        None => unseen(otherwise),
    }
}
fn moment(k: &Known<'_>, kind: MomentKind) -> Option<Estimate> {
    k.measurement?.moments.iter().find(|m| m.kind == kind).map(|m| m.at_s)
}

const NO_RESULT: &str = "the result is not charted";
const NOT_MEASURED: &str = "the play is not measured";

fn result(l: &mut Line, k: &Known<'_>) {
    use ThrowResult::{Complete, Incomplete, Intercepted, Sacked};
    let c = k.chart;
    match c.result {
        None => {
            for f in
                ["completions", "intercepted", "touchdowns", "sacked", "result", "high-misses", "ball-misses"]
            {
                l.put(f, unseen(NO_RESULT));
            }
        }
        Some(r) => {
            l.put("sacked", said(r == Sacked));
            l.put("result", Cell::Word(result_word(r).to_owned()));
            if thrown(Some(r)) == Some(true) {
                l.put("completions", said(r == Complete));
                l.put("intercepted", said(r == Intercepted));
                l.put("touchdowns", touchdown(k, r));
            }
            if r == Incomplete || r == Intercepted {
                let miss = c.miss.trim().to_lowercase();
                l.put("miss", word(&c.miss, "how it missed is not charted"));
                if r == Incomplete {
                    l.put("high-misses", told(&miss, |m| m.contains("high")));
                    let ball = ["high", "low", "ahead", "behind", "wide", "short", "long"];
                    l.put("ball-misses", told(&miss, |m| ball.iter().any(|b| m.contains(b))));
                }
            }
        }
    }
    l.put(
        "gain",
        c.gain_yd.map_or_else(|| unseen("the gain is not charted"), |g| Cell::Value(Estimate::new(g, 0.0))),
    );
}

/// A gain counts to the yard, so that one half a yard short of the goal line is one that crossed it.
const ROUNDED_YD: f64 = 0.5;

fn touchdown(k: &Known<'_>, r: ThrowResult) -> Cell {
    if r != ThrowResult::Complete {
        return said(false);
    }
    match (k.chart.gain_yd, k.play.situation.yards_to_goal()) {
        (Some(gain), Some(goal)) => said(gain >= goal - ROUNDED_YD),
        (None, _) => unseen("the gain is not charted"),
        (_, None) => unseen("the ball's line and the direction are not in the play list"),
    }
}

fn told(miss: &str, is: impl Fn(&str) -> bool) -> Cell {
    if miss.is_empty() { unseen("how it missed is not charted") } else { said(is(miss)) }
}

/// A result in plain words.
const fn result_word(r: ThrowResult) -> &'static str {
    match r {
        ThrowResult::Complete => "complete",
        ThrowResult::Incomplete => "incomplete",
        ThrowResult::Intercepted => "intercepted",
        ThrowResult::Sacked => "sacked",
        ThrowResult::Scrambled => "scrambled",
        ThrowResult::ThrownAway => "thrown away",
        ThrowResult::Batted => "batted",
    }
}

/// An outcome in the words of `docs/glossary.md`.
const fn outcome_word(o: Outcome) -> &'static str {
    match o {
        Outcome::InRhythm => "in rhythm",
        Outcome::Behind => "behind",
        Outcome::Ahead => "ahead",
        Outcome::Bettered => "bettered",
        Outcome::Traded => "traded",
        Outcome::Passed => "passed over",
        Outcome::Forced => "forced",
        Outcome::Bare => "bare",
        Outcome::Untold => "untold",
    }
}

fn decision(l: &mut Line, k: &Known<'_>) {
    let first = k.judgements.first();
    let likely = first.and_then(|j| j.outcomes.first()).filter(|w| w.outcome != Outcome::Untold);
    match likely {
        Some(w) => {
            l.put("judgement", Cell::Word(outcome_word(w.outcome).to_owned()));
            l.put("in-rhythm", said(w.outcome == Outcome::InRhythm));
            if w.outcome != Outcome::Bare {
                let sound = matches!(w.outcome, Outcome::InRhythm | Outcome::Bettered | Outcome::Traded);
                l.put("sound-decision", said(sound));
            }
        }
        None => {
            let why = first.map_or("there is no plan to judge under", |j| j.reason.as_str());
            for f in ["judgement", "in-rhythm", "sound-decision"] {
                l.put(f, unseen(why));
            }
        }
    }
    if let Some(own) = k.calls.first() {
        l.put("own-call", Cell::Word(outcome_word(own.outcome).to_owned()));
        l.put("called-in-rhythm", said(own.outcome == Outcome::InRhythm));
        let same = k.judgements.iter().find(|j| j.plan == own.plan).and_then(|j| j.outcomes.first());
        if let Some(w) = same.filter(|w| w.outcome != Outcome::Untold) {
            l.put("agreed", said(w.outcome == own.outcome));
        }
    } else {
        for f in ["own-call", "called-in-rhythm", "agreed"] {
            l.put(f, unseen("the evaluator has not called it"));
        }
    }
    let Some(j) = first else { return };
    l.put("plan", Cell::Word(j.plan_name.clone()));
    if let Some(gap) = j.value_gap {
        l.put("value-gap", Cell::Value(gap));
    }
    if thrown(k.chart.result) == Some(true) {
        l.put("look", look(k));
    }
}

/// The slot of somebody by his role.
fn slot_of(p: &Person) -> Option<String> {
    match p.role {
        Role::Receiver { flank, number } => {
            Some(format!("{}{number}", if flank == play::Flank::Left { 'L' } else { 'R' }))
        }
        Role::Back => Some("B".to_owned()),
        _ => None,
    }
}

fn target_slot(k: &Known<'_>) -> Option<String> {
    let target = k.chart.target.as_ref()?;
    slot_of(k.people.iter().find(|p| p.id == *target)?)
}

fn look(k: &Known<'_>) -> Cell {
    if k.scouted.looks.is_empty() {
        return unseen("there is no plan to judge under");
    }
    let Some(slot) = target_slot(k) else { return unseen("whom the ball was thrown to is not charted") };
    let at = k.scouted.looks.iter().position(|s| *s == slot);
    Cell::Word(
        match at {
            Some(0) => "first look",
            Some(1) => "second look",
            Some(_) => "later look",
            None => "off the plan",
        }
        .to_owned(),
    )
}

fn situation(l: &mut Line, k: &Known<'_>) {
    let s = &k.play.situation;
    let ordinal = |n: u8| match n {
        1 => "1st",
        2 => "2nd",
        3 => "3rd",
        4 => "4th",
        _ => "overtime",
    };
    let put = |l: &mut Line, f: &str, w: Option<String>| {
        l.put(f, w.map_or_else(|| unseen("it is not in the play list"), Cell::Word));
    };
    l.put("game", Cell::Word(k.game.to_owned()));
    put(l, "quarter", s.quarter.map(|q| ordinal(q).to_owned()));
    let half = |q| match q {
        1 | 2 => "first half",
        3 | 4 => "second half",
        _ => "overtime",
    };
    put(l, "half", s.quarter.map(|q| half(q).to_owned()));
    put(l, "down", s.down.map(|d| ordinal(d.clamp(1, 4)).to_owned()));
    let to_go = |d: f64| {
        if d <= 3.0 {
            "1 to 3"
        } else if d <= 7.0 {
            "4 to 7"
        } else {
            "8 and more"
        }
    };
    put(l, "to-go", s.distance_yd.map(|d| to_go(d).to_owned()));
    let zone = |g: f64| {
        if g <= 20.0 {
            "last 20 yards"
        } else if g >= 80.0 {
            "own 20 and back"
        } else {
            "between the 20s"
        }
    };
    put(l, "field-zone", s.yards_to_goal().map(|g| zone(g).to_owned()));
    let score = |m: i32| match m.signum() {
        -1 => "behind",
        0 => "level",
        _ => "ahead",
    };
    put(l, "score", s.margin.map(|m| score(m).to_owned()));
    let hash = |h| match h {
        Hash::Near => "near hash",
        Hash::Middle => "middle",
        Hash::Far => "far hash",
    };
    put(l, "hash", s.hash.map(|h| hash(h).to_owned()));
}

fn calls(l: &mut Line, k: &Known<'_>) {
    let c = k.chart;
    let why = "it is not charted";
    for (f, w) in [
        ("formation", &c.formation),
        ("motion", &c.motion),
        ("concept", &c.concept),
        ("protection", &c.protection),
        ("drop", &c.drop),
        ("coverage-before", &c.coverage_before),
        ("coverage", &c.coverage_after),
        ("pocket", &c.pocket),
    ] {
        l.put(f, word(w, why));
    }
    if thrown(c.result) == Some(true) {
        let slot = target_slot(k);
        let route = slot.and_then(|s| c.routes.iter().find(|r| r.slot == s)).map(|r| r.route.clone());
        l.put("route", route.map_or_else(|| unseen("his route is not charted"), |r| word(&r, why)));
    }
}

fn defense(l: &mut Line, k: &Known<'_>) {
    let s = k.scouted;
    let why = "it is neither charted nor sure from the tracks";
    let family = s.family.clone().or_else(|| s.seen_family.clone().filter(|f| f.1 >= SURE).map(|f| f.0));
    l.put("coverage-family", family.map_or_else(|| unseen(why), Cell::Word));
    let sure = |charted: Option<bool>, seen: Option<f64>, (yes, no): (&str, &str)| {
        let told = charted.or_else(|| {
            seen.and_then(|p| (p >= SURE).then_some(true).or((p <= 1.0 - SURE).then_some(false)))
        });
        told.map_or_else(|| unseen(why), |t| Cell::Word(if t { yes } else { no }.to_owned()))
    };
    l.put("man-zone", sure(s.charted_man, s.seen_man, ("man", "zone")));
    l.put("middle", sure(s.charted_closed, s.seen_closed, ("closed", "open")));
    let deep = |n| match n {
        0 => "none",
        1 => "one",
        2 => "two",
        _ => "three",
    };
    let shell = s.shell.filter(|x| x.1 >= SURE).map(|x| deep(x.0).to_owned());
    l.put("shell", shell.map_or_else(|| unseen("the safeties are not seen at the snap"), Cell::Word));
    let rush = |n: u8| match n {
        0..=3 => "3".to_owned(),
        4 | 5 => n.to_string(),
        _ => "6 and more".to_owned(),
    };
    let rush = k.chart.rushers.or(s.rushers).map(rush);
    l.put("rush", rush.map_or_else(|| unseen("it is neither charted nor seen"), Cell::Word));
}

fn pressure(l: &mut Line, k: &Known<'_>) {
    let release = moment(k, MomentKind::Release);
    let at = k.measurement.and_then(|m| m.pressure.at_s.get()).copied();
    let tracked = k.measurement.is_some_and(|m| !m.tracks.is_empty());
    let before = match (at, release) {
        (Some(p), Some(r)) => match r.minus(p).probability_above(0.0) {
            sure if sure >= SURE => said(true),
            sure if sure <= 1.0 - SURE => said(false),
            _ => unseen("the rusher came as the ball left: which was first is not seen"),
        },
        // Nobody within reach up to the release is an answer only when the release was seen.
        (None, Some(_)) if tracked => said(false),
        _ => unseen("release or rushers are not seen"),
    };
    l.put("pressure-before-throw", before.clone());
    if let Some(p) = at {
        l.put("time-to-pressure", Cell::Value(p));
    }
    let pocket = k.chart.pocket.trim();
    let clean = match (pocket.is_empty(), before) {
        (false, _) => Some(pocket.eq_ignore_ascii_case("clean")),
        (true, Cell::Word(w)) => Some(w == NO),
        _ => None,
    };
    let clean = clean.map(|c| if c { "clean" } else { "pressured" });
    l.put(
        "pressure",
        clean.map_or_else(|| unseen("it is neither charted nor seen"), |c| Cell::Word(c.to_owned())),
    );
    l.put("on-the-move", on_the_move(k, release));
}

fn on_the_move(k: &Known<'_>, release: Option<Estimate>) -> Cell {
    let words = |moves: bool| Cell::Word(if moves { "on the move" } else { "from his spot" }.to_owned());
    let speed = release.and_then(|r| {
        let id = &k.people.iter().find(|p| p.role == Role::Passer)?.id;
        let t = k.measurement?.tracks.iter().find(|t| t.person == *id)?.at(r.value)?;
        let se = (0.5 * (t.velocity_covariance.xx + t.velocity_covariance.yy)).max(0.0).sqrt();
        Some(Estimate::new(t.velocity.norm(), se))
    });
    if let Some(v) = speed {
        let p = v.probability_above(MOVES_YDPS);
        if !(1.0 - SURE..SURE).contains(&p) {
            return words(p >= SURE);
        }
    }
    // Words that say it whatever the tracks say.
    let moving = ["moved", "escaped", "rolled"];
    let running = ["half roll", "bootleg", "scramble"];
    let pocket = k.chart.pocket.to_lowercase();
    let drop = k.chart.drop.to_lowercase();
    if moving.iter().any(|w| pocket.starts_with(w)) || running.iter().any(|w| drop.starts_with(w)) {
        return words(true);
    }
    if pocket.is_empty() && drop.is_empty() {
        return unseen("his speed at the release is not seen, nor is pocket or drop charted");
    }
    words(false)
}

fn throw(l: &mut Line, k: &Known<'_>) {
    let release = moment(k, MomentKind::Release);
    l.put("time-to-throw", release.map_or_else(|| unseen("the release is not marked"), Cell::Value));
    l.put(
        "tempo",
        match (release, k.scouted.drop_out_s) {
            (Some(r), Some((from, to))) => {
                banded(r, &[(from, "quicker"), (to, "on time"), (f64::INFINITY, "later")])
            }
            (None, _) => unseen("the release is not marked"),
            (_, None) => unseen("the drop is not charted"),
        },
    );
    let ball = k.measurement.map(|m| &m.throw);
    let flight = ball.and_then(Seen::get);
    let why = match ball {
        Some(Seen::NotSeen(why)) => why.as_str(),
        _ => NOT_MEASURED,
    };
    l.put("release-speed", seen(flight.map(|t| &t.speed_mph), why));
    l.put("launch", seen(flight.map(|t| &t.launch_deg), why));
    l.put("air-distance", flight.map_or_else(|| unseen(why), |t| Cell::Value(t.air_yd)));
    let arc = |a: &play::Arc| match a {
        play::Arc::Driven => "driven",
        play::Arc::Layered => "layered",
        play::Arc::Touch => "touch",
    };
    let arc = flight.and_then(|t| t.arc.get()).map(|a| Cell::Word(arc(a).to_owned()));
    l.put("arc", arc.unwrap_or_else(|| unseen(why)));
    let depth = k.scouted.depth_yd;
    l.put("target-depth", depth.map_or_else(|| unseen(why), Cell::Value));
    l.put("depth", depth.map_or_else(|| unseen(why), |d| banded(d, DEPTHS)));
    let sides = &[(-MIDDLE_YD, "right"), (MIDDLE_YD, "middle"), (f64::INFINITY, "left")];
    l.put("direction", k.scouted.left_yd.map_or_else(|| unseen(why), |y| banded(y, sides)));
}

fn feet(l: &mut Line, k: &Known<'_>) {
    let feet = k.measurement.map(|m| &m.feet);
    let f = feet.and_then(Seen::get);
    let why = match feet {
        Some(Seen::NotSeen(why)) => why.as_str(),
        _ => NOT_MEASURED,
    };
    let error = seen(f.map(|f| &f.error_deg), why);
    l.put(
        "feet",
        match &error {
            Cell::Value(e) => banded(*e, FEET),
            other => other.clone(),
        },
    );
    l.put("feet-error", error);
    l.put("base", seen(f.map(|f| &f.base_yd), why));
    l.put("step", seen(f.map(|f| &f.step_yd), why));
    l.put("front-foot-lead", seen(f.map(|f| &f.front_foot_lead_s), why));
    let weight = seen(f.map(|f| &f.weight), why);
    l.put(
        "weight-on",
        match &weight {
            Cell::Value(e) => banded(*e, WEIGHT),
            other => other.clone(),
        },
    );
    l.put("weight", weight);
}

fn placement(l: &mut Line, k: &Known<'_>) {
    let placed = k.measurement.map(|m| &m.placement);
    let p = placed.and_then(Seen::get);
    let why = match placed {
        Some(Seen::NotSeen(why)) => why.as_str(),
        _ => NOT_MEASURED,
    };
    l.put("separation", seen(p.map(|p| &p.separation_yd), why));
    l.put("lead", seen(p.map(|p| &p.lead_yd), why));
    l.put("ahead-of-run", seen(p.map(|p| &p.ahead_of_run_yd), why));
    l.put("over-run", seen(p.map(|p| &p.over_run_ft), why));
    l.put("away", seen(p.map(|p| &p.away_yd), why));
    l.put("arrival-height", seen(p.map(|p| &p.height_ft), why));
    match miss(k) {
        Ok([across, along]) => {
            l.put("miss-across", Cell::Value(across));
            l.put("miss-along", Cell::Value(along));
        }
        Err(unknown) => {
            let why = if p.is_none() { why } else { unknown };
            l.put("miss-across", unseen(why));
            l.put("miss-along", unseen(why));
        }
    }
    let margin = moment(k, MomentKind::Release).and_then(|r| {
        let target = k.chart.target.as_ref()?;
        let cell = k.measurement?.windows.iter().find(|w| w.receiver == *target)?.nearest(r.value)?;
        cell.ball.map(|_| cell.margin_s)
    });
    l.put(
        "margin-at-release",
        margin.map_or_else(|| unseen("his window at the release is not known"), Cell::Value),
    );
}

/// By how much the ball missed the receiver across and along the line of the throw, yd: to the passer's open side (his left if
/// he is right-handed) and long are positive.
fn miss(k: &Known<'_>) -> Result<[Estimate; 2], &'static str> {
    let m = k.measurement.ok_or(NOT_MEASURED)?;
    let p = m.placement.get().ok_or(NOT_MEASURED)?;
    let (lead, left) = p
        .lead_yd
        .get()
        .zip(p.left_yd.get())
        .ok_or("the ball's place for its receiver is seen from one side only")?;
    let t = m.throw.get().ok_or(NOT_MEASURED)?;
    let target = k.chart.target.as_ref().ok_or("whom the ball was thrown to is not charted")?;
    let track = m.tracks.iter().find(|t| t.person == *target).ok_or("the receiver has no track")?;
    let (first, last) = track.span().ok_or("the receiver has no track")?;
    let at = (t.release_s.value + t.flight_s.value).clamp(first, last);
    let run = track.at(at).ok_or("the receiver has no track")?.velocity;
    let speed = run.norm();
    if speed < 0.5 {
        return Err("the receiver stood, so that his own frame has no direction");
    }
    let run = run * (1.0 / speed);
    let his_left: Vector2<_> = Vector2::new(-run.y, run.x);
    let off = run * lead.value + his_left * left.value;
    let flight = Vector2::new(p.receiver.x - t.release.x, p.receiver.y - t.release.y);
    let way = flight.norm();
    if way < 1.0 {
        return Err("the throw is too short to have a direction");
    }
    let along = flight * (1.0 / way);
    let open = if k.right_handed { 1.0 } else { -1.0 };
    let across = Vector2::new(-along.y * open, along.x * open);
    let part = |d: Vector2<geometry::frame::Ground>| {
        Estimate::new(off.dot(d), (lead.se * run.dot(d)).hypot(left.se * his_left.dot(d)))
    };
    Ok([part(across), part(along)])
}

fn expected(l: &mut Line, k: &Known<'_>) {
    let names = [
        ["choice-chance", "timing-chance", "placement-chance", "rest-chance"],
        ["choice-points", "timing-points", "placement-points", "rest-points"],
    ];
    let Some(e) = k.scouted.expected else {
        let why = if k.scouted.not_expected.is_empty() { NOT_MEASURED } else { &k.scouted.not_expected };
        for f in names.iter().flatten().chain(&["chance", "over-chance", "points"]) {
            l.put(f, unseen(why));
        }
        return;
    };
    l.put("chance", Cell::Value(e.chance.release));
    let over = Estimate::new(e.chance.came - e.chance.release.value, e.chance.release.se);
    l.put("over-chance", Cell::Value(over));
    let steps = [(Some(e.chance), names[0]), (e.points, names[1])];
    for (steps, names) in steps {
        let parts = steps.map_or([None; 4], |s| s.parts());
        // The parts stand or fall together, so that their averages sum.
        let whole = parts.iter().all(Option::is_some);
        for (f, part) in names.iter().zip(parts) {
            let why = if steps.is_none() {
                "situation or gain is not charted"
            } else {
                "the ball as thrown is not measured"
            };
            l.put(f, part.filter(|_| whole).map_or_else(|| unseen(why), Cell::Value));
        }
    }
    let points = e.points.map(|s| Estimate::new(s.came - s.best.value, s.best.se));
    l.put("points", points.map_or_else(|| unseen("situation or gain is not charted"), Cell::Value));
}
