use crate::Seen;
use geometry::frame::{Field, Ground};
use geometry::{Covariance2, Point2, Point3};
use serde::{Deserialize, Serialize};
use stats::Estimate;

/// Shape of a trajectory.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Arc {
    /// Flat.
    Driven,
    /// Over an underneath man and under a deep one.
    Layered,
    /// High and soft.
    Touch,
}

/// What came of the play.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ThrowResult {
    /// Caught.
    Complete,
    /// Not caught.
    Incomplete,
    /// Caught by the defense.
    Intercepted,
    /// Tackled with the ball behind the line.
    Sacked,
    /// Ran.
    Scrambled,
    /// Thrown where nobody was, on purpose.
    ThrownAway,
    /// Knocked down at the line.
    Batted,
}

/// A measured flight.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Throw {
    /// Seconds from the snap to release.
    pub release_s: Estimate,
    /// Seconds from release to arrival.
    pub flight_s: Estimate,
    /// Where it left the hand, yd.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 3]))]
    pub release: Point3<Field>,
    /// Where it arrived, yd.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 3]))]
    pub arrival: Point3<Field>,
    /// Covariance of the arrival on the ground, yd².
    pub arrival_covariance: Covariance2,
    /// Height at arrival, ft.
    pub arrival_height_ft: Seen<Estimate>,
    /// Speed at release, mph.
    pub speed_mph: Seen<Estimate>,
    /// Launch angle above the horizon, degrees.
    pub launch_deg: Seen<Estimate>,
    /// Direction of the throw from straight downfield, to the offense's left positive, degrees.
    pub side_deg: Seen<Estimate>,
    /// Highest point, ft.
    pub apex_ft: Seen<Estimate>,
    /// Straight-line ground distance from release to arrival, yd.
    pub air_yd: Estimate,
    /// Shape.
    pub arc: Seen<Arc>,
    /// The fitted path, for drawing: (seconds from the snap, point), a few per frame.
    #[cfg_attr(feature = "schema", schema(value_type = Vec<(f64, [f64; 3])>))]
    pub path: Vec<(f64, Point3<Field>)>,
    /// RMS distance of the ball marks from the fitted path, px.
    pub rms_px: f64,
}

/// Where the ball arrived, in the receiver's own frame.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Placement {
    /// Ahead of the receiver along his run positive, behind negative, yd.
    pub lead_yd: Seen<Estimate>,
    /// Ahead positive, behind negative of where the run he was on when the ball left, carried straight on, would have had him, yd: what
    /// the ball asked of him before he ran to it.
    pub ahead_of_run_yd: Seen<Estimate>,
    /// Height over the ground as it passed nearest to where that run would have had him, ft.
    pub over_run_ft: Seen<Estimate>,
    /// To the receiver's left positive, yd.
    pub left_yd: Seen<Estimate>,
    /// Height over the ground, ft.
    pub height_ft: Seen<Estimate>,
    /// Farther from the nearest defender than the receiver is positive (away), nearer negative, yd.
    pub away_yd: Seen<Estimate>,
    /// Receiver's place at arrival, yd.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub receiver: Point2<Ground>,
    /// Distance from the receiver to the nearest defender at arrival, yd.
    pub separation_yd: Seen<Estimate>,
}
