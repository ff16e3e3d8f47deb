//! The passer's feet at release: contact points from marks, and what follows from them.
//!
//! A foot is where its marked parts are on the ground, their mean when several are marked. The feet line runs from the
//! back foot (the throwing arm's side) to the front foot between the same parts of both, the target line from the
//! middle between the feet to the catch point. The feet error is the angle from the target line to the feet line,
//! negative (closed) when the front foot has come across the target line toward the throwing arm's side: to the right
//! of the line for a right-handed passer, to the left for a left-handed one. Positive is open.

mod contact;
mod line;

use crate::flight_fit::Stand;
use crate::ground::{Turf, ViewInput};
use play::{Feet, Finding, FootMark, HipMark, Seen};
use stats::Estimate;

pub use line::feet;

/// Errors of foot and hip marks, standard deviations; common practice, no source, except where named.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FeetErrors {
    /// Of one click, px in each direction; corrected by how repeats scatter.
    pub click_px: f64,
    /// Of where a toe, heel or ankle is taken to be, the same in all repeats of a point in a view, yd: an inch. Repeats
    /// do not average it.
    pub part_yd: f64,
    /// Of the height over the ground of what is clicked, shared by both feet, yd.
    pub height_yd: f64,
    /// Added to each foot when no part is marked on both (the toe of one against the heel of the other), yd: a third of
    /// a foot's length, .152 of stature (Drillis & Contini 1966).
    pub unlike_parts_yd: f64,
    /// Height of the ankle, yd: .039 of a stature of 2.06 yd (Drillis & Contini 1966).
    pub ankle_yd: f64,
    /// Height of the hips in a throwing stance, yd: .530 of stature (Drillis & Contini 1966) less bent knees.
    pub hip_yd: Estimate,
    /// Marks this near a moment belong to it, s.
    pub near_s: f64,
}

impl Default for FeetErrors {
    fn default() -> Self {
        Self {
            click_px: 1.0,
            part_yd: 0.025,
            height_yd: 0.015,
            unlike_parts_yd: 0.10,
            ankle_yd: 0.08,
            hip_yd: Estimate::new(1.04, 0.07),
            near_s: 0.09,
        }
    }
}

/// What the feet are measured from.
#[derive(Clone, Debug)]
pub struct FeetInputs<'a> {
    /// Marks of the feet at and around release and set, in any order.
    pub feet: &'a [FootMark],
    /// Marks of the hips.
    pub hips: &'a [HipMark],
    /// The views.
    pub views: &'a [ViewInput<'a>],
    /// The ground.
    pub turf: Turf,
    /// Release, s from the snap.
    pub release_s: Estimate,
    /// Set, s from the snap.
    pub set_s: Option<Estimate>,
    /// Where the ball was caught or came down.
    pub target: Option<Stand>,
    /// Which arm throws.
    pub right_handed: bool,
}

/// The feet, with what is missing or weak.
pub type Outcome = (Seen<Feet>, Vec<Finding>);
