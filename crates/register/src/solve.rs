use crate::click::{Click, Mark, PictureSize, marks};
use crate::degeneracy;
use crate::minimise::{AIM_ONLY, ALL, Rest, minimise};
use crate::model::{Matrix8, Model, PlaneModel, Surface};
use crate::prior::{Stand, StationPrior, stands};
use crate::{RegisterError, blame};
use camera::{Aim, CameraEstimate, FrameQuality, Pinhole, Station};
use field::{Crown, LandmarkShape, RuleBook};
use geometry::frame::{Field, Ground, Pixel};
use geometry::{Homography, Point2, Point3};
use nalgebra as na;

/// What the field looks like: whose rule book, and how much it rises to the middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FieldModel {
    /// Whose markings.
    pub rule_book: RuleBook,
    /// Rise of the middle.
    pub crown: Crown,
}

impl FieldModel {
    /// A flat field.
    pub fn flat(rule_book: RuleBook) -> Self {
        Self { rule_book, crown: Crown::default() }
    }
    pub(crate) fn surface(&self) -> Surface {
        Surface { book: self.rule_book, crown: self.crown }
    }
}

/// How many equivalent observations the stated click error counts for when it is weighed against the residuals.
const STATED_ERROR_WEIGHT: f64 = 8.0;

/// The camera of one frame from clicks.
///
/// A camera with a centre is tried first; when no such camera agrees with the clicks but a free homography does (a moving
/// or cropped picture), that is returned. The covariance is scaled by the residuals where clicks are left over to tell.
///
/// # Errors
/// Clicks that name no paint, too few, an arrangement that leaves the camera free, or clicks that contradict each other;
/// each with what is wrong.
pub fn solve_frame(
    clicks: &[Click],
    size: PictureSize,
    field: &FieldModel,
    prior: &StationPrior,
) -> Result<CameraEstimate, RegisterError> {
    let marks = marks(clicks, size, field.rule_book)?;
    let s = field.surface();
    let equations: usize = marks.iter().map(Mark::equations).sum();
    let needed = match prior {
        StationPrior::Known(_) => 4,
        StationPrior::Moving => 8,
        _ => 7,
    };
    if equations < needed {
        return Err(RegisterError::TooFew { equations, needed });
    }
    if *prior == StationPrior::Moving {
        let fit = plane(&marks, &s, size).ok_or_else(|| degeneracy::arrangement(&marks))?;
        blame::check(&marks, &s, &fit, 8, |kept| plane(kept, &s, size))?;
        return finish(&fit, &marks, &s, size, 8);
    }
    degeneracy::check_arrangement(&marks, matches!(prior, StationPrior::Known(_)))?;
    let fixed = pinhole(&marks, &s, size, prior);
    let unknowns = needed;
    let refusal = match fixed {
        Some(fit) => match blame::check(&marks, &s, &fit, unknowns, |kept| pinhole(kept, &s, size, prior)) {
            Ok(()) => return finish(&fit, &marks, &s, size, unknowns),
            Err(e) => e,
        },
        None => degeneracy::arrangement(&marks),
    };
    // A free homography has four more unknowns than an aim; only clicks to spare can vouch for it.
    if equations >= 10
        && !matches!(prior, StationPrior::Known(_))
        && let Some(fit) = plane(&marks, &s, size)
        && blame::check(&marks, &s, &fit, 8, |kept| plane(kept, &s, size)).is_ok()
    {
        return finish(&fit, &marks, &s, size, 8);
    }
    Err(refusal)
}

/// The best pinhole over every stand the prior allows.
fn pinhole(marks: &[Mark], s: &Surface, size: PictureSize, prior: &StationPrior) -> Option<Rest> {
    let evidence = |m: &Model| crate::rows::normal(m, s, marks);
    let mut best: Option<Rest> = None;
    for Stand { belief, starts } in stands(prior, size, s.book) {
        let mut rough: Vec<Rest> = starts
            .iter()
            .flat_map(|&centre| first_aims(marks, s, Station { centre, ..belief.mean.station }))
            .filter_map(|p| minimise(Model::Pinhole(p), Some(&belief), AIM_ONLY, 8, evidence))
            .collect();
        rough.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        rough.truncate(4);
        for r in rough {
            if let Some(r) = minimise(r.model, Some(&belief), ALL, 60, evidence)
                && best.as_ref().is_none_or(|b| r.cost < b.cost)
            {
                best = Some(r);
            }
        }
    }
    best
}

/// A ground point to stand for a mark before anything is known.
fn anchor(mark: &Mark, others: Point2<Ground>) -> Point2<Ground> {
    match mark.shape {
        LandmarkShape::Point(g) => g,
        LandmarkShape::Line { through, along } => through + along * (others - through).dot(along),
    }
}

/// Aims that put the clicks' middle where it was seen, for a few focal lengths around what their spread suggests.
fn first_aims(marks: &[Mark], s: &Surface, station: Station) -> Vec<Pinhole> {
    let n = marks.len() as f64;
    let points: Vec<_> = marks
        .iter()
        .filter_map(|m| if let LandmarkShape::Point(g) = m.shape { Some((g, m.pixel)) } else { None })
        .collect();
    let mean = |v: &[Point2<Ground>]| {
        Point2::from_column(v.iter().map(|p| p.column()).sum::<na::Vector2<f64>>() / v.len() as f64)
    };
    let middle = if points.is_empty() {
        // Lines only: the mean of what each axis knows.
        let fallback = Point2::<Ground>::new(s.book.length() / 2.0, s.book.width() / 2.0);
        let mut x = (0.0, 0.0);
        let mut y = (0.0, 0.0);
        for m in marks {
            if let LandmarkShape::Line { through, along } = m.shape {
                if along.x.abs() < 0.5 {
                    x = (x.0 + through.x, x.1 + 1.0);
                } else {
                    y = (y.0 + through.y, y.1 + 1.0);
                }
            }
        }
        let or = |a: (f64, f64), b| if a.1 > 0.0 { a.0 / a.1 } else { b };
        Point2::new(or(x, fallback.x), or(y, fallback.y))
    } else {
        mean(&points.iter().map(|p| p.0).collect::<Vec<_>>())
    };
    let ground: Vec<_> = marks.iter().map(|m| anchor(m, middle)).collect();
    let centre = mean(&ground);
    let pixel =
        Point2::<Pixel>::from_column(marks.iter().map(|m| m.pixel.column()).sum::<na::Vector2<f64>>() / n);
    let width = f64::from(station.width);
    let mut focals = vec![0.7 * width, 1.3 * width, 2.4 * width];
    if points.len() >= 2 {
        let angle = |a: Point2<Ground>, b: Point2<Ground>| -> f64 {
            let d = |p: Point2<Ground>| (p.at_height(s.height(p)) - station.centre).column().normalize();
            d(a).dot(&d(b)).clamp(-1.0, 1.0).acos()
        };
        let (mut spread, mut turned) = (0.0, 0.0);
        for (k, a) in points.iter().enumerate() {
            for b in &points[k + 1..] {
                spread += a.1.distance(b.1);
                turned += angle(a.0, b.0);
            }
        }
        if turned > 1e-6 {
            let f = (spread / turned).clamp(0.3 * width, 12.0 * width);
            focals = vec![f];
        }
    }
    let target: Point3<Field> = centre.at_height(s.height(centre));
    focals
        .into_iter()
        .map(|focal| {
            let mut p = Pinhole::looking_at(station, target, focal);
            // Turn so that the middle falls where it was clicked rather than at the picture's middle.
            let (dx, dy) = (pixel.x - width / 2.0, pixel.y - f64::from(station.height) / 2.0);
            p.aim = Aim {
                pan: p.aim.pan + (dx / focal).atan() / p.aim.tilt.cos().max(0.2),
                tilt: p.aim.tilt - (dy / focal).atan(),
                ..p.aim
            };
            p
        })
        .collect()
}

/// The best free homography: direct linear transform over the points and the lines, then reprojection error.
fn plane(marks: &[Mark], s: &Surface, size: PictureSize) -> Option<Rest> {
    let equations: usize = marks.iter().map(Mark::equations).sum();
    if equations < 8 {
        return None;
    }
    let h = linear(marks, size)?;
    let start = Model::Plane(PlaneModel::new(h, size.width, size.height));
    let fit = minimise(start, None, ALL, 60, |m| crate::rows::normal(m, s, marks))?;
    let eigen = fit.evidence.symmetric_eigenvalues();
    // Steps are in half pictures: a direction known worse than a tenth of that is not known.
    (eigen.min() > 100.0).then_some(fit)
}

/// Direct linear transform (Hartley & Zisserman, algorithm 4.2) with point-on-line rows added: `lᵀ H⁻¹ q = 0` is linear in
/// the inverse map, so the map from picture to ground is solved for and inverted.
fn linear(marks: &[Mark], size: PictureSize) -> Option<Homography<Pixel, Ground>> {
    let (w, h) = (f64::from(size.width), f64::from(size.height));
    let from = na::Matrix3::new(2.0 / w, 0.0, -1.0, 0.0, 2.0 / w, -h / w, 0.0, 0.0, 1.0);
    let grounds: Vec<na::Vector2<f64>> = marks
        .iter()
        .map(|m| match m.shape {
            LandmarkShape::Point(g) => g.column(),
            LandmarkShape::Line { through, .. } => through.column(),
        })
        .collect();
    let mean = grounds.iter().sum::<na::Vector2<f64>>() / grounds.len() as f64;
    let to = na::Matrix3::new(0.05, 0.0, -0.05 * mean.x, 0.0, 0.05, -0.05 * mean.y, 0.0, 0.0, 1.0);
    let to_inverse = to.try_inverse()?;
    let mut ata = na::SMatrix::<f64, 9, 9>::zeros();
    for m in marks {
        let q = from * na::Vector3::new(m.pixel.x, m.pixel.y, 1.0);
        // Lines of the ground, as covectors in scaled ground coordinates, that the map of q must lie on.
        let covectors: Vec<na::Vector3<f64>> = match m.shape {
            LandmarkShape::Point(g) => {
                vec![na::Vector3::new(1.0, 0.0, -g.x), na::Vector3::new(0.0, 1.0, -g.y)]
            }
            LandmarkShape::Line { through, along } => {
                let n = na::Vector2::new(-along.y, along.x);
                vec![na::Vector3::new(n.x, n.y, -n.dot(&through.column()))]
            }
        };
        for l in covectors {
            let l = to_inverse.transpose() * l;
            let l = l / l.fixed_rows::<2>(0).norm().max(1e-12);
            let mut row = na::SVector::<f64, 9>::zeros();
            for i in 0..3 {
                for j in 0..3 {
                    row[3 * i + j] = l[i] * q[j];
                }
            }
            ata += row * row.transpose() / (m.sd_px * m.sd_px);
        }
    }
    let eigen = ata.symmetric_eigen();
    let k = eigen.eigenvalues.imin();
    let v = eigen.eigenvectors.column(k);
    let g = na::Matrix3::new(v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7], v[8]);
    let ground_from_pixel = to_inverse * g * from;
    ground_from_pixel.try_inverse().map(Homography::from_matrix)
}

/// Factor on the stated variance from `cost` (half the sum of squared standardised residuals) and `spare` equations.
pub(crate) fn variance_factor(cost: f64, spare: f64) -> f64 {
    (STATED_ERROR_WEIGHT + 2.0 * cost) / (STATED_ERROR_WEIGHT + spare.max(0.0))
}

fn finish(
    fit: &Rest,
    marks: &[Mark],
    s: &Surface,
    size: PictureSize,
    unknowns: usize,
) -> Result<CameraEstimate, RegisterError> {
    let equations: usize = marks.iter().map(Mark::equations).sum();
    let spare = equations as f64 - unknowns as f64;
    let factor = variance_factor(fit.evidence_cost, spare);
    let covariance: Matrix8 =
        fit.information.try_inverse().ok_or_else(|| degeneracy::arrangement(marks))? * factor;
    let precise = degeneracy::check_precision(&fit.model, s, size, marks, &covariance)?;
    let (mut sum, mut count) = (0.0, 0.0);
    for m in marks {
        for r in crate::rows::rows(&fit.model, s, m).unwrap_or_default() {
            sum += r.offset * r.offset;
            count += 1.0;
        }
    }
    Ok(CameraEstimate {
        camera: fit.model.camera(),
        covariance: row_major(&fit.model.published_covariance(&covariance)),
        quality: FrameQuality {
            rms_px: (sum / f64::max(count, 1.0)).sqrt(),
            evidence: equations as u32,
            coverage: 1.0,
            // Without a spare equation nothing would show a click on the wrong yard line.
            trusted: spare >= 1.0 && precise,
        },
    })
}

pub(crate) fn row_major(m: &Matrix8) -> Vec<f64> {
    m.transpose().iter().copied().collect()
}
