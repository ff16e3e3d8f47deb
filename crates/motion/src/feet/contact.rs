use super::{FeetErrors, FeetInputs};
use crate::ground::{Footing, ViewInput};
use camera::{CameraEstimate, PARAMETERS};
use nalgebra as na;
use play::{Foot, FootMark, FootPart};
use statrs::distribution::{ChiSquared, ContinuousCDF};
use std::collections::BTreeMap;

/// A mark on the ground.
#[derive(Clone, Copy)]
pub(super) struct Placed<'a> {
    pub(super) mark: &'a FootMark,
    pub(super) t_s: f64,
    pub(super) footing: Footing,
    camera: &'a CameraEstimate,
    view: usize,
}

/// Which contact: the feet at release, and where the front foot was at the set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Contact {
    Back,
    Front,
    FrontAtSet,
}

/// Marks that a camera can put on the ground, and how many could not be.
pub(super) fn placed<'a>(inputs: &FeetInputs<'a>, errors: &FeetErrors) -> (Vec<Placed<'a>>, usize) {
    let mut lost = 0;
    let mut out = Vec::new();
    for mark in inputs.feet {
        let z = if mark.part == FootPart::Ankle { errors.ankle_yd } else { 0.0 };
        let seen = inputs.views.iter().position(|v| v.view == mark.view).and_then(|view| {
            let input: &'a ViewInput<'a> = &inputs.views[view];
            let camera = input.camera(mark.frame)?;
            let footing = Footing::new(camera, mark.pixel, z, &inputs.turf)?;
            Some(Placed { mark, t_s: input.clock.seconds(f64::from(mark.frame)), footing, camera, view })
        });
        match seen {
            Some(p) => out.push(p),
            None => lost += 1,
        }
    }
    (out, lost)
}

/// Which contact a mark is of, if any.
pub(super) fn contact(p: &Placed<'_>, inputs: &FeetInputs<'_>, errors: &FeetErrors) -> Option<Contact> {
    let off = |t: f64| (p.t_s - t).abs();
    let release = off(inputs.release_s.value);
    let set = inputs.set_s.map_or(f64::INFINITY, |s| off(s.value));
    match p.mark.foot {
        _ if release.min(set) > errors.near_s => None,
        Foot::Back => (release <= set).then_some(Contact::Back),
        Foot::Front if release <= set => Some(Contact::Front),
        Foot::Front => Some(Contact::FrontAtSet),
    }
}

/// Contacts with their joint covariance.
pub(super) struct Stance {
    /// Contacts in order; each has two coordinates in `at`.
    pub(super) contacts: Vec<Contact>,
    /// x and y of each contact, yd.
    pub(super) at: na::DVector<f64>,
    /// Covariance, yd².
    pub(super) covariance: na::DMatrix<f64>,
    /// Fewest marks of any point of the two feet at release.
    pub(super) repeats: u32,
    /// True when no part was marked on all contacts of some view.
    pub(super) unlike: bool,
    /// True when the views place the feet farther apart than their errors allow.
    pub(super) apart: bool,
}

impl Stance {
    pub(super) fn index(&self, c: Contact) -> Option<usize> {
        self.contacts.iter().position(|k| *k == c).map(|k| 2 * k)
    }
}

type Grouped<'g, 'a> = BTreeMap<(usize, Contact), BTreeMap<PartOrder, Vec<&'g Placed<'a>>>>;

/// Parts in an order, which the contract's type lacks.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct PartOrder(u8);

impl From<FootPart> for PartOrder {
    fn from(p: FootPart) -> Self {
        Self(match p {
            FootPart::Toe => 0,
            FootPart::Heel => 1,
            FootPart::Ankle => 2,
        })
    }
}

/// All contacts from their marks in all views: clicks average over repeats, what a part is taken to be does not, and a
/// camera's error moves both feet together, so that it mostly leaves their difference alone.
pub(super) fn stance(marks: &[(Contact, Placed<'_>)], errors: &FeetErrors) -> Option<Stance> {
    let mut grouped: Grouped<'_, '_> = BTreeMap::new();
    for (contact, p) in marks {
        grouped.entry((p.view, *contact)).or_default().entry(p.mark.part.into()).or_default().push(p);
    }
    let click = click_px(&grouped, errors.click_px);
    let mut contacts: Vec<Contact> = grouped.keys().map(|k| k.1).collect();
    contacts.sort();
    contacts.dedup();
    let n = 2 * contacts.len();
    let mut information = na::DMatrix::<f64>::zeros(n, n);
    let mut weighted = na::DVector::<f64>::zeros(n);
    let mut views: Vec<Told> = Vec::new();
    let everywhere = common_parts(grouped.values());
    let mut unlike = false;
    let mut repeats: BTreeMap<Contact, u32> = BTreeMap::new();
    for view in 0..2 {
        let here: Vec<_> = grouped.iter().filter(|(k, _)| k.0 == view).collect();
        if here.is_empty() {
            continue;
        }
        let parts =
            if everywhere.is_empty() { common_parts(here.iter().map(|h| h.1)) } else { everywhere.clone() };
        let alike = !parts.is_empty();
        // Views that go by different parts mean different points of the foot.
        let loose = !alike || everywhere.is_empty();
        unlike |= loose;
        let m = 2 * here.len();
        let mut at = na::DVector::<f64>::zeros(m);
        let mut covariance = na::DMatrix::<f64>::zeros(m, m);
        let mut by_camera = na::DMatrix::<f64>::zeros(m, PARAMETERS);
        let mut by_height = na::DVector::<f64>::zeros(m);
        let mut camera = na::SMatrix::<f64, PARAMETERS, PARAMETERS>::zeros();
        for (k, ((_, contact), by_part)) in here.iter().enumerate() {
            let used: Vec<_> =
                by_part.iter().filter(|(p, _)| !alike || parts.contains(p)).map(|(_, v)| v).collect();
            let share = 1.0 / used.len() as f64;
            let mut own = na::Matrix2::identity() * (errors.part_yd.powi(2) * share);
            if loose {
                own += na::Matrix2::identity() * errors.unlike_parts_yd.powi(2);
            }
            for marks in &used {
                let w = share / marks.len() as f64;
                for p in *marks {
                    let mut rows = at.rows_mut(2 * k, 2);
                    rows += p.footing.point.column() * w;
                    own += p.footing.by_pixel * p.footing.by_pixel.transpose() * (click * w).powi(2);
                    let mut rows = by_camera.view_mut((2 * k, 0), (2, PARAMETERS));
                    rows += p.footing.by_camera * w;
                    let mut rows = by_height.rows_mut(2 * k, 2);
                    rows += p.footing.by_height * w;
                    camera += p.camera.parameter_covariance() * (w / here.len() as f64);
                }
                let count = repeats.entry(*contact).or_insert(0);
                *count = (*count).max(marks.len() as u32);
            }
            covariance.view_mut((2 * k, 2 * k), (2, 2)).copy_from(&own);
        }
        covariance += &by_camera * camera * by_camera.transpose();
        covariance += &by_height * by_height.transpose() * errors.height_yd.powi(2);
        let inverse = covariance.cholesky()?.inverse();
        let place: Vec<usize> = here
            .iter()
            .filter_map(|h| contacts.iter().position(|c| *c == h.0.1))
            .flat_map(|c| [2 * c, 2 * c + 1])
            .collect();
        let pull = &inverse * &at;
        for (a, &i) in place.iter().enumerate() {
            weighted[i] += pull[a];
            for (b, &j) in place.iter().enumerate() {
                information[(i, j)] += inverse[(a, b)];
            }
        }
        let of = na::DMatrix::from_fn(m, n, |a, i| f64::from(u8::from(place[a] == i)));
        views.push(Told { at, of, inverse });
    }
    let covariance = information.cholesky()?.inverse();
    let solved = &covariance * weighted;
    let fewest = [Contact::Back, Contact::Front].iter().filter_map(|c| repeats.get(c)).min();
    Some(Stance {
        apart: apart(&views, &solved, 0.0, n),
        at: solved,
        covariance,
        repeats: fewest.copied().unwrap_or(0),
        contacts,
        unlike,
    })
}

/// What one view tells of the unknowns: `at` is `of` times them, with the inverse of its covariance.
struct Told {
    at: na::DVector<f64>,
    of: na::DMatrix<f64>,
    inverse: na::DMatrix<f64>,
}

/// Chance below which views that agree would lie so far apart.
const APART: f64 = 1e-3;

/// Whether views contradict each other about `solved`: their weighted squares, with `belief`'s own, against chance. A mark on another
/// man or a clip lined up yards off does this; the mean of two such places would lie where nobody stood.
fn apart(views: &[Told], solved: &na::DVector<f64>, belief: f64, unknowns: usize) -> bool {
    let told: usize = views.iter().map(|v| v.at.len()).sum();
    let free = told.saturating_sub(unknowns);
    let squares: f64 = views
        .iter()
        .map(|v| {
            let left = &v.at - &v.of * solved;
            left.dot(&(&v.inverse * &left))
        })
        .sum();
    free > 0 && ChiSquared::new(free as f64).is_ok_and(|c| c.sf(squares + belief) < APART)
}

/// Parts that every group has.
fn common_parts<'m, T: 'm>(groups: impl Iterator<Item = &'m BTreeMap<PartOrder, T>>) -> Vec<PartOrder> {
    groups
        .map(|g| g.keys().copied().collect::<Vec<_>>())
        .reduce(|a, b| a.into_iter().filter(|p| b.contains(p)).collect())
        .unwrap_or_default()
}

/// Standard deviation of a click, between what is stated (counted as eight repeats' worth) and how repeats in the same
/// frame scatter.
fn click_px(grouped: &Grouped<'_, '_>, stated: f64) -> f64 {
    const BELIEF: f64 = 8.0;
    let (mut sum, mut free) = (BELIEF * stated * stated, BELIEF);
    for marks in grouped.values().flat_map(|g| g.values()) {
        let mut frames: BTreeMap<u32, Vec<na::Vector2<f64>>> = BTreeMap::new();
        for p in marks {
            frames.entry(p.mark.frame).or_default().push(p.mark.pixel.column());
        }
        for pixels in frames.values() {
            let mean = pixels.iter().sum::<na::Vector2<f64>>() / pixels.len() as f64;
            sum += pixels.iter().map(|p| (p - mean).norm_squared()).sum::<f64>();
            free += 2.0 * (pixels.len() as f64 - 1.0);
        }
    }
    (sum / free).sqrt()
}

/// Why the hips are not placed.
pub(super) enum NoHips {
    /// No camera sees heights.
    Heights,
    /// The views contradict each other.
    Apart,
}

/// The hips' middle on the ground from marks near release, with the error of their height shared by both views.
pub(super) fn hips(
    inputs: &FeetInputs<'_>,
    errors: &FeetErrors,
) -> Result<(na::Vector2<f64>, na::Matrix2<f64>), NoHips> {
    let mut information = na::Matrix3::<f64>::zeros();
    let mut weighted = na::Vector3::<f64>::zeros();
    information[(2, 2)] = errors.hip_yd.se.powi(-2);
    let mut views: Vec<Told> = Vec::new();
    for view in inputs.views {
        let seen: Vec<(Footing, &CameraEstimate)> = inputs
            .hips
            .iter()
            .filter(|m| m.view == view.view)
            .filter(|m| {
                (view.clock.seconds(f64::from(m.frame)) - inputs.release_s.value).abs() <= errors.near_s
            })
            .filter_map(|m| {
                let camera = view.camera(m.frame)?;
                camera.camera.pinhole()?;
                Some((Footing::new(camera, m.pixel, errors.hip_yd.value, &inputs.turf)?, camera))
            })
            .collect();
        if seen.is_empty() {
            continue;
        }
        let n = seen.len() as f64;
        let mean = seen.iter().map(|(f, _)| f.point.column()).sum::<na::Vector2<f64>>() / n;
        let slope = seen.iter().map(|(f, _)| f.by_height).sum::<na::Vector2<f64>>() / n;
        let (first, camera) = seen[0];
        let covariance = first.marking(errors.click_px).matrix() / n
            + first.standing(camera).matrix()
            + na::Matrix2::identity() * errors.part_yd.powi(2) * 4.0;
        let inverse = covariance.try_inverse().ok_or(NoHips::Heights)?;
        // The ray's ground point slides by `slope` for each yard that the hips are higher than supposed.
        let h = na::Matrix2x3::new(1.0, 0.0, -slope.x, 0.0, 1.0, -slope.y);
        information += h.transpose() * inverse * h;
        weighted += h.transpose() * inverse * mean;
        views.push(Told {
            at: na::DVector::from_column_slice(mean.as_slice()),
            of: na::DMatrix::from_column_slice(2, 3, h.as_slice()),
            inverse: na::DMatrix::from_column_slice(2, 2, inverse.as_slice()),
        });
    }
    let covariance = information.try_inverse().filter(|_| !views.is_empty()).ok_or(NoHips::Heights)?;
    let at = covariance * weighted;
    let belief = (at.z / errors.hip_yd.se).powi(2);
    // The belief about their height is told beside the views: two of the three unknowns are left to them.
    if apart(&views, &na::DVector::from_column_slice(at.as_slice()), belief, 2) {
        return Err(NoHips::Apart);
    }
    Ok((at.xy(), covariance.fixed_view::<2, 2>(0, 0).into_owned()))
}
