//! One measure against another: a line through the plays, with the errors of both carried.

use super::answer::{Dot, Ranged, Slope, Sway};
use super::doubt::student;
use super::groups::{FEWEST, chance};
use super::worth::{BORNE, Many, Needed, Worth, needed};
use crate::LEVEL;
use crate::facts::Field;
use statrs::distribution::{ContinuousCDF, StudentsT};
use stats::models::{DECISIVE, LEAST_RELIABLE, most_influential};
use stats::{Estimate, Interval, errors_in_variables};

/// The line through the dots, and the dot that decides it; `None` under four of them or where x does not vary.
pub(super) fn slope(dots: &[Dot]) -> Option<Slope> {
    let mut s = line(dots)?;
    let points: Vec<(f64, f64)> = dots.iter().map(|d| (d.x.value, d.y.value)).collect();
    let decides = most_influential(&points).filter(|i| i.dfbetas.abs() > DECISIVE);
    s.sway = decides.map(|i| {
        let mut others = dots.to_vec();
        let play = others.remove(i.point).play;
        let without = line(&others);
        let p = without.as_ref().map_or(1.0, |l| l.p);
        Sway { play, without: without.map(|l| l.corrected.unwrap_or(l.plain)), p }
    });
    Some(s)
}

fn line(dots: &[Dot]) -> Option<Slope> {
    if dots.len() < FEWEST {
        return None;
    }
    let points: Vec<(f64, f64)> = dots.iter().map(|d| (d.x.value, d.y.value)).collect();
    let error = dots.iter().map(|d| d.x.se.powi(2)).sum::<f64>() / dots.len() as f64;
    let line = errors_in_variables(&points, error)?;
    let degrees = dots.len() as f64 - 2.0;
    let (b, se) = (line.plain.value, line.plain.se);
    let ranged = |e: Estimate| {
        let half = student(degrees, LEVEL) * e.se;
        Ranged { value: e.value, interval: Some(Interval { low: e.value - half, high: e.value + half }) }
    };
    // A slope that is 0 stays 0 whatever the errors of x: the test needs no correction.
    let p = match StudentsT::new(0.0, 1.0, degrees) {
        Ok(t) if se > 0.0 => (2.0 * t.sf((b / se).abs())).min(1.0),
        _ => 0.0,
    };
    Some(Slope {
        plain: ranged(line.plain),
        se,
        corrected: line.corrected.map(ranged),
        reliability: line.reliability,
        intercept: line.intercept,
        sway: None,
        p,
        q: p,
        worth: Worth::CannotTell,
        needed: Needed::Unknown,
        words: String::new(),
    })
}

/// What may be said of a slope through `n` dots once all that was compared is known.
pub(super) fn judge(of: &Field, by: &Field, n: usize, s: &mut Slope, many: Many) {
    s.q = many.q;
    let interval = s.plain.interval.unwrap_or(Interval { low: 0.0, high: 0.0 });
    s.worth = match &s.sway {
        // One play that might be a slip of the hand carries nothing.
        Some(w) if w.p > BORNE && many.q <= BORNE => Worth::Leans,
        _ => Worth::of(interval, many.q),
    };
    s.needed = needed(s.plain.value, s.se, n, many);
    // Per ten degrees or tenth of a second, so that the figure can be read.
    let (step, unit) = match by.unit {
        "°" => (10.0, "10°".to_owned()),
        "s" => (0.1, "0.1 s".to_owned()),
        "100" => (0.1, "10 points of chance".to_owned()),
        "" => (0.1, "0.1".to_owned()),
        "yd" | "mph" | "ft" | "pt" => (1.0, format!("1 {}", by.unit)),
        other => (1.0, format!("1 {other}")),
    };
    let said = |r: &Ranged| {
        let i = r.interval.unwrap_or(Interval { low: r.value, high: r.value });
        of.said_range(step * r.value, Interval { low: step * i.low, high: step * i.high })
    };
    let corrected = match &s.corrected {
        Some(c) => format!(
            "; with the errors of measurement taken out {} ({:.0}% of the spread is real)",
            said(c),
            100.0 * s.reliability
        ),
        None if s.reliability < LEAST_RELIABLE => format!(
            "; the errors of measurement are nearly as large as the spread ({:.0}% of it is real), so the true slope may be \
             several times steeper",
            100.0 * s.reliability
        ),
        None => String::new(),
    };
    let sway = s.sway.as_ref().map_or_else(String::new, |w| {
        let without = match &w.without {
            Some(r) => format!("without it {} (p {})", said(r), chance(w.p)),
            None => "without it there is no line".to_owned(),
        };
        format!("; one play by itself decides this, look at it first: {without}")
    });
    let needed = s.needed.words("both measured");
    let stop = if needed.is_empty() { String::new() } else { format!("; {needed}") };
    s.words = format!(
        "Per {unit} of {}: {}{corrected}: {} (p {}, {} with all that was compared){sway}{stop}.",
        lower(by.label),
        said(&s.plain),
        s.worth.words(),
        chance(s.p),
        chance(many.q),
    );
}

fn lower(label: &str) -> String {
    let mut c = label.chars();
    c.next().map_or_else(String::new, |f| f.to_lowercase().chain(c).collect())
}
