//! From pixels to places on the field, with what each error source does to them.

use camera::{CameraEstimate, FieldCamera, PARAMETERS};
use field::{Crown, RuleBook};
use geometry::frame::{Ground, Pixel};
use geometry::{Covariance2, Point2};
use nalgebra as na;
use play::{View, ViewClock};

/// One view of a play: its clock and its cameras.
#[derive(Clone, Debug)]
pub struct ViewInput<'a> {
    /// Which view.
    pub view: View,
    /// Ties film frames to the play's clock.
    pub clock: ViewClock<'a>,
    /// One per film frame from `first_frame` on; `None` where the field was not found.
    pub cameras: &'a [Option<CameraEstimate>],
    /// Film frame of `cameras[0]`.
    pub first_frame: u32,
}

impl ViewInput<'_> {
    /// The camera of a film frame, where it is known and can be trusted: a camera that may be a yard line off would give
    /// figures whose intervals mean nothing.
    pub fn camera(&self, frame: u32) -> Option<&CameraEstimate> {
        self.cameras
            .get(frame.checked_sub(self.first_frame)? as usize)?
            .as_ref()
            .filter(|c| c.quality.trusted)
    }
}

/// The surface that people stand on: the plane z = 0 with the field's crown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turf {
    book: RuleBook,
    crown: Crown,
}

impl Turf {
    /// A field of `book` whose middle rises `crown_yd` yd over its sidelines.
    pub fn new(book: RuleBook, crown_yd: f64) -> Self {
        Self { book, crown: Crown { height: crown_yd } }
    }
    /// Height above the field frame's z = 0, yd.
    pub fn height(&self, p: Point2<Ground>) -> f64 {
        self.crown.at(p, self.book)
    }
}

/// Where a pixel looks on the surface `z` yd above the turf, and the derivatives of that place.
#[derive(Clone, Copy, Debug)]
pub struct Footing {
    /// The place, yd.
    pub point: Point2<Ground>,
    /// By the pixel, yd/px.
    pub by_pixel: na::Matrix2<f64>,
    /// By the camera's eight parameters.
    pub by_camera: na::SMatrix<f64, 2, PARAMETERS>,
    /// By the height.
    pub by_height: na::Vector2<f64>,
}

impl Footing {
    /// `None` at the horizon, and for a height other than the ground's from a camera that only knows the ground.
    pub fn new(camera: &CameraEstimate, pixel: Point2<Pixel>, z: f64, turf: &Turf) -> Option<Self> {
        match &camera.camera {
            FieldCamera::Pinhole(c) => {
                let point = c.surface_from_pixel(pixel, |p| turf.height(p) + z)?;
                let (by_parameters, by_point) = c.jacobians(point.at_height(turf.height(point) + z))?;
                let inverse = by_point.fixed_columns::<2>(0).into_owned().try_inverse()?;
                Some(Self {
                    point,
                    by_pixel: inverse,
                    by_camera: -inverse * by_parameters,
                    by_height: -inverse * by_point.column(2),
                })
            }
            FieldCamera::Plane { .. } => {
                let point = camera.camera.ground_from_pixel(pixel, z)?;
                let (by_parameters, by_point) = camera.camera.ground_jacobians(point)?;
                let inverse = by_point.try_inverse()?;
                Some(Self {
                    point,
                    by_pixel: inverse,
                    by_camera: -inverse * by_parameters,
                    by_height: na::Vector2::zeros(),
                })
            }
        }
        .filter(|f: &Self| f.point.is_finite())
    }
    /// Covariance from a marking error of `sd_px` px in each image direction, yd².
    pub fn marking(&self, sd_px: f64) -> Covariance2 {
        Covariance2::from_matrix(self.by_pixel * self.by_pixel.transpose() * (sd_px * sd_px))
    }
    /// Covariance from the camera's own uncertainty, yd².
    pub fn standing(&self, camera: &CameraEstimate) -> Covariance2 {
        Covariance2::from_matrix(self.by_camera * camera.parameter_covariance() * self.by_camera.transpose())
    }
}
