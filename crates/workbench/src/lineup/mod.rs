//! Every frame of a clip tied to the field: clicks, solving, following, and what the cameras then say.

mod auto;
mod cameras;
mod clicks;
mod contradicted;
mod follow;
mod grid;
mod place;
mod solve;
mod source;

pub(crate) use auto::LineUpRequest;
pub use auto::{ClipStanding, GameLineUp, NewReading, ShownCrown, Standing};
pub(crate) use cameras::{CameraCache, ClipCameras, Half};
pub use cameras::{ClipLineUp, FrameCamera};
pub use clicks::NewFieldMark;
pub(crate) use contradicted::Witness;
pub use grid::{GridFrame, GridKind, GridLine};
pub use place::{FieldPoints, GroundPlace, PixelSpot};
pub use solve::{MarkResidual, Solved};
pub(crate) use source::Source;
