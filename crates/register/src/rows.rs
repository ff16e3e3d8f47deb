use crate::click::Mark;
use crate::model::{Matrix8, Model, Surface, Vector8};
use field::LandmarkShape;
use geometry::frame::{Ground, Pixel};
use geometry::{Point2, Vector2};
use nalgebra as na;

/// One equation: how far the evidence is from the model in its own direction, px, and how that changes with a step of
/// the model (the model's motion along the same direction, so that `offset - by_step · step` is the new offset).
pub(crate) struct Row {
    pub offset: f64,
    pub by_step: Vector8,
}

/// Point of the line nearest in the picture to `pixel`, and the image direction of the line there.
fn nearest_on_line(
    m: &Model,
    s: &Surface,
    through: Point2<Ground>,
    along: Vector2<Ground>,
    pixel: Point2<Pixel>,
) -> Option<(Point2<Ground>, na::Vector2<f64>)> {
    let mut t = match m.ground(s, pixel) {
        Some(g) if g.is_finite() => (g - through).dot(along),
        // Above the horizon: begin from the middle of the field.
        _ => (Point2::new(0.5 * s.book.length(), 0.5 * s.book.width()) - through).dot(along),
    }
    .clamp(-80.0, 80.0);
    let mut tangent = na::Vector2::zeros();
    for _ in 0..6 {
        let q = m.project(s, through + along * t)?;
        tangent = q.by_ground * along.column();
        let miss = (pixel - q.pixel).column();
        let n2 = tangent.norm_squared();
        if n2 < 1e-18 {
            return None;
        }
        let step = (miss.dot(&tangent) / n2).clamp(-20.0, 20.0);
        t += step;
        if step.abs() < 1e-9 {
            break;
        }
    }
    Some((through + along * t, tangent.normalize()))
}

/// The equations of a click; `None` when the model does not show its landmark at all.
pub(crate) fn rows(m: &Model, s: &Surface, mark: &Mark) -> Option<Vec<Row>> {
    match mark.shape {
        LandmarkShape::Point(g) => {
            let q = m.project(s, g)?;
            let d = mark.pixel - q.pixel;
            let row = |k: usize, offset| Row { offset, by_step: q.by_step.row(k).transpose() };
            Some(vec![row(0, d.x), row(1, d.y)])
        }
        LandmarkShape::Line { through, along } => {
            let (g, tangent) = nearest_on_line(m, s, through, along, mark.pixel)?;
            let q = m.project(s, g)?;
            let normal = na::Vector2::new(-tangent.y, tangent.x);
            let by_step = q.by_step.transpose() * normal;
            Some(vec![Row { offset: normal.dot(&(mark.pixel - q.pixel).column()), by_step }])
        }
    }
}

/// Half the weighted sum of squares, its gradient's negative and Gauss-Newton matrix over all marks.
pub(crate) struct Normal {
    pub cost: f64,
    pub pull: Vector8,
    pub information: Matrix8,
}

pub(crate) fn normal(m: &Model, s: &Surface, marks: &[Mark]) -> Option<Normal> {
    let mut n = Normal { cost: 0.0, pull: Vector8::zeros(), information: Matrix8::zeros() };
    for mark in marks {
        let w = 1.0 / (mark.sd_px * mark.sd_px);
        for r in rows(m, s, mark)? {
            n.cost += 0.5 * w * r.offset * r.offset;
            n.pull += r.by_step * (w * r.offset);
            n.information += r.by_step * r.by_step.transpose() * w;
        }
    }
    Some(n)
}
