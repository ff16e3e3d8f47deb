//! When each receiver could be thrown to.
//!
//! For every eligible receiver and release time the engine looks over the throws the passer's arm allows and the places
//! on or near the receiver's way, races receiver and defenders to each ball along its whole flight, and keeps the ball
//! with the widest margin.
//!
//! # What may be known
//! A defender is taken as he is at the release: place and velocity. Where he went later must not say what was open then,
//! because it answers the throw that was made, and no passer sees it. A receiver is taken along his route ahead as far as
//! his track goes: passer and receiver know the route. (After the release of a real throw the targeted man's track also
//! answers the ball; that much hindsight stays in, and is the reason his way is left for the ball by the same rule as
//! everybody else's.) Beyond his track he runs straight on.
//!
//! # Error bars
//! Repeats draw every person anew from his track's covariance, body lean and mover parameters. The same repeat has the
//! same people in every cell, so differences between receivers and times are fair.

mod candidate;
mod contest;
mod control;
mod draws;
mod engine;
mod error;
mod fit;
mod flight_table;
mod mover;
mod parameters;
mod perturb;
mod pick;
mod race;
mod scene;
mod shown;
#[cfg(test)]
#[path = "../examples/support/mod.rs"]
mod support;
mod thrown;

pub use contest::{Contest, contest_at};
pub use control::{Chances, Racer, control};
pub use draws::{CellDraws, Difference, Draw, WindowDraws, compare, probability_ahead};
pub use engine::windows;
pub use error::WindowError;
pub use fit::{Came, Charted, FITTED, Fit, FitError, Shrinkage, Width, fit};
pub use flight_table::{FlightTable, Path, STATIONS};
pub use mover::Mover;
pub use parameters::{
    ArmParameters, BodyParameters, ControlParameters, LimitParameters, MoverParameters, ParameterError,
    Parameters, ResolutionParameters, RouteParameters, Spread,
};
pub use scene::{Request, Scene};
pub use shown::{ShownRace, ShownRacer, race_shown};
pub use thrown::{ThrowEvaluation, evaluate_throw};
