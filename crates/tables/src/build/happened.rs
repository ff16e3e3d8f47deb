//! What happened and when: events, moments, the result, whom the ball was thrown to.

use super::{INFERRED_S, Notes, Whole};
use crate::infer::{self, Path, apart, at};
use crate::mapping::Event;
use crate::rows::{NONE, RawPlay};
use crate::situation::Said;
use crate::words;
use field::Direction;
use play::{Moment, MomentKind, Person, PersonId, Severity, ThrowResult, Tracked};
use stats::Estimate;
use std::collections::BTreeMap;

/// A man within this of the ball when it arrives may be whom it was thrown to, yd.
const TARGET_YD: f64 = 4.0;
/// The same for a ball that nobody caught, and how long before its tag it may have passed him, s; common practice, no
/// source.
const MISSED_YD: f64 = 7.0;
/// See [`MISSED_YD`].
const MISSED_S: f64 = 0.5;

/// # Errors
/// When the events say that it is no pass play.
pub(super) fn no_other_play(when: &BTreeMap<Event, f64>) -> Result<(), String> {
    let passed = [Event::Release, Event::Sack, Event::Caught].iter().any(|e| when.contains_key(e));
    match (passed, when.contains_key(&Event::Handoff), when.contains_key(&Event::Kick)) {
        (false, true, _) => Err("its events hand the ball off: a run, no pass".into()),
        (false, _, true) => Err("its events kick the ball: no pass".into()),
        _ => Ok(()),
    }
}

pub(super) fn events(raw: &RawPlay, whole: &Whole<'_>) -> Vec<(Event, f64, bool)> {
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

pub(super) fn result(when: &BTreeMap<Event, f64>, said: Option<&Said>) -> Option<ThrowResult> {
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

pub(super) fn moments(
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

/// The eligible man nearest to the ball when it arrived. A ball that nobody caught is tagged anywhere between the hands that
/// missed it and the ground behind them: there the nearest over the end of its flight counts, and from farther off.
pub(super) fn target(
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
