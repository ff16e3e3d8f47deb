use crate::ground::{Footing, Turf, ViewInput};
use geometry::frame::Ground;
use geometry::{Covariance2, Point2, Vector2};
use play::{Finding, PersonId, PersonMark, Severity, View};
use std::collections::BTreeMap;

/// Who put an observation there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// A person, by hand: wins over what was found nearby.
    Mark,
    /// The program.
    Found,
}

/// Where somebody stood at an instant, as one view saw it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundObservation {
    /// In which view.
    pub view: View,
    /// Seconds from the snap.
    pub t_s: f64,
    /// Where, yd.
    pub position: Point2<Ground>,
    /// How he ran and the standard deviation of that in each direction, yd/s, where it was measured apart from places.
    pub velocity: Option<(Vector2<Ground>, f64)>,
    /// Covariance that is independent from mark to mark (the hand, the gait), yd².
    pub noise: Covariance2,
    /// Covariance that all marks of the view share (the camera), yd².
    pub common: Covariance2,
    /// Who put it there.
    pub origin: Origin,
}

/// Errors of marks, each a standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MarkErrors {
    /// Of a click, px of the film in each direction; common practice, no source.
    pub click_px: f64,
    /// Of the point between the feet against the body's middle over the gait, yd in each direction: the feet are
    /// about half a yard apart in a run and the middle is judged; common practice, no source.
    pub body_yd: f64,
}

impl Default for MarkErrors {
    fn default() -> Self {
        Self { click_px: 1.0, body_yd: 0.06 }
    }
}

/// Ground observations of everybody from marks; marks that no camera can place are named in the findings. Of several
/// marks of a person in the same frame of a view the last wins.
pub fn observe(
    marks: &[PersonMark],
    views: &[ViewInput<'_>],
    turf: &Turf,
    errors: &MarkErrors,
) -> (BTreeMap<PersonId, Vec<GroundObservation>>, Vec<Finding>) {
    let mut last: BTreeMap<(&PersonId, View, u32), &PersonMark> = BTreeMap::new();
    for m in marks {
        last.insert((&m.person, m.view, m.frame), m);
    }
    let mut people: BTreeMap<PersonId, Vec<GroundObservation>> = BTreeMap::new();
    let mut lost: BTreeMap<View, usize> = BTreeMap::new();
    for m in last.into_values() {
        let seen = views.iter().find(|v| v.view == m.view).and_then(|v| {
            let camera = v.camera(m.frame)?;
            let footing = Footing::new(camera, m.pixel, 0.0, turf)?;
            let body = Covariance2::isotropic(errors.body_yd);
            Some(GroundObservation {
                view: m.view,
                t_s: v.clock.seconds(f64::from(m.frame)),
                position: footing.point,
                velocity: None,
                noise: footing.marking(errors.click_px).plus(body),
                common: footing.standing(camera),
                origin: Origin::Mark,
            })
        });
        match seen {
            Some(o) => people.entry(m.person.clone()).or_default().push(o),
            None => *lost.entry(m.view).or_default() += 1,
        }
    }
    let findings = lost
        .into_iter()
        .map(|(view, n)| {
            Finding::new(
                Severity::Weak,
                "person-marks-without-field",
                format!(
                    "{n} person marks of the {} view are in frames where the field is not lined up",
                    view_name(view)
                ),
            )
        })
        .collect();
    (people, findings)
}

/// A view's name in a sentence.
pub(crate) fn view_name(view: View) -> &'static str {
    match view {
        View::Sideline => "sideline",
        View::EndZone => "end-zone",
    }
}
