//! The ball's flight from marks in one or both views.
//!
//! Unknown are release time, place and velocity, the time in the air, drag coefficient, wind, the sync error between
//! the views' clocks and each view's camera error; everything that is known of them beforehand enters as a prior with
//! its standard deviation, so that the covariance of the answer carries all of it.

mod problem;
mod report;
mod solve;
mod timing;

use crate::flight::SPIRAL_DRAG;
use crate::ground::Turf;
use camera::CameraEstimate;
use geometry::frame::{Field, Ground, Pixel};
use geometry::{Covariance2, Point2, Vector2};
use play::{Air, Finding, Seen, Throw, View};
use stats::Estimate;

pub use solve::fit;

/// The middle of the ball in one frame of one view.
#[derive(Clone, Copy, Debug)]
pub struct BallObservation<'a> {
    /// In which view.
    pub view: View,
    /// When, by that view's clock, s from the snap.
    pub t_s: f64,
    /// Where, px.
    pub pixel: Point2<Pixel>,
    /// The frame's camera.
    pub camera: &'a CameraEstimate,
}

/// When something happened by one view's clock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimeMark {
    /// In which view.
    pub view: View,
    /// Seconds from the snap by that view's clock.
    pub at_s: f64,
    /// Standard deviation, s.
    pub sd_s: f64,
    /// Part of that which is the width of the frame marked, within which any instant is as likely, s; 0 for none.
    pub frame_s: f64,
}

/// Where somebody stands, and how surely.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stand {
    /// Where, yd.
    pub point: Point2<Ground>,
    /// Covariance, yd².
    pub covariance: Covariance2,
}

/// What a fit goes by.
#[derive(Clone, Debug)]
pub struct FlightInputs<'a> {
    /// The air.
    pub air: &'a Air,
    /// The ground.
    pub turf: Turf,
    /// Unit direction downfield, from which the throw's side angle is counted.
    pub downfield: Vector2<Field>,
    /// Marks of the ball in flight, in any order.
    pub balls: &'a [BallObservation<'a>],
    /// Release, at least one.
    pub release: &'a [TimeMark],
    /// Arrival; without it the last ball mark stands in.
    pub arrival: &'a [TimeMark],
    /// The passer at release.
    pub passer: Option<Stand>,
    /// The catcher at arrival.
    pub catcher: Option<Stand>,
}

/// What is known of a throw beforehand. Where no source is named: common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlightPriors {
    /// Standard deviation of a ball mark, px in each direction; corrected by how the marks scatter about the fit.
    pub ball_px: f64,
    /// Height of the hand at release over the ground, yd.
    pub release_height_yd: Estimate,
    /// How far the hand is ahead of the passer's ground point at release, yd; the error applies sideways too.
    pub release_ahead_yd: Estimate,
    /// Standard deviation in each direction of the ball from the catcher's ground point at arrival, yd.
    pub catch_reach_yd: f64,
    /// Height of a caught ball, yd.
    pub catch_height_yd: Estimate,
    /// Height at arrival of a ball nobody is known to have caught, yd.
    pub loose_height_yd: Estimate,
    /// Drag coefficient (see [`SPIRAL_DRAG`]).
    pub drag: Estimate,
    /// Standard deviation of an unknown wind in each direction, yd/s.
    pub unknown_wind_ydps: f64,
    /// Standard deviation of a known wind, which gusts, yd/s.
    pub known_wind_ydps: f64,
    /// Standard deviation of the sync between the views, s: a third of a frame at 30 per second.
    pub sync_s: f64,
}

impl Default for FlightPriors {
    fn default() -> Self {
        Self {
            ball_px: 1.0,
            release_height_yd: Estimate::new(2.25, 0.25),
            release_ahead_yd: Estimate::new(0.35, 0.35),
            catch_reach_yd: 0.4,
            catch_height_yd: Estimate::new(1.4, 0.6),
            loose_height_yd: Estimate::new(1.2, 1.0),
            drag: SPIRAL_DRAG,
            unknown_wind_ydps: 1.5,
            known_wind_ydps: 0.7,
            sync_s: 1.0 / 90.0,
        }
    }
}

/// A fitted flight.
#[derive(Clone, Debug, PartialEq)]
pub struct FlightFit {
    /// The throw.
    pub throw: Throw,
    /// Where it arrived by the ball's marks alone, without the catcher's feet: what placement may be measured with.
    /// Not seen when the marks do not tell.
    pub landing: Seen<Stand>,
    /// Ball observations (by index) that do not belong to the flight.
    pub rejected: Vec<usize>,
    /// What is missing or weak.
    pub findings: Vec<Finding>,
}
