//! What a table does not tell, read off how ball and people move.

use crate::mapping::Event;
use field::Direction;
use geometry::Vector2;
use geometry::frame::Ground;
use motion::sampled::smoothed;
use motion::tracks::Running;
use play::{PersonId, Unit};
use stats::Estimate;
use std::collections::BTreeMap;

/// Samples of one body: seconds, x, y, yd in the field frame, in increasing time.
pub(crate) type Path = Vec<[f64; 3]>;

/// The sample nearest in time to `t`, if within `within` s.
pub(crate) fn at(path: &[[f64; 3]], t: f64, within: f64) -> Option<[f64; 3]> {
    let s = path.iter().min_by(|a, b| (a[0] - t).abs().total_cmp(&(b[0] - t).abs()))?;
    ((s[0] - t).abs() <= within).then_some(*s)
}

pub(crate) fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
    (a[1] - b[1]).hypot(a[2] - b[2])
}

/// When the ball starts back: it lies still for half a second, and moves off and away from there.
pub(crate) fn snap(ball: &[[f64; 3]]) -> Option<f64> {
    const STILL_YD: f64 = 0.5;
    const GONE_YD: f64 = 1.2;
    for k in 1..ball.len() {
        let now = ball[k][0];
        let before: Vec<&[f64; 3]> = ball[..k].iter().filter(|s| now - s[0] <= 0.75).collect();
        if before.first().is_none_or(|s| now - s[0] < 0.5) {
            continue;
        }
        let n = before.len() as f64;
        let rest =
            [now, before.iter().map(|s| s[1]).sum::<f64>() / n, before.iter().map(|s| s[2]).sum::<f64>() / n];
        let still = before.iter().all(|s| apart(**s, rest) < STILL_YD);
        let soon = ball[k..].iter().take_while(|s| s[0] - now <= 0.45);
        if still && apart(ball[k], rest) >= STILL_YD && soon.last().is_some_and(|s| apart(*s, rest) > GONE_YD)
        {
            // It lay still at the sample before and has gone half a yard by this one.
            return Some(before.last()?[0] + 0.02);
        }
    }
    None
}

/// When the ball leaves the passer: the last instant within arm's reach before it is three yards off and flying.
pub(crate) fn release(ball: &[[f64; 3]], passer: &[[f64; 3]]) -> Option<f64> {
    let far = ball.windows(2).position(|w| {
        let speed = apart(w[0], w[1]) / (w[1][0] - w[0][0]).max(1e-3);
        w[1][0] > 0.4 && speed > 9.0 && at(passer, w[1][0], 0.06).is_some_and(|p| apart(w[1], p) > 3.0)
    })? + 1;
    let near = |s: &&[f64; 3]| at(passer, s[0], 0.06).is_some_and(|p| apart(**s, p) < 1.3);
    ball[..far].iter().rev().find(near).map(|s| s[0])
}

/// When a flying ball arrives: its speed falls to half or its way turns.
pub(crate) fn arrival(ball: &[[f64; 3]], release_s: f64) -> Option<f64> {
    let flying: Vec<&[f64; 3]> = ball.iter().filter(|s| s[0] > release_s).collect();
    let velocity = |a: &[f64; 3], b: &[f64; 3]| {
        let dt = (b[0] - a[0]).max(1e-3);
        ((b[1] - a[1]) / dt, (b[2] - a[2]) / dt)
    };
    let mut first: Option<(f64, f64)> = None;
    for w in flying.windows(2) {
        let v = velocity(w[0], w[1]);
        match first {
            None if v.0.hypot(v.1) > 9.0 && w[1][0] > release_s + 0.2 => first = Some(v),
            Some(f) => {
                let along = (v.0 * f.0 + v.1 * f.1) / f.0.hypot(f.1).powi(2);
                if along < 0.55 {
                    return Some(w[0][0]);
                }
            }
            None => {}
        }
    }
    None
}

/// Nobody has caught the snap and planted a foot sooner, s; common practice, no source.
const SOONEST_SET_S: f64 = 0.6;
/// A passer who catches the ball and throws has planted by this time, s; common practice, no source (the playbook's drop of
/// that name).
const PLANTED_S: f64 = 0.9;
/// How well that is known, s.
const PLANTED_SE_S: f64 = 0.2;

/// When the drop ends: the passer no longer goes back. One who hardly drops has planted as a catch-and-throw does, and in
/// any case before the ball leaves at `until_s`. `None` for one who is gone before that.
pub(crate) fn set(passer: &[[f64; 3]], direction: Direction, until_s: f64, sd_yd: f64) -> Option<Estimate> {
    let kept: Vec<[f64; 3]> =
        passer.iter().copied().filter(|s| (-1.0..=until_s + 0.3).contains(&s[0])).collect();
    let track = smoothed(&PersonId::from(PersonId::PASSER), &kept, sd_yd, &Running::default())?;
    let downfield = Vector2::<Ground>::new(direction.sign(), 0.0);
    let dropped = motion::moments::set(&track, downfield, Some(until_s)).filter(|s| s.value >= SOONEST_SET_S);
    dropped.or_else(|| {
        let at = PLANTED_S.min(until_s - 0.2);
        (at >= SOONEST_SET_S - 0.2).then(|| Estimate::new(at, PLANTED_SE_S))
    })
}

/// Which team has the ball and where it goes: the ball goes back to the passer after the snap, and the team with the ball
/// stands on that side of it. `teams` are places at the snap by team.
pub(crate) fn possession(
    ball: &[[f64; 3]],
    teams: &BTreeMap<u32, Vec<[f64; 3]>>,
    declared: Option<Direction>,
) -> Option<(u32, Direction)> {
    let start = at(ball, 0.0, 0.3)?;
    let mean = |men: &[[f64; 3]]| men.iter().map(|s| s[1]).sum::<f64>() / men.len().max(1) as f64 - start[1];
    let sides: Vec<(u32, f64)> = teams.iter().map(|(team, men)| (*team, mean(men))).collect();
    let [(a, x), (b, y)] = sides[..] else { return None };
    let line = |men: &[[f64; 3]]| {
        men.iter().filter(|s| (s[1] - start[1]).abs() < 1.6 && (s[2] - start[2]).abs() < 4.5).count()
    };
    let (p, q) = (line(&teams[&a]), line(&teams[&b]));
    if x.signum() == y.signum() {
        // Both on one side of it on average: the ball's place is off. The line of five is the offense's, and the sides still
        // face each other.
        let up = |offense_is_a: bool| if (x < y) == offense_is_a { Direction::Up } else { Direction::Down };
        return match (declared, p.cmp(&q)) {
            (Some(d), _) => Some((if x * d.sign() < y * d.sign() { a } else { b }, d)),
            (None, std::cmp::Ordering::Equal) => None,
            (None, more) => {
                let is_a = more == std::cmp::Ordering::Greater;
                Some((if is_a { a } else { b }, up(is_a)))
            }
        };
    }
    // Where it mostly is while the passer has it: under centre he takes it late, and a quick throw has left by then.
    let mut held: Vec<f64> =
        ball.iter().filter(|s| (0.4..=1.4).contains(&s[0])).map(|s| s[1] - start[1]).collect();
    let back = median(&mut held);
    let toward = match back {
        Some(d) if d.abs() > 0.6 => d.signum(),
        // A ball that hardly moved: the line of five is the offense's.
        _ => match p.cmp(&q) {
            std::cmp::Ordering::Equal => -declared?.sign(),
            std::cmp::Ordering::Greater => x.signum(),
            std::cmp::Ordering::Less => y.signum(),
        },
    };
    let team = if x.signum() == toward { a } else { b };
    Some((team, if toward < 0.0 { Direction::Up } else { Direction::Down }))
}

/// Who has the ball after the snap: of `men` the one nearest to it, on average until it is thrown.
pub(crate) fn holder(ball: &[[f64; 3]], men: &BTreeMap<u32, &Path>, until_s: f64) -> Option<(u32, f64)> {
    let distance = |path: &Path| {
        let gaps: Vec<f64> = ball
            .iter()
            .filter(|s| s[0] > 0.5 && s[0] <= until_s.max(0.9))
            .filter_map(|s| Some(apart(*s, at(path, s[0], 0.06)?)))
            .collect();
        (!gaps.is_empty()).then(|| gaps.iter().sum::<f64>() / gaps.len() as f64)
    };
    men.iter().filter_map(|(k, path)| Some((*k, distance(path)?))).min_by(|a, b| a.1.total_cmp(&b.1))
}

/// The instants of events by meaning: the first of each after what must come before it; entered ones before guessed ones.
pub(crate) fn instants(events: &[(Event, f64, bool)]) -> BTreeMap<Event, f64> {
    let first = |what: Event, after: f64| {
        let of = |automatic: bool| {
            events
                .iter()
                .filter(|e| e.0 == what && e.2 == automatic && e.1 >= after)
                .map(|e| e.1)
                .min_by(f64::total_cmp)
        };
        of(false).or_else(|| of(true))
    };
    let mut out = BTreeMap::new();
    let snap = first(Event::Snap, f64::NEG_INFINITY);
    out.extend(snap.map(|t| (Event::Snap, t)));
    let after = snap.unwrap_or(f64::NEG_INFINITY);
    let release = first(Event::Release, after);
    out.extend(release.map(|t| (Event::Release, t)));
    for what in [Event::Sack, Event::Run, Event::Over, Event::Handoff, Event::Kick, Event::Foul] {
        out.extend(first(what, after).map(|t| (what, t)));
    }
    for what in [Event::Arrival, Event::Caught, Event::Incomplete, Event::Intercepted] {
        out.extend(first(what, release.unwrap_or(after)).map(|t| (what, t)));
    }
    out
}

/// The middle one; sorts.
pub(crate) fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

/// The side of each team.
pub(crate) fn unit_of(team: u32, offense: u32) -> Unit {
    if team == offense { Unit::Offense } else { Unit::Defense }
}
