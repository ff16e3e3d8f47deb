use super::Stand;
use super::problem::{FLIGHT_S, PLACE, Parameters, Problem, RELEASE_S, THROW, VELOCITY};
use crate::flight::Flight;
use crate::launch;
use crate::least_squares::Minimum;
use geometry::frame::Field;
use geometry::{Covariance2, Point3, Vector2, Vector3};
use nalgebra as na;
use play::{Arc, Seen, Throw};
use stats::Estimate;
use units::{FEET_PER_YARD, mph_from_yards_per_second, wrap_angle};

/// Errors above which a figure is called not seen, in its own unit.
const WORST_SPEED_MPH: f64 = 5.0;
const WORST_LAUNCH_DEG: f64 = 6.0;
const WORST_SIDE_DEG: f64 = 8.0;
const WORST_HEIGHT_FT: f64 = 1.5;
const WORST_APEX_FT: f64 = 4.0;
const WORST_LANDING_YD: f64 = 6.0;
/// Probability a shape must have to be named.
const SHAPE_SURE: f64 = 0.6;

// Outputs in order.
const OUT_RELEASE_S: usize = 0;
const OUT_FLIGHT_S: usize = 1;
const OUT_ARRIVAL: usize = 2;
const OUT_HEIGHT: usize = 4;
const OUT_SPEED: usize = 5;
const OUT_LAUNCH: usize = 6;
const OUT_SIDE: usize = 7;
const OUT_APEX: usize = 8;
const OUT_AIR: usize = 9;
const OUTPUTS: usize = 10;

fn flown(problem: &Problem<'_>, x: &Parameters) -> Flight {
    let place = Point3::new(x[PLACE], x[PLACE + 1], x[PLACE + 2]);
    let velocity = Vector3::new(x[VELOCITY], x[VELOCITY + 1], x[VELOCITY + 2]);
    Flight::new(&problem.model(x), place, velocity, x[FLIGHT_S].max(0.05))
}

/// What is reported, from the parameters. `reference_side` is the side angle at the fit, so that no difference wraps.
fn outputs(problem: &Problem<'_>, x: &Parameters, reference_side: f64) -> na::SVector<f64, OUTPUTS> {
    let flight = flown(problem, x);
    let arrival = flight.at(x[FLIGHT_S]).0;
    let v = na::Vector3::new(x[VELOCITY], x[VELOCITY + 1], x[VELOCITY + 2]);
    let turf = &problem.inputs.turf;
    let place = Point3::<Field>::new(x[PLACE], x[PLACE + 1], x[PLACE + 2]);
    let air = place.ground().distance(arrival.ground());
    let side = side_angle(problem, place, arrival);
    let (top_s, top) = flight.apex();
    let under = flight.at(top_s).0.ground();
    let mut o = na::SVector::zeros();
    o[OUT_RELEASE_S] = x[RELEASE_S];
    o[OUT_FLIGHT_S] = x[FLIGHT_S];
    o[OUT_ARRIVAL] = arrival.x;
    o[OUT_ARRIVAL + 1] = arrival.y;
    o[OUT_HEIGHT] = (arrival.z - turf.height(arrival.ground())) * FEET_PER_YARD;
    o[OUT_SPEED] = mph_from_yards_per_second(v.norm());
    o[OUT_LAUNCH] = v.z.atan2(v.x.hypot(v.y)).to_degrees();
    o[OUT_SIDE] = wrap_angle(side - reference_side).to_degrees();
    o[OUT_APEX] = (top - turf.height(under)) * FEET_PER_YARD;
    o[OUT_AIR] = air;
    o
}

/// Direction of the throw from downfield, radians, to the left positive.
fn side_angle(problem: &Problem<'_>, from: Point3<Field>, to: Point3<Field>) -> f64 {
    let d = to - from;
    wrap_angle(Vector2::<Field>::new(d.x, d.y).angle() - problem.inputs.downfield.angle())
}

struct Reported {
    values: na::SVector<f64, OUTPUTS>,
    covariance: na::SMatrix<f64, OUTPUTS, OUTPUTS>,
    side: f64,
}

/// Values and covariance by differences over a thousandth of each parameter's own error.
fn reported(problem: &Problem<'_>, m: &Minimum) -> Reported {
    let flight = flown(problem, &m.at);
    let (from, to) = (flight.at(0.0).0, flight.at(m.at[FLIGHT_S]).0);
    let side = side_angle(problem, from, to);
    let values = outputs(problem, &m.at, side);
    let mut by = na::SMatrix::<f64, OUTPUTS, THROW>::zeros();
    for k in 0..THROW {
        let step = 1e-3 * m.covariance[(k, k)].max(1e-12).sqrt();
        let at = |s: f64| {
            let mut x = m.at.clone();
            x[k] += s;
            outputs(problem, &x, side)
        };
        by.set_column(k, &((at(step) - at(-step)) / (2.0 * step)));
    }
    let throw = m.covariance.fixed_view::<THROW, THROW>(0, 0).into_owned();
    Reported { values, covariance: by * throw * by.transpose(), side }
}

impl Reported {
    fn estimate(&self, k: usize) -> Estimate {
        Estimate::new(self.values[k], self.covariance[(k, k)].max(0.0).sqrt())
    }
    fn seen(&self, k: usize, worst: f64, what: &str, unit: &str) -> Seen<Estimate> {
        let e = self.estimate(k);
        if e.se <= worst {
            Seen::Seen(e)
        } else {
            Seen::NotSeen(format!("the marks leave {what} open by {:.1} {unit} (limit {worst} {unit})", e.se))
        }
    }
    fn landing(&self) -> Stand {
        let c = &self.covariance;
        Stand {
            point: geometry::Point2::new(self.values[OUT_ARRIVAL], self.values[OUT_ARRIVAL + 1]),
            covariance: Covariance2 {
                xx: c[(OUT_ARRIVAL, OUT_ARRIVAL)],
                xy: c[(OUT_ARRIVAL, OUT_ARRIVAL + 1)],
                yy: c[(OUT_ARRIVAL + 1, OUT_ARRIVAL + 1)],
            },
        }
    }
}

/// Where the ball arrived by a fit without the catcher's feet.
pub(super) fn landing(problem: &Problem<'_>, m: &Minimum) -> Seen<Stand> {
    let stand = reported(problem, m).landing();
    let (long, ..) = stand.covariance.ellipse();
    if long <= WORST_LANDING_YD {
        Seen::Seen(stand)
    } else {
        Seen::NotSeen(format!(
            "the ball marks alone leave the arrival open by {long:.1} yd (limit {WORST_LANDING_YD} yd)"
        ))
    }
}

pub(super) fn throw(problem: &Problem<'_>, m: &Minimum, weights: &[f64]) -> Throw {
    let r = reported(problem, m);
    let flight = flown(problem, &m.at);
    let arrival = flight.at(m.at[FLIGHT_S]).0;
    let launch_deg = r.seen(OUT_LAUNCH, WORST_LAUNCH_DEG, "the launch angle", "degrees");
    let mut side_deg = r.seen(OUT_SIDE, WORST_SIDE_DEG, "the direction", "degrees");
    if let Seen::Seen(e) = &mut side_deg {
        e.value = r.side.to_degrees();
    }
    let kept: Vec<f64> =
        problem.misses(&m.at).into_iter().zip(weights).filter(|(_, w)| **w > 0.0).map(|(e, _)| e).collect();
    let heights_seen = !kept.is_empty();
    let unless_flat = |s: Seen<Estimate>| {
        if heights_seen { s } else { Seen::not("no ball mark is in a frame whose camera sees heights") }
    };
    let rms = (kept.iter().map(|e| e * e).sum::<f64>() / (2.0 * kept.len().max(1) as f64)).sqrt();
    Throw {
        release_s: r.estimate(OUT_RELEASE_S),
        flight_s: r.estimate(OUT_FLIGHT_S),
        release: flight.at(0.0).0,
        arrival,
        arrival_covariance: r.landing().covariance,
        arrival_height_ft: unless_flat(r.seen(OUT_HEIGHT, WORST_HEIGHT_FT, "the height at arrival", "ft")),
        speed_mph: r.seen(OUT_SPEED, WORST_SPEED_MPH, "the release speed", "mph"),
        arc: shape(&launch_deg),
        launch_deg,
        side_deg,
        apex_ft: unless_flat(r.seen(OUT_APEX, WORST_APEX_FT, "the highest point", "ft")),
        air_yd: r.estimate(OUT_AIR),
        path: path(&flight, &m.at),
        rms_px: rms * problem.ball_px,
    }
}

fn shape(launch_deg: &Seen<Estimate>) -> Seen<Arc> {
    match launch_deg {
        Seen::NotSeen(why) => Seen::NotSeen(why.clone()),
        Seen::Seen(e) => {
            let flat = 1.0 - e.probability_above(launch::LAYERED_FROM_DEG);
            let high = e.probability_above(launch::TOUCH_FROM_DEG);
            let most = flat.max(high).max(1.0 - flat - high);
            if most >= SHAPE_SURE {
                Seen::Seen(launch::arc(e.value))
            } else {
                Seen::NotSeen(format!(
                    "a launch of {:.0} ± {:.0} degrees lies between two shapes",
                    e.value, e.se
                ))
            }
        }
    }
}

/// A point every 1/120 s and the last: a few per film frame.
fn path(flight: &Flight, x: &Parameters) -> Vec<(f64, Point3<Field>)> {
    let end = x[FLIGHT_S];
    let steps = (end * 120.0).ceil().max(1.0);
    (0..=steps as usize)
        .map(|k| {
            let t = end * k as f64 / steps;
            (x[RELEASE_S] + t, flight.at(t).0)
        })
        .collect()
}
