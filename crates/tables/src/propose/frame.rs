//! Unit and origin of the places.

use super::look::Seen;
use crate::mapping::{Origin, Unit};
use field::RuleBook;
use play::{Finding, Severity};

/// The unit that a heading names behind the letter: "X (m)", "x_yards".
pub(super) fn named_unit(heading: &str) -> Option<Unit> {
    crate::headings::words(heading).iter().find_map(|w| match w.as_str() {
        "m" | "metres" | "meters" => Some(Unit::Metres),
        "yd" | "yds" | "yards" => Some(Unit::Yards),
        "ft" | "feet" => Some(Unit::Feet),
        _ => None,
    })
}

/// Log likelihood of the share of the field's width that people fill: most of it in any game of plays, and hardly more, for
/// people stand some yards off it at most. The band is ours.
fn width_fits(share: f64) -> f64 {
    let off = match share {
        s if s < 0.82 => (0.82 - s) / 0.06,
        s if s > 1.06 => (s - 1.06) / 0.02,
        _ => 0.0,
    };
    -0.5 * off * off
}

/// Log likelihood of a play that starts `y` yd to a side of the field's middle: on a hash or between the two.
fn start_fits(y: f64, book: RuleBook) -> f64 {
    const SD_YD: f64 = 0.4;
    let hash = 0.5 * book.width() - book.hash_from_sideline();
    let beyond = (y.abs() - hash).max(0.0) / SD_YD;
    let on = (-0.5 * ((y.abs() - hash) / SD_YD).powi(2)).exp() / (SD_YD * std::f64::consts::TAU.sqrt());
    // One play may be spotted wrongly; none decides alone.
    (0.35 * on + 0.65 / hash * (-0.5 * beyond * beyond).exp()).max(1e-4).ln()
}

/// Yards past an end line that people run and balls fly.
const PAST_YD: f64 = 1.5;
/// Log likelihood below which one frame is not preferred to the other: two plays that start in an end zone, or eight places in a thousand
/// beyond an end line; ours.
const SURE: f64 = 7.0;

/// Log likelihood that the field with its end zones runs from `from` to `to`, by all places along it and by where plays start, yd: nobody
/// stays beyond the end lines, and no play starts in an end zone. A few wild rows or one wild play decide nothing.
fn length_fits((from, to): (f64, f64), places: &[&Seen], unit: Unit, starts: &[f64], end_zone: f64) -> f64 {
    let beyond = |v: &f64| {
        let v = v * unit.yards();
        v < from - PAST_YD || v > to + PAST_YD
    };
    let all: usize = places.iter().map(|s| s.numbers.len()).sum();
    let out: usize = places.iter().map(|s| s.numbers.iter().filter(|v| beyond(v)).count()).sum();
    // One place in a thousand may lie there for any reason.
    let places = -(1000.0 * out as f64 / all.max(1) as f64).min(8.0);
    let in_end_zone = |x: &&f64| **x < from + end_zone - PAST_YD || **x > to - end_zone + PAST_YD;
    places - 4.0 * starts.iter().filter(in_end_zone).count() as f64
}

/// Unit and origin by how far the places reach, and by where plays start (`starts`, x and y in table units).
pub(super) fn frame(
    (x, y): (&[&Seen], &[&Seen]),
    starts: &[[f64; 2]],
    named: Option<Unit>,
    book: RuleBook,
    findings: &mut Vec<Finding>,
) -> (Unit, Origin) {
    let whole = book.length() + 2.0 * book.end_zone();
    let span = |of: &[&Seen]| {
        let ranges = of.iter().map(|s| s.range());
        ranges.fold((f64::INFINITY, f64::NEG_INFINITY), |a, b| (a.0.min(b.0), a.1.max(b.1)))
    };
    let ((x_low, x_high), (y_low, y_high)) = (span(x), span(y));
    // Balls and men out of bounds say nothing of the width.
    let within = y
        .iter()
        .map(|s| s.most())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |a, b| (a.0.min(b.0), a.1.max(b.1)));
    let wide = (within.1 - within.0).max(1.0);
    // Counted from the middle, a good part of all places lies below 0; some yards out of bounds do not.
    let centred = within.0 < -0.25 * wide && within.1 > 0.25 * wide;
    let likely = |u: Unit| {
        let from_middle = |y: f64| y * u.yards() - if centred { 0.0 } else { 0.5 * book.width() };
        width_fits(wide * u.yards() / book.width())
            // A density per yard is one per unit of the table.
            + starts.iter().map(|s| start_fits(from_middle(s[1]), book) + u.yards().ln()).sum::<f64>()
    };
    let guessed = [Unit::Yards, Unit::Metres, Unit::Feet]
        .into_iter()
        .max_by(|a, b| likely(*a).total_cmp(&likely(*b)))
        .unwrap_or(Unit::Yards);
    let unit = named.unwrap_or(guessed);
    let along: Vec<f64> = starts.iter().map(|s| s[0] * unit.yards()).collect();
    let fits = |from: f64| length_fits((from, from + whole), x, unit, &along, book.end_zone());
    let (end, goal) = (fits(0.0), fits(-book.end_zone()));
    let origin = if centred && x_low * unit.yards() < -15.0 {
        Origin::Middle
    } else if goal > end + SURE {
        Origin::GoalLine
    } else {
        Origin::EndLine
    };
    // Neither end zone was entered, and no play started near one.
    if origin == Origin::EndLine && end < goal + SURE {
        let text = format!(
            "x runs from {x_low:.1} to {x_high:.1}, which would do from the goal line too; it is taken to be from the end line"
        );
        findings.push(Finding::new(Severity::Weak, "origin-guessed", text));
    }
    let word = match unit {
        Unit::Yards => "yards",
        Unit::Metres => "metres",
        Unit::Feet => "feet",
    };
    let from = match origin {
        Origin::EndLine => "from the end line",
        Origin::GoalLine => "from the goal line",
        Origin::Middle => "from the middle of the field",
    };
    let text = format!(
        "x runs from {:.1} to {:.1} and y from {:.1} to {:.1}: read as {word} {from}, on a field {whole:.0} yd long with its end zones",
        x_low, x_high, y_low, y_high
    );
    let sure = (wide * unit.yards() / book.width() - 1.0).abs() < 0.2;
    findings.push(Finding::new(if sure { Severity::Note } else { Severity::Weak }, "frame", text));
    (unit, origin)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    fn seen(numbers: Vec<f64>) -> Seen {
        let filled = numbers.len() as u64;
        Seen { first: Vec::new(), words: BTreeSet::new(), numbers, filled, whole: false }
    }
    /// Places all over the field and its end zones, x counted from `zero` past the end line, with `wild` rows far beyond it.
    fn read(zero: f64, wild: usize, starts: &[f64]) -> (Origin, bool) {
        let book = RuleBook::College;
        let x: Vec<f64> = (0..4000)
            .map(|k| f64::from(k % 1171) / 10.0 + 1.5 - zero)
            .chain(std::iter::repeat_n(135.0 - zero, wild))
            .collect();
        let y: Vec<f64> = (0..4000).map(|k| f64::from(k % 533) / 10.0).collect();
        let starts: Vec<[f64; 2]> = starts.iter().map(|x| [x - zero, 0.5 * book.width()]).collect();
        let mut findings = Vec::new();
        let (x, y) = (seen(x), seen(y));
        let (unit, origin) = frame((&[&x], &[&y]), &starts, None, book, &mut findings);
        assert_eq!(unit, Unit::Yards);
        (origin, findings.iter().any(|f| f.code == "origin-guessed"))
    }

    #[test]
    fn a_few_wild_rows_do_not_move_the_origin() {
        for wild in [0, 2] {
            assert_eq!(read(0.0, wild, &[30.0, 55.0]), (Origin::EndLine, false), "{wild} wild rows");
            assert_eq!(read(10.0, wild, &[30.0, 55.0]), (Origin::GoalLine, false), "{wild} wild rows");
        }
    }

    /// Men and balls some yards out of bounds do not make the sideline the middle of the field, nor its yards feet.
    #[test]
    fn out_of_bounds_is_not_the_other_half() {
        let book = RuleBook::College;
        let x = seen((0..4000).map(|k| f64::from(k % 1171) / 10.0 + 1.5).collect());
        let y = seen((0..4000).map(|k| f64::from(k % 533) / 10.0).chain([-6.3, -5.8, 58.0]).collect());
        // On the hashes and between them.
        let hash = 0.5 * book.width() - book.hash_from_sideline();
        let starts: Vec<[f64; 2]> = (0..20)
            .map(|k| {
                [20.0 + f64::from(k) * 4.0, 0.5 * book.width() + hash * [-1.0, 0.4, 1.0][k as usize % 3]]
            })
            .collect();
        let (unit, origin) = frame((&[&x], &[&y]), &starts, None, book, &mut Vec::new());
        assert_eq!((unit, origin), (Unit::Yards, Origin::EndLine));
    }

    /// Plays that start inside the ten tell the goal line, though nobody is seen deep in an end zone.
    #[test]
    fn no_play_starts_in_an_end_zone() {
        let book = RuleBook::College;
        let x: Vec<f64> = (0..4000).map(|k| f64::from(k % 950) / 10.0 + 1.0).collect();
        let y: Vec<f64> = (0..4000).map(|k| f64::from(k % 533) / 10.0).collect();
        let origin = |starts: &[f64]| {
            let starts: Vec<[f64; 2]> = starts.iter().map(|x| [*x, 0.5 * book.width()]).collect();
            let mut findings = Vec::new();
            let origin =
                frame((&[&seen(x.clone())], &[&seen(y.clone())]), &starts, None, book, &mut findings).1;
            (origin, findings.iter().any(|f| f.code == "origin-guessed"))
        };
        assert_eq!(origin(&[4.0, 6.0, 40.0, 71.0]), (Origin::GoalLine, false));
        assert_eq!(origin(&[30.0, 40.0, 71.0]), (Origin::EndLine, true), "either would do, and that is said");
    }
}
