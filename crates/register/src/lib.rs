//! Pictures to cameras.
//!
//! [`solve_frame`] turns a person's clicks into a camera; [`Follower`] carries a camera through a clip along the chalk.

mod blame;
mod click;
mod coarse;
mod degeneracy;
mod error;
mod evidence;
mod follow;
mod minimise;
mod model;
mod motion;
mod prior;
mod rows;
mod samples;
mod settle;
mod solve;
mod station_belief;

pub use click::{Click, PictureSize};
pub use error::RegisterError;
pub use follow::{FollowSettings, Follower};
pub use prior::{KnownStation, StationPrior};
pub use solve::{FieldModel, solve_frame};
