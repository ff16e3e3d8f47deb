//! From marks of where people stand to their paths.

mod model;
mod observe;
mod smooth;

pub use model::Running;
pub use observe::{GroundObservation, MarkErrors, Origin, observe};
pub(crate) use observe::view_name;
pub use smooth::smooth;
