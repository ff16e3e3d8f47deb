//! Facts and measures of plays, as a table that every question is asked of.

mod field;
mod line;
mod read;
mod scouted;
mod together;

pub use field::{FIELDS, Field, FieldGroup, FieldKind, NO, YES};
pub(crate) use line::banded;
pub use line::{Cell, Line};
pub use read::{Known, line};
pub use scouted::{Expected, Scouted, Steps};
pub use together::together;
