//! Sightings of both views strung together, frame by frame, on the ground.

use super::join::join;
use super::set::set_before_the_snap;
use super::sides::Teams;
use super::{Dress, FoundTrack, Spot, SpottedView};
use crate::assign::assign_or_leave;
use geometry::Covariance2;
use nalgebra as na;
use play::TrackId;

/// Spectral density of people's acceleration, yd²/s³: a root mean square of 4.5 yd/s² forgotten in 0.3 s (the prior of
/// [`crate::tracks::Running`]) as white noise.
const DENSITY: f64 = 2.0 * 4.5 * 4.5 * 0.3;
/// Standard deviation of a newcomer's speed per axis, yd/s.
const START_SPEED: f64 = 3.0;
/// A strand ends when its man was not seen for this long, s; longer gaps are bridged by looking at both ends.
const PATIENCE_S: f64 = 0.5;
/// Squared standard deviations beyond which a sighting is not his (chi squared with 2 degrees of freedom, 99.97%).
const GATE: f64 = 16.0;
/// Share of the squared distance in dress that counts beside the distance on the ground: dress is measured by few pixels
/// whose errors hang together.
const DRESS: f64 = 0.5;
/// What it costs that a man is not seen in a frame of one view, and of two: dearer sightings are not his. A second camera
/// errs otherwise than the first, and who is refused there starts a second track of the same man. Chosen on film that no
/// figure uses.
const ALONE: [f64; 2] = [4.0, 26.0];
/// Sightings that make a strand.
const CONFIRMED: usize = 6;
/// Sightings that start nobody: less of the body open than this.
const BIRTH_SEEN: f64 = 0.3;

type State = na::Vector4<f64>;
type Spread = na::Matrix4<f64>;

/// Somebody being followed.
struct Strand {
    spots: Vec<Spot>,
    /// x, y, their speeds.
    state: State,
    spread: Spread,
    t: f64,
    dress: Dress,
    /// Sum of the log odds of his sightings that he is of the first team.
    odds: f64,
}

impl Strand {
    fn new(s: Spot, odds: f64) -> Self {
        let p = s.at.noise.plus(s.at.common);
        let v = START_SPEED * START_SPEED;
        let spread =
            Spread::new(p.xx, p.xy, 0.0, 0.0, p.xy, p.yy, 0.0, 0.0, 0.0, 0.0, v, 0.0, 0.0, 0.0, 0.0, v);
        Self {
            state: State::new(s.at.position.x, s.at.position.y, 0.0, 0.0),
            spread,
            t: s.at.t_s,
            dress: s.dress,
            odds,
            spots: vec![s],
        }
    }
    /// Belief at a later `t`.
    fn predicted(&self, t: f64) -> (State, Spread) {
        let dt = (t - self.t).max(0.0);
        let mut f = Spread::identity();
        f[(0, 2)] = dt;
        f[(1, 3)] = dt;
        let mut q = Spread::zeros();
        for k in 0..2 {
            q[(k, k)] = DENSITY * dt.powi(3) / 3.0;
            q[(k, k + 2)] = DENSITY * dt * dt / 2.0;
            q[(k + 2, k)] = q[(k, k + 2)];
            q[(k + 2, k + 2)] = DENSITY * dt;
        }
        (f * self.state, f * self.spread * f.transpose() + q)
    }
    /// What it costs that `s` is he: squared distances on the ground and in dress, and the room in which he may be.
    fn cost(&self, (x, p): &(State, Spread), s: &Spot, odds: f64) -> f64 {
        let r = s.at.noise.plus(s.at.common);
        let c = Covariance2 { xx: p[(0, 0)] + r.xx, xy: p[(0, 1)] + r.xy, yy: p[(1, 1)] + r.yy };
        let Some(inverse) = c.matrix().try_inverse() else { return f64::INFINITY };
        let d = na::Vector2::new(s.at.position.x - x[0], s.at.position.y - x[1]);
        let away = (d.transpose() * inverse * d)[0];
        if away > GATE {
            return f64::INFINITY;
        }
        let (his, now) = (chance(self.odds), chance(odds));
        let same_team = his * now + (1.0 - his) * (1.0 - now);
        away - 2.0 * same_team.ln()
            + DRESS * s.seen * self.dress.distance2(&s.dress)
            + c.matrix().determinant().max(1e-6).ln()
    }
    fn take(&mut self, (x, p): (State, Spread), s: Spot, odds: f64) {
        self.odds = (self.odds + ODDS * odds).clamp(-SURE, SURE);
        let r = s.at.noise.plus(s.at.common).matrix();
        let h = na::Matrix2x4::new(1.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0);
        let miss = na::Vector2::new(s.at.position.x, s.at.position.y) - h * x;
        if let Some(inverse) = (h * p * h.transpose() + r).try_inverse() {
            let gain = p * h.transpose() * inverse;
            self.state = x + gain * miss;
            let left = Spread::identity() - gain * h;
            self.spread = left * p * left.transpose() + gain * r * gain.transpose();
        }
        self.t = s.at.t_s;
        let share = (s.seen as f32 * 0.3).max(1.0 / (self.spots.len() + 1) as f32).min(0.5);
        self.dress.drift(&s.dress, if self.spots.len() < 10 { share } else { 0.1 * s.seen as f32 });
        self.spots.push(s);
    }
}

/// Share of a sighting's log odds of teams that counts: neighbouring sightings err alike.
const ODDS: f64 = 0.3;
/// Surest that a strand's team and a single sighting's are taken to be, log odds.
const SURE: f64 = 4.0;

fn chance(odds: f64) -> f64 {
    1.0 / (1.0 + (-odds).exp())
}

/// Tracks of everybody seen in the views, players or not, named `t1`, `t2` ... by when they appear and from left to right.
/// What the teams wear is learned from a first round and tells men of different teams apart in a second.
pub fn follow(views: &[SpottedView]) -> Vec<FoundTrack> {
    let mut frames: Vec<(f64, &[Spot])> =
        views.iter().flat_map(|v| v.frames.iter().map(|(t, s)| (*t, s.as_slice()))).collect();
    frames.sort_by(|a, b| a.0.total_cmp(&b.0));
    let alone = ALONE[usize::from(views.len() > 1)];
    let first = strands(&frames, None, alone);
    let dress: Vec<(Dress, usize)> = first.iter().map(|s| (Dress::of(s), s.len())).collect();
    let done = match Teams::learn(&dress) {
        Some(teams) => strands(&frames, Some(&teams), alone),
        None => first,
    };
    let mut joined = join(done);
    let first = |s: &Vec<Spot>| s.first().map_or((0.0, 0.0), |p| (p.at.t_s, p.at.position.x));
    joined.sort_by(|a, b| {
        let (a, b) = (first(a), first(b));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    let mut tracks: Vec<FoundTrack> = joined
        .into_iter()
        .enumerate()
        .map(|(k, spots)| FoundTrack { id: TrackId(format!("t{}", k + 1)), spots, set_from_s: None })
        .collect();
    if let Some((start, _)) = frames.first() {
        set_before_the_snap(&mut tracks, *start);
    }
    tracks
}

/// Sightings strung together while somebody is seen, frame by frame.
fn strands(frames: &[(f64, &[Spot])], teams: Option<&Teams>, alone: f64) -> Vec<Vec<Spot>> {
    let odds = |s: &Spot| teams.map_or(0.0, |t| (s.seen * t.odds(&s.dress)).clamp(-SURE, SURE));
    let mut live: Vec<Strand> = Vec::new();
    let mut done: Vec<Vec<Spot>> = Vec::new();
    for &(t, spots) in frames {
        let mut k = 0;
        while k < live.len() {
            // Somebody seen once may be a flicker; somebody known is waited for.
            let patience = if live[k].spots.len() < CONFIRMED { PATIENCE_S / 3.0 } else { PATIENCE_S };
            if t - live[k].t > patience {
                done.push(live.swap_remove(k).spots);
            } else {
                k += 1;
            }
        }
        let odds: Vec<f64> = spots.iter().map(odds).collect();
        let predicted: Vec<_> = live.iter().map(|s| s.predicted(t)).collect();
        let costs: Vec<Vec<f64>> = live
            .iter()
            .zip(&predicted)
            .map(|(strand, p)| spots.iter().zip(&odds).map(|(s, o)| strand.cost(p, s, *o)).collect())
            .collect();
        let pairs = assign_or_leave(&costs, alone);
        let mut free = vec![true; spots.len()];
        for (k, pair) in pairs.into_iter().enumerate() {
            if let Some(s) = pair {
                free[s] = false;
                live[k].take(predicted[k], spots[s], odds[s]);
            }
        }
        let newcomers = (0..spots.len()).filter(|&s| free[s] && spots[s].seen >= BIRTH_SEEN);
        live.extend(newcomers.map(|s| Strand::new(spots[s], odds[s])));
    }
    done.extend(live.into_iter().map(|s| s.spots));
    done.retain(|s| s.len() >= CONFIRMED);
    done
}
