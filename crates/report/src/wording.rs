use play::{Outcome, Seen};
use stats::{Estimate, Interval};

/// z of a two-sided 90% normal interval (standard normal table).
const Z90: f64 = 1.644_853_6;

/// "38.2 ± 0.4 mph": the value and half of its 90% interval, with the digits that the interval supports.
pub fn estimate(e: Estimate, unit: &str) -> String {
    let half = Z90 * e.se;
    let digits = if half >= 2.0 {
        0
    } else if half >= 0.1 {
        1
    } else {
        2
    };
    let space = if unit.is_empty() || unit == "°" { "" } else { " " };
    // A minus sign, and no "-0.0".
    let mut value = format!("{:.digits$}", e.value.abs());
    if e.value < 0.0 && value.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        value.insert(0, '−');
    }
    format!("{value} ± {half:.digits$}{space}{unit}")
}

/// The figure in words, or "not seen".
pub fn seen(s: &Seen<Estimate>, unit: &str) -> String {
    s.get().map_or_else(|| "not seen".to_owned(), |e| estimate(*e, unit))
}

/// "14 of 22, 64% (46 to 79)": a count, its share and interval in percent.
pub fn share(successes: u64, trials: u64, interval: Interval) -> String {
    if trials == 0 {
        return "none charted".to_owned();
    }
    let percent = |x: f64| (100.0 * x).round();
    format!(
        "{successes} of {trials}, {}% ({} to {})",
        percent(successes as f64 / trials as f64),
        percent(interval.low),
        percent(interval.high)
    )
}

/// The outcome in the words of `docs/glossary.md`.
pub const fn outcome_word(o: Outcome) -> &'static str {
    match o {
        Outcome::InRhythm => "in rhythm",
        Outcome::Behind => "behind",
        Outcome::Ahead => "ahead",
        Outcome::Bettered => "bettered",
        Outcome::Traded => "traded",
        Outcome::Passed => "passed over",
        Outcome::Forced => "forced",
        Outcome::Bare => "bare",
        Outcome::Untold => "untold",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_follow_the_interval() {
        assert_eq!(estimate(Estimate::new(43.218, 0.21), "mph"), "43.2 ± 0.3 mph");
        assert_eq!(estimate(Estimate::new(-12.4, 5.0), "°"), "−12 ± 8°");
        assert_eq!(estimate(Estimate::new(-0.001, 0.02), "yd"), "0.00 ± 0.03 yd");
    }
}
