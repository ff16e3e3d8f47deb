//! Projection, distortion, poses and their Jacobians.
//!
//! A camera stands still for a whole game ([`Station`]) and turns and zooms frame by frame ([`Aim`]). A camera that
//! moves has no station: its frames are free homographies of the ground plane ([`FieldCamera::Plane`]).

mod estimate;
mod pinhole;
mod posed;

pub use estimate::{CameraEstimate, FieldCamera, FrameQuality};
pub use pinhole::{Aim, PARAMETERS, Pinhole, Station};
pub use posed::{PosedPinhole, Projection};
