use crate::model::{Model, Surface, Vector8};
use geometry::Point2;
use geometry::frame::{Ground, Pixel};
use nalgebra as na;

/// A pixel low enough to show ground, and the ground it shows.
pub(crate) fn foothold(
    m: &Model,
    s: &Surface,
    width: f64,
    height: f64,
) -> Option<(Point2<Pixel>, Point2<Ground>)> {
    [0.5, 0.65, 0.8, 0.95].iter().find_map(|&t| {
        let p = Point2::new(0.5 * width, t * height);
        let g = m.ground(s, p)?;
        let near = (-60.0..160.0).contains(&g.x) && (-60.0..120.0).contains(&g.y);
        near.then_some((p, g))
    })
}

/// The step that moves the picture of `g` by (dx, dy) px and magnifies by e^zoom.
pub(crate) fn nudge(
    m: &Model,
    s: &Surface,
    g: Point2<Ground>,
    dx: f64,
    dy: f64,
    zoom: f64,
) -> Option<Vector8> {
    let mut step = Vector8::zeros();
    let p = m.project(s, g)?;
    // Pinholes turn by pan and tilt and zoom by the focal length; planes move and scale the picture.
    let (first, second) = match m {
        Model::Pinhole(_) => {
            step[3] = zoom;
            (0, 1)
        }
        Model::Plane(_) => {
            (step[0], step[4]) = (zoom.exp_m1(), zoom.exp_m1());
            (2, 5)
        }
    };
    let moved = p.by_step * step;
    let by = na::Matrix2::from_columns(&[
        p.by_step.column(first).into_owned(),
        p.by_step.column(second).into_owned(),
    ]);
    let turn = by.try_inverse()? * (na::Vector2::new(dx, dy) - moved);
    step[first] += turn.x;
    step[second] += turn.y;
    Some(step)
}
