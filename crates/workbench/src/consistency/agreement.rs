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
    /// Cohen's kappa: agreement beyond what chance would give, 1 for all; of counts the weighted one (Cohen 1968, squared distances), which
    /// minds a miss by one less than one by three. `None` where both used one word only.
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
        let pairs: Vec<[String; 2]> =
            pairs.into_iter().map(|(a, b)| [a, b].map(str::to_ascii_lowercase)).collect();
        let n = pairs.len() as u64;
        let same = pairs.iter().filter(|[a, b]| a == b).count() as u64;
        let mut classes: Vec<&String> = pairs.iter().flatten().collect();
        classes.sort();
        classes.dedup();
        let place = |w: &String| classes.binary_search(&w).expect("every word is a class");
        let mut table = vec![vec![0.0; classes.len()]; classes.len()];
        for [a, b] in &pairs {
            table[place(a)][place(b)] += 1.0;
        }
        let counts: Option<Vec<f64>> = classes.iter().map(|w| w.parse::<u32>().ok().map(f64::from)).collect();
        let kappa = match &counts {
            Some(c) => {
                let far = c.iter().fold(0.0, |far: f64, v| far.max((v - c[0]).abs())).max(1.0);
                stats::weighted_kappa(&table, &|i, j| 1.0 - ((c[i] - c[j]) / far).powi(2))
            }
            None => stats::kappa(&table),
        };
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
            let which = if counts.is_some() { "weighted kappa" } else { "kappa" };
            words.push_str(&format!("; beyond chance ({which}) {} ({range})", hundredths(k.value)));
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

    /// Squared weights make kappa the correlation of even counts about one mean (Fleiss & Cohen 1973, Educ. Psychol. Meas. 33, 613): a miss
    /// by one rusher is not a miss by three.
    #[test]
    fn counts_that_lie_near_disagree_less() {
        let near = Agreement::of([("3", "4"), ("4", "3"), ("5", "6"), ("6", "5"), ("4", "4"), ("5", "5")]);
        let far = Agreement::of([("3", "6"), ("6", "3"), ("4", "5"), ("5", "4"), ("4", "4"), ("5", "5")]);
        assert_eq!((near.same, far.same), (2, 2));
        assert!(near.kappa.unwrap() > 0.5 && far.kappa.unwrap() < 0.0, "{} {}", near.words, far.words);
        assert!(near.words.contains("weighted kappa"), "{}", near.words);
    }
}
