//! The playbook as data: routes, concepts with their read plans, coverages, protections, drops, words. Ours is embedded;
//! a user's file replaces entries by id.

mod load;
mod types;

pub use load::{DataError, Playbook};
pub use types::{
    Concept, Coverage, Drop, Family, Landmark, Middle, Protection, Route, Stretch, Toward, WordList, Words,
};
