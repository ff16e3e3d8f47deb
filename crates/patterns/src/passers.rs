//! Two passers on the same measures, each from his own study.

use crate::ask::{BORNE, Group, Only, Question, QuestionError, measured_against};
use crate::facts::{Field, Line};
use serde::Serialize;

/// One measure of both.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct PasserRow {
    /// The measure.
    pub of: Field,
    /// This study's passer; his difference to the other is in it.
    pub one: Group,
    /// The other's; its plays are of the other study.
    pub other: Group,
    /// Plays of this study that should count and were not seen.
    pub one_not_seen: usize,
    /// The same of the other study.
    pub other_not_seen: usize,
}

/// Measures that are held against each other: result, decision, result against expectation, throw, feet, placement.
const MEASURES: &[&str] = &[
    "completions",
    "over-chance",
    "choice-chance",
    "timing-chance",
    "placement-chance",
    "points",
    "sound-decision",
    "in-rhythm",
    "value-gap",
    "time-to-throw",
    "margin-at-release",
    "ball-misses",
    "high-misses",
    "intercepted",
    "sacked",
    "feet-error",
    "base",
    "weight",
    "miss-across",
    "lead",
    "away",
];

/// Holds two passers' plays against each other on every measure that either has; all differences are controlled together. Plays
/// are kept by `only`, so that like situations can be compared.
///
/// # Errors
/// As [`Question::fields`].
pub fn passers(
    ours: &[Line],
    theirs: &[Line],
    names: (&str, &str),
    only: &[Only],
) -> Result<Vec<PasserRow>, QuestionError> {
    let questions =
        MEASURES.iter().map(|m| Question { of: (*m).to_owned(), only: only.to_vec(), ..Question::default() });
    let questions: Vec<Question> = questions.collect();
    let rows = measured_against(ours, theirs, names, &questions)?;
    Ok(rows.into_iter().filter(|r| r.one.n + r.other.n > 0).collect())
}

/// Which of them the data carry, in one sentence.
pub fn passers_said(rows: &[PasserRow]) -> String {
    let compared = rows.iter().filter(|r| r.one.difference.is_some()).count();
    let carried: Vec<String> = rows
        .iter()
        .filter(|r| r.one.difference.as_ref().is_some_and(|d| d.q <= BORNE))
        .map(|r| r.of.label.to_lowercase())
        .collect();
    match (compared, carried.is_empty()) {
        (0, _) => "Too few plays in one of the studies to compare any measure.".to_owned(),
        (n, true) => format!("Of {n} measures compared, the data carry no difference."),
        (n, false) => {
            format!("Of {n} measures compared, the data carry a difference in {}.", carried.join("; "))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::Worth;
    use crate::facts::Cell;

    fn study(complete: usize, n: usize, down: impl Fn(usize) -> &'static str) -> Vec<Line> {
        (0..n)
            .map(|k| {
                let mut l = Line {
                    play: format!("p{k}").into(),
                    game: "g".into(),
                    number: k as u32,
                    cells: Default::default(),
                };
                l.put("completions", Cell::Word(if k < complete { "yes" } else { "no" }.to_owned()));
                l.put("down", Cell::Word(down(k).to_owned()));
                l
            })
            .collect()
    }

    /// Newcombe 1998, Statistics in Medicine 17, 873, table II (a): 56/70 less 48/80 is 0.2; its 90% interval by method 10 lies
    /// within the published 95% one, 0.0524 to 0.3339.
    #[test]
    fn passers_differ_by_newcombes_interval() {
        let (a, b) = (study(56, 70, |_| "1st"), study(48, 80, |_| "1st"));
        let rows = passers(&a, &b, ("one", "the other"), &[]).unwrap();
        assert_eq!(rows.len(), 1, "only what either has");
        let d = rows[0].one.difference.as_ref().unwrap();
        assert!((d.value - 0.2).abs() < 1e-12);
        assert!(d.interval.low > 0.0524 && d.interval.high < 0.3339, "{d:?}");
        assert_eq!((rows[0].one.n, rows[0].other.n), (70, 80));
        assert_eq!(d.worth, Worth::Carried);
        assert!(d.words.starts_with("“one” against “the other”: +20 points"), "{}", d.words);
        assert!(passers_said(&rows).contains("throws completed"));
    }

    #[test]
    fn like_is_held_against_like() {
        let (a, b) = (study(10, 20, |k| if k % 2 == 0 { "3rd" } else { "1st" }), study(2, 3, |_| "3rd"));
        let third = [Only { field: "down".into(), words: vec!["3rd".into()] }];
        let rows = passers(&a, &b, ("one", "other"), &third).unwrap();
        assert_eq!((rows[0].one.n, rows[0].other.n), (10, 3));
        assert!(rows[0].one.difference.is_none(), "three plays are too few");
        assert!(passers(&a, &b, ("one", "other"), &[Only { field: "lead".into(), words: vec![] }]).is_err());
    }
}
