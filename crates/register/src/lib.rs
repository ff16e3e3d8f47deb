//! Pictures to cameras.
//!
//! [`solve_frame`] turns a person's clicks into a camera; [`Follower`] carries a camera through a clip along the chalk;
//! [`find_field`] finds the camera of a frame without any click.

mod arrow;
mod blame;
mod click;
mod coarse;
mod degeneracy;
mod error;
mod evidence;
mod follow;
mod game;
mod minimise;
mod model;
mod motion;
mod overlay;
mod prior;
mod rows;
mod samples;
mod settle;
mod snap;
mod snap_lines;
mod solve;
mod start;
mod station;
mod station_belief;
mod stripe;
mod surface;

pub use click::{Click, PictureSize};
pub use error::RegisterError;
pub use follow::{FollowSettings, Follower};
pub use game::{
    Belongs, FrameEvidence, GameAdjustment, GameSettings, GameStation, OneCentre, PaintSeen, PaintString,
    adjust_game, agree, freed, one_centre, refit, shifted_along, turned_round,
};
pub use overlay::{GridLine, grid_polylines};
pub use prior::{KnownStation, StationPrior};
pub use snap::{SnappedClick, snap};
pub use solve::{FieldModel, solve_frame};
pub use start::{BallSpot, FrameView, Grounds, KnownAboutClip, SETTLED, StartCandidate, find_field};
pub use station::{StationSolution, solve_station};
pub use surface::ground_on_surface;
