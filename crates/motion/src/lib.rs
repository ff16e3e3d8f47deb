//! Observations to tracks; the ball's flight and its fit; feet and placement.
//!
//! Everything here turns marks on pictures, through estimated cameras, into figures with standard errors. A figure
//! that the geometry cannot give comes back as [`play::Seen::NotSeen`] with the reason.

pub mod agreement;
pub mod air;
mod alone;
mod assign;
mod error;
pub mod feet;
pub mod flight;
pub mod flight_find;
pub mod flight_fit;
pub mod found;
mod given;
mod ground;
pub mod launch;
mod least_squares;
mod measure;
pub mod moments;
pub mod placement;
pub mod pressure;
pub mod roles;
pub mod sampled;
pub mod tracks;

pub use assign::{assign, assign_or_leave};
pub use error::MotionError;
pub use given::{Given, GivenBall};
pub use ground::{Footing, Turf, ViewInput};
pub use measure::{Inputs, Settings, measure};
