//! Moments from marks in one or both views, and moments proposed from what moves.

mod onset;
mod stride;

use crate::flight_fit::TimeMark;
use crate::ground::ViewInput;
use crate::tracks::view_name;
use play::{Finding, Moment, MomentKind, MomentMark, Severity, View};
use stats::Estimate;

pub use onset::onset;
pub use stride::{CONTACT_YD, first_contact, set};

/// How well a person finds the frame of a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MomentErrors {
    /// Standard deviation of the judgement itself, frames, beside the half frame that a whole frame leaves open; common
    /// practice, no source.
    pub judged_frames: f64,
}

impl Default for MomentErrors {
    fn default() -> Self {
        Self { judged_frames: 0.25 }
    }
}

impl MomentErrors {
    /// Standard deviation of a mark, s: the event is anywhere within the frame marked (a uniform of width one frame has
    /// 1/√12), and the judgement errs.
    pub fn sd_s(&self, view: &ViewInput<'_>) -> f64 {
        view.clock.interval_s() * (1.0 / 12.0 + self.judged_frames.powi(2)).sqrt()
    }
}

/// The marks of one kind as times by their views' clocks, the last mark of each view.
pub fn time_marks(
    kind: MomentKind,
    marks: &[MomentMark],
    views: &[ViewInput<'_>],
    errors: &MomentErrors,
) -> Vec<TimeMark> {
    views
        .iter()
        .filter_map(|v| {
            let mark = marks.iter().rfind(|m| m.moment == kind && m.view == v.view)?;
            Some(TimeMark {
                view: v.view,
                at_s: v.clock.seconds(mark.frame),
                sd_s: errors.sd_s(v),
                frame_s: v.clock.interval_s(),
            })
        })
        .collect()
}

const KINDS: [(MomentKind, &str); 4] = [
    (MomentKind::Set, "set"),
    (MomentKind::Release, "release"),
    (MomentKind::Arrival, "arrival"),
    (MomentKind::FirstContact, "first contact"),
];

/// Moments on the play's clock. The snap is the clock's zero; its error is how well the snap is known in the film, and it
/// is in every other moment's error too. Both views are averaged by their errors; views that disagree by more than
/// three standard errors are named.
pub fn combine(
    marks: &[MomentMark],
    views: &[ViewInput<'_>],
    errors: &MomentErrors,
) -> (Vec<Moment>, Vec<Finding>) {
    let mut findings = Vec::new();
    let mut moments = Vec::new();
    let information: f64 = views.iter().map(|v| errors.sd_s(v).powi(-2)).sum();
    if information > 0.0 {
        let at_s = Estimate::new(0.0, information.powf(-0.5));
        moments.push(Moment { kind: MomentKind::Snap, at_s });
    }
    for (kind, word) in KINDS {
        let seen: Vec<(View, Estimate)> = time_marks(kind, marks, views, errors)
            .into_iter()
            // The snap of the same view was marked with the same error.
            .map(|m| (m.view, Estimate::new(m.at_s, m.sd_s * std::f64::consts::SQRT_2)))
            .collect();
        let Some(at_s) = mean(seen.iter().map(|s| s.1)) else { continue };
        if let [(a, x), (b, y)] = seen[..] {
            let gap = x.minus(y);
            if gap.value.abs() > 3.0 * gap.se {
                let text = format!(
                    "the {word} is at {:.2} s in the {} view and {:.2} s in the {} view, more apart than marks err ({:.2} s)",
                    x.value,
                    view_name(a),
                    y.value,
                    view_name(b),
                    3.0 * gap.se
                );
                findings.push(Finding::new(Severity::Weak, "views-disagree-in-time", text));
            }
        }
        moments.push(Moment { kind, at_s });
    }
    (moments, findings)
}

/// Mean of independent estimates weighted by their precision.
fn mean(seen: impl Iterator<Item = Estimate> + Clone) -> Option<Estimate> {
    let information: f64 = seen.clone().map(|e| e.se.powi(-2)).sum();
    (information > 0.0).then(|| {
        let value = seen.map(|e| e.value * e.se.powi(-2)).sum::<f64>() / information;
        Estimate::new(value, information.powf(-0.5))
    })
}

/// A moment's time, if it is among them.
pub fn at(moments: &[Moment], kind: MomentKind) -> Option<Estimate> {
    moments.iter().find(|m| m.kind == kind).map(|m| m.at_s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use play::ViewClock;
    use units::{FrameTable, Rate};

    fn mark(moment: MomentKind, view: View, frame: f64) -> MomentMark {
        MomentMark { id: "m".into(), moment, view, frame }
    }

    #[test]
    fn two_views_halve_the_variance_and_disagreement_is_named() {
        let table = FrameTable::new(Rate::new(30, 1).unwrap(), (0..200).collect()).unwrap();
        let views: Vec<ViewInput<'_>> = View::ALL
            .into_iter()
            .map(|view| ViewInput {
                view,
                clock: ViewClock::new(&table, 10.0).unwrap(),
                cameras: &[],
                first_frame: 0,
            })
            .collect();
        let marks = [
            mark(MomentKind::Release, View::Sideline, 80.0),
            mark(MomentKind::Release, View::Sideline, 85.0),
            mark(MomentKind::Release, View::EndZone, 86.0),
            mark(MomentKind::Arrival, View::Sideline, 130.0),
            mark(MomentKind::Set, View::Sideline, 60.0),
            mark(MomentKind::Set, View::EndZone, 75.0),
        ];
        let (moments, findings) = combine(&marks, &views, &MomentErrors { judged_frames: 0.0 });
        let release = at(&moments, MomentKind::Release).unwrap();
        let arrival = at(&moments, MomentKind::Arrival).unwrap();
        assert!((release.value - 75.5 / 30.0).abs() < 1e-9);
        assert!((release.se * 2f64.sqrt() - arrival.se).abs() < 1e-12);
        assert!((arrival.se - (2.0f64 / 12.0).sqrt() / 30.0).abs() < 1e-12);
        assert_eq!(findings.len(), 1);
        assert_eq!(findings[0].code, "views-disagree-in-time");
        assert!(at(&moments, MomentKind::FirstContact).is_none());
    }
}
