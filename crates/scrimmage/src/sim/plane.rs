//! Short names for the frames a play is invented in, and easing.

use field::{Direction, RuleBook};
use geometry::frame::{Field, Play};
use geometry::{Point2, Point3, Vector2, Vector3};

/// A place on the grass: origin at the ball's spot, x downfield, y to the offense's left, yd.
pub type P2 = Point2<Play>;
/// A displacement on the grass, yd.
pub type V2 = Vector2<Play>;
/// A place in the air, z up, yd.
pub type P3 = Point3<Play>;
/// A displacement in the air, yd.
pub type V3 = Vector3<Play>;

/// 0 at and below 0, 1 at and above 1, with flat ends between.
pub fn ease(u: f64) -> f64 {
    let u = u.clamp(0.0, 1.0);
    u * u * (3.0 - 2.0 * u)
}

/// Blend of two numbers.
pub fn mix(a: f64, b: f64, u: f64) -> f64 {
    a + (b - a) * u
}

/// Blend of two headings the short way round, rad.
pub fn mix_angle(a: f64, b: f64, u: f64) -> f64 {
    a + units::wrap_angle(b - a) * u
}

/// `v` no longer than `limit`.
pub fn limited(v: V2, limit: f64) -> V2 {
    let n = v.norm();
    if n > limit { v * (limit / n) } else { v }
}

/// Where a play is played: ties the play frame to the field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// The ball's spot in the field frame, yd.
    pub spot: (f64, f64),
    /// Which way the offense goes.
    pub direction: Direction,
    /// Whose markings.
    pub book: RuleBook,
}

impl Place {
    /// `field_from_play` of a point.
    pub fn field(&self, p: P3) -> Point3<Field> {
        let s = self.direction.sign();
        Point3::new(self.spot.0 + s * p.x, self.spot.1 + s * p.y, p.z)
    }
    /// `field_from_play` of a displacement.
    pub fn field_vector(&self, v: V3) -> Vector3<Field> {
        let s = self.direction.sign();
        Vector3::new(s * v.x, s * v.y, v.z)
    }
    /// y of the sideline on the offense's left, and on its right, play frame, yd.
    pub fn edges(&self) -> (f64, f64) {
        let (low, high) = (-self.spot.1, self.book.width() - self.spot.1);
        match self.direction {
            Direction::Up => (high, low),
            Direction::Down => (-low, -high),
        }
    }
    /// x of the goal line that the offense attacks, play frame, yd.
    pub fn goal_x(&self) -> f64 {
        match self.direction {
            Direction::Up => 100.0 - self.spot.0,
            Direction::Down => self.spot.0,
        }
    }
}
