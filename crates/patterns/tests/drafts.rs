//! Statements drafted from what the figures carry: habits that are there, and none that are not.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use patterns::again::Picture;
use patterns::again::Shown;
use patterns::ask::{Question, ask_all, ready};
use patterns::facts::{Cell, Line};
use patterns::{Draft, drafts};
use play::{GameId, Leaning, PlayId};
use stats::Estimate;
use std::collections::BTreeMap;

fn line(k: u32, cells: &[(&str, &str)]) -> Line {
    Line {
        play: PlayId(format!("p{k}")),
        game: GameId("g1".into()),
        number: k,
        cells: cells
            .iter()
            .map(|(f, w)| ((*f).to_owned(), Cell::Word((*w).to_owned())))
            .collect::<BTreeMap<_, _>>(),
    }
}

fn shown(lines: &[Line]) -> Vec<Shown> {
    lines.iter().map(|l| Shown { play: l.play.clone(), picture: Picture::default() }).collect()
}

fn drafted(lines: &[Line]) -> Vec<Draft> {
    let ready = ready();
    let questions: Vec<Question> = ready.iter().map(|r| r.question.clone()).collect();
    let answers = ask_all(lines, &questions).unwrap();
    drafts(&ready.into_iter().zip(answers).collect::<Vec<_>>(), lines, &shown(lines))
}

/// Eighty plays; under pressure the decision is bad on three of four, in a clean pocket on one of five.
#[test]
fn a_habit_that_is_there_is_drafted_with_clips_both_ways() {
    let lines: Vec<Line> = (0..80)
        .map(|k| {
            let pressed = k % 2 == 0;
            let sound = if pressed { k % 8 == 0 } else { k % 10 != 1 };
            line(
                k,
                &[
                    ("sound-decision", if sound { "yes" } else { "no" }),
                    ("pressure", if pressed { "pressured" } else { "clean" }),
                ],
            )
        })
        .collect();
    let all = drafted(&lines);
    assert_eq!(all.len(), 1, "{all:?}");
    let d = &all[0];
    assert_eq!((d.strand.measure.as_str(), d.strand.by.as_deref()), ("sound-decision", Some("pressure")));
    let well = |p: &PlayId| lines.iter().any(|l| l.play == *p && l.word("sound-decision") == Some("yes"));
    let (good, bad) = match d.leaning {
        Leaning::Strength => (&d.supporting, &d.against),
        _ => (&d.against, &d.supporting),
    };
    assert!(!good.is_empty() && !bad.is_empty());
    assert!(good.iter().all(well) && !bad.iter().any(well));
}

/// Completions speak of the situation; words that differ by chance are nobody's habit.
#[test]
fn nothing_is_drafted_where_nothing_is_carried() {
    let lines: Vec<Line> = (0..60)
        .map(|k| {
            line(
                k,
                &[
                    ("sound-decision", if k % 3 == 0 { "no" } else { "yes" }),
                    ("pressure", if k % 2 == 0 { "pressured" } else { "clean" }),
                    ("completions", if k % 2 == 0 { "no" } else { "yes" }),
                ],
            )
        })
        .collect();
    assert_eq!(drafted(&lines), []);
}

/// Sixty throws, each a tenth of a yard farther behind for every degree that the feet were closed, give or take half a yard.
#[test]
fn a_relation_that_is_there_is_drafted_with_the_clips_that_lie_along_it() {
    let throws: Vec<(f64, f64)> = (0..60)
        .map(|k| {
            let feet = f64::from(k * 17 % 41) - 20.0;
            (feet, 0.1 * feet + 0.5 * f64::from(k * 7 % 11 - 5) / 5.0)
        })
        .collect();
    let lines: Vec<Line> = throws
        .iter()
        .zip(0..)
        .map(|((feet, ahead), k)| {
            let value = |v: f64, se| Cell::Value(Estimate::new(v, se));
            let mut l = line(k, &[]);
            l.cells.insert("feet-error".into(), value(*feet, 1.0));
            l.cells.insert("ahead-of-run".into(), value(*ahead, 0.1));
            l
        })
        .collect();
    let all = drafted(&lines);
    let d = all.iter().find(|d| d.strand.by.as_deref() == Some("feet-error")).expect("it is there");
    assert!(!d.supporting.is_empty());
    let at = |p: &PlayId| throws[lines.iter().position(|l| l.play == *p).expect("one of them")];
    // The middles of both are near zero.
    assert!(d.supporting.iter().map(at).all(|(feet, ahead)| feet * ahead > 0.0));
    assert!(d.against.iter().map(at).all(|(feet, ahead)| feet * ahead < 0.3));
}
