//! The ball's flight among small moving things: a chain of candidates through a view's frames that turns evenly, pairs of
//! such chains in both views that one flight explains, and then every candidate along that flight.
//!
//! Chains are cheap and only propose; [`crate::flight_fit::fit`] decides, with gravity, drag, cameras and marks by hand.

mod chain;
mod gather;

use crate::ViewInput;
use crate::flight_fit::{FlightFit, FlightPriors, Stand, TimeMark};
use crate::ground::Turf;
use geometry::frame::{Field, Pixel};
use geometry::{Point2, Vector2};
use play::{Air, BallMark, Seen, View};
use stats::Estimate;

pub use gather::find;

/// Something of the ball's size that moves, in one frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// Film frame.
    pub frame: u32,
    /// Its middle, px of the film.
    pub pixel: Point2<Pixel>,
    /// Half of the size that a ball has there, px of the film.
    pub half_px: f64,
}

/// What is looked through.
#[derive(Clone, Copy, Debug)]
pub struct FindInputs<'a> {
    /// The air.
    pub air: &'a Air,
    /// The ground.
    pub turf: Turf,
    /// Unit direction downfield.
    pub downfield: Vector2<Field>,
    /// The views.
    pub views: &'a [ViewInput<'a>],
    /// Candidates of each view, in order of `views`, by frame.
    pub candidates: &'a [Vec<Candidate>],
    /// Marks by hand: candidates in their frames give way to them.
    pub marks: &'a [BallMark],
    /// Release and arrival as marked by hand, or none.
    pub release: &'a [TimeMark],
    /// See `release`.
    pub arrival: &'a [TimeMark],
    /// What is known of throws.
    pub priors: &'a FlightPriors,
}

/// Where people were at an instant, for a search that knows them: the passer, and the man nearest to a point.
pub trait Standing {
    /// The passer at `t_s`.
    fn passer(&self, t_s: f64) -> Option<Stand>;
    /// The receiver of a ball that comes down near `at`, `t_s` from the snap.
    fn catcher(&self, t_s: f64, at: Point2<geometry::frame::Ground>) -> Option<Stand>;
}

/// Nobody's place is known.
#[derive(Clone, Copy, Debug)]
pub struct Nobody;

impl Standing for Nobody {
    fn passer(&self, _: f64) -> Option<Stand> {
        None
    }
    fn catcher(&self, _: f64, _: Point2<geometry::frame::Ground>) -> Option<Stand> {
        None
    }
}

/// The ball in a frame, as found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoundBall {
    /// In which view.
    pub view: View,
    /// Film frame.
    pub frame: u32,
    /// Its middle, px of the film.
    pub pixel: Point2<Pixel>,
}

/// A flight that was found.
#[derive(Clone, Debug, PartialEq)]
pub struct FoundFlight {
    /// The ball, frame by frame; frames marked by hand are left out.
    pub balls: Vec<FoundBall>,
    /// When it left the hand, s from the snap.
    pub release_s: Estimate,
    /// When it arrived, s from the snap; not seen when the film loses the ball in the air.
    pub arrival_s: Seen<Estimate>,
    /// The fit that found it.
    pub fit: FlightFit,
}
