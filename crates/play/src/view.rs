use crate::{ClipId, FilmId, PlayId};
use serde::{Deserialize, Serialize};

/// Where the camera stood.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum View {
    /// High at a sideline, all 22 players in the picture.
    Sideline,
    /// Behind an end zone, closer.
    EndZone,
}

impl View {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Sideline, Self::EndZone];
}

/// A stretch of a film that shows one play from one view: frames `first..end` of the film.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Clip {
    /// Unique in the study.
    pub id: ClipId,
    /// The film.
    pub film: FilmId,
    /// First frame of the film.
    pub first: u32,
    /// One past the last frame of the film.
    pub end: u32,
    /// View; `None` until told or guessed.
    pub view: Option<View>,
    /// Play; `None` until paired.
    pub play: Option<PlayId>,
    /// The film frame of the snap, fractional, when this view was synchronised.
    pub snap_frame: Option<f64>,
}
