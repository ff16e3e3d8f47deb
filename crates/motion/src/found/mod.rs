//! People found in film, followed: sightings of single frames to tracks, sides and likely roles.
//!
//! [`follow`] strings sightings of both views together on the ground; [`repair`] applies what the evaluator changed;
//! [`propose`] says who is probably who. Paths with intervals come from [`crate::tracks::smooth`] over each track's
//! observations.

mod dress;
mod follow;
mod join;
mod propose;
mod repair;
mod set;
mod sides;
mod spot;

pub use dress::Dress;
pub use follow::follow;
pub use propose::{Proposal, PropositionInput, propose};
pub use repair::{Repaired, repair};
pub use sides::{Side, sides};
pub use spot::{SightErrors, Spot, SpottedView, spots};

use crate::tracks::GroundObservation;
use play::TrackId;

/// One man's sightings, in time order.
#[derive(Clone, Debug, PartialEq)]
pub struct FoundTrack {
    /// Which.
    pub id: TrackId,
    /// Where he was seen.
    pub spots: Vec<Spot>,
    /// Since when he must have stood still where he was first seen, s: a man who is hidden until the snap was set.
    pub set_from_s: Option<f64>,
}

impl FoundTrack {
    /// First and last instant he was seen, s.
    pub fn span(&self) -> Option<(f64, f64)> {
        Some((self.spots.first()?.at.t_s, self.spots.last()?.at.t_s))
    }
    /// What he wears: the medians over the sightings in which nobody hid him.
    pub fn dress(&self) -> Dress {
        Dress::of(&self.spots)
    }
    /// His observations, for [`crate::tracks::smooth`]: what neighbouring frames get wrong together is not averaged down.
    /// That he stood still before he was seen is among them.
    pub fn observations(&self) -> Vec<GroundObservation> {
        let mut all = set::stillness(self);
        all.extend(spot::independent(&self.spots));
        all
    }
}
