//! Measures across plays, with intervals, and what a claim's evidence is worth.
//!
//! A play becomes a [`facts::Line`] with a cell for every fact and measure ([`facts::FIELDS`]); any of them can be asked for split by
//! any other ([`ask::Question`]), over chosen games, with what was not seen counted and named.

pub mod again;
mod agree;
pub mod apart;
pub mod ask;
mod draft;
mod evidence;
pub mod facts;
pub mod learn;
pub mod passers;
pub mod rating;
mod relation;
pub mod several;
mod telling;

pub use agree::{MeasureAgreement, measures_agree};
pub use draft::{Draft, drafts};
pub use evidence::{Backing, Weight, scarce_words, weigh};
pub use relation::relation;
pub use telling::{Telling, TellingPlay, telling};

/// Level of every interval here.
pub const LEVEL: f64 = 0.90;
