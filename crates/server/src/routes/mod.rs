//! One file per part of the contract. Handlers only translate.
#![allow(unused_qualifications, reason = "the description's macro repeats handlers' types as it finds them")]

pub(crate) mod clips;
pub(crate) mod consistency;
pub(crate) mod edits;
pub(crate) mod export;
pub(crate) mod films;
pub(crate) mod judge;
pub(crate) mod line_up;
pub(crate) mod marks;
pub(crate) mod patterns;
pub(crate) mod people;
pub(crate) mod playbook;
pub(crate) mod plays;
pub(crate) mod proposals;
pub(crate) mod study;
pub(crate) mod tables;
pub(crate) mod verdict;
