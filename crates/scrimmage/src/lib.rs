//! Invented plays, and the film that a fixed, panning, zooming camera would take of them, with known truth.
//!
//! It knows nothing of the estimators (layers 4 and 5) and none of them imports it.

pub mod command;
pub mod hands;
pub mod render;
pub mod sim;
pub mod stage;
pub mod tables;
pub mod truth;
