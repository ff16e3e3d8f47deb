//! Whether the data carry a difference, and what more it would take.

use serde::{Deserialize, Serialize};
use statrs::distribution::{ContinuousCDF, Normal};
use stats::Interval;

/// What may be said of a difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Worth {
    /// The data carry it, with all that was looked at accounted for.
    Carried,
    /// The data lean that way.
    Leans,
    /// The data cannot tell.
    CannotTell,
}

/// Share of false discoveries that is borne among the differences called carried.
pub const BORNE: f64 = 0.05;

impl Worth {
    /// Of a difference with its 90% interval and adjusted p.
    pub fn of(interval: Interval, q: f64) -> Self {
        if q <= BORNE {
            Self::Carried
        } else if !interval.contains(0.0) {
            Self::Leans
        } else {
            Self::CannotTell
        }
    }
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Carried => "the data carry this difference",
            Self::Leans => "the data lean this way, no more",
            Self::CannotTell => "the data cannot tell",
        }
    }
}

/// z of an 80% chance to see what is there (standard normal table).
const CHANCE_Z: f64 = 0.842;
/// More than this many times the plays at hand is no plan.
const TOO_MANY: f64 = 20.0;

/// What came of the control over many comparisons.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Many {
    /// Adjusted p.
    pub q: f64,
    /// How many were compared.
    pub compared: usize,
}

/// What more would be needed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case", tag = "what", content = "plays")]
pub enum Needed {
    /// Nothing: it is told.
    Nothing,
    /// About so many more plays of the group, the others growing alike.
    Plays(u64),
    /// More film of this kind will not tell so small a difference.
    TooMany,
    /// There is nothing to go by yet.
    Unknown,
}

/// Plays of a group of `n` needed beyond those at hand so that, were the difference what it looks like, it would be carried with 80%
/// chance even if it were the only true one among all that was compared. `se` falls with the square root of the plays.
pub(super) fn needed(difference: f64, se: f64, n: usize, many: Many) -> Needed {
    if many.q <= BORNE {
        return Needed::Nothing;
    }
    if !(se > 0.0 && se.is_finite()) || n == 0 {
        return Needed::Unknown;
    }
    // The first of so many is held to its share of what is borne.
    let z = Normal::standard().inverse_cdf(1.0 - 0.5 * BORNE / many.compared.max(1) as f64) + CHANCE_Z;
    let times = (z * se / difference.abs().max(1e-12)).powi(2);
    if times > TOO_MANY {
        return Needed::TooMany;
    }
    // It may look this large by luck: a quarter more is asked for at least.
    Needed::Plays(((times.max(1.25) - 1.0) * n as f64).ceil().max(1.0) as u64)
}

impl Needed {
    /// In words, `who` being the group.
    pub fn words(self, who: &str) -> String {
        match self {
            Self::Nothing => String::new(),
            Self::Plays(k) => {
                format!("about {k} more plays of “{who}” to tell, if it is as large as it looks")
            }
            Self::TooMany => "more film of this kind will hardly tell: what there is, is small".to_owned(),
            Self::Unknown => "too few plays to say how many more it takes".to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 0.2 with se 0.1 among one: ((1.960 + 0.842) × 0.1 / 0.2)² = 1.963 times the plays, 20 more of 20; among ten,
    /// ((2.807 + 0.842) / 2)² = 3.329 times, 47 more.
    #[test]
    fn plays_needed_by_hand() {
        let among = |compared| Many { q: 0.5, compared };
        assert_eq!(needed(0.2, 0.1, 20, among(1)), Needed::Plays(20));
        assert_eq!(needed(0.2, 0.1, 20, among(10)), Needed::Plays(47));
        assert_eq!(needed(0.2, 0.1, 20, Many { q: 0.01, compared: 10 }), Needed::Nothing);
        assert_eq!(needed(0.001, 0.1, 20, among(1)), Needed::TooMany);
        assert_eq!(needed(0.6, 0.1, 20, among(1)), Needed::Plays(5));
        assert_eq!(needed(0.4, f64::NAN, 1, among(1)), Needed::Unknown);
    }

    #[test]
    fn a_difference_is_carried_only_after_the_adjustment() {
        let away = Interval { low: 0.02, high: 0.3 };
        assert_eq!(Worth::of(away, 0.04), Worth::Carried);
        assert_eq!(Worth::of(away, 0.06), Worth::Leans);
        assert_eq!(Worth::of(Interval { low: -0.02, high: 0.3 }, 0.06), Worth::CannotTell);
    }
}
