//! The ways in which tables of positions are written.

use super::faults::Fault;
use crate::sim::dice::Dice;

/// What a column of the table of positions holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "plain words")]
pub(super) enum Column {
    Game,
    Play,
    Id,
    Name,
    Number,
    Position,
    Team,
    Time,
    Frame,
    X,
    Y,
    Speed,
    Acceleration,
    Moved,
    Facing,
    Running,
    Event,
    Going,
}

/// How people are named.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ids {
    /// By what they are in the play.
    Words,
    /// Five digits.
    Numbers,
    /// Digits that a column with holes was once stored as fractions for: `41207.0`.
    Fractions,
    /// Nineteen digits, more than a double holds.
    Big,
}

/// How instants are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clock {
    /// Seconds from the snap.
    FromSnap,
    /// Seconds from some start of day.
    Seconds,
    /// Date and time with a tenth and a Z.
    Iso,
    /// Only a counter of frames from 1.
    Frames,
    /// Milliseconds since 1970.
    Milliseconds,
}

/// How sides are named.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Teams {
    /// `HOME`, `AWAY`, `ball`; the home team has the ball.
    Plain,
    /// `home`, `away`, either with the ball.
    HomeAway,
    /// Letters of each game's two teams.
    Codes,
    /// `offense`, `defense`.
    Units,
}

/// Unit of a speed column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "plain words")]
pub enum Speed {
    YardsPerSecond,
    MetresPerSecond,
    MilesPerHour,
}

/// How directions of running are counted, in degrees.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Angle {
    /// Clockwise from the y axis.
    ClockwiseFromY,
    /// Counter-clockwise from the x axis.
    CounterFromX,
}

/// How events are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Events {
    /// One spelling, in every row of the instant, nothing else.
    Tidy,
    /// Several spellings, guesses of a program beside those of people, things of no concern, repeats.
    Mixed,
    /// The same, in the ball's rows alone.
    BallRows,
}

/// Order of the rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "plain words")]
pub enum Order {
    ByInstant,
    ByPerson,
    Shuffled,
}

/// A way of writing tables.
#[derive(Clone, Debug)]
pub struct Style {
    pub(super) columns: Vec<(Column, &'static str)>,
    /// Headings of the table of plays: game, play, quarter, clock, down, distance, offense, result, gain, kind.
    pub(super) play_headings: [&'static str; 10],
    /// How people are named.
    pub ids: Ids,
    /// How instants are written.
    pub clock: Clock,
    /// How sides are named.
    pub teams: Teams,
    /// Speed column's unit, in wild tables.
    pub speed: Speed,
    /// Angle columns.
    pub angle: Angle,
    /// Events.
    pub events: Events,
    /// Order.
    pub order: Order,
    /// Words in quotes.
    pub quoted: bool,
    /// Between cells.
    pub separator: char,
    /// Yards of one table unit.
    pub unit_yd: f64,
    /// Where x and y are 0 in the field frame, yd.
    pub origin: [f64; 2],
    /// The field is seen turned by 180 degrees: x runs from the far end.
    pub turned: bool,
    /// What is in an empty cell.
    pub nothing: &'static str,
    /// The ball's rows have no id.
    pub ball_without_id: bool,
    /// The ball's team cell.
    pub ball_word: &'static str,
    /// One row an instant, a pair of columns a person.
    pub wide: bool,
    /// Instants are off the tenths by a few hundredths, and one in fifty is missing.
    pub uneven: bool,
    /// White and slow error of a place along each axis, yd.
    pub sd_yd: [f64; 2],
    /// Share of plays that are spoilt.
    pub faults: f64,
    /// The only fault there is; any of them without.
    pub only: Option<Fault>,
    /// Runs, kicks and whistled plays for each pass play.
    pub others: f64,
    /// Plays are numbered with gaps, as every snap of a game is.
    pub gaps: bool,
    /// Results as letters.
    pub letters: bool,
}

const PLAIN_PLAYS: [&str; 10] =
    ["game", "play", "quarter", "clock", "down", "to go", "offense", "result", "gain", ""];

impl Style {
    /// A tidy table in seconds from the snap and yards from the corner, with an error of four inches; common practice, no
    /// source. `games` adds the column that tells them apart.
    pub fn plain(games: bool) -> Self {
        use Column as C;
        let mut columns = vec![
            (C::Play, "play"),
            (C::Id, "id"),
            (C::Name, "name"),
            (C::Number, "number"),
            (C::Team, "team"),
            (C::Time, "time"),
            (C::X, "x"),
            (C::Y, "y"),
            (C::Event, "event"),
            (C::Going, "going"),
        ];
        if games {
            columns.insert(0, (C::Game, "game"));
        }
        Self {
            columns,
            play_headings: PLAIN_PLAYS,
            ids: Ids::Words,
            clock: Clock::FromSnap,
            teams: Teams::Plain,
            speed: Speed::YardsPerSecond,
            angle: Angle::ClockwiseFromY,
            events: Events::Tidy,
            order: Order::ByInstant,
            quoted: false,
            separator: ',',
            unit_yd: 1.0,
            origin: [-10.0, 0.0],
            turned: false,
            nothing: "",
            ball_without_id: false,
            ball_word: "ball",
            wide: false,
            uneven: false,
            sd_yd: [0.12, 0.0],
            faults: 0.0,
            only: None,
            others: 0.0,
            gaps: false,
            letters: false,
        }
    }

    /// One of many ways, by seed.
    pub fn wild(seed: u64) -> Self {
        let mut d = Dice::new(seed, 31);
        let plain = Self::plain(true);
        let book = field::RuleBook::College;
        let (unit_yd, origin) = *d.pick(&[
            (1.0, [-10.0, 0.0]),
            (1.0, [-10.0, 0.0]),
            (1.0, [0.0, 0.0]),
            (1.0 / 0.9144, [50.0, 0.5 * book.width()]),
            (1.0 / 0.9144, [-10.0, 0.0]),
            (1.0 / 3.0, [-10.0, 0.0]),
        ]);
        let wide = d.chance(0.12);
        let clock = *d.pick(&[Clock::Iso, Clock::Iso, Clock::Seconds, Clock::Frames, Clock::Milliseconds]);
        let going = d.chance(0.7);
        let motion = d.chance(0.8);
        let (columns, play_headings) = headings(d.below(4), clock, going, motion, wide);
        let ball_without_id = !wide && d.chance(0.5);
        Self {
            columns,
            play_headings,
            ids: *d.pick(&[Ids::Numbers, Ids::Fractions, Ids::Big]),
            clock,
            teams: *d.pick(&[Teams::HomeAway, Teams::HomeAway, Teams::Codes, Teams::Units]),
            speed: *d.pick(&[
                Speed::YardsPerSecond,
                Speed::YardsPerSecond,
                Speed::MetresPerSecond,
                Speed::MilesPerHour,
            ]),
            angle: *d.pick(&[Angle::ClockwiseFromY, Angle::CounterFromX]),
            events: *d.pick(&[Events::Mixed, Events::Mixed, Events::BallRows]),
            order: *d.pick(&[Order::ByInstant, Order::ByPerson, Order::Shuffled]),
            quoted: d.chance(0.4),
            separator: *d.pick(&[',', ',', ';', '\t']),
            unit_yd,
            origin,
            turned: d.chance(0.2),
            nothing: *d.pick(&["", "NA", "None", "NULL"]),
            ball_without_id,
            ball_word: *d.pick(&["football", "ball", "Football"]),
            wide,
            uneven: d.chance(0.25) && clock != Clock::Frames,
            sd_yd: *d.pick(&[[0.02, 0.12], [0.05, 0.15], [0.12, 0.08], [0.2, 0.1]]),
            faults: 0.15,
            others: 0.25,
            gaps: true,
            letters: d.chance(0.6),
            ..plain
        }
    }

    /// A tidy table of which every play has one fault.
    pub fn only(fault: Fault) -> Self {
        Self { faults: 1.0, only: Some(fault), ..Self::plain(false) }
    }

    /// The same with the field turned by half a circle.
    #[must_use]
    pub fn half_turn(self) -> Self {
        Self { turned: !self.turned, ..self }
    }

    /// The number that the table gives a play.
    pub(super) fn numbered(&self, number: u32) -> u32 {
        if self.gaps { 31 + 23 * number + number * number % 11 } else { number }
    }
    pub(super) fn has(&self, column: Column) -> bool {
        self.columns.iter().any(|c| c.0 == column)
    }
}

/// Headings of both tables in one of four vocabularies.
fn headings(
    which: usize,
    clock: Clock,
    going: bool,
    motion: bool,
    wide: bool,
) -> (Vec<(Column, &'static str)>, [&'static str; 10]) {
    use Column as C;
    const ORDER: [Column; 18] = [
        C::Game,
        C::Play,
        C::Id,
        C::Name,
        C::Frame,
        C::Time,
        C::Number,
        C::Position,
        C::Team,
        C::Going,
        C::X,
        C::Y,
        C::Speed,
        C::Acceleration,
        C::Moved,
        C::Facing,
        C::Running,
        C::Event,
    ];
    const WORDS: [[&str; 18]; 4] = [
        [
            "gameId",
            "playId",
            "playerId",
            "displayName",
            "frameId",
            "time",
            "jerseyNumber",
            "position",
            "team",
            "playDirection",
            "x",
            "y",
            "s",
            "a",
            "dis",
            "o",
            "dir",
            "event",
        ],
        [
            "Game",
            "Play No.",
            "Player",
            "Player Name",
            "Frame",
            "Timestamp",
            "No.",
            "Pos",
            "Side",
            "Direction",
            "X",
            "Y",
            "Speed",
            "Accel",
            "Dist",
            "Orientation",
            "Heading",
            "Event",
        ],
        [
            "match_id",
            "snap_id",
            "tracker_id",
            "full_name",
            "sample",
            "utc_time",
            "shirt_no",
            "role",
            "club",
            "attack_direction",
            "pos_x",
            "pos_y",
            "velocity",
            "acceleration",
            "distance_moved",
            "body_angle",
            "motion_angle",
            "tag",
        ],
        [
            "GameKey",
            "PlayKey",
            "EntityId",
            "Who",
            "FrameNumber",
            "Timestamp",
            "Jersey",
            "PositionName",
            "TeamName",
            "Going",
            "XPos",
            "YPos",
            "SpeedYps",
            "Acc",
            "Moved",
            "FacingDeg",
            "CourseDeg",
            "EventName",
        ],
    ];
    const PLAYS: [[&str; 10]; 4] = [
        [
            "gameId",
            "playId",
            "quarter",
            "gameClock",
            "down",
            "yardsToGo",
            "possessionTeam",
            "passResult",
            "playResult",
            "playType",
        ],
        ["Game", "Play No.", "Qtr", "Clock", "Dn", "To Go", "Off Team", "Result", "Gain", "Type"],
        [
            "match_id",
            "snap_id",
            "period",
            "time_left",
            "down_no",
            "yards_to_go",
            "team_with_ball",
            "outcome",
            "yards_gained",
            "play_type",
        ],
        [
            "GameKey",
            "PlayKey",
            "Quarter",
            "GameClock",
            "Down",
            "Distance",
            "Offense",
            "Result",
            "YardsGained",
            "Kind",
        ],
    ];
    let kept = |c: Column| match c {
        C::Frame => clock == Clock::Frames || which != 1,
        C::Time => clock != Clock::Frames,
        C::Going => going,
        C::Speed | C::Acceleration | C::Moved | C::Facing | C::Running => motion && !wide,
        C::Id | C::Name | C::Number | C::Position | C::Team | C::X | C::Y => !wide,
        _ => true,
    };
    (ORDER.into_iter().zip(WORDS[which]).filter(|c| kept(c.0)).collect(), PLAYS[which])
}
