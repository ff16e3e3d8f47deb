//! Use cases, and jobs with progress and cancellation. No HTTP: the server and the command line both speak to
//! [`Workbench`].

mod bench;
mod charts;
mod clips;
mod edits;
mod error;
mod films;
mod folders;
mod games;
mod import;
mod jobs;
mod lineup;
mod paths;
mod playlist;
mod plays;
mod resume;
mod views;

pub use bench::{Now, Outside, Workbench};
pub use charts::Suggestion;
pub use clips::{ClipEdit, ClipSummary};
pub use edits::{ChangedRecord, EditState, PastEdit, Stepped};
pub use error::WorkError;
pub use films::{FilmFrames, FilmState, FilmSummary, ProxyFrames, Size};
pub use folders::{ListedFile, ListedFolder, Listing, NamedFolder};
pub use games::{Counts, GameEdit, StudyOverview};
pub use import::ImportRequest;
pub use jobs::{Job, JobStanding};
pub use playlist::ListedPlays;
pub use plays::{ByView, Marks, NewPlay, Paired, PlayDetail, PlaySummary};
