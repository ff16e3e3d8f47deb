//! Pictures to cameras.

mod blame;
mod click;
mod degeneracy;
mod error;
mod minimise;
mod model;
mod prior;
mod rows;
mod solve;

pub use click::{Click, PictureSize};
pub use error::RegisterError;
pub use prior::{KnownStation, StationPrior};
pub use solve::{FieldModel, solve_frame};
