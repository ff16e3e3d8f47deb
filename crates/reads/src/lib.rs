//! Routes, concepts, coverages, read plans, judgement.
//!
//! Everything is taken from tracks in the play frame ([`board::Board`]) and from the windows of crate `window`. The
//! playbook is data ([`playbook::Playbook`]). A proposal (route, concept, coverage) is the evaluator's to confirm; a
//! judgement ([`judge`]) holds under one read plan and never says how the passer was taught.

pub mod board;
pub mod chart;
pub mod concepts;
pub mod judge;
pub mod key;
pub mod measures;
pub mod picture;
pub mod playbook;
pub mod recognise;
pub mod value;
