use crate::{MarkId, Person, TrackId, View};
use geometry::Point2;
use geometry::frame::Pixel;
use serde::{Deserialize, Serialize};

/// What the evaluator changed in the tracks that the program found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(tag = "change", rename_all = "kebab-case")]
pub enum Repair {
    /// He stood here: the path goes through this place.
    Move {
        /// Whose.
        track: TrackId,
        /// In which view.
        view: View,
        /// Film frame.
        frame: u32,
        /// Where on the ground, px of the film.
        #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
        pixel: Point2<Pixel>,
    },
    /// From an instant on each of two is the other.
    Swap {
        /// One.
        track: TrackId,
        /// The other.
        other: TrackId,
        /// From when, s from the snap.
        from_s: f64,
    },
    /// Two tracks are one man's.
    Merge {
        /// Stays.
        track: TrackId,
        /// Becomes part of it.
        other: TrackId,
    },
    /// From an instant on it is somebody else: that part becomes a track named for this repair.
    Split {
        /// Keeps what comes before.
        track: TrackId,
        /// From when, s from the snap.
        from_s: f64,
    },
    /// Nobody.
    Delete {
        /// Which.
        track: TrackId,
    },
    /// Who he is.
    Label {
        /// Which track.
        track: TrackId,
        /// Who; absent for somebody who does not matter, for example an official.
        person: Option<Person>,
    },
}

/// A repair in its order.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct TrackRepair {
    /// Unique in the study; later repairs have larger numbers.
    pub id: MarkId,
    /// What to change.
    pub repair: Repair,
}
