//! From marks of where people stand to their paths.

mod model;
mod observe;
mod smooth;

pub use model::Running;
pub(crate) use observe::view_name;
pub use observe::{GroundObservation, MarkErrors, Origin, observe};
pub use smooth::smooth;
