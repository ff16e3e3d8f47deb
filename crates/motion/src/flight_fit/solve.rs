use super::problem::{ALL, FLIGHT_S, PLACE, Parameters, Problem, RELEASE_S, Sighting, VELOCITY, view_index};
use super::{FlightFit, FlightInputs, FlightPriors, Stand, TimeMark};
use super::{report, timing};
use crate::flight::FlightModel;
use crate::least_squares::{Minimum, minimise};
use crate::{MotionError, launch};
use camera::PARAMETERS;
use geometry::frame::Field;
use geometry::{Covariance2, Point3};
use nalgebra as na;
use play::{Air, Finding, Seen, Severity, View};

/// A mark this many standard deviations off the flight is another thing than the ball: by chance one in 3000 would be.
const REJECT_SD: f64 = 4.0;
/// Where the weight of a mark has fallen to half in the first, robust passes (Cauchy).
const HALF_WEIGHT_SD: f64 = 2.4;
/// How many marks' worth of belief the stated click error has against the scatter of the marks.
const BELIEF: f64 = 8.0;
/// The ball is taken to have missed its receiver when it landed this many standard deviations from him.
const AWAY_SD: f64 = 3.0;
/// Fewest marks that can carry a flight.
const FEWEST: usize = 3;

/// Fits the flight.
///
/// # Errors
/// For air outside what the flight model is made for.
pub fn fit(inputs: &FlightInputs<'_>, priors: &FlightPriors) -> Result<Seen<FlightFit>, MotionError> {
    let still = Air { wind: None, ..*inputs.air };
    let unit_drag = FlightModel::new(&still, 1.0)?.drag_per_yd;
    Ok(match fit_in(inputs, priors, unit_drag) {
        Ok(fit) => Seen::Seen(fit),
        Err(why) => Seen::NotSeen(why),
    })
}

fn fit_in(inputs: &FlightInputs<'_>, priors: &FlightPriors, unit_drag: f64) -> Result<FlightFit, String> {
    let mut findings = Vec::new();
    let release = inputs.release.first().ok_or("no release is marked")?;
    let (sightings, arrival) = sort_out(inputs, &mut findings);
    if sightings.len() < FEWEST && (inputs.passer.is_none() || inputs.catcher.is_none() || arrival.is_empty())
    {
        return Err(format!(
            "{} ball marks where heights can be measured, at least {FEWEST} needed unless the passer's place, the catcher's place and the arrival are marked",
            sightings.len()
        ));
    }
    if arrival.is_empty() {
        return Err("no arrival is marked and no ball mark stands in for it".into());
    }
    let reference = sightings.iter().map(|s| s.ball.view).min().unwrap_or(release.view);
    let mut problem = Problem {
        inputs,
        priors: *priors,
        camera_roots: View::ALL.map(|v| camera_root(&sightings, v)),
        sightings,
        release: inputs.release.to_vec(),
        arrival,
        reference,
        unit_drag,
        use_catcher: true,
        ball_px: priors.ball_px,
    };
    let start = starts(&problem);
    if start.is_empty() {
        return Err("neither people nor ball marks say from where to where the ball flew".into());
    }
    let (mut minimum, weights) =
        settle(&mut problem, start).ok_or("no flight passes near the ball marks and the marked times")?;
    let rejected: Vec<usize> =
        problem.sightings.iter().zip(&weights).filter(|(_, w)| **w == 0.0).map(|(s, _)| s.index).collect();
    note_scatter(&problem, &rejected, &mut findings);
    let kept = problem.sightings.len() - rejected.len();
    let mut landing = Seen::not("too few ball marks where heights can be measured");
    if kept >= FEWEST {
        problem.use_catcher = false;
        match minimise(minimum.at.clone(), 30, |x| problem.rows(x, &weights)) {
            Some(free) => {
                landing = report::landing(&problem, &free);
                if let (Seen::Seen(ball), Some(catcher)) = (&landing, &inputs.catcher)
                    && missed_by_sd(ball, catcher, priors.catch_reach_yd) > AWAY_SD
                {
                    let away = ball.point.distance(catcher.point);
                    let text = format!(
                        "the ball arrived {away:.1} yd from its receiver, so his place says nothing of it"
                    );
                    findings.push(Finding::new(Severity::Note, "arrival-away-from-receiver", text));
                    minimum = free;
                } else {
                    problem.use_catcher = true;
                }
            }
            None => {
                landing = Seen::not("the ball marks alone leave the flight open");
                problem.use_catcher = true;
            }
        }
    }
    let throw = report::throw(&problem, &minimum, &weights);
    Ok(FlightFit { throw, landing, rejected, findings })
}

/// How far the ball's own landing is from the catcher, in standard deviations of both and of his reach.
fn missed_by_sd(ball: &Stand, catcher: &Stand, reach: f64) -> f64 {
    let c = ball.covariance.plus(catcher.covariance).plus(Covariance2::isotropic(reach)).matrix();
    let d = (ball.point - catcher.point).column();
    c.try_inverse().map_or(0.0, |i| (d.transpose() * i * d)[0].max(0.0).sqrt())
}

/// The sightings that can be used, and the arrival marks or what stands in for them.
fn sort_out<'a>(
    inputs: &'a FlightInputs<'a>,
    findings: &mut Vec<Finding>,
) -> (Vec<Sighting<'a>>, Vec<TimeMark>) {
    // Half a frame of slack at both ends: marks are on whole frames.
    let from = inputs.release.iter().map(|m| m.at_s - 3.0 * m.sd_s).fold(f64::INFINITY, f64::min);
    let to = inputs.arrival.iter().map(|m| m.at_s + 3.0 * m.sd_s).fold(f64::NEG_INFINITY, f64::max);
    let to = if inputs.arrival.is_empty() { f64::INFINITY } else { to };
    let (mut outside, mut flat) = (0, 0);
    let mut sightings = Vec::new();
    for (index, ball) in inputs.balls.iter().enumerate() {
        if !(from..=to).contains(&ball.t_s) {
            outside += 1;
        } else if let Some(camera) = ball.camera.camera.pinhole() {
            sightings.push(Sighting { index, ball, camera });
        } else {
            flat += 1;
        }
    }
    if outside > 0 {
        let text = format!("{outside} ball marks before the release or after the arrival were not used");
        findings.push(Finding::new(Severity::Note, "ball-marks-outside-flight", text));
    }
    if flat > 0 {
        let text = format!(
            "{flat} ball marks are in frames whose camera knows only the ground, so the ball's height is not seen there"
        );
        findings.push(Finding::new(Severity::Weak, "ball-marks-without-height", text));
    }
    let mut arrival = inputs.arrival.to_vec();
    if let Some(last) = sightings.iter().map(|s| s.ball).max_by(|a, b| a.t_s.total_cmp(&b.t_s))
        && arrival.is_empty()
    {
        arrival.push(TimeMark { view: last.view, at_s: last.t_s + 0.05, sd_s: 0.1, frame_s: 0.0 });
        let text = "no arrival is marked: the last ball mark stands in for it, to 0.1 s";
        findings.push(Finding::new(Severity::Weak, "no-arrival", text));
    }
    (sightings, arrival)
}

/// Square root of the mean covariance of a view's cameras: its error is taken as the same through the flight, as a
/// camera's place and a field line-up are; what changes from frame to frame shows in the scatter of the marks.
fn camera_root(sightings: &[Sighting<'_>], view: View) -> na::SMatrix<f64, PARAMETERS, PARAMETERS> {
    let of: Vec<_> = sightings.iter().filter(|s| s.ball.view == view).collect();
    let mut mean = na::SMatrix::<f64, PARAMETERS, PARAMETERS>::zeros();
    for s in &of {
        mean += s.ball.camera.parameter_covariance() / of.len() as f64;
    }
    let eigen = mean.symmetric_eigen();
    eigen.eigenvectors * na::SMatrix::from_diagonal(&eigen.eigenvalues.map(|e| e.max(0.0).sqrt()))
}

/// Throws to start from: from the passer or where the first mark's ray is at a hand's height, to the catcher or to
/// where the last marks' rays are at some heights.
fn starts(problem: &Problem<'_>) -> Vec<Parameters> {
    let inputs = problem.inputs;
    let by_time = |a: &&Sighting<'_>, b: &&Sighting<'_>| a.ball.t_s.total_cmp(&b.ball.t_s);
    let on_ray = |s: &Sighting<'_>, z: f64| {
        let p = s.camera.ground_from_pixel(s.ball.pixel, z)?;
        p.is_finite().then(|| p.at_height(z))
    };
    let hand = problem.priors.release_height_yd.value;
    let release = match &inputs.passer {
        Some(p) => Some(p.point.at_height(hand)),
        None => problem.sightings.iter().min_by(by_time).and_then(|s| on_ray(s, hand)),
    };
    let Some(release) = release else { return Vec::new() };
    let arrivals: Vec<Point3<Field>> = match &inputs.catcher {
        Some(c) => vec![c.point.at_height(problem.priors.catch_height_yd.value)],
        None => View::ALL
            .iter()
            .filter_map(|v| problem.sightings.iter().filter(|s| s.ball.view == *v).max_by(by_time))
            .flat_map(|s| [0.5, 1.4, 2.5, 4.0].into_iter().filter_map(move |z| on_ray(s, z)))
            .collect(),
    };
    let mean = |marks: &[TimeMark]| marks.iter().map(|m| m.at_s).sum::<f64>() / marks.len() as f64;
    let release_s = mean(inputs.release);
    let flight_s = (mean(&problem.arrival) - release_s).max(0.1);
    let drag = problem.priors.drag.value;
    let model = FlightModel { drag_per_yd: problem.unit_drag * drag, wind: geometry::Vector3::ZERO };
    arrivals
        .into_iter()
        .filter_map(|to| {
            let v = launch::for_time(&model, release, to, flight_s)?.velocity;
            let mut x = Parameters::zeros(ALL);
            x[RELEASE_S] = release_s;
            x.fixed_rows_mut::<3>(PLACE).copy_from(&release.column());
            x.fixed_rows_mut::<3>(VELOCITY).copy_from(&v.column());
            x[FLIGHT_S] = flight_s;
            x[FLIGHT_S + 1] = drag;
            Some(x)
        })
        .collect()
}

/// The best fit with outliers out and the marks' scatter taken into account: the minimum and the weights, 0 for the
/// rejected.
fn settle(problem: &mut Problem<'_>, starts: Vec<Parameters>) -> Option<(Minimum, Vec<f64>)> {
    let n = problem.sightings.len();
    let mut best: Option<Minimum> = None;
    for start in starts {
        let Some(m) = robust(problem, start) else { continue };
        if best.as_ref().is_none_or(|b| m.cost < b.cost) {
            best = Some(m);
        }
    }
    let mut minimum = best?;
    let mut weights = vec![1.0; n];
    for _ in 0..4 {
        // The limit follows the scatter of the marks that fit, so that rough clicks are not all thrown out.
        let misses = problem.misses(&minimum.at);
        let mut sorted = misses.clone();
        sorted.sort_by(f64::total_cmp);
        // Median of a Rayleigh distribution is 1.177 standard deviations.
        let spread = sorted.get(n / 2).map_or(1.0, |m| (m / 1.177).max(1.0));
        let next: Vec<f64> = misses.iter().map(|m| f64::from(u8::from(*m < REJECT_SD * spread))).collect();
        let same = next == weights;
        weights = next;
        minimum = minimise(minimum.at, 30, |x| problem.rows(x, &weights))?;
        rescale(problem, &minimum.at, &weights);
        if same {
            break;
        }
    }
    let minimum = minimise(minimum.at, 30, |x| problem.rows(x, &weights))?;
    timing::sharpen(problem, &minimum, &weights);
    let minimum = minimise(minimum.at, 30, |x| problem.rows(x, &weights))?;
    Some((minimum, weights))
}

fn robust(problem: &Problem<'_>, start: Parameters) -> Option<Minimum> {
    let mut x = start;
    let mut last = None;
    for _ in 0..6 {
        let weights: Vec<f64> = problem
            .misses(&x)
            .iter()
            .map(|m| if last.is_none() { 1.0 } else { 1.0 / (1.0 + (m / HALF_WEIGHT_SD).powi(2)) })
            .collect();
        let m = minimise(x, 12, |x| problem.rows(x, &weights))?;
        x = m.at.clone();
        last = Some(m);
    }
    last
}

/// Sets the marks' standard deviation between what was stated and what their scatter shows.
fn rescale(problem: &mut Problem<'_>, x: &Parameters, weights: &[f64]) {
    let stated = problem.priors.ball_px;
    let scale = problem.ball_px / stated;
    let kept = weights.iter().filter(|w| **w > 0.0).count() as f64;
    let views =
        View::ALL.iter().filter(|v| problem.sightings.iter().any(|s| s.ball.view == **v)).count() as f64;
    let sum: f64 = problem
        .misses(x)
        .iter()
        .zip(weights)
        .filter(|(_, w)| **w > 0.0)
        .map(|(m, _)| (m * scale).powi(2))
        .sum();
    // Each mark has two coordinates; a view's marks fix about the five numbers that a curve in a picture has.
    let free = (2.0 * kept - 5.0 * views).max(0.0);
    problem.ball_px = stated * ((BELIEF + sum) / (BELIEF + free)).sqrt().clamp(0.5, 6.0);
}

fn note_scatter(problem: &Problem<'_>, rejected: &[usize], findings: &mut Vec<Finding>) {
    let n = problem.sightings.len();
    if !rejected.is_empty() {
        let severity = if rejected.len() * 4 > n { Severity::Weak } else { Severity::Note };
        let text = format!("{} of {n} ball marks lie off the flight and were left out", rejected.len());
        findings.push(Finding::new(severity, "ball-marks-rejected", text));
    }
    let (got, stated) = (problem.ball_px, problem.priors.ball_px);
    if got > 3.0 * stated {
        let text = format!("the ball marks scatter by {got:.1} px about the flight, {stated:.1} px expected");
        findings.push(Finding::new(Severity::Weak, "ball-marks-scatter", text));
    }
    let views: Vec<View> = View::ALL
        .into_iter()
        .filter(|v| problem.camera_roots[view_index(*v)].norm() == 0.0)
        .filter(|v| problem.sightings.iter().any(|s| s.ball.view == *v))
        .collect();
    if !views.is_empty() {
        let text = "a camera came with no uncertainty of its own; the figures carry none for it";
        findings.push(Finding::new(Severity::Note, "camera-without-covariance", text));
    }
}
