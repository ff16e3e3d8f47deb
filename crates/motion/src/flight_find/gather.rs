use super::chain::{Chain, chains};
use super::{Candidate, FindInputs, FoundBall, FoundFlight, Standing};
use crate::flight_fit::{BallObservation, FlightFit, FlightInputs, Stand, TimeMark, fit};
use geometry::frame::{Field, Pixel};
use geometry::{Point2, Point3};
use play::{Seen, View};
use stats::Estimate;

/// Slowest and fastest throw, mph; common practice, no source.
const SPEEDS_MPH: (f64, f64) = (15.0, 75.0);
/// Shortest throw, yd, and earliest, s: a snap to a passer in the gun flies too.
const SHORTEST_YD: f64 = 2.5;
const EARLIEST_S: f64 = 0.6;
/// Scatter about a flight above which a chain is none, px.
const WORST_PX: f64 = 4.0;
/// How far a candidate may lie from the flight to be its ball, in half sizes of a ball and px.
const NEAR_HALVES: f64 = 0.8;
const NEAR_PX: f64 = 1.5;
/// Time beyond both ends in which the ball is looked for, s.
const BEYOND_S: f64 = 0.15;
/// Frames in a row without a candidate after which one more is chance, unless others follow.
const ENDS_AFTER: usize = 3;
/// Standard deviation of release and arrival before the ball is followed to both, s.
const ROUGH_S: f64 = 0.1;
/// The same of a release that the passer's place will tell.
const TOLD_S: f64 = 0.3;
/// The same once it has been followed.
const FOLLOWED_S: f64 = 0.06;
/// Standard deviation of the arrival of a ball that the film loses in the air, s.
const LOST_S: f64 = 0.6;
/// Highest that a hand in the air meets a ball, yd; common practice, no source.
const HIGHEST_CATCH_YD: f64 = 3.4;
/// Height at which a ball that was lost is taken to come down, yd.
const COMES_DOWN_YD: f64 = 1.2;

/// One way to take the candidates.
struct Guess {
    picked: Vec<(usize, Candidate)>,
    fit: FlightFit,
    score: f64,
}

/// Looks for the flight; `None` when no chain of candidates is one.
pub fn find(inputs: &FindInputs<'_>, people: &dyn Standing) -> Option<FoundFlight> {
    let by_hand: Vec<Vec<Candidate>> = inputs
        .views
        .iter()
        .map(|v| {
            let of = inputs.marks.iter().filter(|m| m.view == v.view);
            of.map(|m| Candidate { frame: m.frame, pixel: m.pixel, half_px: 1.0 }).collect()
        })
        .collect();
    let chained: Vec<Vec<Chain>> =
        inputs.views.iter().zip(inputs.candidates).map(|(v, c)| chains(v, c)).collect();
    let mut guesses: Vec<Guess> = Vec::new();
    let picked = |view: usize, c: &Chain| -> Vec<(usize, Candidate)> {
        c.links.iter().map(|&k| (view, inputs.candidates[view][k])).collect()
    };
    for (view, list) in chained.iter().enumerate() {
        for chain in list {
            guesses.extend(try_chain(inputs, people, &by_hand, picked(view, chain)));
        }
    }
    guesses.sort_by(|a, b| b.score.total_cmp(&a.score));
    guesses.truncate(4);
    // A chain of the other view that belongs to the same flight is explained together with it.
    let mut joined: Vec<Guess> = Vec::new();
    for g in &guesses {
        let own = g.picked.first()?.0;
        for (view, list) in chained.iter().enumerate().filter(|(v, _)| *v != own) {
            for chain in list {
                if overlap(inputs, &g.picked, view, chain) {
                    let both = g.picked.iter().copied().chain(picked(view, chain)).collect();
                    joined.extend(try_chain(inputs, people, &by_hand, both));
                }
            }
        }
    }
    joined.extend(guesses);
    let best = joined.into_iter().max_by(|a, b| a.score.total_cmp(&b.score))?;
    finish(inputs, people, &by_hand, best)
}

/// Whether a chain lies in about the time of what is picked.
fn overlap(inputs: &FindInputs<'_>, picked: &[(usize, Candidate)], view: usize, chain: &Chain) -> bool {
    let time = |v: usize, c: &Candidate| inputs.views[v].clock.seconds(f64::from(c.frame));
    let span = |times: &mut dyn Iterator<Item = f64>| {
        times.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), t| (a.min(t), b.max(t)))
    };
    let a = span(&mut picked.iter().map(|(v, c)| time(*v, c)));
    let b = span(&mut chain.links.iter().map(|&k| time(view, &inputs.candidates[view][k])));
    let shared = a.1.min(b.1) - a.0.max(b.0);
    shared > 0.5 * (b.1 - b.0) && shared > 0.3 * (a.1 - a.0)
}

fn try_chain(
    inputs: &FindInputs<'_>,
    people: &dyn Standing,
    by_hand: &[Vec<Candidate>],
    picked: Vec<(usize, Candidate)>,
) -> Option<Guess> {
    let fit = fitted(inputs, people, by_hand, &picked, None)?;
    let t = &fit.throw;
    let kept = picked.len() as f64 - fit.rejected.len() as f64;
    let speed = t.speed_mph.get().map_or_else(|| launch_mph(&fit), |e| e.value);
    let likely = (SPEEDS_MPH.0..SPEEDS_MPH.1).contains(&speed)
        && t.air_yd.value > SHORTEST_YD
        && t.release_s.value > EARLIEST_S
        && t.rms_px < WORST_PX
        && kept >= 0.6 * picked.len() as f64
        && (0.0..4.5).contains(&t.release.z);
    let score = kept * (1.0 - t.rms_px / (2.0 * WORST_PX));
    // What leaves its speed open may be anything that went evenly for a while.
    let score = if t.speed_mph.get().is_some() { score } else { 0.5 * score };
    likely.then_some(Guess { picked, fit, score })
}

fn launch_mph(fit: &FlightFit) -> f64 {
    match fit.throw.path.as_slice() {
        [(t0, a), (t1, b), ..] if t1 > t0 => units::mph_from_yards_per_second((*b - *a).norm() / (t1 - t0)),
        _ => 0.0,
    }
}

/// A fit of what is picked and of the marks by hand; times as marked by hand, else about the ends of what is picked.
fn fitted(
    inputs: &FindInputs<'_>,
    people: &dyn Standing,
    by_hand: &[Vec<Candidate>],
    picked: &[(usize, Candidate)],
    known: Option<&FlightFit>,
) -> Option<FlightFit> {
    let mut balls = Vec::new();
    let hand = by_hand.iter().enumerate().flat_map(|(v, list)| list.iter().map(move |c| (v, *c)));
    for (view, c) in picked.iter().copied().chain(hand) {
        let v = &inputs.views[view];
        let Some(camera) = v.camera(c.frame) else { continue };
        balls.push(BallObservation {
            view: v.view,
            t_s: v.clock.seconds(f64::from(c.frame)),
            pixel: c.pixel,
            camera,
        });
    }
    let first = balls.iter().min_by(|a, b| a.t_s.total_cmp(&b.t_s))?;
    let last = balls.iter().max_by(|a, b| a.t_s.total_cmp(&b.t_s))?;
    let passer = people.passer(first.t_s);
    let frame_s = inputs.views.iter().map(|v| v.clock.interval_s()).fold(f64::INFINITY, f64::min);
    let rough = |view: View, at_s: f64, sd_s: f64| vec![TimeMark { view, at_s, sd_s, frame_s: 0.0 }];
    // The ball left the hand and arrived about half a frame beyond what is seen of its flight.
    let release = if inputs.release.is_empty() {
        let sd_s = match (known, &passer) {
            (Some(_), None) => FOLLOWED_S,
            (Some(_), Some(_)) => 0.5 * TOLD_S,
            (None, Some(_)) => TOLD_S,
            (None, None) => ROUGH_S,
        };
        rough(first.view, first.t_s - 0.5 * frame_s, sd_s)
    } else {
        inputs.release.to_vec()
    };
    let arrival = if inputs.arrival.is_empty() {
        match known {
            Some(f) if !end_seen(inputs, f, last.t_s) => {
                rough(last.view, comes_down(f).max(last.t_s), LOST_S)
            }
            Some(_) => rough(last.view, last.t_s + 0.5 * frame_s, FOLLOWED_S),
            None => rough(last.view, last.t_s + 0.5 * frame_s, ROUGH_S),
        }
    } else {
        inputs.arrival.to_vec()
    };
    let catcher: Option<Stand> = known.and_then(|f| {
        people.catcher(f.throw.release_s.value + f.throw.flight_s.value, f.throw.arrival.ground())
    });
    let flight = FlightInputs {
        air: inputs.air,
        turf: inputs.turf,
        downfield: inputs.downfield,
        balls: &balls,
        release: &release,
        arrival: &arrival,
        passer,
        catcher,
    };
    match fit(&flight, inputs.priors) {
        Ok(Seen::Seen(mut f)) => {
            f.rejected.retain(|k| *k < picked.len());
            Some(f)
        }
        _ => None,
    }
}

/// Follows the flight through all frames of both views, twice, and fits what lies on it.
fn finish(
    inputs: &FindInputs<'_>,
    people: &dyn Standing,
    by_hand: &[Vec<Candidate>],
    guess: Guess,
) -> Option<FoundFlight> {
    let mut fit = guess.fit;
    let mut picked = guess.picked;
    for pass in 0..5 {
        let wide = if pass == 0 { 2.0 } else { 1.0 };
        let next: Vec<(usize, Candidate)> =
            (0..inputs.views.len()).flat_map(|v| along(inputs, &fit, v, wide)).collect();
        if next.len() < picked.len() / 2 {
            break;
        }
        let Some(better) = fitted(inputs, people, by_hand, &next, Some(&fit)) else { break };
        (fit, picked) = (better, next);
    }
    fit.throw.speed_mph.get()?;
    let balls = picked
        .iter()
        .enumerate()
        .filter(|(k, (v, c))| !fit.rejected.contains(k) && !by_hand[*v].iter().any(|m| m.frame == c.frame))
        .map(|(_, (v, c))| FoundBall { view: inputs.views[*v].view, frame: c.frame, pixel: c.pixel })
        .collect();
    let t = &fit.throw;
    let last = picked.iter().map(|(v, c)| inputs.views[*v].clock.seconds(f64::from(c.frame)));
    let arrival_s = if inputs.arrival.is_empty() && !end_seen(inputs, &fit, last.fold(f64::MIN, f64::max)) {
        Seen::not("the film loses the ball in the air")
    } else {
        // Both ends are known apart from each other.
        Seen::Seen(Estimate::new(t.release_s.value + t.flight_s.value, t.release_s.se.max(t.flight_s.se)))
    };
    Some(FoundFlight { balls, release_s: t.release_s, arrival_s, fit })
}

/// Whether the ball was last seen at `last_s` because its flight ended: it was within reach, and some view goes on to show
/// where it would be next.
fn end_seen(inputs: &FindInputs<'_>, fit: &FlightFit, last_s: f64) -> bool {
    let low = place(fit, last_s).is_some_and(|p| p.z - inputs.turf.height(p.ground()) < HIGHEST_CATCH_YD);
    low && inputs.views.iter().zip(inputs.candidates).any(|(v, list)| {
        let frame = v.clock.position(last_s).round().max(0.0) as u32;
        let watched = list.last().is_some_and(|c| c.frame > frame + 2);
        watched
            && (1..=2).all(|k| {
                let Some(c) = v.camera(frame + k).and_then(|c| c.camera.pinhole()) else { return false };
                let t = v.clock.seconds(f64::from(frame + k));
                let (w, h) = (f64::from(c.station.width), f64::from(c.station.height));
                place(fit, t)
                    .and_then(|p| c.pixel_from_field(p))
                    .is_some_and(|q| (0.0..w).contains(&q.x) && (0.0..h).contains(&q.y))
            })
    })
}

/// When the flight comes down, as it goes at its end.
fn comes_down(fit: &FlightFit) -> f64 {
    let path = &fit.throw.path;
    let end = fit.throw.release_s.value + fit.throw.flight_s.value;
    let [.., (t0, a), (t1, b)] = path.as_slice() else { return end };
    let fall = (b.z - a.z) / (t1 - t0);
    let high = (b.z - COMES_DOWN_YD).max(0.0);
    end + (fall + (fall * fall + 2.0 * units::GRAVITY_YDPS2 * high).sqrt()) / units::GRAVITY_YDPS2
}

/// The flight's place at `t_s`; beyond its ends it falls on from there.
fn place(fit: &FlightFit, t_s: f64) -> Option<Point3<Field>> {
    let path = &fit.throw.path;
    let k = path.partition_point(|p| p.0 <= t_s).clamp(1, path.len().checked_sub(1)?);
    let ((t0, a), (t1, b)) = (path[k - 1], path[k]);
    let p = a.lerp(b, (t_s - t0) / (t1 - t0));
    let beyond = (t_s - path[path.len() - 1].0).max(path[0].0 - t_s).max(0.0);
    Some(Point3::new(p.x, p.y, p.z - 0.5 * units::GRAVITY_YDPS2 * beyond * beyond))
}

/// A view's candidates on the flight, from its middle outward until it is lost: a ball that comes out from behind
/// something is there for some frames, what lies on its way by chance is not.
fn along(inputs: &FindInputs<'_>, fit: &FlightFit, view: usize, wide: f64) -> Vec<(usize, Candidate)> {
    let v = &inputs.views[view];
    let from = fit.throw.release_s.value;
    let to = from + fit.throw.flight_s.value;
    let frame_of = |t: f64| v.clock.position(t).max(0.0) as u32;
    let (a, b) = (frame_of(from - BEYOND_S), frame_of(comes_down(fit).max(to) + BEYOND_S));
    let middle = frame_of(0.5 * (from + to));
    let nearest = |frame: u32| -> Option<Candidate> {
        let t = v.clock.seconds(f64::from(frame));
        let wanted: Point2<Pixel> = v.camera(frame)?.camera.pixel_from_field(place(fit, t)?)?;
        let list = &inputs.candidates[view];
        let start = list.partition_point(|c| c.frame < frame);
        let here = list[start..].iter().take_while(|c| c.frame == frame);
        here.map(|c| (c, c.pixel.distance(wanted)))
            .min_by(|x, y| x.1.total_cmp(&y.1))
            .filter(|(c, d)| *d < wide * (NEAR_HALVES * c.half_px + NEAR_PX))
            .map(|(c, _)| *c)
    };
    let walk = |frames: &mut dyn Iterator<Item = u32>| {
        let seen: Vec<Option<Candidate>> = frames.map(nearest).collect();
        let (mut out, mut lost) = (Vec::new(), 0);
        for (k, c) in seen.iter().enumerate() {
            let Some(c) = c else {
                lost += 1;
                continue;
            };
            let again = seen[k..].iter().take(4).flatten().count() >= 3;
            if lost >= ENDS_AFTER && !again {
                lost += 1;
                continue;
            }
            out.push((view, *c));
            lost = 0;
        }
        out
    };
    let mut out = walk(&mut (a..middle).rev());
    out.reverse();
    out.extend(walk(&mut (middle..=b)));
    out
}
