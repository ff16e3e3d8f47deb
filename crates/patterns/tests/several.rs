//! Several facts at once: what each goes with while the others are held even.
#![allow(clippy::unwrap_used, reason = "tests")]

use patterns::ask::{QuestionError, Worth};
use patterns::facts::{Cell, Line};
use patterns::several::{Several, SeveralAsked, several};
use stats::Estimate;

/// Weak priors pull a figure of a hundred plays by a small part of its error.
fn line(k: u32, cells: &[(&str, Cell)]) -> Line {
    Line {
        play: format!("p{k}").as_str().into(),
        game: format!("g{}", k % 3).as_str().into(),
        number: k,
        cells: cells.iter().map(|(f, c)| ((*f).to_owned(), c.clone())).collect(),
    }
}
fn value(v: f64) -> Cell {
    value_with(v, 0.1)
}
fn value_with(v: f64, se: f64) -> Cell {
    Cell::Value(Estimate::new(v, se))
}
fn word(w: &str) -> Cell {
    Cell::Word(w.to_owned())
}
fn asked(of: &str, by: &[&str]) -> SeveralAsked {
    SeveralAsked { of: of.into(), by: by.iter().map(|b| (*b).to_owned()).collect(), ..Default::default() }
}
fn effect<'s>(s: &'s Several, field: &str) -> &'s patterns::several::Term {
    s.terms.iter().find(|t| t.field.id == field).unwrap()
}
/// Numbers without pattern, −1 to 1.
fn shaken(k: u32) -> f64 {
    let mut x = u64::from(k).wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5851_F42D_4C95_7F2D;
    x ^= x >> 29;
    x = x.wrapping_mul(0xBF58_476D_1CE4_E5B9);
    x ^= x >> 32;
    (x % 20_001) as f64 / 10_000.0 - 1.0
}

/// The lead hangs on the feet alone; weight goes with the feet, so that by itself it seems to matter. Held even, it does not.
#[test]
fn what_only_goes_along_with_the_cause_is_not_called_one() {
    let lines: Vec<Line> = (0..120)
        .map(|k| {
            let feet = 10.0 * shaken(k);
            let weight = 0.5 + 0.03 * feet + 0.05 * shaken(k + 1000);
            let lead = 0.1 * feet + 0.5 * shaken(k + 2000);
            line(k, &[("feet-error", value(feet)), ("weight", value(weight)), ("lead", value(lead))])
        })
        .collect();
    let s = several(&lines, &asked("lead", &["feet-error", "weight"])).unwrap();
    assert_eq!((s.plays, s.terms.len()), (120, 2), "{}", s.said);
    let (feet, weight) = (effect(&s, "feet-error"), effect(&s, "weight"));
    assert_eq!(feet.worth, Worth::Carried, "{}", feet.words);
    // One spread of feet that lie evenly from −10 to 10 is 5.8°, so about .58 yd.
    assert!(feet.effect.interval.unwrap().contains(0.58), "{}", feet.words);
    assert_ne!(weight.worth, Worth::Carried, "{}", weight.words);
    assert!(weight.effect.interval.unwrap().contains(0.0), "{}", weight.words);
    assert!(s.games.is_some(), "three games are told apart");
}

/// Completions hang on the pocket and on depth; both are found at once, in the right sense, and the same seed gives the same figures.
#[test]
fn shares_hang_on_words_and_measures() {
    let lines: Vec<Line> = (0..150)
        .map(|k| {
            let (pressed, depth) = (k % 3 == 0, 15.0 + 12.0 * shaken(k));
            let odds = 2.0 - 0.12 * (depth - 5.0) - if pressed { 1.8 } else { 0.0 };
            let yes = 0.5 * (1.0 + shaken(k + 500)) < 1.0 / (1.0 + (-odds).exp());
            line(
                k,
                &[
                    ("completions", word(if yes { "yes" } else { "no" })),
                    ("pressure", word(if pressed { "pressured" } else { "clean" })),
                    ("air-distance", value(depth)),
                ],
            )
        })
        .collect();
    let ask = asked("completions", &["pressure", "air-distance"]);
    let s = several(&lines, &ask).unwrap();
    let pressed = s.terms.iter().find(|t| t.word.as_deref() == Some("pressured")).unwrap();
    let deep = effect(&s, "air-distance");
    assert!(pressed.effect.value < 0.0 && deep.effect.value < 0.0, "{}", s.said);
    assert_eq!(deep.worth, Worth::Carried, "{}", deep.words);
    assert_eq!(several(&lines, &ask).unwrap(), s, "the same draws");
}

/// Feet measured to six tenths of their spread pass half their effect to a weight that goes along with them. Told of the error, the
/// effect is the feet's again.
#[test]
fn errors_of_measurement_do_not_pass_an_effect_on() {
    let study = |told: f64| -> Vec<Line> {
        (0..180)
            .map(|k| {
                let feet = 10.0 * shaken(k);
                // A spread of 3.5° beside feet that spread by 5.8°.
                let seen = feet + 6.0 * shaken(k + 3000);
                let weight = 0.5 + 0.03 * feet + 0.05 * shaken(k + 1000);
                let lead = 0.1 * feet + 0.5 * shaken(k + 2000);
                let feet = Cell::Value(Estimate::new(seen, told));
                line(k, &[("feet-error", feet), ("weight", value_with(weight, 0.0)), ("lead", value(lead))])
            })
            .collect()
    };
    let ask = asked("lead", &["feet-error", "weight"]);
    let (untold, told) = (several(&study(0.0), &ask).unwrap(), several(&study(3.46), &ask).unwrap());
    let feet = effect(&told, "feet-error");
    assert!(feet.corrected && feet.words.contains("errors of measurement"), "{}", feet.words);
    // One spread as measured: 6.7°, so .67 yd of lead.
    assert!(feet.effect.interval.unwrap().contains(0.67), "{}", feet.words);
    assert!(effect(&told, "weight").effect.interval.unwrap().contains(0.0), "{}", told.said);
    assert!(effect(&untold, "feet-error").effect.interval.unwrap().high < 0.67, "{}", untold.said);
    assert_eq!(effect(&untold, "weight").worth, Worth::Carried, "{}", untold.said);
}

#[test]
fn too_little_is_said_and_wrong_questions_are_refused() {
    let lines: Vec<Line> = (0..9)
        .map(|k| {
            let feet = if k == 0 { Cell::NotSeen("the grass is high".into()) } else { value(f64::from(k)) };
            line(k, &[("lead", value(0.1)), ("feet-error", feet), ("weight", value(0.5))])
        })
        .collect();
    let s = several(&lines, &asked("lead", &["feet-error", "weight"])).unwrap();
    assert!(s.terms.is_empty() && s.said.contains("8 plays have all of it"), "{}", s.said);
    assert_eq!(s.left[0].plays.len(), 1, "who was not seen is named");
    assert!(matches!(
        several(&lines, &asked("lead", &["weight"])),
        Err(QuestionError::HowMany { given: 1, .. })
    ));
    assert!(matches!(
        several(&lines, &asked("lead", &["weight", "weight"])),
        Err(QuestionError::Itself { .. })
    ));
    assert!(matches!(
        several(&lines, &asked("lead", &["weight", "nothing"])),
        Err(QuestionError::NoField { .. })
    ));
}
