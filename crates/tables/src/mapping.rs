//! What a table's columns and words mean.

use crate::TableError;
use field::Direction;
use play::ThrowResult;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Which column holds what, by heading.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TableColumns))]
#[serde(default)]
pub struct Columns {
    /// Columns that together name a play.
    pub play: Vec<String>,
    /// Of a table of several games: which game.
    pub game: Option<String>,
    /// Whose row it is.
    pub person: String,
    /// When.
    pub time: String,
    /// Along the field.
    pub x: String,
    /// Across the field.
    pub y: String,
    /// Side or team.
    pub side: Option<String>,
    /// Position.
    pub position: Option<String>,
    /// Number on the shirt.
    pub shirt: Option<String>,
    /// Name.
    pub name: Option<String>,
    /// What happened at that instant.
    pub event: Option<String>,
    /// Which way the offense goes.
    pub going: Option<String>,
    /// How fast he runs.
    pub speed: Option<String>,
    /// Which way he runs.
    pub course: Option<String>,
}

/// Columns of one person, or of the ball, in a table with one row an instant.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TablePersonColumns))]
#[serde(default)]
pub struct PersonColumns {
    /// Who, as the headings name him.
    pub person: String,
    /// His side or team, as the headings name it.
    pub side: Option<String>,
    /// Along the field.
    pub x: String,
    /// Across the field.
    pub y: String,
    /// How fast he runs.
    pub speed: Option<String>,
    /// Which way he runs.
    pub course: Option<String>,
}

/// Unit of the speeds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TableSpeedUnit))]
#[serde(rename_all = "kebab-case")]
pub enum SpeedUnit {
    /// Yards a second.
    YardsPerSecond,
    /// Metres a second.
    MetresPerSecond,
    /// Miles an hour.
    MilesPerHour,
    /// Kilometres an hour.
    KilometresPerHour,
    /// Feet a second.
    FeetPerSecond,
}

impl SpeedUnit {
    pub(crate) const ALL: [Self; 5] = [
        Self::YardsPerSecond,
        Self::MetresPerSecond,
        Self::MilesPerHour,
        Self::KilometresPerHour,
        Self::FeetPerSecond,
    ];
    /// Yards a second in one.
    pub(crate) const fn ydps(self) -> f64 {
        match self {
            Self::YardsPerSecond => 1.0,
            Self::MetresPerSecond => 1.0 / 0.9144,
            Self::MilesPerHour => 1760.0 / 3600.0,
            Self::KilometresPerHour => 1.0 / (3.6 * 0.9144),
            Self::FeetPerSecond => 1.0 / 3.0,
        }
    }
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::YardsPerSecond => "yards a second",
            Self::MetresPerSecond => "metres a second",
            Self::MilesPerHour => "miles an hour",
            Self::KilometresPerHour => "kilometres an hour",
            Self::FeetPerSecond => "feet a second",
        }
    }
}

/// The axis at which an angle is 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TableAxis))]
#[serde(rename_all = "kebab-case")]
pub enum Axis {
    /// The way x grows.
    X,
    /// The way y grows.
    Y,
}

/// How speeds and courses are written.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TableMotion))]
pub struct Motion {
    /// Unit of the speeds.
    pub unit: SpeedUnit,
    /// Where a course is 0.
    pub zero: Axis,
    /// Courses grow clockwise, seen with x to the right and y up.
    pub clockwise: bool,
    /// Courses are in radians, not degrees.
    pub radians: bool,
}

impl Motion {
    /// Velocity in the table's axes, yd/s.
    pub(crate) fn velocity(&self, speed: f64, course: f64) -> [f64; 2] {
        let turn = if self.radians { course } else { course.to_radians() };
        let turn = if self.clockwise { -turn } else { turn };
        let zero = match self.zero {
            Axis::X => 0.0,
            Axis::Y => std::f64::consts::FRAC_PI_2,
        };
        let (sin, cos) = (zero + turn).sin_cos();
        let v = speed * self.unit.ydps();
        [v * cos, v * sin]
    }
    /// In words.
    pub(crate) fn told(&self) -> String {
        format!(
            "{}, {} {} from the way {} grows",
            self.unit.word(),
            if self.radians { "radians" } else { "degrees" },
            if self.clockwise { "clockwise" } else { "counter-clockwise" },
            match self.zero {
                Axis::X => "x",
                Axis::Y => "y",
            }
        )
    }
}

/// How instants are written.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TableTime))]
#[serde(rename_all = "kebab-case", tag = "form")]
pub enum Time {
    /// Seconds, or minutes and seconds, or a time of day, or a date and time.
    Clock,
    /// Thousandths of a second.
    Milliseconds,
    /// Counted samples.
    Samples {
        /// How many a second.
        per_second: f64,
    },
}

/// Unit of the places.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TableUnit))]
#[serde(rename_all = "kebab-case")]
pub enum Unit {
    /// 0.9144 m.
    Yards,
    /// Metres.
    Metres,
    /// Thirds of a yard.
    Feet,
}

impl Unit {
    pub(crate) const fn yards(self) -> f64 {
        match self {
            Self::Yards => 1.0,
            Self::Metres => 1.0 / 0.9144,
            Self::Feet => 1.0 / 3.0,
        }
    }
}

/// Where x and y are 0. x runs along the field in every case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TableOrigin))]
#[serde(rename_all = "kebab-case")]
pub enum Origin {
    /// Where the end line meets the near sideline.
    EndLine,
    /// Where the goal line meets the near sideline.
    GoalLine,
    /// The middle of the field.
    Middle,
}

/// How the ball's rows are known.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TableBall))]
#[serde(default)]
pub struct Ball {
    /// The column that tells.
    pub column: String,
    /// What it holds in the ball's rows; empty for an empty cell.
    pub word: String,
}

/// What an event's word means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TableEvent))]
#[serde(rename_all = "kebab-case")]
pub enum Event {
    /// The ball starts back.
    Snap,
    /// The ball leaves the passer's hand.
    Release,
    /// The ball reaches a hand or the ground.
    Arrival,
    /// Caught.
    Caught,
    /// Not caught.
    Incomplete,
    /// Caught by the defense.
    Intercepted,
    /// The passer is tackled behind the line, or loses the ball there.
    Sack,
    /// The passer runs.
    Run,
    /// The play is over.
    Over,
    /// Handed to somebody who runs: no pass.
    Handoff,
    /// A kick: no pass.
    Kick,
    /// A flag for a foul.
    Foul,
    /// Of no concern here.
    Nothing,
}

/// How to read a table of positions.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TableMapping))]
pub struct Mapping {
    /// Columns.
    pub columns: Columns,
    /// Instants.
    pub time: Time,
    /// Unit of x and y.
    pub unit: Unit,
    /// Where x and y are 0.
    pub origin: Origin,
    /// y grows toward the near sideline, as if the field were seen in a mirror.
    #[serde(default)]
    pub mirrored: bool,
    /// How speeds and courses are written; without it they are not used.
    #[serde(default)]
    pub motion: Option<Motion>,
    /// In a table with one row an instant, everybody's columns and the ball's; empty for a row a person.
    #[serde(default)]
    pub wide: Vec<PersonColumns>,
    /// The ball.
    pub ball: Ball,
    /// Standard deviation of a position in each direction, yd.
    pub sd_yd: f64,
    /// What the words of the event column mean.
    #[serde(default)]
    pub events: BTreeMap<String, Event>,
    /// What the words of the going column mean.
    #[serde(default)]
    pub going: BTreeMap<String, Direction>,
    /// Sides that the side column's words name outright; other words are teams.
    #[serde(default)]
    pub sides: BTreeMap<String, play::Unit>,
    /// A second table with one row a play.
    #[serde(default)]
    pub plays: Option<PlayColumns>,
}

/// Columns of a table with one row a play, by heading.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = TablePlayColumns))]
#[serde(default)]
pub struct PlayColumns {
    /// Columns that together name a play, in the order of the first table's.
    pub play: Vec<String>,
    /// Quarter.
    pub quarter: Option<String>,
    /// Time left in the quarter.
    pub clock: Option<String>,
    /// Down.
    pub down: Option<String>,
    /// Yards to the line to gain.
    pub distance: Option<String>,
    /// The team with the ball, in the side column's words.
    pub offense: Option<String>,
    /// Yards gained.
    pub gain: Option<String>,
    /// What came of the throw.
    pub result: Option<String>,
    /// What the words of the result column mean.
    pub results: BTreeMap<String, ThrowResult>,
    /// What kind of play it was.
    pub kind: Option<String>,
    /// Whether the words of the kind column mean a pass play; others are left out.
    pub kinds: BTreeMap<String, bool>,
    /// Points of the home team before the play.
    pub home_points: Option<String>,
    /// Points of the other team.
    pub away_points: Option<String>,
}

impl Mapping {
    /// # Errors
    /// `OutOfRange` for a rate or an error that no table has.
    pub(crate) fn check(&self) -> Result<(), TableError> {
        let within = |what, value: f64, unit, low, high| {
            if (low..=high).contains(&value) {
                Ok(())
            } else {
                Err(TableError::OutOfRange { what, value, unit, low, high })
            }
        };
        within("the standard deviation of a position", self.sd_yd, "yd", 0.01, 2.0)?;
        match self.time {
            Time::Samples { per_second } => within("the rate", per_second, "samples a second", 1.0, 240.0),
            Time::Clock | Time::Milliseconds => Ok(()),
        }
    }
}
