//! How well two lists of words agree: the one place that asks the layer of statistics about it.

use play::PlayId;
use serde::Serialize;
use stats::{Interval, Proportion};
use std::collections::BTreeMap;

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
    /// Cohen's kappa: agreement beyond what chance would give, 1 for all; `None` where both used one word only.
    pub kappa: Option<f64>,
    /// Its 90% interval, by the large-sample error; `None` with fewer plays than [`FEWEST`].
    pub kappa_interval: Option<Interval>,
    /// In words.
    pub words: String,
}

/// Plays below which kappa's large-sample error is not to be trusted. Common practice, no source.
const FEWEST: u64 = 20;

impl Agreement {
    /// Of pairs of words.
    pub(super) fn of<'a>(pairs: impl IntoIterator<Item = (&'a str, &'a str)>) -> Self {
        let (mut n, mut same) = (0, 0);
        let mut classes: BTreeMap<String, usize> = BTreeMap::new();
        let mut put = Vec::new();
        for (a, b) in pairs {
            n += 1;
            same += u64::from(a.eq_ignore_ascii_case(b));
            let mut class = |w: &str| {
                let next = classes.len();
                *classes.entry(w.to_ascii_lowercase()).or_insert(next)
            };
            put.push((class(a), class(b)));
        }
        let mut table = vec![vec![0.0; classes.len()]; classes.len()];
        for (a, b) in put {
            table[a][b] += 1.0;
        }
        let kappa = stats::kappa(&table);
        let kappa_interval = kappa.filter(|_| n >= FEWEST).map(|k| {
            let i = k.interval(patterns::LEVEL);
            Interval { low: i.low.max(-1.0), high: i.high.min(1.0) }
        });
        let proportion = Proportion::new(same, n).ok();
        let interval = proportion.map(|p| p.wilson(patterns::LEVEL));
        let mut words = interval.map_or_else(
            || "nothing was called by both".to_owned(),
            |i| report::share(same, n, i) + " the same",
        );
        if let Some(k) = kappa {
            let range = kappa_interval.map_or_else(
                || format!("fewer than {FEWEST} plays give no interval"),
                |i| format!("{} to {}", hundredths(i.low), hundredths(i.high)),
            );
            words.push_str(&format!("; beyond chance (kappa) {} ({range})", hundredths(k.value)));
        }
        Self {
            n,
            same,
            share: proportion.map(Proportion::value),
            interval,
            kappa: kappa.map(|k| k.value),
            kappa_interval,
            words,
        }
    }
}

/// Two decimals, with a true minus.
fn hundredths(v: f64) -> String {
    format!("{v:.2}").replace('-', "−")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Cohen 1960, Educ. Psychol. Meas. 20, 37: two clinicians and 200 patients, 140 of them in the same of three classes: kappa
    /// .492.
    #[test]
    fn agreement_beyond_chance_is_cohens() {
        let table = [[88, 14, 18], [10, 40, 10], [2, 6, 12]];
        let words = ["in rhythm", "Behind", "forced"];
        let pairs = (0..3)
            .flat_map(|i| (0..3).flat_map(move |j| std::iter::repeat_n((words[i], words[j]), table[i][j])));
        let a = Agreement::of(pairs);
        assert_eq!((a.n, a.same), (200, 140));
        assert!((a.kappa.unwrap() - 0.492).abs() < 5e-4);
        assert!(a.kappa_interval.unwrap().contains(0.492) && a.words.contains("kappa) 0.49"), "{}", a.words);
        let few = Agreement::of([("a", "a"), ("b", "a"), ("b", "b")]);
        assert!(few.kappa.is_some() && few.kappa_interval.is_none());
        assert_eq!(Agreement::of([("a", "A")]).kappa, None, "one word only");
    }
}
