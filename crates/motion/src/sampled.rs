//! Samples of positions out of a table to smooth paths and a ball followed on the ground.

use crate::flight_fit::Stand;
use crate::given::GivenBall;
use crate::tracks::{GroundObservation, Origin, Running, smooth};
use geometry::frame::Ground;
use geometry::{Covariance2, Point2, Vector2};
use play::{Finding, MomentKind, PersonId, Severity, Track, Tracked, TrackedPath, View};

/// Code of the finding by which whoever read a table tells of samples that nobody could have run to.
pub const TOLD_BY_TABLE: &str = "teleport";
/// Nobody runs faster, yd/s (25.6 mph; the fastest man measured over 20 m ran 12.4 m/s, 13.6 yd/s, without a helmet).
pub const FASTEST_YDPS: f64 = 12.5;
/// A hole in somebody's samples longer than this is named, s.
const HOLE_S: f64 = 0.45;
/// Across a hole longer than this a path is not carried, s: a man is anywhere within several yards.
const LOST_S: f64 = 1.5;

/// Paths of everybody, and where the ball was at release and arrival.
pub struct Followed {
    /// Smoothed paths at the samples' instants.
    pub tracks: Vec<Track>,
    /// The ball; `None` without samples at both instants.
    pub ball: Option<GivenBall>,
    /// What was left out or is weak.
    pub findings: Vec<Finding>,
}

/// Smooths a table's samples with the prior of how people run. Samples that nobody could have run to are left out and
/// named, as are holes.
pub fn follow(tracked: &Tracked, running: &Running) -> Followed {
    let mut findings = tracked.findings.clone();
    let tracks = tracked
        .people
        .iter()
        .filter_map(|path| {
            let reachable = reachable(&path.samples, tracked.sd_yd);
            let jumps = path.samples.len() - reachable.len();
            // Who read the table has named the rows.
            if jumps > 0 && !tracked.findings.iter().any(|f| f.code == TOLD_BY_TABLE) {
                let text = format!(
                    "{} jumps farther than anybody runs ({FASTEST_YDPS} yd/s); {jumps} samples are left out",
                    path.person
                );
                findings.push(Finding::new(Severity::Weak, "jump", text));
            }
            let kept: Vec<Seen> = reachable.iter().map(|&k| Seen::of(path, k)).collect();
            let whole = whole_around_snap(&kept);
            if whole.len() < kept.len() {
                let text = format!(
                    "{} is lost for more than {LOST_S} s; what lies beyond the hole is left out",
                    path.person
                );
                findings.push(Finding::new(Severity::Weak, "lost", text));
            } else if let Some(w) = whole.windows(2).find(|w| w[1].at[0] - w[0].at[0] > HOLE_S) {
                let text = format!(
                    "{} has no sample from {:.1} to {:.1} s; at most {HOLE_S} s may pass without one",
                    path.person, w[0].at[0], w[1].at[0]
                );
                findings.push(Finding::new(Severity::Weak, "hole", text));
            }
            let seen: Vec<GroundObservation> =
                whole.iter().map(|s| s.observation(tracked.sd_yd, tracked.velocity_sd_ydps)).collect();
            let times: Vec<f64> = whole.iter().map(|s| s.at[0]).collect();
            smooth(&path.person, &seen, &times, running)
        })
        .collect();
    Followed { tracks, ball: ball(tracked), findings }
}

/// One body's samples (seconds, x, y, yd) as a smooth path at their instants; `None` with too few.
pub fn smoothed(person: &PersonId, samples: &[[f64; 3]], sd_yd: f64, running: &Running) -> Option<Track> {
    let seen: Vec<GroundObservation> =
        samples.iter().map(|s| Seen { at: *s, velocity: None }.observation(sd_yd, None)).collect();
    let times: Vec<f64> = samples.iter().map(|s| s[0]).collect();
    smooth(person, &seen, &times, running)
}

/// One sample of a body.
#[derive(Clone, Copy)]
struct Seen {
    at: [f64; 3],
    velocity: Option<[f64; 2]>,
}

impl Seen {
    fn of(path: &TrackedPath, k: usize) -> Self {
        Self { at: path.samples[k], velocity: path.velocities.get(k).copied().flatten() }
    }
    fn observation(self, sd: f64, velocity_sd: Option<f64>) -> GroundObservation {
        let [t_s, x, y] = self.at;
        GroundObservation {
            view: View::Sideline,
            t_s,
            position: Point2::new(x, y),
            velocity: velocity_sd.and_then(|sd| self.velocity.map(|[x, y]| (Vector2::new(x, y), sd))),
            noise: Covariance2::isotropic(sd),
            common: Covariance2::default(),
            origin: Origin::Found,
        }
    }
}

/// Indices of the samples that do not lie apart: one is left out when it cannot be reached from the kept one before,
/// unless the ones after it agree with it, in which case those before it were astray.
pub fn reachable(samples: &[[f64; 3]], sd: f64) -> Vec<usize> {
    let reach = |a: &[f64; 3], b: &[f64; 3]| {
        let run = (b[1] - a[1]).hypot(b[2] - a[2]) - 4.0 * sd;
        run <= FASTEST_YDPS * (b[0] - a[0]).abs()
    };
    // The longest chain of samples each of which can be reached from the one before it; links over few samples suffice.
    const BACK: usize = 12;
    let n = samples.len();
    let (mut length, mut from) = (vec![1usize; n], vec![usize::MAX; n]);
    for k in 0..n {
        for j in (k.saturating_sub(BACK)..k).rev() {
            if length[j] + 1 > length[k] && reach(&samples[j], &samples[k]) {
                length[k] = length[j] + 1;
                from[k] = j;
            }
        }
    }
    let mut at = (0..n).max_by_key(|&k| length[k]);
    let mut kept = Vec::new();
    while let Some(k) = at {
        kept.push(k);
        at = (from[k] != usize::MAX).then(|| from[k]);
    }
    kept.reverse();
    kept
}

/// The stretch without a long hole that holds the snap, or the longest when none does.
fn whole_around_snap(samples: &[Seen]) -> &[Seen] {
    let mut pieces = samples.chunk_by(|a, b| b.at[0] - a.at[0] <= LOST_S);
    let holds =
        |p: &&[Seen]| p.first().is_some_and(|s| s.at[0] <= 0.2) && p.last().is_some_and(|s| s.at[0] >= 0.5);
    pieces.clone().find(holds).or_else(|| pieces.by_ref().max_by_key(|p| p.len())).unwrap_or(&[])
}

fn ball(tracked: &Tracked) -> Option<GivenBall> {
    let at = |kind| {
        let t = tracked.moments.iter().find(|m| m.kind == kind)?.at_s;
        let (point, speed) = sampled(&tracked.ball, t.value)?;
        // An instant known badly moves a flying ball along its way.
        let along = speed * t.se;
        Some((point, Covariance2::isotropic(tracked.sd_yd.hypot(along / std::f64::consts::SQRT_2))))
    };
    let stand = |(point, covariance)| Stand { point, covariance };
    // At release the ball still moves with the hand: its flight's speed does not blur where it was.
    let release = at(MomentKind::Release)
        .map(|(point, _)| Stand { point, covariance: Covariance2::isotropic(tracked.sd_yd) })?;
    Some(GivenBall { release, arrival: stand(at(MomentKind::Arrival)?) })
}

/// Place between samples and speed there, yd/s; `None` farther than a hole from any.
fn sampled(samples: &[[f64; 3]], t: f64) -> Option<(Point2<Ground>, f64)> {
    let k = samples.partition_point(|s| s[0] <= t).clamp(1, samples.len().max(2) - 1);
    let (a, b) = (samples.get(k - 1)?, samples.get(k)?);
    let dt = b[0] - a[0];
    if dt <= 0.0 || dt > HOLE_S || t < a[0] - 0.15 || t > b[0] + 0.15 {
        return None;
    }
    let w = ((t - a[0]) / dt).clamp(0.0, 1.0);
    let point = Point2::new(a[1] + (b[1] - a[1]) * w, a[2] + (b[2] - a[2]) * w);
    Some((point, (b[1] - a[1]).hypot(b[2] - a[2]) / dt))
}

#[cfg(test)]
mod tests {
    use super::*;
    use play::Moment;
    use stats::Estimate;

    fn straight(until: f64) -> Vec<[f64; 3]> {
        (0..=(until * 10.0) as usize).map(|k| k as f64 / 10.0).map(|t| [t, 30.0 + 6.0 * t, 20.0]).collect()
    }
    fn tracked(samples: Vec<[f64; 3]>) -> Tracked {
        Tracked {
            source: "t.csv".into(),
            source_play: "1".into(),
            rate_hz: 10.0,
            sd_yd: 0.1,
            people: vec![TrackedPath { person: "L1".into(), samples, velocities: Vec::new() }],
            ball: Vec::new(),
            moments: Vec::new(),
            velocity_sd_ydps: None,
            findings: Vec::new(),
        }
    }

    #[test]
    fn a_teleport_is_left_out_and_named_and_the_rest_kept() {
        let mut samples = straight(3.0);
        samples[12] = [1.2, 80.0, 5.0];
        samples[13] = [1.3, 80.0, 5.0];
        let f = follow(&tracked(samples), &Running::default());
        assert!(
            f.findings.iter().any(|f| f.code == "jump" && f.message.contains("2 samples")),
            "{:?}",
            f.findings
        );
        let at = f.tracks[0].at(1.25).unwrap();
        assert!((at.position.x - 37.5).abs() < 3.0 * at.position_covariance.xx.sqrt(), "{at:?}");
        assert!((at.velocity.x - 6.0).abs() < 3.0 * at.velocity_covariance.xx.sqrt());
    }

    #[test]
    fn a_measured_velocity_sharpens_the_path() {
        let plain = tracked(straight(3.0));
        let mut told = plain.clone();
        told.people[0].velocities = vec![Some([6.0, 0.0]); told.people[0].samples.len()];
        told.velocity_sd_ydps = Some(0.3);
        let spread = |t: &Tracked| {
            let at = follow(t, &Running::default()).tracks[0].at(1.5).unwrap();
            let sd = at.velocity_covariance.xx.sqrt();
            assert!((at.velocity.x - 6.0).abs() < sd && at.velocity.y.abs() < sd, "{at:?}");
            at.velocity_covariance.xx.sqrt()
        };
        let (without, with) = (spread(&plain), spread(&told));
        // Two independent looks at the same velocity: the sharper of them alone bounds what both give.
        assert!(with < 0.3 && with < 0.8 * without, "{with} {without}");
        // One sample that says nothing is left to its place.
        told.people[0].velocities[15] = None;
        assert!(spread(&told) > with);
    }

    #[test]
    fn a_path_is_not_carried_over_a_long_hole() {
        let samples: Vec<_> = straight(6.0).into_iter().filter(|s| !(2.0..4.0).contains(&s[0])).collect();
        let f = follow(&tracked(samples), &Running::default());
        assert!(f.findings.iter().any(|f| f.code == "lost"));
        assert!(f.tracks[0].at(3.0).is_none() && f.tracks[0].at(1.5).is_some());
    }

    #[test]
    fn the_ball_is_read_at_release_and_arrival() {
        let mut t = tracked(straight(3.0));
        t.ball = straight(3.0);
        let moment = |kind, v| Moment { kind, at_s: Estimate::new(v, 0.05) };
        t.moments = vec![moment(MomentKind::Release, 1.0), moment(MomentKind::Arrival, 2.05)];
        let ball = follow(&t, &Running::default()).ball.unwrap();
        assert!((ball.release.point.x - 36.0).abs() < 1e-9 && (ball.arrival.point.x - 42.3).abs() < 1e-9);
        t.moments.pop();
        assert!(follow(&t, &Running::default()).ball.is_none());
    }
}
