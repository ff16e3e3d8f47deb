use crate::{ClipId, MarkId, PersonId, View};
use field::Landmark;
use geometry::Point2;
use geometry::frame::{Ground, Pixel};
use serde::{Deserialize, Serialize};

/// A clicked piece of paint. Pixels of every mark are of the original film's display size.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct FieldMark {
    /// Unique in the study.
    pub id: MarkId,
    /// In which clip.
    pub clip: ClipId,
    /// Film frame.
    pub frame: u32,
    /// What was clicked.
    pub landmark: Landmark,
    /// Where.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
    /// Standard deviation of the mark, px.
    pub sd_px: f64,
}

/// Which yard line is which in a clip, as the evaluator says: this pixel shows this place. Only the yard line and the end are taken from
/// it (to the nearest five yards); the rest the chalk knows better.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct FieldReading {
    /// In which clip; there is one a clip.
    pub clip: ClipId,
    /// Film frame.
    pub frame: u32,
    /// Where, px of the original.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
    /// The place there, yd.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub ground: Point2<Ground>,
}

/// Where somebody stands: the point on the ground between his feet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct PersonMark {
    /// Unique in the study.
    pub id: MarkId,
    /// Who.
    pub person: PersonId,
    /// In which view.
    pub view: View,
    /// Film frame.
    pub frame: u32,
    /// Where.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
}

/// The middle of the ball.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct BallMark {
    /// Unique in the study.
    pub id: MarkId,
    /// In which view.
    pub view: View,
    /// Film frame.
    pub frame: u32,
    /// Where.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
}

/// Which foot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Foot {
    /// The foot on the throwing arm's side.
    Back,
    /// The other, which steps at the target.
    Front,
}

/// Which part of a foot touches the ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum FootPart {
    /// Toe.
    Toe,
    /// Heel.
    Heel,
    /// Ankle, about 0.08 yd above the ground.
    Ankle,
}

/// A contact point of the passer's foot at a moment; repeats of the same point narrow the interval.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct FootMark {
    /// Unique in the study.
    pub id: MarkId,
    /// Which foot.
    pub foot: Foot,
    /// Which part.
    pub part: FootPart,
    /// In which view.
    pub view: View,
    /// Film frame.
    pub frame: u32,
    /// Where.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
}

/// The middle of the passer's hips, for where his weight is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct HipMark {
    /// Unique in the study.
    pub id: MarkId,
    /// In which view.
    pub view: View,
    /// Film frame.
    pub frame: u32,
    /// Where.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
}
