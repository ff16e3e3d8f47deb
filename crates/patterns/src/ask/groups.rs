//! Groups of plays, their figures, and each against the others.

use super::answer::{Difference, Group, Ranged};
use super::doubt::{fisher, student, welch};
use super::worth::{Many, Needed, Worth, needed};
use crate::LEVEL;
use crate::facts::Field;
use play::PlayId;
use stats::{Interval, Proportion, mean_interval};

/// Plays of a group below which it is not compared: whatever they show, it could be chance. Ours.
pub(super) const FEWEST: usize = 4;

/// What a play adds to a figure.
#[derive(Clone, Copy, Debug)]
pub(super) enum Adds {
    /// Yes or no.
    Yes(bool),
    /// A number.
    Value(f64),
}

/// A group before it is compared.
pub(super) struct Gathered<'l> {
    pub word: String,
    pub plays: Vec<(&'l PlayId, Adds)>,
}

impl Gathered<'_> {
    fn yes(&self) -> usize {
        self.plays.iter().filter(|p| matches!(p.1, Adds::Yes(true))).count()
    }
    fn values(&self) -> Vec<f64> {
        self.plays.iter().filter_map(|p| if let Adds::Value(v) = p.1 { Some(v) } else { None }).collect()
    }
    fn share(&self) -> Option<Proportion> {
        Proportion::new(self.yes() as u64, self.plays.len() as u64).ok()
    }
    /// The group with its figure.
    pub fn group(&self, of: &Field, shares: bool) -> Group {
        let n = self.plays.len();
        let figure = if shares {
            self.share().map(|s| Ranged { value: s.value(), interval: Some(s.wilson(LEVEL)) })
        } else {
            let values = self.values();
            let one = values.first().map(|v| Ranged { value: *v, interval: None });
            mean_interval(&values, LEVEL).map_or(one, |(value, i)| Some(Ranged { value, interval: Some(i) }))
        };
        let mut plays: Vec<_> = self.plays.iter().collect();
        plays.sort_by_key(|p| !matches!(p.1, Adds::Yes(true)));
        let yes = shares.then(|| self.yes());
        let words = figure.map_or_else(|| "no play".to_owned(), |f| figure_words(of, f, n, yes));
        Group {
            word: self.word.clone(),
            n,
            plays: plays.into_iter().map(|p| p.0.clone()).collect(),
            yes,
            figure,
            pooled: None,
            difference: None,
            words,
        }
    }
}

/// "12 of 31, 39% (26% to 54%)" or "−6° (−9° to −3°) over 14 plays".
fn figure_words(of: &Field, f: Ranged, n: usize, yes: Option<usize>) -> String {
    let range = f.interval.map_or_else(
        || ", one play, which shows no spread".to_owned(),
        |i| format!(" ({})", of.said_between(i)),
    );
    match yes {
        Some(yes) => format!("{yes} of {n}, {}{range}", of.said(f.value)),
        None if n == 1 => format!("{}{range}", of.said(f.value)),
        None => format!("{}{range} over {n} plays", of.said(f.value)),
    }
}

/// A group against another, before the control over many; `None` where either has too few plays or nothing varies.
pub(super) fn difference(a: &Gathered<'_>, b: &Gathered<'_>, against: &str) -> Option<Difference> {
    let (n, m) = (a.plays.len(), b.plays.len());
    if n < FEWEST || m < FEWEST {
        return None;
    }
    let (value, interval, p, se) = match (a.plays.first()?.1, a.share(), b.share()) {
        (Adds::Yes(_), Some(x), Some(y)) => {
            let p = fisher(x.successes(), x.trials(), y.successes(), y.trials());
            // The spread of shares a little off 0 and 1, so that two plays of two do not look sure (Agresti & Caffo 2000).
            let var = |s: Proportion| {
                let n = s.trials() as f64 + 2.0;
                let q = (s.successes() as f64 + 1.0) / n;
                q * (1.0 - q) / n
            };
            (x.value() - y.value(), x.difference(y, LEVEL), p, (var(x) + var(y)).sqrt())
        }
        _ => {
            let w = welch(&a.values(), &b.values())?;
            let half = student(w.degrees, LEVEL) * w.se;
            (w.value, Interval { low: w.value - half, high: w.value + half }, w.p, w.se)
        }
    };
    Some(Difference {
        against: against.to_owned(),
        value,
        se,
        interval,
        p,
        q: p,
        worth: Worth::CannotTell,
        needed: Needed::Unknown,
        words: String::new(),
    })
}

/// What may be said of a difference once all that was compared is known; `scarce` is the smaller side, with `n` plays.
pub(super) fn judge(of: &Field, word: &str, scarce: &str, n: usize, d: &mut Difference, many: Many) {
    d.q = many.q;
    d.worth = Worth::of(d.interval, many.q);
    d.needed = needed(d.value, d.se, n, many);
    let needed = d.needed.words(scarce);
    let stop = if needed.is_empty() { String::new() } else { format!("; {needed}") };
    d.words = format!(
        "“{word}” against {}: {}: {} (p {}, {} with all that was compared){stop}.",
        if d.against == OTHERS { OTHERS.to_owned() } else { format!("“{}”", d.against) },
        of.said_range(d.value, d.interval),
        d.worth.words(),
        chance(d.p),
        chance(many.q),
    );
}

/// Against all other groups.
pub(super) const OTHERS: &str = "the others";

/// A small probability in words.
pub(crate) fn chance(p: f64) -> String {
    if p < 0.001 {
        "under 0.001".to_owned()
    } else if p < 0.1 {
        format!("{p:.3}")
    } else {
        format!("{p:.2}")
    }
}

/// Each group's difference: two are held against each other once, more each against all others.
pub(super) fn compare(gathered: &[Gathered<'_>], groups: &mut [Group]) {
    if let [a, b] = gathered {
        groups[0].difference = difference(a, b, &b.word);
        return;
    }
    for (k, g) in gathered.iter().enumerate() {
        let others = Gathered {
            word: OTHERS.to_owned(),
            plays: gathered
                .iter()
                .enumerate()
                .filter(|(j, _)| *j != k)
                .flat_map(|(_, g)| g.plays.clone())
                .collect(),
        };
        groups[k].difference = difference(g, &others, OTHERS);
    }
}
