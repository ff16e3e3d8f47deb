//! The study on disk: SQL and migrations.
//!
//! A study is a folder `NAME.tape` ([`Place`]) with one SQLite database. What the evaluator made are records, changed
//! only by [`Store::edit`]; each edit is one transaction that can be undone and redone. What was computed is kept apart
//! and may be thrown away.
//!
//! The database runs in WAL mode, so readers never wait for the writer, with `synchronous = FULL`: a commit is on the
//! disk before it is acknowledged, which is what "at most the last keystroke is lost" asks for (`NORMAL` may lose the
//! last commits when the power goes). One connection writes.

mod computed;
mod edit;
mod error;
mod film;
mod history;
mod jobs;
mod kind;
mod open;
mod place;
mod records;
mod version;

pub use edit::{Applied, Change, Edit};
pub use error::StoreError;
pub use film::FilmRow;
pub use history::{Past, PastState, Touched};
pub use jobs::{JobRow, JobState};
pub use kind::{FilmFolder, Kind, OfPlay, PlayPart, Record, TableMapping};
pub use open::Store;
pub use place::Place;
pub use version::{Contents, RawRecord};
