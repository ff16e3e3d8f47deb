//! Typed points, vectors and transforms; knows nothing of football.
//!
//! A point carries the frame it is measured in as a type, so that adding a pixel to a yard, or
//! composing transforms whose neighbouring frames differ, does not compile:
//!
//! ```compile_fail
//! use geometry::{Point2, frame::{Ground, Pixel}};
//! let p = Point2::<Ground>::new(1.0, 2.0) - Point2::<Pixel>::new(1.0, 2.0); // different frames
//! ```
//! ```compile_fail
//! use geometry::{Rigid, frame::{Camera, Field, Play}};
//! fn chain(camera_from_field: Rigid<Camera, Field>, play_from_field: Rigid<Play, Field>) {
//!     let _ = camera_from_field * play_from_field; // Field next to Play: the inverse is missing
//! }
//! ```
//! The right chain compiles:
//! ```
//! use geometry::{Rigid, frame::{Camera, Field, Play}};
//! fn chain(camera_from_field: Rigid<Camera, Field>, play_from_field: Rigid<Play, Field>) -> Rigid<Camera, Play> {
//!     camera_from_field * play_from_field.inverse()
//! }
//! ```

mod covariance;
pub mod frame;
mod homography;
mod point;
mod rigid;

pub use covariance::{Covariance2, Covariance3};
pub use homography::{Homography, HomographyError};
pub use point::{Point2, Point3, Vector2, Vector3};
pub use rigid::Rigid;
