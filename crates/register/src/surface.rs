use crate::model::{Model, ground_covariance};
use crate::{FieldModel, PictureSize};
use camera::CameraEstimate;
use geometry::frame::{Ground, Pixel};
use geometry::{Covariance2, Point2};
use nalgebra as na;

/// Ground point under a pixel, on the crowned surface, and its covariance, yd²: the camera's uncertainty plus `pixel_sd` px of marking
/// error in each image direction. `None` at the horizon. A plane camera has no crown: its map holds for the surface it was fitted to.
pub fn ground_on_surface(
    e: &CameraEstimate,
    size: PictureSize,
    field: &FieldModel,
    p: Point2<Pixel>,
    pixel_sd: f64,
) -> Option<(Point2<Ground>, Covariance2)> {
    let s = field.surface();
    let m = Model::from_camera(&e.camera, size.width, size.height);
    let g = m.ground(&s, p)?;
    let steps = m.step_covariance(&e.parameter_covariance())?;
    let camera = ground_covariance(&m, &s, p, &steps)?;
    let inverse = m.project(&s, g)?.by_ground.try_inverse()?;
    let marking = Covariance2::from_matrix(
        inverse * na::Matrix2::identity() * (pixel_sd * pixel_sd) * inverse.transpose(),
    );
    Some((g, camera.plus(marking)))
}
