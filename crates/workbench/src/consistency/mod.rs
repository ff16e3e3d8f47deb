//! The evaluator's consistency: with himself, blind, and with another evaluator.

mod agreement;
mod comparing;
mod regrading;

pub use agreement::{Agreement, Disagreement};
pub use comparing::{StudyComparison, WordAgreement};
pub use regrading::{BlindItem, BlindSet, Consistency, Drift, NewBlindSet};
