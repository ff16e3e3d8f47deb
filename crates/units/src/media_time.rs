use serde::{Deserialize, Serialize};
use std::cmp::Ordering;
use std::fmt;

/// A positive rational number of ticks or frames per second, kept in lowest terms.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(try_from = "RawRate", into = "RawRate")]
pub struct Rate {
    numerator: u32,
    denominator: u32,
}

#[derive(Serialize, Deserialize)]
struct RawRate {
    numerator: u32,
    denominator: u32,
}

impl TryFrom<RawRate> for Rate {
    type Error = RateError;
    fn try_from(r: RawRate) -> Result<Self, RateError> {
        Self::new(r.numerator, r.denominator)
    }
}

impl From<Rate> for RawRate {
    fn from(r: Rate) -> Self {
        Self { numerator: r.numerator, denominator: r.denominator }
    }
}

/// Why a rate was refused.
#[derive(Debug, thiserror::Error, PartialEq, Eq)]
pub enum RateError {
    /// A rate must be a positive, finite fraction.
    #[error("rate {numerator}/{denominator} per second is not a positive fraction")]
    NotPositive {
        /// Per this many ...
        numerator: u32,
        /// ... seconds.
        denominator: u32,
    },
}

const fn gcd(mut a: u32, mut b: u32) -> u32 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

impl Rate {
    /// `numerator / denominator` per second, reduced.
    ///
    /// # Errors
    /// `NotPositive` when either part is zero.
    pub const fn new(numerator: u32, denominator: u32) -> Result<Self, RateError> {
        if numerator == 0 || denominator == 0 {
            return Err(RateError::NotPositive { numerator, denominator });
        }
        let g = gcd(numerator, denominator);
        Ok(Self { numerator: numerator / g, denominator: denominator / g })
    }
    /// Events in `denominator()` seconds.
    pub const fn numerator(self) -> u32 {
        self.numerator
    }
    /// Seconds in which `numerator()` events fall.
    pub const fn denominator(self) -> u32 {
        self.denominator
    }
    /// The rate as a float, per second.
    pub const fn per_second(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }
}

impl fmt::Display for Rate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.denominator == 1 {
            write!(f, "{}", self.numerator)
        } else {
            write!(f, "{}/{}", self.numerator, self.denominator)
        }
    }
}

/// An instant of a film: `ticks / rate` seconds after the film's zero. Exact; compares across rates.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub struct MediaTime {
    /// Count of ticks since the film's zero; may be negative before it.
    pub ticks: i64,
    /// Ticks per second.
    pub rate: Rate,
}

impl MediaTime {
    /// The instant `ticks` ticks of `rate` after zero.
    pub const fn new(ticks: i64, rate: Rate) -> Self {
        Self { ticks, rate }
    }
    /// Seconds after zero; exact to the float's last place.
    pub fn seconds(self) -> f64 {
        // Split first so that hours of film in a fine tick keep microseconds.
        let n = i128::from(self.ticks) * i128::from(self.rate.denominator);
        let d = i128::from(self.rate.numerator);
        (n / d) as f64 + (n % d) as f64 / d as f64
    }
}

impl PartialEq for MediaTime {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for MediaTime {}
impl PartialOrd for MediaTime {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for MediaTime {
    fn cmp(&self, other: &Self) -> Ordering {
        let left =
            i128::from(self.ticks) * i128::from(self.rate.denominator) * i128::from(other.rate.numerator);
        let right =
            i128::from(other.ticks) * i128::from(other.rate.denominator) * i128::from(self.rate.numerator);
        left.cmp(&right)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// SMPTE ST 12-1 counts 30000/1001: frame 107 892 is one hour of drop-frame time code, which is
    /// 3599.9964 s of true time.
    #[test]
    fn ntsc_is_exact() {
        let ntsc = Rate::new(30_000, 1001).unwrap();
        assert_eq!(MediaTime::new(30_000, ntsc), MediaTime::new(1001, Rate::new(1, 1).unwrap()));
        assert!((MediaTime::new(107_892, ntsc).seconds() - 3599.9964).abs() < 1e-9);
    }

    #[test]
    fn zero_rates_are_refused_with_the_value() {
        let e = Rate::new(0, 1).unwrap_err();
        assert_eq!(e.to_string(), "rate 0/1 per second is not a positive fraction");
    }

    proptest::proptest! {
        #[test]
        fn order_agrees_with_seconds(a in -1_000_000i64..1_000_000, b in -1_000_000i64..1_000_000) {
            let x = MediaTime::new(a, Rate::new(30_000, 1001).unwrap());
            let y = MediaTime::new(b, Rate::new(25, 1).unwrap());
            if (x.seconds() - y.seconds()).abs() > 1e-9 {
                proptest::prop_assert_eq!(x < y, x.seconds() < y.seconds());
            }
        }
    }
}
