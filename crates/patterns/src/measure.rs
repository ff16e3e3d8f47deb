use play::{Chart, Judgement, Measurement, MomentKind, Outcome, OwnCall, PlayId, ThrowResult};
use serde::{Deserialize, Serialize};

/// What is known of one play.
#[derive(Clone, Copy, Debug)]
pub struct PlayFacts<'a> {
    /// Which.
    pub play: &'a PlayId,
    /// As charted.
    pub chart: &'a Chart,
    /// As measured.
    pub measurement: Option<&'a Measurement>,
    /// As judged by the program, the evaluator's first plan first.
    pub judgements: &'a [Judgement],
    /// The evaluator's calls.
    pub calls: &'a [OwnCall],
}

/// Something counted or averaged over plays.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measure {
    /// Share of throws that were complete.
    Completions,
    /// Share of decisions that the program finds most likely in rhythm under the evaluator's first plan.
    InRhythm,
    /// Share of decisions that the evaluator called in rhythm.
    CalledInRhythm,
    /// Share of plays on which pressure arrived before the ball was out.
    PressureBeforeThrow,
    /// Share of incompletions charted high.
    HighMisses,
    /// Snap to release, s.
    TimeToThrow,
    /// Release speed, mph.
    ReleaseSpeed,
    /// Signed feet error, degrees.
    FeetError,
    /// Base, yd.
    Base,
    /// Separation at arrival, yd.
    Separation,
    /// Window margin of the thrown receiver at release, s.
    MarginAtRelease,
    /// Air distance, yd.
    AirDistance,
}

/// One play's contribution to a measure.
pub(crate) enum Told {
    /// Counts, and whether it is a success.
    Share(bool),
    /// Counts with this value.
    Value(f64),
    /// Should count but was not seen or charted.
    Missing,
    /// Does not belong to the measure's plays.
    Outside,
}

impl Measure {
    /// All, in the order of a report.
    pub const ALL: [Self; 12] = [
        Self::Completions,
        Self::InRhythm,
        Self::CalledInRhythm,
        Self::PressureBeforeThrow,
        Self::HighMisses,
        Self::TimeToThrow,
        Self::MarginAtRelease,
        Self::Separation,
        Self::AirDistance,
        Self::ReleaseSpeed,
        Self::FeetError,
        Self::Base,
    ];

    /// The id that a claim's strand stores.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Completions => "completions",
            Self::InRhythm => "in-rhythm",
            Self::CalledInRhythm => "called-in-rhythm",
            Self::PressureBeforeThrow => "pressure-before-throw",
            Self::HighMisses => "high-misses",
            Self::TimeToThrow => "time-to-throw",
            Self::ReleaseSpeed => "release-speed",
            Self::FeetError => "feet-error",
            Self::Base => "base",
            Self::Separation => "separation",
            Self::MarginAtRelease => "margin-at-release",
            Self::AirDistance => "air-distance",
        }
    }

    /// The measure of an id; `None` for an unknown one.
    pub fn by_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|m| m.id() == id)
    }

    /// In plain words.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Completions => "Throws completed",
            Self::InRhythm => "Decisions most likely in rhythm",
            Self::CalledInRhythm => "Decisions called in rhythm",
            Self::PressureBeforeThrow => "Pressure before the ball was out",
            Self::HighMisses => "Misses that were high",
            Self::TimeToThrow => "Time to throw",
            Self::ReleaseSpeed => "Release speed",
            Self::FeetError => "Feet error (closed negative)",
            Self::Base => "Base at release",
            Self::Separation => "Separation at arrival",
            Self::MarginAtRelease => "Window of the thrown receiver at release",
            Self::AirDistance => "Air distance",
        }
    }

    /// Unit of an average; empty for a share.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Completions
            | Self::InRhythm
            | Self::CalledInRhythm
            | Self::PressureBeforeThrow
            | Self::HighMisses => "",
            Self::TimeToThrow | Self::MarginAtRelease => "s",
            Self::ReleaseSpeed => "mph",
            Self::FeetError => "°",
            Self::Base | Self::Separation | Self::AirDistance => "yd",
        }
    }

    pub(crate) fn told(self, f: &PlayFacts<'_>) -> Told {
        use ThrowResult::{Batted, Complete, Incomplete, Intercepted};
        let value = |v: Option<f64>| v.map_or(Told::Missing, Told::Value);
        let thrown = matches!(f.chart.result, Some(Complete | Incomplete | Intercepted | Batted));
        let moment = |kind| f.measurement?.moments.iter().find(|m| m.kind == kind).map(|m| m.at_s.value);
        let throw = || f.measurement?.throw.get();
        let feet = || f.measurement?.feet.get();
        match self {
            Self::Completions => match f.chart.result {
                None => Told::Missing,
                Some(r) if thrown => Told::Share(r == Complete),
                Some(_) => Told::Outside,
            },
            Self::InRhythm => match f.judgements.first().and_then(|j| j.outcomes.first()) {
                Some(w) if w.outcome == Outcome::Untold => Told::Missing,
                Some(w) => Told::Share(w.outcome == Outcome::InRhythm),
                None => Told::Missing,
            },
            Self::CalledInRhythm => {
                f.calls.first().map_or(Told::Missing, |c| Told::Share(c.outcome == Outcome::InRhythm))
            }
            Self::PressureBeforeThrow => {
                // No rusher within reach up to release is an answer only when the release was seen.
                match (f.measurement.and_then(|m| m.pressure.at_s.get()), moment(MomentKind::Release)) {
                    (Some(p), Some(r)) => Told::Share(p.value < r),
                    (None, Some(_)) if f.measurement.is_some_and(|m| !m.tracks.is_empty()) => {
                        Told::Share(false)
                    }
                    _ => Told::Missing,
                }
            }
            Self::HighMisses => match f.chart.result {
                Some(Incomplete) if f.chart.miss.is_empty() => Told::Missing,
                Some(Incomplete) => Told::Share(f.chart.miss.contains("high")),
                None => Told::Missing,
                Some(_) => Told::Outside,
            },
            Self::TimeToThrow => value(moment(MomentKind::Release)),
            Self::ReleaseSpeed => value(throw().and_then(|t| t.speed_mph.get()).map(|e| e.value)),
            Self::AirDistance => value(throw().map(|t| t.air_yd.value)),
            Self::FeetError => value(feet().and_then(|x| x.error_deg.get()).map(|e| e.value)),
            Self::Base => value(feet().and_then(|x| x.base_yd.get()).map(|e| e.value)),
            Self::Separation => value(
                f.measurement
                    .and_then(|m| m.placement.get())
                    .and_then(|p| p.separation_yd.get())
                    .map(|e| e.value),
            ),
            Self::MarginAtRelease => value(moment(MomentKind::Release).and_then(|release| {
                let target = f.chart.target.as_ref()?;
                let row = f.measurement?.windows.iter().find(|w| w.receiver == *target)?;
                let cell = row.nearest(release)?;
                cell.ball.map(|_| cell.margin_s.value)
            })),
        }
    }
}
