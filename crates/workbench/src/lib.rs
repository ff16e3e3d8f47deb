//! Use cases, and jobs with progress and cancellation. No HTTP: the server and the command line both speak to
//! [`Workbench`].

mod arrivals;
mod asking;
mod bench;
mod calibrating;
mod charts;
mod claims;
mod clips;
mod consistency;
mod cutting;
mod drawing;
mod edits;
mod error;
mod exporting;
mod facts;
mod figures;
mod films;
mod folders;
mod games;
mod import;
mod jobs;
mod judging;
mod lineup;
mod marks;
mod measuring;
mod paths;
mod people;
mod playbook;
mod playlist;
mod plays;
mod proposals;
mod racing;
mod recognising;
mod reporting;
mod resume;
mod session;
mod sheet;
mod tables;
mod trails;
mod version;
mod views;

pub use ::tables::{Mapping as TableReading, Proposal as TableProposal};
pub use arrivals::Arrival;
pub use asking::{Askable, PassersCompared, Pattern, SeenAgain};
pub use bench::{Now, Outside, Workbench};
pub use calibrating::{Calibration, LeftOut, UseFit};
pub use charts::Suggestion;
pub use claims::{ClaimEdit, MeasureRow, OpenQuestion, ProposedClip, WeighedClaim};
pub use clips::{ClipEdit, ClipSummary};
pub use consistency::{
    Agreement, BlindItem, BlindSet, Consistency, Disagreement, Drift, NewBlindSet, StudyComparison,
    WordAgreement,
};
pub use drawing::{DrawnConcept, DropChoice, OpenPlaybook};
pub use edits::{ChangedRecord, EditState, PastEdit, Stepped};
pub use error::WorkError;
pub use exporting::ExportForm;
pub use figures::{FigureKind, FigureWish};
pub use films::{FilmFrames, FilmState, FilmSummary, ProxyFrames, Size};
pub use folders::{FILM_ENDINGS, ListedFile, ListedFolder, Listing, NamedFolder};
pub use games::{Counts, GameEdit, StudyOverview};
pub use import::ImportRequest;
pub use jobs::{Job, JobStanding};
pub use judging::Judged;
pub use lineup::{
    ClipLineUp, ClipStanding, FieldPoints, FrameCamera, GameLineUp, GridFrame, GridKind, GridLine,
    GroundPlace, MarkResidual, NewFieldMark, NewReading, PixelSpot, ShownCrown, Solved, Standing,
};
pub use marks::{AnyMark, MovedMark, NewFootMark, NewMoment, NewPersonMark, NewSpotMark};
pub use patterns::Draft;
pub use patterns::apart::{Apart, ApartGroup, Parts};
pub use patterns::ask::{Answer, Left, Only as OnlyPlays, Question, Ranged};
pub use patterns::facts::Cell as FactCell;
pub use patterns::learn::Learned;
pub use patterns::rating::Rated;
pub use patterns::several::{Several, SeveralAsked};
pub use people::{
    FoundPath, FoundPeople, FoundState, HandPlace, PathPoint, ProposedPerson, TakePeople, ViewPath, ViewPoint,
};
pub use playbook::{ChartWords, ConceptSummary, Concepts};
pub use playlist::ListedPlays;
pub use plays::{ByView, Marks, NewPlay, Paired, PlayDetail, PlaySummary};
pub use proposals::{ProposalState, Proposals, ProposedBall, ProposedFlight, ProposedMoment, TakeProposals};
pub use racing::{Race, RaceInView, Racer, ThrowMade};
pub use reads::judge::Basis as JudgedOn;
pub use reads::playbook::Concept;
pub use recognising::{ConceptSeen, DefenderSeen, LooksLike, Recognised, RouteSeen};
pub use report::Theme;
pub use reporting::{ReportExtent, ReportForm, ReportRequest};
pub use session::SessionRequest;
pub use sheet::{Entered, Paint, Sheet};
pub use tables::{ImportedTable, TABLE_ENDINGS, TableFiles, TableImport};
pub use trails::{Trail, TrailPoint};
pub use version::DataVersion;

/// Names inputs, so that what was computed from them can be told from what is out of date.
pub(crate) fn key_of(inputs: &impl serde::Serialize) -> Result<String, WorkError> {
    Ok(blake3::hash(&serde_json::to_vec(inputs)?).to_hex()[..32].to_owned())
}
