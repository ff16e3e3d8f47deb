use super::{GroundObservation, Origin, Running};
use geometry::{Covariance2, Point2, Vector2};
use nalgebra as na;
use play::{PersonId, Track, TrackPoint, View};

/// Place, velocity and acceleration along x, then along y, then the shift that each view's camera gives all its marks
/// (sideline x y, end zone x y).
const STATES: usize = 10;
type State = na::SVector<f64, STATES>;
type Spread = na::SMatrix<f64, STATES, STATES>;

/// Times nearer than this are one, s.
const SAME_S: f64 = 1e-4;
/// Found observations this near a hand's mark give way to it, s.
const HAND_WINS_S: f64 = 0.15;
/// The same at most, where what was found contradicts the hand, s.
const LONGEST_HAND_WINS_S: f64 = 1.0;
/// A hand's mark is met when the path passes within this many of its standard deviations.
const MET_SD: f64 = 2.5;
/// A gait's error stays the same for about half a step, s: marks denser than this do not average it down.
const GAIT_S: f64 = 0.06;

struct Instant {
    t: f64,
    predicted: (State, Spread),
    updated: (State, Spread),
    transition: Spread,
}

/// The path of `person` at `times` (increasing, s) from his observations in both views: forward Kalman filter (Kalman
/// 1960) and Rauch-Tung-Striebel smoother (Rauch, Tung & Striebel 1965, AIAA J. 3, 1445). Times before the first or
/// after the last observation are left out; `None` when nothing is left.
pub fn smooth(
    person: &PersonId,
    observations: &[GroundObservation],
    times: &[f64],
    running: &Running,
) -> Option<Track> {
    let mut hand_wins = HAND_WINS_S;
    loop {
        let seen = kept(observations, hand_wins);
        let (grid, states) = pass(&seen, times, running)?;
        let at = |t: f64| grid.partition_point(|&g| g <= t + SAME_S / 2.0).saturating_sub(1);
        let met = |o: &GroundObservation| {
            let (x, _) = &states[at(o.t_s)];
            let sd = o.noise.plus(o.common).rms();
            o.origin == Origin::Found || o.position.distance(Point2::new(x[0], x[3])) < MET_SD * sd
        };
        if hand_wins > LONGEST_HAND_WINS_S || seen.iter().all(met) {
            let (first, last) = (grid.first()? - SAME_S, grid.last()? + SAME_S);
            let asked = times.iter().filter(|t| (first..=last).contains(*t));
            let points: Vec<TrackPoint> = asked.map(|&t| point(t, &states[at(t)])).collect();
            return (!points.is_empty()).then(|| Track { person: person.clone(), points });
        }
        // What was found contradicts the hand farther around it: it gives way there too.
        hand_wins *= 2.0;
    }
}

/// Filter and smoother over the instants of observations (in time order) and of `times` between them.
fn pass(
    seen: &[GroundObservation],
    times: &[f64],
    running: &Running,
) -> Option<(Vec<f64>, Vec<(State, Spread)>)> {
    let (first, last) = (seen.first()?.t_s, seen.last()?.t_s);
    let spacing = spread_out(seen);
    let asked = times.iter().copied().filter(|t| (first - SAME_S..=last + SAME_S).contains(t));
    let mut grid: Vec<f64> = seen.iter().map(|o| o.t_s).chain(asked).collect();
    grid.sort_by(f64::total_cmp);
    grid.dedup_by(|b, a| *b - *a < SAME_S);

    let mut state = State::zeros();
    let mut spread = Spread::zeros();
    start(seen, running, &mut state, &mut spread);
    let mut instants: Vec<Instant> = Vec::with_capacity(grid.len());
    let mut next = 0;
    for &t in &grid {
        let mut transition = Spread::identity();
        if let Some(before) = instants.last() {
            let dt = t - before.t;
            let (f, q) = (running.transition(dt), running.noise(dt));
            let mut noise = Spread::zeros();
            for axis in [0, 3] {
                transition.fixed_view_mut::<3, 3>(axis, axis).copy_from(&f);
                noise.fixed_view_mut::<3, 3>(axis, axis).copy_from(&q);
            }
            state = transition * state;
            spread = transition * spread * transition.transpose() + noise;
        }
        let predicted = (state, spread);
        while next < seen.len() && seen[next].t_s < t + SAME_S {
            update(&mut state, &mut spread, &seen[next], spacing[next])?;
            next += 1;
        }
        instants.push(Instant { t, predicted, updated: (state, spread), transition });
    }
    Some((grid, backward(&instants)?))
}

/// Observations that count, in time order: what was found within `hand_wins` s of a hand's mark gives way.
fn kept(observations: &[GroundObservation], hand_wins: f64) -> Vec<GroundObservation> {
    let by_hand: Vec<f64> = observations.iter().filter(|o| o.origin == Origin::Mark).map(|o| o.t_s).collect();
    let mut kept: Vec<GroundObservation> = observations
        .iter()
        .filter(|o| o.origin == Origin::Mark || by_hand.iter().all(|t| (t - o.t_s).abs() > hand_wins))
        .copied()
        .collect();
    kept.sort_by(|a, b| a.t_s.total_cmp(&b.t_s));
    kept
}

/// How many marks of the same view share each mark's half step, at least one.
fn spread_out(seen: &[GroundObservation]) -> Vec<f64> {
    seen.iter()
        .map(|o| {
            let near = |p: &&GroundObservation| p.view == o.view && (p.t_s - o.t_s).abs() < GAIT_S / 2.0;
            seen.iter().filter(near).count().max(1) as f64
        })
        .collect()
}

fn view_state(view: View) -> usize {
    match view {
        View::Sideline => 6,
        View::EndZone => 8,
    }
}

fn start(seen: &[GroundObservation], running: &Running, state: &mut State, spread: &mut Spread) {
    for (axis, value) in [(0, seen[0].position.x), (3, seen[0].position.y)] {
        state[axis] = value;
        // Wider than any field, so that the first mark alone places him.
        spread[(axis, axis)] = 1e4;
        spread[(axis + 1, axis + 1)] = running.start_speed_sd.powi(2);
        spread[(axis + 2, axis + 2)] = running.acceleration_sd.powi(2);
    }
    for view in View::ALL {
        let k = view_state(view);
        let of: Vec<_> = seen.iter().filter(|o| o.view == view).collect();
        let n = of.len().max(1) as f64;
        let mean = of.iter().fold(na::Matrix2::zeros(), |m, o| m + o.common.matrix() / n);
        // Something above zero, so that the smoother can invert: a tenth of a millimetre.
        spread.fixed_view_mut::<2, 2>(k, k).copy_from(&(mean + na::Matrix2::identity() * 1e-8));
    }
}

fn update(state: &mut State, spread: &mut Spread, o: &GroundObservation, sharing: f64) -> Option<()> {
    let k = view_state(o.view);
    let mut h = na::SMatrix::<f64, 2, STATES>::zeros();
    for (row, place) in [(0, 0), (1, 3)] {
        h[(row, place)] = 1.0;
        h[(row, k + row)] = 1.0;
    }
    let r = o.noise.matrix() * sharing;
    let s = h * *spread * h.transpose() + r;
    let gain = *spread * h.transpose() * s.try_inverse()?;
    let miss = na::Vector2::new(o.position.x, o.position.y) - h * *state;
    *state += gain * miss;
    // Joseph's form keeps the covariance positive.
    let left = Spread::identity() - gain * h;
    *spread = left * *spread * left.transpose() + gain * r * gain.transpose();
    if let Some((v, sd)) = o.velocity {
        let mut h = na::SMatrix::<f64, 2, STATES>::zeros();
        (h[(0, 1)], h[(1, 4)]) = (1.0, 1.0);
        let r = na::Matrix2::identity() * (sd * sd * sharing);
        let gain = *spread * h.transpose() * (h * *spread * h.transpose() + r).try_inverse()?;
        *state += gain * (na::Vector2::new(v.x, v.y) - h * *state);
        let left = Spread::identity() - gain * h;
        *spread = left * *spread * left.transpose() + gain * r * gain.transpose();
    }
    Some(())
}

fn backward(instants: &[Instant]) -> Option<Vec<(State, Spread)>> {
    let mut smoothed: Vec<(State, Spread)> = instants.iter().map(|i| i.updated).collect();
    for k in (0..instants.len().saturating_sub(1)).rev() {
        let after = &instants[k + 1];
        let (x, p) = instants[k].updated;
        let inverse = after.predicted.1.cholesky()?.inverse();
        let gain = p * after.transition.transpose() * inverse;
        let (next_x, next_p) = smoothed[k + 1];
        smoothed[k].0 = x + gain * (next_x - after.predicted.0);
        smoothed[k].1 = p + gain * (next_p - after.predicted.1) * gain.transpose();
    }
    Some(smoothed)
}

fn point(t_s: f64, (x, p): &(State, Spread)) -> TrackPoint {
    let covariance = |a: usize, b: usize| Covariance2 { xx: p[(a, a)], xy: p[(a, b)], yy: p[(b, b)] };
    TrackPoint {
        t_s,
        position: Point2::new(x[0], x[3]),
        velocity: Vector2::new(x[1], x[4]),
        position_covariance: covariance(0, 3),
        velocity_covariance: covariance(1, 4),
    }
}
