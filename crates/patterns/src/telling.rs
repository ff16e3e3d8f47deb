//! Plays inside a figure's group that show what is said of it, and those that go against it.

use crate::facts::{Cell, Field, FieldKind, Line, YES};
use play::{Leaning, PlayId};
use stats::Estimate;

/// A play that speaks for or against a statement.
#[derive(Clone, Debug, PartialEq)]
pub struct TellingPlay {
    /// Which.
    pub play: PlayId,
    /// How much it tells: larger is more. Comparable within one field only.
    pub telling: f64,
    /// Why, in a few words.
    pub why: String,
}

/// Plays sorted by what they say of a statement, the most telling first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Telling {
    /// They show it.
    pub along: Vec<TellingPlay>,
    /// They go against it.
    pub against: Vec<TellingPlay>,
}

impl Telling {
    /// The most telling first; equal ones stay in the order of the games.
    pub(crate) fn sorted(along: Vec<TellingPlay>, against: Vec<TellingPlay>) -> Self {
        let by = |mut plays: Vec<TellingPlay>| {
            plays.sort_by(|a, b| b.telling.total_cmp(&a.telling));
            plays
        };
        Self { along: by(along), against: by(against) }
    }
}

/// Which way of a field is good for the passer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Good {
    /// Yes, or a large value.
    High,
    /// No, or a small value.
    Low,
    /// A value near zero, to either side.
    Zero,
}

/// Common practice, no source; fields that are neither good nor bad are not here.
const GOOD: &[(&str, Good)] = &[
    ("completions", Good::High),
    ("intercepted", Good::Low),
    ("sacked", Good::Low),
    ("high-misses", Good::Low),
    ("ball-misses", Good::Low),
    ("in-rhythm", Good::High),
    ("sound-decision", Good::High),
    ("called-in-rhythm", Good::High),
    ("pressure-before-throw", Good::Low),
    ("gain", Good::High),
    ("value-gap", Good::Low),
    ("release-speed", Good::High),
    ("feet-error", Good::Zero),
    ("margin-at-release", Good::High),
    ("separation", Good::High),
    ("away", Good::High),
    ("miss-across", Good::Zero),
    ("miss-along", Good::Zero),
    ("over-chance", Good::High),
    ("chance", Good::High),
    ("choice-chance", Good::High),
    ("timing-chance", Good::High),
    ("placement-chance", Good::High),
    ("points", Good::High),
    ("choice-points", Good::High),
    ("timing-points", Good::High),
    ("placement-points", Good::High),
];

/// Whether a large value of a field is good for the passer; `None` where it is neither, or zero is best.
pub(crate) fn good_when_high(field: &str) -> Option<bool> {
    match GOOD.iter().find(|g| g.0 == field)?.1 {
        Good::High => Some(true),
        Good::Low => Some(false),
        Good::Zero => None,
    }
}

/// Which side of the figure the statement is on: true for yes or large (far from zero where zero is good).
fn said_high(field: &Field, leaning: Leaning, supporting: &[f64], middle: f64) -> Option<bool> {
    let good = GOOD.iter().find(|g| g.0 == field.id).map(|g| g.1);
    let praise = match leaning {
        Leaning::Strength => Some(true),
        Leaning::Fault | Leaning::Work => Some(false),
        Leaning::Open => None,
    };
    if let (Some(good), Some(praise)) = (good, praise) {
        return Some((good == Good::High) == praise);
    }
    // Neither good nor bad, or not said which: as the evaluator's own clips have it.
    if supporting.is_empty() {
        return None;
    }
    let mean = supporting.iter().sum::<f64>() / supporting.len() as f64;
    ((mean - middle).abs() > f64::EPSILON).then_some(mean > middle)
}

/// The plays among `group` whose `field` shows a statement of that leaning, and those on which it goes against it.
///
/// A statement of a strength is contradicted by the plays on which the field was bad for the passer, one of a fault by those on which
/// it was good; where the field is neither, or the question open, by those on the other side of the group's middle than the clips
/// chosen for it. A measured value counts only when it lies more likely than not on that side, and tells the more the
/// farther it lies from the middle and the surer it is. `word` is the one whose share is spoken of.
pub fn telling(
    field: &Field,
    word: Option<&str>,
    leaning: Leaning,
    group: &[&Line],
    supporting: &[PlayId],
) -> Telling {
    let word = word.unwrap_or(YES);
    let zero = GOOD.iter().any(|g| g.0 == field.id && g.1 == Good::Zero);
    let measured = field.kind == FieldKind::Value;
    let valued: Vec<(&Line, Estimate)> = group
        .iter()
        .filter_map(|l| {
            let e = match l.cell(field.id)? {
                Cell::Value(e) if zero => Estimate::new(e.value.abs(), e.se),
                Cell::Value(e) => *e,
                Cell::Word(w) => Estimate::new(f64::from(u8::from(w.eq_ignore_ascii_case(word))), 0.0),
                Cell::NotSeen(_) => return None,
            };
            Some((*l, e))
        })
        .collect();
    let values: Vec<f64> = valued.iter().map(|v| v.1.value).collect();
    let middle = if measured { median(&values) } else { 0.5 };
    let shown: Vec<f64> =
        valued.iter().filter(|v| supporting.contains(&v.0.play)).map(|v| v.1.value).collect();
    let Some(high) = said_high(field, leaning, &shown, middle) else { return Telling::default() };
    let spread = Estimate::from_draws(&values).map_or(1.0, |e| e.se).max(f64::MIN_POSITIVE);
    let side = |above: bool| -> Vec<TellingPlay> {
        let counts = |(l, e): &(&Line, Estimate)| {
            let (away, surely) = if above {
                (e.value - middle, e.probability_above(middle))
            } else {
                (middle - e.value, 1.0 - e.probability_above(middle))
            };
            if away <= 0.0 || surely <= 0.5 {
                return None;
            }
            let telling = if measured { away / spread * (2.0 * surely - 1.0) } else { surprise(field, l) };
            Some(TellingPlay { play: l.play.clone(), telling, why: why(field, l, word, middle, zero) })
        };
        valued.iter().filter_map(counts).collect()
    };
    Telling::sorted(side(high), side(!high))
}

/// How surprising a yes or no was, 0 to 1: a completion through a small window tells more than one through a large one, a decision
/// that left much more than one that left little.
fn surprise(field: &Field, l: &Line) -> f64 {
    let known = |id: &str| l.value(id).map(|e| e.value);
    match field.id {
        "completions" | "over-chance" => {
            known("chance").map_or(0.5, |c| if l.word("completions") == Some(YES) { 1.0 - c } else { c })
        }
        "in-rhythm" | "sound-decision" => known("value-gap").map_or(0.5, |g| g.abs() / (1.0 + g.abs())),
        _ => 0.5,
    }
}

fn why(field: &Field, l: &Line, word: &str, middle: f64, zero: bool) -> String {
    match l.cell(field.id) {
        Some(Cell::Value(e)) => {
            let half = if zero { "half of these are farther off than" } else { "the middle of these is" };
            format!("{} {}; {half} {}", lower(field.label), field.said(e.value), field.said(middle))
        }
        Some(Cell::Word(w)) if field.kind == FieldKind::YesNo => {
            let chance = (field.id == "completions").then(|| l.value("chance")).flatten();
            let said = match (field.id, w == YES) {
                ("completions", true) => "completed".to_owned(),
                ("completions", false) => {
                    l.word("miss").map_or_else(|| "not completed".to_owned(), |m| format!("missed, {m}"))
                }
                ("in-rhythm" | "sound-decision", _) => {
                    l.word("judgement").map_or_else(|| w.clone(), |j| format!("judged {j}"))
                }
                ("called-in-rhythm", _) => {
                    l.word("own-call").map_or_else(|| w.clone(), |j| format!("called {j}"))
                }
                _ => format!("{}: {w}", lower(field.label)),
            };
            match chance {
                Some(c) => format!("{said}, where the window gave {:.0}%", 100.0 * c.value.clamp(0.0, 1.0)),
                None => said,
            }
        }
        Some(Cell::Word(w)) => format!("{} {w}, not {word}", lower(field.label)),
        _ => String::new(),
    }
}

/// A label within a sentence, without what stands in brackets.
pub(crate) fn lower(label: &str) -> String {
    let mut c = label.split(" (").next().unwrap_or(label).chars();
    c.next().map_or_else(String::new, |f| f.to_lowercase().chain(c).collect())
}

pub(crate) fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len();
    match n {
        0 => 0.0,
        _ if n % 2 == 1 => sorted[n / 2],
        _ => 0.5 * (sorted[n / 2 - 1] + sorted[n / 2]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::NO;

    fn line(id: &str, cells: &[(&str, Cell)]) -> Line {
        let cells = cells.iter().map(|(k, c)| ((*k).to_owned(), c.clone())).collect();
        Line { play: id.into(), game: "g1".into(), number: 1, cells }
    }
    fn word(w: &str) -> Cell {
        Cell::Word(w.to_owned())
    }
    fn value(v: f64, se: f64) -> Cell {
        Cell::Value(Estimate::new(v, se))
    }
    fn against(t: &Telling) -> Vec<&str> {
        ids(&t.against)
    }
    fn ids(plays: &[TellingPlay]) -> Vec<&str> {
        plays.iter().map(|c| c.play.as_str()).collect()
    }

    #[test]
    fn a_strength_is_contradicted_by_misses_the_easiest_first_and_a_fault_by_completions_the_hardest_first() {
        let lines = [
            line("easy miss", &[("completions", word(NO)), ("chance", value(0.9, 0.05))]),
            line("hard miss", &[("completions", word(NO)), ("chance", value(0.2, 0.05))]),
            line("easy catch", &[("completions", word(YES)), ("chance", value(0.9, 0.05))]),
            line("hard catch", &[("completions", word(YES)), ("chance", value(0.2, 0.05))]),
            line("untold", &[("completions", Cell::NotSeen("no result".into()))]),
        ];
        let group: Vec<&Line> = lines.iter().collect();
        let field = Field::by_id("completions").unwrap();
        let of = |leaning| telling(field, None, leaning, &group, &[]);
        assert_eq!(against(&of(Leaning::Strength)), ["easy miss", "hard miss"]);
        assert_eq!(
            of(Leaning::Strength).along,
            of(Leaning::Fault).against,
            "what speaks against a fault shows a strength"
        );
        assert_eq!(against(&of(Leaning::Fault)), ["hard catch", "easy catch"]);
        assert_eq!(
            of(Leaning::Open),
            Telling::default(),
            "an open question says nothing that could be contradicted"
        );
        assert_eq!(of(Leaning::Fault).against[0].why, "completed, where the window gave 20%");
    }

    /// Feet far from the line to either side are bad; a value that may lie on either side of the middle tells nothing much.
    #[test]
    fn measured_values_count_by_distance_and_sureness() {
        let lines = [
            line("closed", &[("feet-error", value(-20.0, 2.0))]),
            line("open", &[("feet-error", value(15.0, 2.0))]),
            line("coarse", &[("feet-error", value(15.0, 20.0))]),
            line("straight", &[("feet-error", value(1.0, 2.0))]),
            line("near", &[("feet-error", value(-3.0, 2.0))]),
            line("nearer", &[("feet-error", value(2.0, 2.0))]),
        ];
        let group: Vec<&Line> = lines.iter().collect();
        let field = Field::by_id("feet-error").unwrap();
        assert_eq!(
            against(&telling(field, None, Leaning::Strength, &group, &[])),
            ["closed", "open", "coarse"]
        );
        assert_eq!(
            against(&telling(field, None, Leaning::Fault, &group, &[])),
            ["straight", "nearer", "near"]
        );
    }

    /// Time to throw is neither good nor bad: the clips chosen say which side is meant.
    #[test]
    fn a_neutral_measure_is_turned_by_the_clips_chosen() {
        let lines: Vec<Line> = (0..5)
            .map(|k| line(&format!("p{k}"), &[("time-to-throw", value(2.0 + 0.3 * f64::from(k), 0.01))]))
            .collect();
        let group: Vec<&Line> = lines.iter().collect();
        let field = Field::by_id("time-to-throw").unwrap();
        assert_eq!(telling(field, None, Leaning::Fault, &group, &[]), Telling::default());
        assert_eq!(against(&telling(field, None, Leaning::Fault, &group, &["p4".into()])), ["p0", "p1"]);
    }
}
