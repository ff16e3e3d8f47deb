//! Paths, moments and ball that come ready-made: out of a table of positions, or found in film. What a hand marked wins.

use crate::flight_fit::{FlightPriors, Stand, TimeMark};
use crate::tracks::{GroundObservation, Origin};
use geometry::Covariance2;
use play::{Moment, MomentKind, PersonId, Track, View};
use stats::Estimate;

/// What is known of a play beside the marks.
#[derive(Clone, Copy, Debug, Default)]
pub struct Given<'a> {
    /// Paths of people.
    pub tracks: &'a [Track],
    /// Where people were found in film: joined with the marks, which win.
    pub found: &'a [(PersonId, Vec<GroundObservation>)],
    /// Moments.
    pub moments: &'a [Moment],
    /// The ball's ground point at release and arrival, where it was followed on the ground.
    pub ball: Option<GivenBall>,
}

/// Where a followed ball was.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GivenBall {
    /// At the release.
    pub release: Stand,
    /// At the arrival.
    pub arrival: Stand,
}

/// How far a followed ball is from where the hand lets it go, yd: the ball's own size and the sampling; no source.
const BALL_FROM_HAND_YD: f64 = 0.15;

impl Given<'_> {
    /// The path as observations that give way to marks.
    pub(crate) fn observations(track: &Track) -> impl Iterator<Item = GroundObservation> + '_ {
        track.points.iter().map(|p| GroundObservation {
            // Which view does not matter: what was given shares no camera's shift.
            view: View::Sideline,
            t_s: p.t_s,
            position: p.position,
            // The given path's velocity follows from its places; taken again it would count twice.
            velocity: None,
            noise: p.position_covariance,
            common: Covariance2::default(),
            origin: Origin::Found,
        })
    }
    /// Those moments that no hand marked are added.
    pub(crate) fn add_moments(&self, moments: &mut Vec<Moment>) {
        for m in self.moments {
            if moments.iter().all(|known| known.kind != m.kind) {
                moments.push(*m);
            }
        }
        moments.sort_by(|a, b| a.at_s.value.total_cmp(&b.at_s.value));
    }
    /// A given moment as a mark of time.
    pub(crate) fn time_mark(&self, kind: MomentKind) -> Option<TimeMark> {
        let at: Estimate = self.moments.iter().find(|m| m.kind == kind)?.at_s;
        Some(TimeMark { view: View::Sideline, at_s: at.value, sd_s: at.se, frame_s: 0.0 })
    }
    /// What is known of a throw beforehand when its ball was followed on the ground.
    pub(crate) fn priors(priors: &FlightPriors) -> FlightPriors {
        FlightPriors {
            release_ahead_yd: Estimate::new(0.0, BALL_FROM_HAND_YD),
            catch_reach_yd: BALL_FROM_HAND_YD,
            ..*priors
        }
    }
}
