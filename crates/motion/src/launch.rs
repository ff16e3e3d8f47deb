//! How to throw a ball from here to there.
//!
//! Drag along an arc slows the horizontal speed u by du/ds = −k u, so over horizontal distance x the path obeys
//! y'' = −g e^{2ks}/u₀² with s the arc length. With e^{2ks} as parabolas through five nodes the height at x is in
//! closed form and the launch slope solves a quadratic; a few passes settle the nodes. Fast enough to be asked
//! thousands of times per play; the test below says how near the integrator it comes.

use crate::flight::{Flight, FlightModel};
use geometry::frame::Field;
use geometry::{Point3, Vector3};
use nalgebra as na;
use play::Arc;
use units::{GRAVITY_YDPS2, mph_from_yards_per_second};

/// Shape of a trajectory by launch angle: flat below 15°, high and soft above 30°; common practice, no source.
pub const LAYERED_FROM_DEG: f64 = 15.0;
/// See [`LAYERED_FROM_DEG`].
pub const TOUCH_FROM_DEG: f64 = 30.0;

/// The shape a launch angle gives, degrees above the horizon.
pub fn arc(launch_deg: f64) -> Arc {
    if launch_deg < LAYERED_FROM_DEG {
        Arc::Driven
    } else if launch_deg < TOUCH_FROM_DEG {
        Arc::Layered
    } else {
        Arc::Touch
    }
}

/// Change of launch slope at which the passes stop: half a thousandth of a yard at the end of the longest throw.
const SETTLED: f64 = 1e-5;

/// A throw that arrives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Launch {
    /// Velocity at release, yd/s.
    pub velocity: Vector3<Field>,
    /// Time in the air, s.
    pub flight_s: f64,
}

impl Launch {
    /// Angle above the horizon, degrees.
    pub fn launch_deg(&self) -> f64 {
        self.velocity.z.atan2(self.velocity.x.hypot(self.velocity.y)).to_degrees()
    }
    /// Release speed, mph.
    pub fn speed_mph(&self) -> f64 {
        mph_from_yards_per_second(self.velocity.norm())
    }
}

/// The flat and the high way to the same place at the same speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Launches {
    /// The flat way.
    pub low: Launch,
    /// The high way.
    pub high: Launch,
}

/// What drag does to a path: the squared loss of horizontal speed e^{2ks} at its start, quarters and end.
#[derive(Clone, Copy)]
struct Loss([f64; 5]);

/// Running integral of five equally spaced values over the unit interval, by parabolas through three at a time.
fn running([a, b, c, d, e]: [f64; 5]) -> [f64; 5] {
    let half = (a + 4.0 * b + c) / 12.0;
    [
        0.0,
        (5.0 * a + 8.0 * b - c) / 48.0,
        half,
        half + (5.0 * c + 8.0 * d - e) / 48.0,
        half + (c + 4.0 * d + e) / 12.0,
    ]
}

impl Loss {
    const NONE: Self = Self([1.0; 5]);

    /// From the launch slope, with `bend` = g x / u₀², the fall of the slope that no drag would give.
    fn along(self, k: f64, x: f64, slope: f64, bend: f64) -> Self {
        let stretch = running(self.0).map(|fall| {
            let s = slope - bend * fall;
            s.mul_add(s, 1.0).sqrt()
        });
        Self(running(stretch).map(|length| (2.0 * k * x * length).exp()))
    }
    /// The integral of (1 − ξ) e^{2ks} over the path: ½ without drag (Simpson's rule).
    fn fall(self) -> f64 {
        let [a, b, c, d, _] = self.0;
        (a + 3.0 * b + c + d) / 12.0
    }
    /// The integral of e^{ks} over the path: 1 without drag.
    fn delay(self) -> f64 {
        let [a, b, c, d, e] = self.0.map(f64::sqrt);
        (a + 4.0 * b + 2.0 * c + 4.0 * d + e) / 12.0
    }
}

/// Launch slope and flight time in still air over `x` yd ahead and `dz` yd up at `speed` yd/s; `None` out of range.
fn still_for_speed(k: f64, x: f64, dz: f64, speed: f64, high: bool) -> Option<(f64, f64)> {
    let mut loss = Loss::NONE;
    let mut slope = 0.0f64;
    let bend = GRAVITY_YDPS2 * x / (speed * speed);
    for pass in 0..12 {
        let g = bend * x * loss.fall();
        let root = x * x - 4.0 * g * (g + dz);
        if root < 0.0 {
            return None;
        }
        let before = slope;
        // The flat root in the form that keeps its digits when the throw is short.
        let wide = x + root.sqrt();
        slope = if high { wide / (2.0 * g) } else { 2.0 * (g + dz) / wide };
        loss = loss.along(k, x, slope, bend * slope.mul_add(slope, 1.0));
        if pass > 0 && (slope - before).abs() < SETTLED {
            break;
        }
    }
    Some((slope, x * loss.delay() * slope.hypot(1.0) / speed))
}

/// Launch slope and horizontal speed in still air that take `t` s over `x` yd ahead and `dz` yd up.
fn still_for_time(k: f64, x: f64, dz: f64, t: f64) -> (f64, f64) {
    let mut loss = Loss::NONE;
    let (mut slope, mut u0) = (0.0f64, 0.0);
    for pass in 0..12 {
        u0 = x * loss.delay() / t;
        let bend = GRAVITY_YDPS2 * x / (u0 * u0);
        let before = slope;
        slope = dz / x + bend * loss.fall();
        loss = loss.along(k, x, slope, bend);
        if pass > 0 && (slope - before).abs() < SETTLED {
            break;
        }
    }
    (slope, u0)
}

/// Horizontal unit direction and distance from `a` to `b`, and height gained; `None` straight up.
fn run(a: Point3<Field>, b: na::Vector3<f64>) -> Option<(na::Vector2<f64>, f64, f64)> {
    let d = b - a.column();
    let x = d.x.hypot(d.y);
    (x > 1e-6).then(|| (na::Vector2::new(d.x / x, d.y / x), x, d.z))
}

/// The two throws of `speed` yd/s over the ground from `from` that meet `to`; `None` out of range.
pub fn for_speed(
    model: &FlightModel,
    from: Point3<Field>,
    to: Point3<Field>,
    speed: f64,
) -> Option<Launches> {
    Some(Launches {
        low: one_for_speed(model, from, to, speed, false)?,
        high: one_for_speed(model, from, to, speed, true)?,
    })
}

/// The flat (or the `high`) throw of [`for_speed`] alone, at half its cost.
pub fn one_for_speed(
    model: &FlightModel,
    from: Point3<Field>,
    to: Point3<Field>,
    speed: f64,
    high: bool,
) -> Option<Launch> {
    let wind = model.wind.column();
    let calm = wind.norm_squared() < 1e-18;
    let mut launch: Option<Launch> = None;
    // Seen from the moving air there is no wind: the target drifts upwind and the thrower's speed is another. Each
    // pass shrinks the error by about wind over ball speed.
    for _ in 0..if calm { 1 } else { 12 } {
        let (shift, airspeed) = match launch {
            _ if calm => (na::Vector3::zeros(), speed),
            None => (na::Vector3::zeros(), speed),
            Some(l) => (wind * l.flight_s, (l.velocity.column() * (speed / l.velocity.norm()) - wind).norm()),
        };
        let (u, x, dz) = run(from, to.column() - shift)?;
        let (slope, flight_s) = still_for_speed(model.drag_per_yd, x, dz, airspeed, high)?;
        let u0 = airspeed / slope.hypot(1.0);
        let v = na::Vector3::new(u.x * u0, u.y * u0, slope * u0) + wind;
        launch = Some(Launch { velocity: Vector3::from_column(v), flight_s });
    }
    launch
}

/// The throw from `from` that meets `to` after `flight_s` s; `None` straight up or for no time.
pub fn for_time(
    model: &FlightModel,
    from: Point3<Field>,
    to: Point3<Field>,
    flight_s: f64,
) -> Option<Launch> {
    if flight_s <= 0.0 {
        return None;
    }
    let wind = model.wind.column();
    let (u, x, dz) = run(from, to.column() - wind * flight_s)?;
    let (slope, u0) = still_for_time(model.drag_per_yd, x, dz, flight_s);
    let v = na::Vector3::new(u.x * u0, u.y * u0, slope * u0) + wind;
    Some(Launch { velocity: Vector3::from_column(v), flight_s })
}

/// The launch corrected until the integrated flight meets `to` at its flight time, by Newton with the drag-free
/// sensitivity `t`: for the throws that are shown. `None` if it does not settle.
pub fn exact_for_time(
    model: &FlightModel,
    from: Point3<Field>,
    to: Point3<Field>,
    flight_s: f64,
) -> Option<Launch> {
    let mut launch = for_time(model, from, to, flight_s)?;
    for _ in 0..20 {
        let miss = to - Flight::new(model, from, launch.velocity, flight_s).at(flight_s).0;
        launch.velocity = launch.velocity + miss * (1.0 / flight_s);
        if miss.norm() < 1e-9 {
            return Some(launch);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use play::Air;
    use units::yards_per_second_from_mph;

    fn model(cd: f64, wind: Vector3<Field>) -> FlightModel {
        FlightModel { wind, ..FlightModel::new(&Air::default(), cd).unwrap() }
    }

    /// How far the integrated flight of a launch passes from its target at the launch's own time, yd.
    fn miss(m: &FlightModel, from: Point3<Field>, to: Point3<Field>, l: &Launch) -> f64 {
        Flight::new(m, from, l.velocity, l.flight_s).at(l.flight_s).0.distance(to)
    }

    #[test]
    fn without_drag_the_parabola_is_exact() {
        let m = model(0.0, Vector3::ZERO);
        let (from, to) = (Point3::new(3.0, 20.0, 2.2), Point3::new(28.0, 35.0, 1.1));
        let both = for_speed(&m, from, to, 24.0).unwrap();
        for l in [both.low, both.high] {
            assert!(miss(&m, from, to, &l) < 1e-6 && (l.velocity.norm() - 24.0).abs() < 1e-9);
        }
        assert!(both.low.flight_s < both.high.flight_s);
    }

    /// An arm's throws are at most about 62 mph and, to be of use, below 50°.
    #[test]
    fn the_quick_launch_meets_its_target_over_what_an_arm_can_do() {
        let mut worst = [0.0f64; 9];
        for cd in [0.055, 0.10, 0.14] {
            for wind in [Vector3::ZERO, Vector3::new(-5.0, 3.0, 0.0)] {
                let m = model(cd, wind);
                let from = Point3::new(20.0, 26.0, 2.2);
                for mph in [35.0, 45.0, 55.0, 62.0] {
                    for x in [3.0, 8.0, 15.0, 25.0, 35.0, 45.0, 55.0] {
                        for z in [0.2, 1.5, 2.8] {
                            let to = Point3::new(20.0 + x * 0.9, 26.0 - x * 0.43, z);
                            let v = yards_per_second_from_mph(mph);
                            let Some(both) = for_speed(&m, from, to, v) else { continue };
                            for l in [both.low, both.high] {
                                // At the edge of range in wind the fixed point creeps; the throw still meets its target.
                                assert!(
                                    (l.velocity.norm() - v).abs() < 0.01 * v,
                                    "{}",
                                    l.velocity.norm() - v
                                );
                                let far = (l.launch_deg().max(0.0) / 10.0) as usize;
                                worst[far] = worst[far].max(miss(&m, from, to, &l));
                            }
                            let by_time = for_time(&m, from, to, both.low.flight_s).unwrap();
                            worst[0] = worst[0].max(miss(&m, from, to, &by_time));
                            let exact = exact_for_time(&m, from, to, both.low.flight_s).unwrap();
                            assert!(miss(&m, from, to, &exact) < 1e-8);
                        }
                    }
                }
            }
        }
        eprintln!("quick launch misses by at most {worst:.3?} yd");
        // By tens of degrees; 0.02 yd is a fifth of the best that film can place a ball.
        assert!(worst[..5].iter().all(|&w| w < 0.02), "below 50°: {worst:?}");
        assert!(worst[5..].iter().all(|&w| w < 0.5), "above 50°: {worst:?}");
    }

    #[test]
    fn out_of_range_is_no_throw() {
        let m = model(0.1, Vector3::ZERO);
        assert!(for_speed(&m, Point3::new(0.0, 0.0, 2.0), Point3::new(60.0, 0.0, 1.0), 20.0).is_none());
        assert!(for_time(&m, Point3::new(0.0, 0.0, 2.0), Point3::new(0.0, 0.0, 4.0), 1.0).is_none());
        assert_eq!([arc(5.0), arc(20.0), arc(40.0)], [Arc::Driven, Arc::Layered, Arc::Touch]);
    }
}
