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

/// Unit and origin by how far the places reach, and by where across the field plays start (`starts`, in table units).
pub(super) fn frame(
    (x, y): (&[&Seen], &[&Seen]),
    starts: &[f64],
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
    let centred = y_low < -5.0 && y_high > 5.0;
    let likely = |u: Unit| {
        let from_middle = |y: f64| y * u.yards() - if centred { 0.0 } else { 0.5 * book.width() };
        width_fits(wide * u.yards() / book.width())
            + starts.iter().map(|y| start_fits(from_middle(*y), book)).sum::<f64>()
    };
    let guessed = [Unit::Yards, Unit::Metres, Unit::Feet]
        .into_iter()
        .max_by(|a, b| likely(*a).total_cmp(&likely(*b)))
        .unwrap_or(Unit::Yards);
    let unit = named.unwrap_or(guessed);
    let (low, high) = (x_low * unit.yards(), x_high * unit.yards());
    let origin = if centred && low < -15.0 {
        Origin::Middle
    } else if low < -1.5 && high < book.length() + book.end_zone() + 1.5 {
        Origin::GoalLine
    } else {
        Origin::EndLine
    };
    // Nobody seen in the last yards of the far end zone: goal line and end line would both do.
    if origin == Origin::EndLine && high < book.length() + book.end_zone() + 1.5 {
        let text = format!(
            "x runs from {x_low:.1} to {x_high:.1} only, which would do from the goal line too; it is taken to be from the end line"
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
