//! The vocabulary: game, play, view, moment, track, route, throw, chart, judgement, claim.
//!
//! Plain data that every layer above shares; no computation beyond what a type must guarantee, and no IO.
//! Lengths are yards, times seconds on the play's clock (0 at the snap), positions in the field frame, unless a
//! field's name says otherwise.

mod chart;
mod claim;
mod clock;
mod feet;
mod finding;
mod game;
mod id;
mod judgement;
mod mark;
mod measurement;
mod moment;
mod own_concept;
mod person;
mod plan;
mod reach_fit;
mod regrade;
mod repair;
mod seen;
mod sighted;
mod situation;
mod throw;
mod track;
mod tracked;
mod view;
mod window;

pub use chart::{Chart, RouteCall};
pub use claim::{Claim, Evidence, Leaning, Only, Stage, Strand};
pub use clock::{ClockError, ViewClock};
pub use feet::Feet;
pub use finding::{Finding, Severity};
pub use game::{Air, Game, Study, Team};
pub use id::{ClaimId, ClipId, FilmId, GameId, MarkId, PersonId, PlayId, TrackId};
pub use judgement::{Judgement, Looked, Outcome, OwnCall, Weighed};
pub use mark::{BallMark, FieldMark, FieldReading, Foot, FootMark, FootPart, HipMark, PersonMark};
pub use measurement::{Measurement, Pressure};
pub use moment::{Moment, MomentKind, MomentMark};
pub use own_concept::OwnConcept;
pub use person::{Flank, Person, Role, Unit};
pub use plan::{Condition, Look, Plan, PlanKind};
pub use reach_fit::{FittedValue, ReachFit};
pub use regrade::{Regrade, RegradeSet};
pub use repair::{Repair, TrackRepair};
pub use seen::Seen;
pub use sighted::{Cloth, Sighted, SightedFrame};
pub use situation::{Hash, Play, Situation};
pub use throw::{Arc, Placement, Throw, ThrowResult};
pub use track::{Track, TrackPoint};
pub use tracked::{Tracked, TrackedPath};
pub use view::{Clip, View};
pub use window::{Ball, ReceiverWindows, WindowCell};
