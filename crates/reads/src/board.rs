//! A play's people in the play frame, at any instant.

use field::{Direction, RuleBook};
use geometry::{Point2, Vector2, frame};
use play::{Person, PersonId, Role, Situation, Track, TrackPoint, Unit};

/// Somebody at an instant in the play frame: x past the line, y to the offense's left, yd.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Where, yd.
    pub at: Point2<frame::Play>,
    /// How fast, yd/s.
    pub velocity: Vector2<frame::Play>,
    /// Standard error of the place along any axis (root mean of the variances), yd.
    pub sd: f64,
}

/// A play with its people in the play frame: what trade measures are taken from.
#[derive(Clone, Debug)]
pub struct Board<'a> {
    /// Everybody.
    pub people: &'a [Person],
    tracks: &'a [Track],
    origin: Point2<frame::Ground>,
    sign: f64,
    rule_book: RuleBook,
}

/// Why a board was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BoardError {
    /// The line, the hash or the direction is not charted.
    #[error("the situation lacks {what}: depth and width cannot be told")]
    Situation {
        /// What is missing.
        what: &'static str,
    },
}

impl<'a> Board<'a> {
    /// A board from tracks in the field frame.
    ///
    /// # Errors
    /// `Situation` naming what is not charted.
    pub fn new(
        people: &'a [Person],
        tracks: &'a [Track],
        situation: &Situation,
        rule_book: RuleBook,
    ) -> Result<Self, BoardError> {
        let lacks = |what| BoardError::Situation { what };
        situation.line_x.ok_or_else(|| lacks("the line of scrimmage"))?;
        let direction = situation.direction.ok_or_else(|| lacks("the direction of the offense"))?;
        let origin = situation.spot(rule_book).ok_or_else(|| lacks("the hash"))?;
        let sign = match direction {
            Direction::Up => 1.0,
            Direction::Down => -1.0,
        };
        Ok(Self { people, tracks, origin, sign, rule_book })
    }

    /// The person.
    pub fn person(&self, id: &PersonId) -> Option<&'a Person> {
        self.people.iter().find(|p| &p.id == id)
    }
    /// His track.
    pub fn track(&self, id: &PersonId) -> Option<&'a Track> {
        self.tracks.iter().find(|t| &t.person == id)
    }
    /// Where he is at `t_s`; `None` when he is not seen then.
    pub fn spot(&self, id: &PersonId, t_s: f64) -> Option<Spot> {
        self.track(id)?.at(t_s).map(|p| self.turned(&p))
    }
    pub(crate) fn turned(&self, p: &TrackPoint) -> Spot {
        Spot {
            at: self.place(p.position),
            velocity: Vector2::new(p.velocity.x * self.sign, p.velocity.y * self.sign),
            sd: (p.position_covariance.rms().powi(2) / 2.0).sqrt(),
        }
    }
    /// A place on the field in the play frame, yd.
    pub fn place(&self, at: Point2<frame::Ground>) -> Point2<frame::Play> {
        let d = at - self.origin;
        Point2::new(d.x * self.sign, d.y * self.sign)
    }
    /// y of the middle of the field in the play frame, yd.
    pub fn middle_y(&self) -> f64 {
        (self.rule_book.width() / 2.0 - self.origin.y) * self.sign
    }
    /// From the line to the end line that the offense goes to, yd.
    pub fn room_yd(&self) -> f64 {
        let (book, x) = (self.rule_book, self.origin.x);
        book.end_zone() + if self.sign > 0.0 { book.length() - x } else { x }
    }
    /// Half the width of the field, yd.
    pub fn half_width(&self) -> f64 {
        self.rule_book.width() / 2.0
    }
    /// Those a pass may be thrown to.
    pub fn receivers(&self) -> impl Iterator<Item = &'a Person> {
        self.people.iter().filter(|p| p.eligible())
    }
    /// Defenders of any role.
    pub fn defenders(&self) -> impl Iterator<Item = &'a Person> {
        self.people.iter().filter(|p| p.unit == Unit::Defense)
    }
    /// Defenders in coverage.
    pub fn covers(&self) -> impl Iterator<Item = &'a Person> {
        self.people.iter().filter(|p| p.role == Role::Cover)
    }
    /// +1 for somebody whose own sideline is the offense's left, −1 for its right, by where he lines up about the ball.
    pub fn side(&self, id: &PersonId) -> Option<f64> {
        let track = self.track(id)?;
        let first = self.turned(&track.at(0.0).or_else(|| track.points.first().copied())?);
        Some(if first.at.y >= 0.0 { 1.0 } else { -1.0 })
    }
}
