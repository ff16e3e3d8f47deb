use crate::{GameId, PlayId};
use field::{Direction, RuleBook};
use geometry::frame::{Field, Ground, Play as PlayFrame};
use geometry::{Point2, Point3, Rigid};
use nalgebra as na;
use serde::{Deserialize, Serialize};

/// Where the ball lies across the field, as seen from the sideline camera.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Hash {
    /// On the inbounds line nearer to y = 0.
    Near,
    /// Between the inbounds lines, at the middle.
    Middle,
    /// On the far inbounds line.
    Far,
}

impl Hash {
    /// y of the ball, yd.
    pub fn y(self, book: RuleBook) -> f64 {
        match self {
            Self::Near => book.hash_from_sideline(),
            Self::Middle => book.width() / 2.0,
            Self::Far => book.far_hash(),
        }
    }
}

/// What the scoreboard and the chains say before the snap; unknown facts are `None`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(default)]
pub struct Situation {
    /// 1 to 4, 5 and up for overtime.
    pub quarter: Option<u8>,
    /// Left in the quarter, s.
    pub clock_s: Option<f64>,
    /// 1 to 4.
    pub down: Option<u8>,
    /// To the line to gain, yd.
    pub distance_yd: Option<f64>,
    /// Line of scrimmage as x in the field frame, yd, 0 to 100.
    pub line_x: Option<f64>,
    /// Hash.
    pub hash: Option<Hash>,
    /// Which way the offense goes.
    pub direction: Option<Direction>,
    /// Offense's score less the defense's, points.
    pub margin: Option<i32>,
}

/// A play of a game.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Play {
    /// Unique in the study.
    pub id: PlayId,
    /// Its game.
    pub game: GameId,
    /// Order within the game, from 1.
    pub number: u32,
    /// Situation.
    pub situation: Situation,
}

impl Situation {
    /// The ball's spot on the ground; `None` until line, hash and the book's hash rows are known.
    pub fn spot(&self, book: RuleBook) -> Option<Point2<Ground>> {
        Some(Point2::new(self.line_x?, self.hash?.y(book)))
    }
    /// `play_from_field`: origin at the spot, x downfield, y to the offense's left; `None` until spot and direction are known.
    pub fn play_from_field(&self, book: RuleBook) -> Option<Rigid<PlayFrame, Field>> {
        let spot = self.spot(book)?;
        let turn = match self.direction? {
            Direction::Up => 0.0,
            Direction::Down => std::f64::consts::PI,
        };
        let rotation = na::Rotation3::from_axis_angle(&na::Vector3::z_axis(), -turn);
        Some(Rigid::from_rotation_and_origin(rotation, Point3::new(spot.x, spot.y, 0.0)))
    }
    /// Yards from the line of scrimmage to the goal line that the offense attacks.
    pub fn yards_to_goal(&self) -> Option<f64> {
        Some(match self.direction? {
            Direction::Up => 100.0 - self.line_x?,
            Direction::Down => self.line_x?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_play_frame_is_turned_never_mirrored() {
        let at = |direction| {
            let s = Situation {
                line_x: Some(40.0),
                hash: Some(Hash::Near),
                direction: Some(direction),
                ..Default::default()
            };
            s.play_from_field(RuleBook::College).unwrap() * Point3::new(50.0, 30.0, 1.0)
        };
        assert!(at(Direction::Up).distance(Point3::new(10.0, 10.0, 1.0)) < 1e-12);
        assert!(at(Direction::Down).distance(Point3::new(-10.0, -10.0, 1.0)) < 1e-12);
    }
}
