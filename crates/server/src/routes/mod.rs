//! One file per part of the contract. Handlers only translate.

pub(crate) mod clips;
pub(crate) mod edits;
pub(crate) mod films;
pub(crate) mod line_up;
pub(crate) mod marks;
pub(crate) mod plays;
pub(crate) mod study;
