//! How well two lists of words agree: the one place that asks the layer of statistics about it.

use play::PlayId;
use serde::Serialize;
use stats::{Interval, Proportion};

/// A play on which two calls differ.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Disagreement {
    /// The play, in this study.
    pub play: PlayId,
    /// Order within its game.
    pub number: u32,
    /// The earlier or own word.
    pub one: String,
    /// The later word, or the other evaluator's.
    pub other: String,
}

/// Agreement of two lists of words.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Agreement {
    /// Plays that both called.
    pub n: u64,
    /// On how many the words are the same.
    pub same: u64,
    /// Share of them, 0 to 1; `None` without plays.
    pub share: Option<f64>,
    /// Its 90% interval.
    pub interval: Option<Interval>,
    /// In words.
    pub words: String,
}

impl Agreement {
    /// Of pairs of words.
    pub(super) fn of<'a>(pairs: impl IntoIterator<Item = (&'a str, &'a str)>) -> Self {
        let (mut n, mut same) = (0, 0);
        for (a, b) in pairs {
            n += 1;
            same += u64::from(a.eq_ignore_ascii_case(b));
        }
        let proportion = Proportion::new(same, n).ok();
        let interval = proportion.map(|p| p.wilson(patterns::LEVEL));
        let words = interval.map_or_else(
            || "nothing was called by both".to_owned(),
            |i| report::share(same, n, i) + " the same",
        );
        Self { n, same, share: proportion.map(Proportion::value), interval, words }
    }
}
