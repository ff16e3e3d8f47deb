//! What the answers are worth on 200 invented passers whose habits are known, as JSON lines: how often intervals hold the truth, how
//! many planted habits are found, and how many reports accuse a passer of one that he has not.
#![allow(clippy::print_stdout)]

#[allow(dead_code, reason = "shared with the other example")]
mod support;

use patterns::ask::{Answer, Worth, ask_all, figures, ready};
use support::{Dice, Habits, throws};

const PASSERS: u64 = 200;
/// Throws of a passer: three games of a college team that throws a lot.
const GAMES: usize = 3;
const EACH: usize = 40;
/// Passers that nothing was developed on.
const SEED: u64 = 610_000;

/// A habit by the ready question that would find it.
const HABITS: [&str; 5] = ["pressure", "depth", "man-zone", "feet-miss", "picture"];

/// Each passer has each habit with one chance in three, large enough that a coach would want to know.
fn habits(dice: &mut Dice) -> (Habits, [bool; 5]) {
    let has: [bool; 5] = std::array::from_fn(|_| dice.yes(1.0 / 3.0));
    let on = |k: usize, v: f64| if has[k] { v } else { 0.0 };
    let h = Habits {
        pressure: on(0, -1.6),
        deep: on(1, -1.8),
        man: on(2, -1.4),
        feet: on(3, 0.06),
        first: on(4, -1.6),
    };
    (h, has)
}

/// Whether the report says that something differs, anywhere in the answer.
fn says(a: &Answer) -> bool {
    let groups = a.groups.iter().filter_map(|g| g.difference.as_ref());
    groups.map(|d| d.worth).chain(a.slope.iter().map(|s| s.worth)).any(|w| w == Worth::Carried)
}

/// Mean true share of a group, over the habits that the question does not split by, by a great many throws of the same passer.
fn truth(h: Habits, seed: u64) -> Vec<Answer> {
    let many = throws(h, 100, 50, &mut Dice::new(seed ^ 0x5eed));
    // Only the figures are wanted; nothing is pooled over four hundred games.
    let questions: Vec<_> = ready().into_iter().map(|r| r.question).collect();
    figures(&many, &questions).expect("ready questions can be asked")
}

fn line(name: &str, value: f64, unit: &str, goal: f64, better: &str, holds: bool, note: &str) {
    println!(
        "{{\"name\":\"{name}\",\"value\":{value:.4},\"unit\":\"{unit}\",\"goal\":{goal},\"better\":\"{better}\",\"holds\":{holds},\"note\":\"{note}\"}}"
    );
}

fn main() {
    let questions: Vec<_> = ready().into_iter().map(|r| r.question).collect();
    let ids: Vec<&str> = ready().iter().map(|r| r.id).collect();
    let at = |id: &str| ids.iter().position(|x| *x == id).expect("a ready question");
    let (mut held, mut intervals, mut pooled_held, mut pooled) = (0, 0, 0, 0);
    let (mut slopes_held, mut slopes) = (0, 0);
    let (mut found, mut planted, mut accused, mut innocent) = (0, 0, 0, 0);
    for passer in 0..PASSERS {
        let mut dice = Dice::new(SEED + passer);
        let (h, has) = habits(&mut dice);
        let lines = throws(h, GAMES, EACH, &mut dice);
        let answers = figures(&lines, &questions).expect("ready questions can be asked");
        let truths = truth(h, SEED + passer);
        for (k, id) in HABITS.iter().enumerate() {
            let a = &answers[at(id)];
            planted += usize::from(has[k]);
            found += usize::from(has[k] && says(a));
            if let Some(s) = a.slope.as_ref().and_then(|s| s.corrected) {
                slopes += 1;
                slopes_held += usize::from(s.interval.is_some_and(|i| i.contains(h.feet)));
            }
        }
        for id in ["pressure", "depth", "man-zone", "picture"] {
            let (a, t) = (&answers[at(id)], &truths[at(id)]);
            for g in &a.groups {
                let Some(true_share) = t.groups.iter().find(|x| x.word == g.word).and_then(|x| x.figure)
                else {
                    continue;
                };
                let holds = |r: Option<patterns::ask::Ranged>| {
                    r.and_then(|r| r.interval).map(|i| i.contains(true_share.value))
                };
                if let Some(h) = holds(g.figure) {
                    intervals += 1;
                    held += usize::from(h);
                }
            }
            // Sampling takes most of the time: a quarter of the passers is enough for its figure.
            if passer % 4 == 0 {
                let drawn =
                    ask_all(&lines, std::slice::from_ref(&questions[at(id)])).expect("a ready question");
                for g in &drawn[0].groups {
                    let true_share = t.groups.iter().find(|x| x.word == g.word).and_then(|x| x.figure);
                    let interval = g.pooled.and_then(|p| p.interval);
                    if let Some((i, t)) = interval.zip(true_share) {
                        pooled += 1;
                        pooled_held += usize::from(i.contains(t.value));
                    }
                }
            }
        }
        // A report accuses when any of its answers claims a difference that is not there. Questions that a planted habit bears on
        // (decisions by the same split, the whole by games) are left aside.
        let not_planted = ids.iter().zip(&answers).filter(|(id, _)| {
            !HABITS.iter().zip(has).any(|(q, has)| q == *id && has) && !id.starts_with("games")
        });
        innocent += 1;
        accused += usize::from(not_planted.map(|x| x.1).any(says));
    }
    let of = |a: usize, b: usize| a as f64 / b.max(1) as f64;
    let note = format!("{PASSERS} passers, {GAMES} games of {EACH} throws, {intervals} intervals of 90%");
    let c = of(held, intervals);
    line("patterns.coverage", c, "share", 0.85, "higher", (0.85..=0.95).contains(&c), &note);
    let c = of(pooled_held, pooled);
    let note = format!("{pooled} pooled intervals of 90%; opponents differ from game to game");
    line("patterns.pooled_coverage", c, "share", 0.85, "higher", (0.85..=0.95).contains(&c), &note);
    let c = of(slopes_held, slopes);
    let note = format!("{slopes} slopes of miss on feet with the errors of measurement taken out");
    line("patterns.slope_coverage", c, "share", 0.85, "higher", (0.85..=0.95).contains(&c), &note);
    let f = of(found, planted);
    line(
        "patterns.found",
        f,
        "share",
        0.5,
        "higher",
        f >= 0.5,
        &format!("{planted} planted habits; one in the log odds of 1.4 to 1.8"),
    );
    let a = of(accused, innocent);
    let note =
        "reports that claim a difference which is not there; others than games, whose opponents do differ";
    line("patterns.accused", a, "share", 0.05, "lower", a < 0.05, note);
}
