//! Measures across plays, with intervals, and what a claim's evidence is worth.

mod evidence;
mod figure;
mod measure;

pub use evidence::{Weight, weigh};
pub use figure::{Figure, FigureValue, figure};
pub use measure::{Measure, PlayFacts};
