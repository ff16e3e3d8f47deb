//! The questions that an evaluator asks of any passer, and the measures that a report opens with, in two readable lists.

use super::question::Question;
use play::Only;
use serde::Serialize;

/// A question with its name.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Ready {
    /// Unique.
    pub id: &'static str,
    /// As an evaluator would say it.
    pub asks: &'static str,
    /// What is asked.
    pub question: Question,
}

/// (id, as asked, field asked for, split by, kept by field and word)
type Row = (&'static str, &'static str, &'static str, &'static str, Option<(&'static str, &'static str)>);

const LIST: &[Row] = &[
    ("tempo", "Quick against on-time throws", "completions", "tempo", None),
    ("pressure", "Pressured against clean", "completions", "pressure", None),
    ("pressure-decision", "Decisions under pressure", "sound-decision", "pressure", None),
    ("depth", "By depth", "completions", "depth", None),
    ("direction", "By direction", "completions", "direction", None),
    ("feet-miss", "Feet error against miss side", "miss-across", "feet-error", None),
    ("feet-lead", "Feet error against the lead he gives a runner", "ahead-of-run", "feet-error", None),
    ("weight-high", "High misses against weight back", "high-misses", "weight-on", None),
    ("weight-height", "Height of the ball against his weight", "over-run", "weight", None),
    ("looks", "First look against later looks", "completions", "look", None),
    ("man-zone", "Man against zone", "completions", "man-zone", None),
    ("man-zone-decision", "Decisions against man and zone", "sound-decision", "man-zone", None),
    ("middle", "Middle open against closed", "sound-decision", "middle", None),
    ("moving", "On the move", "completions", "on-the-move", None),
    ("picture", "First against repeated picture", "sound-decision", "picture", None),
    ("early-late", "Early against late in the game", "completions", "early-late", None),
    ("games", "Game by game", "completions", "game", None),
    ("games-over", "Game by game, against the windows' chance", "over-chance", "game", None),
];

/// Fields whose figures over all plays a report opens with, in its order.
pub const MEASURES: [&str; 12] = [
    "completions",
    "in-rhythm",
    "called-in-rhythm",
    "pressure-before-throw",
    "high-misses",
    "time-to-throw",
    "margin-at-release",
    "separation",
    "air-distance",
    "release-speed",
    "feet-error",
    "base",
];

/// The list.
pub fn ready() -> Vec<Ready> {
    LIST.iter()
        .map(|&(id, asks, of, by, kept)| Ready {
            id,
            asks,
            question: Question {
                only: kept
                    .map(|(field, word)| Only { field: field.to_owned(), words: vec![word.to_owned()] })
                    .into_iter()
                    .collect(),
                ..Question::new(of, by)
            },
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn every_ready_question_can_be_asked() {
        let list = ready();
        assert!(list.iter().all(|r| r.question.fields().is_ok()));
        assert_eq!(list.iter().map(|r| r.id).collect::<HashSet<_>>().len(), list.len());
    }
}
