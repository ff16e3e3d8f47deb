//! Tables of positions to plays.
//!
//! Whoever already has positions skips the film. A table has a row for each person and instant, or a row for each instant with a pair of columns for each person; which
//! column holds what is
//! a [`Mapping`], proposed by [`propose`] from the headings and what the cells hold, and corrected by the user. [`read_plays`]
//! turns rows into plays: their clock at 0 at the snap, places in the field frame, people with roles, moments and result.
//! Half-good tables give what they hold and findings for the rest.

mod build;
mod error;
mod headings;
mod infer;
mod mapping;
mod propose;
mod rows;
mod samples;
mod sheet;
mod situation;
mod words;

pub use build::TablePlay;
pub use error::TableError;
pub use mapping::{
    Axis, Ball, Columns, Event, Mapping, Motion, Origin, PersonColumns, PlayColumns, SpeedUnit, Time, Unit,
};
pub use propose::{ColumnSeen, Proposal, propose};
pub use samples::read_plays;

/// The headings of a table.
///
/// # Errors
/// When it cannot be read.
pub fn headings_of(bytes: &[u8]) -> Result<Vec<String>, TableError> {
    Ok(sheet::Sheet::open(bytes)?.headings().to_vec())
}
