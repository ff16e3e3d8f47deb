//! How the decisions of scripted passers are judged under the plan they followed, as JSON lines: tracks as a tracker
//! would measure them, moments within a frame. No test uses these seeds. With `--show` every play is told on stderr.
#![allow(clippy::print_stdout, clippy::print_stderr)]

#[path = "support/invented.rs"]
mod invented;
#[allow(dead_code, reason = "shared with the other example")]
mod support;

use field::RuleBook;
use play::{
    Air, Condition, Judgement, Look, Outcome, Person, PersonId, Plan, PlanKind, Situation, ThrowResult, Track,
};
use reads::board::Board;
use reads::judge::{Contact, JudgeInput, Parameters, Pressure, judge, windows_until};
use scrimmage::sim::concept::Reading;
use scrimmage::sim::game::GameScript;
use scrimmage::sim::script::Fault;
use scrimmage::sim::staged::StagedPlay;
use scrimmage::sim::world::Outcome as Ended;
use scrimmage::truth::PlayTruth;
use stats::Estimate;
use std::collections::BTreeMap;
use support::Dice;
use window::{FlightTable, Request, Scene, windows};

const UNSEEN: u64 = 30_000_000;
const GAMES: u64 = 8;
/// Ours.
const GOAL: f64 = 80.0;
/// Error of a moment marked to the nearest frame, s.
const MOMENT_SD_S: f64 = 0.02;

/// A play as it would stand in a study.
struct Filmed {
    people: Vec<Person>,
    tracks: Vec<Track>,
    situation: Situation,
    book: RuleBook,
    plan: Plan,
    set: Option<Estimate>,
    release: Option<Estimate>,
    contact: Option<Estimate>,
    result: ThrowResult,
    target: Option<PersonId>,
    counts: (u8, u8),
}

fn filmed(truth: &PlayTruth, stage: &StagedPlay, dice: &mut Dice) -> Filmed {
    let (people, tracks) = invented::people(truth, stage, dice);
    let labels = &truth.labels;
    let key = stage.script.plan.reading == Reading::Key;
    let looks = labels.looks.iter().enumerate().map(|(k, (slot, rhythm_s))| Look {
        slot: slot.clone(),
        when: Condition::Always,
        rhythm_s: *rhythm_s,
        against: (key && k < 2).then(|| labels.looks.get(1 - k).map(|l| l.0.clone())).flatten(),
    });
    let mut moment = |at: f64| Estimate::new(at + MOMENT_SD_S * dice.normal(), MOMENT_SD_S);
    Filmed {
        plan: Plan {
            id: labels.plan.clone(),
            name: labels.plan.clone(),
            kind: if key { PlanKind::Key } else { PlanKind::Progression },
            looks: looks.collect(),
            hot: Some(stage.script.plan.hot.slot(stage.script.strong)),
        },
        situation: invented::situation(truth),
        book: truth.rule_book,
        set: truth.moments.set.map(&mut moment),
        release: truth.moments.release.map(&mut moment),
        contact: truth.moments.first_contact.map(&mut moment),
        result: match truth.result {
            Ended::Complete => ThrowResult::Complete,
            Ended::Incomplete => ThrowResult::Incomplete,
            Ended::Intercepted => ThrowResult::Intercepted,
            Ended::Sacked => ThrowResult::Sacked,
            Ended::Scrambled => ThrowResult::Scrambled,
            Ended::ThrownAway => ThrowResult::ThrownAway,
            Ended::Batted => ThrowResult::Batted,
        },
        target: labels.target.as_deref().map(PersonId::from),
        counts: (labels.rushers as u8, labels.blockers as u8),
        people,
        tracks,
    }
}

impl Filmed {
    fn judged(&self, table: &FlightTable, p: &window::Parameters) -> Judgement {
        let judging = Parameters::default();
        let board =
            Board::new(&self.people, &self.tracks, &self.situation, self.book).expect("a charted situation");
        let set = self.set.map_or(2.0, |s| s.value);
        let until_s = windows_until([&self.plan], set, self.release.map(|r| r.value), &judging).min(6.0);
        let request = Request { from_s: 0.5, until_s, draws: 100, ..Request::default() };
        let scene = Scene { people: &self.people, tracks: &self.tracks, rule_book: self.book };
        let windows = windows(&scene, table, p, &request).expect("a whole play").0;
        let input = JudgeInput {
            board: &board,
            windows: &windows,
            resolution: p,
            situation: &self.situation,
            set: self.set,
            release: self.release,
            ended: None,
            result: Some(self.result),
            target: self.target.as_ref(),
            pressure: Pressure {
                contact: self.contact.map_or(Contact::NotBefore(until_s), Contact::At),
                rushers: Some(self.counts.0),
                blockers: Some(self.counts.1),
            },
        };
        judge(&input, &self.plan, &judging)
    }
}

/// Outcomes that agree with what the passer was scripted to do.
fn agrees(fault: Fault, outcome: Outcome) -> bool {
    match fault {
        Fault::None => {
            matches!(outcome, Outcome::InRhythm | Outcome::Traded | Outcome::Bettered | Outcome::Bare)
        }
        Fault::Late => outcome == Outcome::Behind,
        Fault::WrongMan => {
            matches!(outcome, Outcome::Passed | Outcome::Traded | Outcome::Bettered | Outcome::Forced)
        }
        Fault::Forced => matches!(outcome, Outcome::Forced | Outcome::Bare),
        Fault::NoAnswer => matches!(outcome, Outcome::Passed | Outcome::Bare),
    }
}

fn main() {
    let show = std::env::args().any(|a| a == "--show");
    let p = window::Parameters::ours();
    let table = FlightTable::new(&Air::default(), &p).expect("standard air");
    let mut tally: BTreeMap<(String, Outcome), usize> = BTreeMap::new();
    let mut right: BTreeMap<String, (usize, usize)> = BTreeMap::new();
    for seed in UNSEEN..UNSEEN + GAMES {
        let game = GameScript::with_plays(seed, 26);
        let kits = scrimmage::sim::teams::kits(&game.teams[0], &game.teams[1]);
        for (k, script) in game.plays.iter().enumerate() {
            let stage = StagedPlay::new(&script.script, &kits);
            let truth = scrimmage::truth::of_play(script, &stage, Vec::new());
            let mut dice = Dice::new(seed * 100 + k as u64);
            let j = filmed(&truth, &stage, &mut dice).judged(&table, &p);
            let fault = if truth.labels.fault_shown { truth.labels.fault } else { Fault::None };
            let first = j.outcomes[0];
            *tally.entry((format!("{fault:?}"), first.outcome)).or_default() += 1;
            let r = right.entry(format!("{fault:?}")).or_default();
            r.1 += 1;
            r.0 += usize::from(agrees(fault, first.outcome));
            if show {
                let m = &truth.moments;
                let a =
                    truth.labels.answer.as_ref().map(|a| (a.slot.as_str(), (a.at_s * 10.0).round() / 10.0));
                let margin = truth.placement.as_ref().and_then(|p| p.margin_s);
                eprintln!(
                    "{fault:?} {:?} answer {a:?} thrown {:?} margin {margin:?}: {:?} {:.2} {} {:?}",
                    truth.result, truth.labels.target, first.outcome, first.probability, j.reason, m.set
                );
            }
        }
    }
    if show {
        eprintln!("{tally:#?}");
    }
    let (n, of) = right.values().fold((0, 0), |a, r| (a.0 + r.0, a.1 + r.1));
    let each: Vec<String> = right.iter().map(|(fault, (n, of))| format!("{fault} {n} of {of}")).collect();
    let value = 100.0 * n as f64 / of.max(1) as f64;
    let note = format!(
        "{of} plays of {GAMES} games under the plan followed: {}; without a fault in rhythm, traded, bettered and bare agree; the passer's own eye for who is open is another model",
        each.join(", ")
    );
    println!(
        "{}",
        serde_json::json!({"name": "reads.judged_as_scripted", "value": value, "unit": "%", "goal": GOAL, "better": "higher", "holds": value >= GOAL, "note": note})
    );
}
