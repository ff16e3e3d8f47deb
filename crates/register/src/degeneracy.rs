use crate::click::Mark;
use crate::model::{Matrix8, Model, Surface, ground_covariance};
use crate::{PictureSize, RegisterError};
use field::LandmarkShape;
use geometry::{Covariance2, Point2};
use nalgebra as na;

/// Ground error over most of the picture above which clicks are refused, yd: half the gap between two yard lines, beyond which
/// following the chalk could settle on the wrong one.
const GROUND_LIMIT: f64 = 2.5;
/// Ground error over most of the picture above which a frame is not trusted, yd.
const TRUST_LIMIT: f64 = 1.0;

fn refuse(reason: impl Into<String>) -> RegisterError {
    RegisterError::Degenerate { reason: reason.into() }
}

/// The refusal for an arrangement that no solver could use.
pub(crate) fn arrangement(marks: &[Mark]) -> RegisterError {
    check_arrangement(marks, false).err().unwrap_or_else(|| {
        refuse("they leave at least one direction open; add a crossing away from the others")
    })
}

/// Refuses arrangements that leave the camera free whatever the numbers. With the station known two separate points fix
/// the aim.
pub(crate) fn check_arrangement(marks: &[Mark], known: bool) -> Result<(), RegisterError> {
    for (k, m) in marks.iter().enumerate() {
        if let Some(j) =
            marks[..k].iter().position(|o| o.shape == m.shape && o.pixel.distance(m.pixel) < 1e-9)
        {
            return Err(refuse(format!("click {} repeats click {}", k + 1, j + 1)));
        }
        if let (LandmarkShape::Point(g), Some(j)) = (
            m.shape,
            marks[..k].iter().position(|o| match (o.shape, m.shape) {
                (LandmarkShape::Point(a), LandmarkShape::Point(b)) => {
                    a.distance(b) > 0.1 && o.pixel.distance(m.pixel) < 0.5
                }
                _ => false,
            }),
        ) {
            return Err(refuse(format!(
                "clicks {} and {} name different places ({:.1}, {:.1}) but are on the same pixel",
                j + 1,
                k + 1,
                g.x,
                g.y
            )));
        }
    }
    let points: Vec<_> = marks
        .iter()
        .filter_map(|m| if let LandmarkShape::Point(g) = m.shape { Some(g.column()) } else { None })
        .collect();
    // What fixes position along the length (yard lines) and across the width (sidelines, hash rows).
    let crosses = |length: bool| {
        marks.iter().any(|m| match m.shape {
            LandmarkShape::Point(_) => true,
            LandmarkShape::Line { along, .. } => (along.x.abs() < 0.5) == length,
        })
    };
    if !crosses(true) {
        return Err(refuse("nothing fixes the place along the length: click a yard line"));
    }
    if !crosses(false) {
        return Err(refuse("nothing fixes the place across the width: click a hash mark or a sideline"));
    }
    if points.len() == marks.len() && !known {
        let mean = points.iter().sum::<na::Vector2<f64>>() / points.len() as f64;
        let spread = points.iter().fold(na::Matrix2::zeros(), |a, p| a + (p - mean) * (p - mean).transpose())
            / points.len() as f64;
        let eigen = spread.symmetric_eigen();
        // One yard: clicks on the two ends of a hash mark do not make a second line.
        if eigen.eigenvalues.min().max(0.0).sqrt() < 0.5 {
            let line = eigen.eigenvectors.column(eigen.eigenvalues.imax());
            let name = if line.x.abs() > line.y.abs() { "across the width" } else { "along the length" };
            return Err(refuse(format!(
                "all points lie on one line of the field: click something away from it {name}"
            )));
        }
    }
    Ok(())
}

/// Refuses a camera whose ground error over the field it shows is too large to be of use, naming the direction; tells whether it is small
/// enough to be trusted.
pub(crate) fn check_precision(
    m: &Model,
    s: &Surface,
    size: PictureSize,
    marks: &[Mark],
    covariance: &Matrix8,
) -> Result<bool, RegisterError> {
    let (w, h) = (f64::from(size.width), f64::from(size.height));
    let on_field = |p: Point2<geometry::frame::Pixel>| m.ground(s, p).filter(|g| s.book.holds(*g));
    let mut errors: Vec<Covariance2> = Vec::new();
    for j in 1..6 {
        for i in 1..8 {
            let p = Point2::new(w * f64::from(i) / 8.0, h * f64::from(j) / 6.0);
            if on_field(p).is_some() {
                errors.extend(ground_covariance(m, s, p, covariance));
            }
        }
    }
    if errors.is_empty() {
        let first = marks.first().map_or(0.0, |m| m.pixel.x);
        return Err(refuse(format!(
            "the camera they give shows no field at all (first click at x = {first:.0} px); check the yard lines named"
        )));
    }
    errors.sort_by(|a, b| a.rms().total_cmp(&b.rms()));
    let c = errors[errors.len() / 2];
    if !(c.rms() <= GROUND_LIMIT) {
        let (sx, sy) = (c.xx.max(0.0).sqrt(), c.yy.max(0.0).sqrt());
        let name = if sx > sy { "along the length" } else { "across the width" };
        return Err(refuse(format!(
            "the ground would be known to {:.1} yd only, mostly {name} (limit {GROUND_LIMIT:.1} yd); click farther apart {name}",
            c.rms()
        )));
    }
    Ok(c.rms() <= TRUST_LIMIT)
}
