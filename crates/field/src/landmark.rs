use crate::RuleBook;
use geometry::{Point2, Vector2, frame::Ground};
use serde::{Deserialize, Serialize};

/// Of two things that face each other across the field: the one nearer to y = 0, or the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Nearer to y = 0.
    Near,
    /// Nearer to y = 53⅓.
    Far,
}

/// Which end of a hash mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum HashEnd {
    /// The end on the inbounds line.
    Inner,
    /// The end toward the sideline.
    Outer,
}

/// A corner of a painted number, as its reader at its own sideline sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum NumberCorner {
    /// Near his feet, left.
    BottomLeft,
    /// Near his feet, right.
    BottomRight,
    /// Away from him, left.
    TopLeft,
    /// Away from him, right.
    TopRight,
}

/// Something painted that a person can click on. `x` is in whole yards from the field frame's goal line, 0 to 100
/// (−10 and 110 are the end lines; on a Canadian field 0 to 110, −20 and 130).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Landmark {
    /// Where a full yard line (a multiple of 5, or an end line) meets a sideline's inside edge.
    LineAtSideline {
        /// Yard line.
        x: i16,
        /// Which sideline.
        side: Side,
    },
    /// Where a full yard line crosses an inbounds line.
    LineAtHash {
        /// Yard line.
        x: i16,
        /// Which inbounds line.
        side: Side,
    },
    /// An end of a hash mark that is not on a full line.
    HashMark {
        /// Yard of the mark.
        x: i16,
        /// Which inbounds line.
        side: Side,
        /// Which end.
        end: HashEnd,
    },
    /// Outer corner of a painted number.
    Number {
        /// Yard line that the number names.
        x: i16,
        /// Which row.
        side: Side,
        /// Which corner.
        corner: NumberCorner,
    },
    /// Anywhere along a full yard line.
    OnYardLine {
        /// Yard line.
        x: i16,
    },
    /// Anywhere along a sideline's inside edge.
    OnSideline {
        /// Which sideline.
        side: Side,
    },
    /// Anywhere along an inbounds line.
    OnHashRow {
        /// Which inbounds line.
        side: Side,
    },
}

/// Where a landmark is: a point, or a line it lies on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LandmarkShape {
    /// Exactly here.
    Point(Point2<Ground>),
    /// Somewhere on the line through `through` along the unit vector `along`.
    Line {
        /// A point of the line.
        through: Point2<Ground>,
        /// Its direction.
        along: Vector2<Ground>,
    },
}

/// Why a landmark does not exist.
#[derive(Debug, thiserror::Error, PartialEq, Eq)]
pub enum LandmarkError {
    /// No full line there.
    #[error("no full line at x = {x} yd: lines are every 5 yd from 0 to {length}, and at -{end_zone} and {}", length + end_zone)]
    NoLine {
        /// Asked for, yd.
        x: i16,
        /// Goal line to goal line, yd.
        length: i16,
        /// Depth of an end zone, yd.
        end_zone: i16,
    },
    /// No hash mark there.
    #[error("no hash mark at x = {x} yd: marks are every yard from 1 to {} except on full lines", length - 1)]
    NoHash {
        /// Asked for, yd.
        x: i16,
        /// Goal line to goal line, yd.
        length: i16,
    },
    /// No painted number there.
    #[error("no painted number at x = {x} yd: numbers are every 10 yd from 10 to {}", length - 10)]
    NoNumber {
        /// Asked for, yd.
        x: i16,
        /// Goal line to goal line, yd.
        length: i16,
    },
}

impl Landmark {
    /// Where it is painted by `book`.
    ///
    /// # Errors
    /// When the rule book paints no such thing at that yard.
    pub fn shape(self, book: RuleBook) -> Result<LandmarkShape, LandmarkError> {
        let row = |side| match side {
            Side::Near => book.hash_from_sideline(),
            Side::Far => book.far_hash(),
        };
        let edge = |side| match side {
            Side::Near => 0.0,
            Side::Far => book.width(),
        };
        let (length, end_zone) = (book.length() as i16, book.end_zone() as i16);
        let full = |x: i16| {
            let on = (0..=length).contains(&x) && x % 5 == 0 || x == -end_zone || x == length + end_zone;
            on.then(|| line_x(x, book)).ok_or(LandmarkError::NoLine { x, length, end_zone })
        };
        let along_x = Vector2::new(1.0, 0.0);
        Ok(match self {
            Self::LineAtSideline { x, side } => LandmarkShape::Point(Point2::new(full(x)?, edge(side))),
            Self::LineAtHash { x, side } => LandmarkShape::Point(Point2::new(full(x)?, row(side))),
            Self::HashMark { x, side, end } => {
                if !(1..length).contains(&x) || x % 5 == 0 {
                    return Err(LandmarkError::NoHash { x, length });
                }
                let outward = match side {
                    Side::Near => -1.0,
                    Side::Far => 1.0,
                };
                let reach = match end {
                    HashEnd::Inner => 0.0,
                    HashEnd::Outer => book.hash_length(),
                };
                LandmarkShape::Point(Point2::new(f64::from(x), row(side) + outward * reach))
            }
            Self::Number { x, side, corner } => {
                let n = crate::Markings::of(book)
                    .numbers
                    .into_iter()
                    .find(|n| n.side == side && (n.x - f64::from(x)).abs() < 1e-9)
                    .ok_or(LandmarkError::NoNumber { x, length })?;
                LandmarkShape::Point(match corner {
                    NumberCorner::BottomLeft => n.bottom_left,
                    NumberCorner::BottomRight => n.bottom_right,
                    NumberCorner::TopLeft => n.top_left,
                    NumberCorner::TopRight => n.top_right,
                })
            }
            Self::OnYardLine { x } => {
                LandmarkShape::Line { through: Point2::new(full(x)?, 0.0), along: Vector2::new(0.0, 1.0) }
            }
            Self::OnSideline { side } => {
                LandmarkShape::Line { through: Point2::new(book.length() / 2.0, edge(side)), along: along_x }
            }
            Self::OnHashRow { side } => {
                LandmarkShape::Line { through: Point2::new(book.length() / 2.0, row(side)), along: along_x }
            }
        })
    }
}

/// x of the middle of the paint of full line `x`, which is what a person clicks on: goal lines and end lines are
/// painted outside the plane they mark.
fn line_x(x: i16, book: RuleBook) -> f64 {
    let length = book.length() as i16;
    let outside = if x == 0 || x == length {
        book.goal_line_width() / 2.0
    } else if x < 0 || x > length {
        book.line_width() / 2.0
    } else {
        0.0
    };
    f64::from(x) + if x <= 0 { -outside } else { outside }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn landmarks_lie_on_the_paint_that_markings_draw() {
        for book in RuleBook::ALL {
            let m = crate::Markings::of(book);
            let length = book.length() as i16;
            for x in [0, 35, length, length + book.end_zone() as i16] {
                let LandmarkShape::Line { through, .. } = (Landmark::OnYardLine { x }).shape(book).unwrap()
                else {
                    panic!("a line")
                };
                assert!(
                    m.stripes
                        .iter()
                        .any(|s| (s.a.x - through.x).abs() < 1e-9 && (s.b.x - through.x).abs() < 1e-9),
                    "{x}"
                );
            }
            for end in [HashEnd::Inner, HashEnd::Outer] {
                let LandmarkShape::Point(p) =
                    (Landmark::HashMark { x: 33, side: Side::Far, end }).shape(book).unwrap()
                else {
                    panic!("a point")
                };
                assert!(m.stripes.iter().any(|s| s.a.distance(p) < 1e-9 || s.b.distance(p) < 1e-9));
            }
        }
    }

    #[test]
    fn what_is_not_painted_is_refused() {
        let e = (Landmark::LineAtHash { x: 33, side: Side::Near }).shape(RuleBook::College).unwrap_err();
        assert_eq!(
            e.to_string(),
            "no full line at x = 33 yd: lines are every 5 yd from 0 to 100, and at -10 and 110"
        );
    }
}
