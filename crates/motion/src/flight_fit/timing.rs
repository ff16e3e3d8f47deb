//! Release and arrival from the frames marked for them and from the ball's marks: an instant anywhere in a frame is as
//! likely as another, and a mark of the flying ball was taken after the release and before the arrival. Neither is a
//! normal distribution, so they are multiplied out on a grid and handed to the fit as mean and standard deviation.

use super::TimeMark;
use super::problem::{Problem, SYNC};
use crate::least_squares::Minimum;
use play::View;
use stats::Estimate;

/// How far a mark may lie outside the flight it belongs to, s: a ball just caught looks like one in the air for part of
/// a frame.
const EDGE_SD_S: f64 = 0.004;
/// Reach of the grid on both sides of the marks, in standard deviations of the widest, and its points.
const REACH_SD: f64 = 5.0;
const POINTS: usize = 801;

/// Distribution function of a normal error of `sd` at `x`.
fn below(x: f64, sd: f64) -> f64 {
    Estimate::new(x, sd).probability_above(0.0)
}

/// Replaces the moments' marks by what they and the ball's marks together come to.
pub(super) fn sharpen(problem: &mut Problem<'_>, m: &Minimum, weights: &[f64]) {
    let sync_sd = m.covariance[(SYNC, SYNC)].max(0.0).sqrt();
    let own_time = |p: &Problem<'_>, mark: &TimeMark| {
        let other = mark.view != p.reference;
        let spread = if other { sync_sd } else { 0.0 };
        (mark.at_s - p.offset(&m.at, mark.view), mark.sd_s.hypot(spread), mark.frame_s)
    };
    let seen: Vec<Seen> =
        View::ALL.iter().filter_map(|v| seen_in(problem, m, weights, *v, sync_sd)).collect();
    let release: Vec<_> = problem.release.iter().map(|k| own_time(problem, k)).collect();
    let arrival: Vec<_> = problem.arrival.iter().map(|k| own_time(problem, k)).collect();
    let view = problem.reference;
    let as_mark = |e: Estimate| vec![TimeMark { view, at_s: e.value, sd_s: e.se, frame_s: 0.0 }];
    if let Some(e) = product(&release, |t| seen.iter().map(|s| s.begins(t)).product()) {
        problem.release = as_mark(e);
    }
    if let Some(e) = product(&arrival, |t| seen.iter().map(|s| s.ends(t)).product()) {
        problem.arrival = as_mark(e);
    }
}

/// When one view's marks show the ball in flight.
struct Seen {
    first: f64,
    last: f64,
    /// Standard deviation of both, s.
    edge: f64,
    /// Time between frames, s.
    frame: f64,
    /// Whether most frames in between are marked, so that an unmarked one beyond says something.
    dense: bool,
}

fn seen_in(problem: &Problem<'_>, m: &Minimum, weights: &[f64], view: View, sync_sd: f64) -> Option<Seen> {
    let kept = problem.sightings.iter().zip(weights).filter(|(s, w)| s.ball.view == view && **w > 0.0);
    let mut times: Vec<f64> = kept.map(|(s, _)| s.ball.t_s - problem.offset(&m.at, view)).collect();
    times.sort_by(f64::total_cmp);
    let (first, last) = (*times.first()?, *times.last()?);
    let gaps = times.windows(2).map(|w| w[1] - w[0]).filter(|g| *g > 1e-6);
    let frame = gaps.fold(f64::INFINITY, f64::min);
    let edge = if view == problem.reference { EDGE_SD_S } else { EDGE_SD_S.hypot(sync_sd) };
    let dense = times.len() >= 4 && times.len() as f64 > 0.5 * ((last - first) / frame + 1.0);
    Some(Seen { first, last, edge, frame, dense })
}

impl Seen {
    /// Likelihood that the flight ends at `t`.
    fn ends(&self, t: f64) -> f64 {
        below(t - self.last, self.edge) * self.unmarked(t - self.last)
    }
    /// Likelihood that the flight begins at `t`.
    fn begins(&self, t: f64) -> f64 {
        below(self.first - t, self.edge) * self.unmarked(self.first - t)
    }
    /// Likelihood of leaving the frames within `gap` s of flight beyond the outermost mark unmarked: a half for each,
    /// though more of the others are marked, since hands and bodies hide the ball at both ends.
    fn unmarked(&self, gap: f64) -> f64 {
        if self.dense { 0.5f64.powf((gap / self.frame).floor().max(0.0)) } else { 1.0 }
    }
}

/// Mean and standard deviation of the product of the marks' likelihoods (time, standard deviation, width of the
/// frame) and of `bound`; `None` when they contradict each other.
fn product(marks: &[(f64, f64, f64)], bound: impl Fn(f64) -> f64) -> Option<Estimate> {
    let widest = marks.iter().map(|m| m.1).fold(0.0, f64::max);
    let low = marks.iter().map(|m| m.0).fold(f64::INFINITY, f64::min) - REACH_SD * widest;
    let high = marks.iter().map(|m| m.0).fold(f64::NEG_INFINITY, f64::max) + REACH_SD * widest;
    let step = (high - low) / (POINTS - 1) as f64;
    let (mut total, mut first, mut second) = (0.0, 0.0, 0.0);
    for k in 0..POINTS {
        let t = low + step * k as f64;
        let weight: f64 =
            marks.iter().map(|&(at, sd, frame)| likelihood(t - at, sd, frame)).product::<f64>() * bound(t);
        total += weight;
        first += weight * (t - low);
        second += weight * (t - low).powi(2);
    }
    if !(total * step > 1e-12 && total.is_finite()) {
        return None;
    }
    let mean = first / total;
    // The grid itself is as wide as a step.
    let variance = second / total - mean * mean + step * step / 12.0;
    Some(Estimate::new(low + mean, variance.max(0.0).sqrt()))
}

/// Likelihood of an instant `off` s from a mark: a normal error on top of anywhere within the frame.
fn likelihood(off: f64, sd: f64, frame: f64) -> f64 {
    let judged = (sd * sd - frame * frame / 12.0).max(1e-8).sqrt();
    if frame < 1e-6 {
        return (-0.5 * (off / judged).powi(2)).exp() / judged;
    }
    (below(off + 0.5 * frame, judged) - below(off - 0.5 * frame, judged)) / frame
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: f64 = 1.0 / 30.0;

    #[test]
    fn normal_marks_average_as_normals_do() {
        let e = product(&[(1.00, 0.02, 0.0), (1.03, 0.01, 0.0)], |_| 1.0).unwrap();
        assert!((e.value - 1.024).abs() < 1e-5 && (e.se - 0.02 / 5f64.sqrt()).abs() < 1e-5, "{e:?}");
    }

    #[test]
    fn two_frames_leave_their_overlap() {
        let sd = FRAME / 12f64.sqrt();
        let e = product(&[(1.0, sd + 1e-5, FRAME), (1.0 + FRAME / 2.0, sd + 1e-5, FRAME)], |_| 1.0).unwrap();
        // Uniform over half a frame.
        assert!((e.value - 1.0 - FRAME / 4.0).abs() < 2e-4 && (e.se - 0.5 * sd).abs() < 3e-4, "{e:?}");
    }

    #[test]
    fn a_flying_ball_pushes_the_arrival_later_and_contradiction_is_no_answer() {
        let mark = [(1.0, 0.0126, FRAME)];
        let free = product(&mark, |_| 1.0).unwrap();
        let bound = product(&mark, |t| below(t - 1.01, EDGE_SD_S)).unwrap();
        assert!(bound.value > free.value + 0.005 && bound.se < free.se);
        assert!(product(&mark, |t| below(t - 9.0, EDGE_SD_S)).is_none());
    }
}
