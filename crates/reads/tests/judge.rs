//! Decisions that are what they are by construction.

mod support;

use field::RuleBook;
use play::{Condition, Judgement, Look, Outcome, Person, PersonId, Plan, PlanKind, Role, ThrowResult, Track};
use reads::board::Board;
use reads::judge::{Contact, JudgeInput, Parameters, Pressure, judge, judge_all};
use stats::Estimate;
use support::{person, receiver, situation, track, windows_of};

/// How a receiver's defender plays him, by time: (from, yards away).
type Room<'a> = &'a [(f64, f64)];

const OPEN: Room<'_> = &[(0.0, 9.0)];
const SHUT: Room<'_> = &[(0.0, 0.4)];

/// Receivers that run straight up 12 yd apart, each with one defender who is the given yards inside of and level with him.
fn play(men: &[(&str, f64, Room<'_>)]) -> (Vec<Person>, Vec<Track>) {
    const SD: f64 = 0.07;
    const UNTIL: f64 = 5.0;
    let mut people = vec![person("passer", Role::Passer)];
    let mut tracks = vec![track("passer", &[(0.0, -5.0, 0.0), (1.4, -7.0, 0.0), (UNTIL, -7.0, 0.0)], SD)];
    for (k, (slot, y, room)) in men.iter().enumerate() {
        people.push(receiver(slot));
        tracks.push(track(slot, &[(0.0, 0.0, *y), (UNTIL, 5.0 * UNTIL, *y)], SD));
        let id = format!("D{k}");
        people.push(person(&id, Role::Cover));
        let inside = -y.signum();
        let mut corners: Vec<(f64, f64, f64)> = Vec::new();
        for (i, &(from, yards)) in room.iter().enumerate() {
            if i > 0 {
                // Half a second from one place to the next.
                corners.push((from - 0.5, 5.0 * (from - 0.5), y + inside * room[i - 1].1));
            }
            corners.push((from, 5.0 * from, y + inside * yards));
        }
        corners.push((UNTIL, 5.0 * UNTIL, y + inside * room[room.len() - 1].1));
        tracks.push(track(&id, &corners, SD));
    }
    (people, tracks)
}

fn look(slot: &str, rhythm_s: f64) -> Look {
    Look { slot: slot.into(), when: Condition::Always, rhythm_s, against: None }
}

/// L1 at 1.8 s, R1 at 2.4 s after a set at 1.5 s.
fn left_then_right() -> Plan {
    Plan {
        id: "left-right".into(),
        name: "Left, then right".into(),
        kind: PlanKind::Progression,
        looks: vec![look("L1", 0.3), look("R1", 0.9)],
        hot: None,
    }
}

struct Case<'a> {
    men: &'a [(&'a str, f64, Room<'a>)],
    plan: Plan,
    target: Option<&'a str>,
    release_s: Option<f64>,
    ended_s: Option<f64>,
    set_s: Option<f64>,
    result: Option<ThrowResult>,
    pressure: Pressure,
    tracks_until_s: f64,
}

impl<'a> Case<'a> {
    fn new(men: &'a [(&'a str, f64, Room<'a>)], target: &'a str, release_s: f64) -> Self {
        Self {
            men,
            plan: left_then_right(),
            target: Some(target),
            release_s: Some(release_s),
            ended_s: None,
            set_s: Some(1.5),
            result: Some(ThrowResult::Complete),
            pressure: Pressure { contact: Contact::Unknown, rushers: Some(4), blockers: Some(5) },
            tracks_until_s: 5.0,
        }
    }
    fn judge(&self) -> Judgement {
        let (people, mut tracks) = play(self.men);
        for t in &mut tracks {
            t.points.retain(|p| p.t_s <= self.tracks_until_s + 1e-9);
        }
        let situation = situation();
        let board = Board::new(&people, &tracks, &situation, RuleBook::College).expect("a charted situation");
        let (windows, resolution) = windows_of(&people, &tracks, 3.5, 60);
        let target = self.target.map(PersonId::from);
        let at = |s: f64| Estimate::new(s, 0.02);
        let input = JudgeInput {
            board: &board,
            windows: &windows,
            resolution: &resolution,
            situation: &situation,
            set: self.set_s.map(at),
            release: self.release_s.map(at),
            ended: self.ended_s.map(at),
            result: self.result,
            target: target.as_ref(),
            pressure: self.pressure,
        };
        judge(&input, &self.plan, &Parameters::default())
    }
}

fn is(j: &Judgement, outcome: Outcome) {
    let sum: f64 = j.outcomes.iter().map(|o| o.probability).sum();
    assert!((sum - 1.0).abs() < 1e-9, "{j:?}");
    assert!(j.outcomes[0].outcome == outcome && j.outcomes[0].probability > 0.8, "{j:#?}");
}

#[test]
fn the_first_open_look_thrown_when_it_is_due_is_in_rhythm() {
    let j = Case::new(&[("L1", 14.0, OPEN), ("R1", -14.0, SHUT)], "L1", 1.9).judge();
    is(&j, Outcome::InRhythm);
    assert_eq!(j.answer, Some("L1".into()));
    assert_eq!(j.better, None);
    // The first look is shut: the answer is the second, at its own time.
    let j = Case::new(&[("L1", 14.0, SHUT), ("R1", -14.0, OPEN)], "R1", 2.5).judge();
    is(&j, Outcome::InRhythm);
    assert_eq!(j.answer, Some("R1".into()));
    assert!(
        j.reason.contains("R1 was first to the ball by")
            && j.reason.contains("when the plan looked at 2.4 s"),
        "{}",
        j.reason
    );
    assert!(j.value_gap.unwrap().value.abs() < 0.3, "the answer itself was thrown");
}

#[test]
fn a_hitch_later_is_behind_and_before_its_look_is_ahead() {
    let men: &[(&str, f64, Room<'_>)] = &[("L1", 14.0, OPEN), ("R1", -14.0, SHUT)];
    let j = Case::new(men, "L1", 2.6).judge();
    is(&j, Outcome::Behind);
    assert!(j.reason.contains("0.8 s later"), "{}", j.reason);
    let men: &[(&str, f64, Room<'_>)] = &[("L1", 14.0, SHUT), ("R1", -14.0, OPEN)];
    is(&Case::new(men, "R1", 1.6).judge(), Outcome::Ahead);
}

/// Film marks often end with the throw; what came later would answer it anyway.
#[test]
fn nothing_after_the_release_is_needed_or_used() {
    let men: &[(&str, f64, Room<'_>)] = &[("L1", 14.0, SHUT), ("R1", -14.0, &[(0.0, 9.0), (2.2, 0.4)])];
    let mut c = Case::new(men, "R1", 1.6);
    is(&c.judge(), Outcome::Ahead);
    c.tracks_until_s = 1.7;
    let j = c.judge();
    is(&j, Outcome::Ahead);
    assert!(j.reason.contains("before the plan's look at him at 2.4 s"), "{}", j.reason);
}

#[test]
fn another_throw_is_better_worse_or_alike_only_above_the_resolution() {
    // The plan's answer is just open, R1 far more so.
    let men: &[(&str, f64, Room<'_>)] = &[("L1", 14.0, &[(0.0, 3.6)]), ("R1", -14.0, OPEN)];
    let j = Case::new(men, "R1", 1.9).judge();
    is(&j, Outcome::Bettered);
    assert_eq!(j.answer, Some("L1".into()));
    let men: &[(&str, f64, Room<'_>)] = &[("L1", 14.0, OPEN), ("R1", -14.0, &[(0.0, 3.8)])];
    let j = Case::new(men, "R1", 1.9).judge();
    is(&j, Outcome::Passed);
    assert_eq!(j.better, Some("L1".into()));
    assert!(j.value_gap.unwrap().value > 0.0);
    let men: &[(&str, f64, Room<'_>)] = &[("L1", 14.0, &[(0.0, 4.0)]), ("R1", -14.0, &[(0.0, 4.0)])];
    is(&Case::new(men, "R1", 1.9).judge(), Outcome::Traded);
}

#[test]
fn into_a_shut_window_is_forced_while_another_is_open_and_bare_when_none_is() {
    let men: &[(&str, f64, Room<'_>)] = &[("L1", 14.0, OPEN), ("R1", -14.0, SHUT)];
    let j = Case::new(men, "R1", 2.0).judge();
    is(&j, Outcome::Forced);
    assert!(j.reason.contains("beaten to the ball by D1"), "{}", j.reason);
    let men: &[(&str, f64, Room<'_>)] = &[("L1", 14.0, SHUT), ("R1", -14.0, SHUT)];
    let j = Case::new(men, "R1", 2.5).judge();
    is(&j, Outcome::Bare);
    assert_eq!(j.answer, None);
    assert_eq!(j.value_gap, None);
}

#[test]
fn a_sack_is_judged_by_what_was_there_before_it() {
    let sacked = |men| {
        let mut c = Case::new(men, "L1", 1.0);
        (c.target, c.release_s, c.ended_s, c.result) = (None, None, Some(3.0), Some(ThrowResult::Sacked));
        c.judge()
    };
    let j = sacked(&[("L1", 14.0, OPEN), ("R1", -14.0, SHUT)]);
    is(&j, Outcome::Passed);
    assert!(j.reason.contains("before the sack at 3.0 s"), "{}", j.reason);
    is(&sacked(&[("L1", 14.0, SHUT), ("R1", -14.0, SHUT)]), Outcome::Bare);
    // Sacked before the only open look was due, and nobody open until then.
    let mut c = Case::new(&[("L1", 14.0, SHUT), ("R1", -14.0, &[(0.0, 0.4), (2.3, 9.0)])], "L1", 1.0);
    (c.target, c.release_s, c.ended_s, c.result) = (None, None, Some(1.6), Some(ThrowResult::Sacked));
    is(&c.judge(), Outcome::Bare);
}

#[test]
fn what_is_missing_is_named() {
    let men: &[(&str, f64, Room<'_>)] = &[("L1", 14.0, OPEN), ("R1", -14.0, SHUT)];
    let told = |change: fn(&mut Case<'_>), word: &str| {
        let mut c = Case::new(men, "L1", 1.9);
        change(&mut c);
        let j = c.judge();
        is(&j, Outcome::Untold);
        assert!(j.reason.contains(word), "{}", j.reason);
    };
    told(|c| c.set_s = None, "the set is not marked");
    told(|c| c.release_s = None, "the release is not marked");
    told(|c| c.target = None, "whom the ball was thrown to is not charted");
    told(|c| c.target = Some("L3"), "L3, whom the ball was thrown to, has no track");
    told(|c| c.release_s = Some(4.9), "not seen at the release at 4.9 s");
    told(
        |c| (c.result, c.ended_s) = (Some(ThrowResult::Sacked), None),
        "neither the sack nor the first contact is marked",
    );
    told(|c| c.plan.looks = vec![look("L3", 0.3)], "nobody with a track stands in the plan's slots (L3)");
}

#[test]
fn pressure_before_the_look_sends_the_plan_to_its_hot_man() {
    let men: &[(&str, f64, Room<'_>)] = &[("L1", 14.0, SHUT), ("L2", 7.0, OPEN), ("R1", -14.0, OPEN)];
    let mut c = Case::new(men, "L2", 1.45);
    c.plan.hot = Some("L2".into());
    c.pressure.contact = Contact::At(Estimate::new(1.6, 0.03));
    let j = c.judge();
    is(&j, Outcome::InRhythm);
    assert!(j.pressure_first.unwrap() > 0.95);
    assert!(j.reason.contains("pressure came at 1.6"), "{}", j.reason);
    // The same without an answer in the plan.
    c.plan.hot = None;
    let j = c.judge();
    assert!(j.reason.contains("the plan has no answer to it"), "{}", j.reason);
    // Contact after the look is no excuse.
    c.pressure.contact = Contact::At(Estimate::new(3.2, 0.03));
    assert!(c.judge().pressure_first.unwrap() < 0.05);
    c.pressure.contact = Contact::NotBefore(3.0);
    assert!(c.judge().pressure_first.unwrap() < 0.05);
    c.pressure.contact = Contact::Unknown;
    assert_eq!(c.judge().pressure_first, None);
}

#[test]
fn more_rushers_than_blockers_open_a_pressured_look() {
    let men: &[(&str, f64, Room<'_>)] = &[("L1", 14.0, OPEN), ("R1", -14.0, OPEN)];
    let mut c = Case::new(men, "R1", 1.3);
    c.plan
        .looks
        .insert(0, Look { slot: "R1".into(), when: Condition::Pressured, rhythm_s: 1.2, against: None });
    (c.pressure.rushers, c.pressure.blockers) = (Some(6), Some(5));
    is(&c.judge(), Outcome::InRhythm);
    c.pressure.rushers = Some(4);
    let j = c.judge();
    assert_eq!(j.answer, Some("L1".into()));
    assert!(!j.looks[0].applies && j.looks[1].applies);
}

#[test]
fn the_picture_picks_the_side() {
    // Defender M stands deep in the middle, or does not.
    for (deep, answer) in [(16.0, "R1"), (4.0, "L1")] {
        let (mut people, mut tracks) = play(&[("L1", 16.0, OPEN), ("R1", -16.0, OPEN)]);
        people.push(person("M", Role::Cover));
        tracks.push(track("M", &[(0.0, deep, 0.0), (5.0, deep, 0.0)], 0.07));
        let situation = situation();
        let board = Board::new(&people, &tracks, &situation, RuleBook::College).expect("a charted situation");
        let (windows, resolution) = windows_of(&people, &tracks, 3.0, 60);
        let target = PersonId::from(answer);
        let input = JudgeInput {
            board: &board,
            windows: &windows,
            resolution: &resolution,
            situation: &situation,
            set: Some(Estimate::new(1.5, 0.02)),
            release: Some(Estimate::new(1.9, 0.02)),
            ended: None,
            result: None,
            target: Some(&target),
            pressure: Pressure { contact: Contact::Unknown, rushers: None, blockers: None },
        };
        let mut plan = left_then_right();
        plan.kind = PlanKind::Picture;
        plan.looks = vec![
            Look { when: Condition::MiddleOpen, ..look("L1", 0.3) },
            Look { when: Condition::MiddleClosed, ..look("R1", 0.3) },
        ];
        let j = judge(&input, &plan, &Parameters::default());
        is(&j, Outcome::InRhythm);
        assert_eq!(j.answer, Some(answer.into()));
        let all = judge_all(&input, [&plan, &left_then_right()], &Parameters::default());
        assert!(
            all.summary.ends_with("which way he was taught to read it is not known here."),
            "{}",
            all.summary
        );
    }
}

/// A key between L1 outside and L2 inside goes with one of them from 1.2 s on.
fn keyed(to_outside: bool, thrown: &str) -> Judgement {
    let (mut people, mut tracks) = play(&[("L1", 18.0, OPEN), ("L2", 4.0, OPEN)]);
    // The usual defenders out of the way; the key alone is in conflict.
    people.retain(|p| !p.id.as_str().starts_with('D'));
    tracks.retain(|t| !t.person.as_str().starts_with('D'));
    people.push(person("K", Role::Cover));
    let end = if to_outside { 17.5 } else { 4.5 };
    tracks.push(track("K", &[(0.0, 6.0, 11.0), (1.0, 7.0, 11.0), (2.0, 12.0, end), (5.0, 27.0, end)], 0.07));
    let situation = situation();
    let board = Board::new(&people, &tracks, &situation, RuleBook::College).expect("a charted situation");
    let (windows, resolution) = windows_of(&people, &tracks, 3.0, 60);
    let target = PersonId::from(thrown);
    let input = JudgeInput {
        board: &board,
        windows: &windows,
        resolution: &resolution,
        situation: &situation,
        set: Some(Estimate::new(1.5, 0.02)),
        release: Some(Estimate::new(2.0, 0.02)),
        ended: None,
        result: None,
        target: Some(&target),
        pressure: Pressure { contact: Contact::Unknown, rushers: None, blockers: None },
    };
    let plan = Plan {
        id: "key".into(),
        name: "Off the flat defender".into(),
        kind: PlanKind::Key,
        looks: vec![
            Look { against: Some("L2".into()), ..look("L1", 0.3) },
            Look { against: Some("L1".into()), ..look("L2", 0.3) },
        ],
        hot: None,
    };
    judge(&input, &plan, &Parameters::default())
}

#[test]
fn a_key_read_goes_away_from_the_key() {
    let j = keyed(true, "L2");
    is(&j, Outcome::InRhythm);
    assert_eq!(j.answer, Some("L2".into()));
    let j = keyed(false, "L1");
    is(&j, Outcome::InRhythm);
    assert_eq!(j.answer, Some("L1".into()));
    let j = keyed(true, "L1");
    assert!(matches!(j.outcomes[0].outcome, Outcome::Passed | Outcome::Forced), "{j:#?}");
}
