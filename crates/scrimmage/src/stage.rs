//! What happens on the grass at an instant: the seam between the plays (`sim`) and the film (`render`).

use geometry::frame::Field;
use geometry::{Point3, Vector3};
use serde::{Deserialize, Serialize};

/// A joint or end point of a body.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[allow(missing_docs, reason = "anatomical names")]
pub enum Joint {
    Head,
    Neck,
    ShoulderLeft,
    ShoulderRight,
    ElbowLeft,
    ElbowRight,
    WristLeft,
    WristRight,
    HipLeft,
    HipRight,
    KneeLeft,
    KneeRight,
    AnkleLeft,
    AnkleRight,
    HeelLeft,
    HeelRight,
    ToeLeft,
    ToeRight,
}

impl Joint {
    /// Number of joints.
    pub const COUNT: usize = 18;
}

/// Colours of a kit, sRGB.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Kit {
    /// Shirt.
    pub shirt: [u8; 3],
    /// Number on the shirt.
    pub number: [u8; 3],
    /// Trousers.
    pub trousers: [u8; 3],
    /// Helmet or cap.
    pub helmet: [u8; 3],
    /// Vertical stripes, as officials wear.
    pub striped: bool,
}

/// What somebody on or beside the field is there for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// One of the eleven with the ball.
    Offense,
    /// One of the eleven without.
    Defense,
    /// In stripes, on the field.
    Official,
    /// Standing or sitting outside the sidelines.
    Bystander,
}

/// Somebody.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Actor {
    /// Unique in the play, e.g. "off-x", "def-cb-field", "official-2".
    pub id: String,
    /// What for.
    pub role: Role,
    /// Number on the shirt.
    pub number: Option<u8>,
    /// Colours.
    pub kit: Kit,
    /// Stature, yd.
    pub stature: f64,
}

/// A body at an instant, every joint in the field frame, yd; feet on the ground or above it.
#[derive(Clone, Debug, PartialEq)]
pub struct Pose {
    /// Indexed by `Joint as usize`.
    pub joints: [Point3<Field>; Joint::COUNT],
}

/// The ball at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BallPose {
    /// Its centre, yd.
    pub centre: Point3<Field>,
    /// Unit vector along its long axis.
    pub axis: Vector3<Field>,
    /// Angle turned about the axis since the start, rad (where the laces are).
    pub spin: f64,
}

/// A stretch of the game as a function of time. Time 0 is the snap, seconds.
pub trait Stage: Sync {
    /// Everybody, in a fixed order.
    fn actors(&self) -> &[Actor];
    /// The body of `actors()[index]` at `t`.
    fn pose(&self, index: usize, t: f64) -> Pose;
    /// The ball at `t`; `None` when hidden (under a pile).
    fn ball(&self, t: f64) -> Option<BallPose>;
    /// First and last instant that can be asked for, s.
    fn span(&self) -> (f64, f64);
    /// What a camera operator would keep in the middle at `t`: a smooth aim point on the ground and how wide a stretch of
    /// field he frames, yd.
    fn operator_aim(&self, t: f64) -> (Point3<Field>, f64);
    /// The same for an operator who stands at `centre`: what he keeps in the picture depends on where he sees it from.
    fn aim_from(&self, centre: Point3<Field>, t: f64) -> (Point3<Field>, f64) {
        let _ = centre;
        self.operator_aim(t)
    }
}
