//! A spiralling ball as a point mass under gravity and quadratic drag along the velocity relative to the air.
//!
//! The sideways force on a spinning ball is left out: the 2022 ASME Open Journal of Engineering paper on the dynamics
//! of an American football (doi 10.1115/1.4054692) finds it negligible for a spiral.

use crate::error::within;
use crate::{MotionError, air};
use geometry::frame::Field;
use geometry::{Point3, Vector3};
use nalgebra as na;
use play::Air;
use stats::Estimate;
use units::{GRAVITY_YDPS2, METRES_PER_YARD};

/// Mass of the ball, kg: the middle of the rule books' 14 to 15 oz.
pub const BALL_MASS_KG: f64 = 0.411;
/// Frontal area nose-on, m²: short circumference of 21 1/8 in, the middle of the rule books' range.
pub const BALL_AREA_M2: f64 = 0.022_91;
/// Drag coefficient of a spiral, nose-on. Published measurements disagree from about 0.055 (Watts & Moore 2003,
/// Am. J. Phys. 71, 791) to about 0.14 (2022 paper above): a band, never one number.
pub const SPIRAL_DRAG: Estimate = Estimate::new(0.10, 0.03);

/// The forces on a ball, in yards and seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlightModel {
    /// Drag deceleration over the squared airspeed, 1/yd.
    pub drag_per_yd: f64,
    /// Velocity of the air, yd/s; its z is 0.
    pub wind: Vector3<Field>,
}

impl FlightModel {
    /// Forces in `air` at drag coefficient `cd`; an unknown wind counts as none.
    ///
    /// # Errors
    /// `OutOfRange` for air or a coefficient (0 to 1) outside what the model is made for.
    pub fn new(air: &Air, cd: f64) -> Result<Self, MotionError> {
        let cd = within("drag coefficient", cd, "", (0.0, 1.0))?;
        let per_metre = air::density_kg_per_m3(air)? * cd * BALL_AREA_M2 / (2.0 * BALL_MASS_KG);
        let [x, y] = air.wind.unwrap_or_default();
        within("wind along x", x, "yd/s", (-60.0, 60.0))?;
        within("wind along y", y, "yd/s", (-60.0, 60.0))?;
        Ok(Self { drag_per_yd: per_metre * METRES_PER_YARD, wind: Vector3::new(x, y, 0.0) })
    }

    fn drag(&self, v: &na::Vector3<f64>) -> na::Vector3<f64> {
        let r = v - self.wind.column();
        r * (-self.drag_per_yd * r.norm())
    }

    fn acceleration(&self, v: &na::Vector3<f64>) -> na::Vector3<f64> {
        self.drag(v) - na::Vector3::z() * GRAVITY_YDPS2
    }
}

/// Place, velocity and acceleration at an instant of a flight: yd, yd/s, yd/s².
#[derive(Clone, Copy, Debug)]
struct Node {
    t: f64,
    p: na::Vector3<f64>,
    v: na::Vector3<f64>,
    a: na::Vector3<f64>,
}

/// A flight, continuous in time from release on.
#[derive(Clone, Debug)]
pub struct Flight {
    nodes: Vec<Node>,
}

/// Error allowed per step, yd and yd/s: far below anything film can show, so that sensitivities by differences are
/// smooth.
const TOLERANCE: f64 = 1e-10;
/// Longest step, s: keeps the quintic between nodes as good as the nodes.
const LONGEST_STEP_S: f64 = 0.25;

impl Flight {
    /// The flight of `duration_s` s from `release` at `velocity`; a ball is followed below the ground too, so that
    /// roots at any height are inside.
    pub fn new(
        model: &FlightModel,
        release: Point3<Field>,
        velocity: Vector3<Field>,
        duration_s: f64,
    ) -> Self {
        Self::until(|v| model.acceleration(v), release, velocity, duration_s, |_| false)
    }

    /// The flight until it comes down through `height` yd; `None` when it never is that high.
    pub fn down_to(
        model: &FlightModel,
        release: Point3<Field>,
        velocity: Vector3<Field>,
        height: f64,
    ) -> Option<Self> {
        let down = |n: &Node| n.v.z < 0.0 && n.p.z <= height;
        let flight = Self::until(|v| model.acceleration(v), release, velocity, 60.0, down);
        flight.descent_through(height).map(|_| flight)
    }

    /// Dormand & Prince 1980, J. Comput. Appl. Math. 6, 19: embedded Runge-Kutta 5(4) with step control.
    fn until(
        acceleration: impl Fn(&na::Vector3<f64>) -> na::Vector3<f64>,
        release: Point3<Field>,
        velocity: Vector3<Field>,
        end: f64,
        done: impl Fn(&Node) -> bool,
    ) -> Self {
        let (p, v) = (release.column(), velocity.column());
        let mut node = Node { t: 0.0, p, v, a: acceleration(&v) };
        let mut nodes = vec![node];
        let mut h = 0.05;
        while node.t < end && !done(&node) {
            h = f64::min(h, LONGEST_STEP_S);
            let left = end - node.t;
            let last = h >= left - 1e-12;
            if last {
                h = left;
            }
            let (next, error) = dormand_prince(&acceleration, &node, h);
            if error <= TOLERANCE || h < 1e-6 {
                node = next;
                if last {
                    node.t = end;
                }
                nodes.push(node);
            }
            // The error of a step grows as h⁵.
            h *= (0.9 * (TOLERANCE / error.max(1e-300)).powf(0.2)).clamp(0.2, 4.0);
        }
        Self { nodes }
    }

    /// Last instant followed, s after release.
    pub fn duration_s(&self) -> f64 {
        self.nodes.last().map_or(0.0, |n| n.t)
    }

    /// Place and velocity `t` s after release; beyond the ends the motion of the end continues at its acceleration.
    pub fn at(&self, t: f64) -> (Point3<Field>, Vector3<Field>) {
        let n = &self.nodes;
        let k = n.partition_point(|n| n.t <= t);
        if k == 0 || k == n.len() {
            let e = if k == 0 { &n[0] } else { &n[k - 1] };
            let d = t - e.t;
            return (
                Point3::from_column(e.p + e.v * d + e.a * (0.5 * d * d)),
                Vector3::from_column(e.v + e.a * d),
            );
        }
        let (p, v) = quintic(&n[k - 1], &n[k], t);
        (Point3::from_column(p), Vector3::from_column(v))
    }

    /// When it comes down through `height` yd, s after release; `None` when it does not within the flight.
    pub fn descent_through(&self, height: f64) -> Option<f64> {
        let k = self
            .nodes
            .windows(2)
            .position(|w| w[1].p.z <= height && w[1].v.z < 0.0 && (w[0].p.z > height || w[0].v.z > 0.0))?;
        let (a, b) = (&self.nodes[k], &self.nodes[k + 1]);
        // Start at the top if the step goes over it, so that only the way down is bracketed.
        let low = if a.v.z > 0.0 { bisect(a.t, b.t, |t| quintic(a, b, t).1.z) } else { a.t };
        let above = |t: f64| quintic(a, b, t).0.z - height;
        (above(low) >= 0.0).then(|| bisect(low, b.t, above))
    }

    /// Time (s after release) and height (yd) of the highest point; the end that is higher for a ball thrown down or
    /// followed too short.
    pub fn apex(&self) -> (f64, f64) {
        let top = self.nodes.windows(2).find(|w| w[0].v.z > 0.0 && w[1].v.z <= 0.0);
        let t = match top {
            Some(w) => bisect(w[0].t, w[1].t, |t| quintic(&w[0], &w[1], t).1.z),
            None if self.nodes[0].v.z > 0.0 => self.duration_s(),
            None => 0.0,
        };
        (t, self.at(t).0.z)
    }
}

/// The root of `f`, which falls from positive to negative between `a` and `b`.
fn bisect(mut a: f64, mut b: f64, f: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..60 {
        let m = 0.5 * (a + b);
        if f(m) > 0.0 {
            a = m;
        } else {
            b = m;
        }
    }
    0.5 * (a + b)
}

/// Place and velocity at `t` from the quintic that meets place, velocity and acceleration at both nodes.
fn quintic(a: &Node, b: &Node, t: f64) -> (na::Vector3<f64>, na::Vector3<f64>) {
    let h = b.t - a.t;
    let s = (t - a.t) / h;
    let (v0, a0) = (a.v * h, a.a * (0.5 * h * h));
    let d = b.p - a.p - v0 - a0;
    let dv = b.v * h - v0 - a0 * 2.0;
    let da = (b.a - a.a) * (0.5 * h * h);
    let c3 = d * 10.0 - dv * 4.0 + da;
    let c4 = d * -15.0 + dv * 7.0 - da * 2.0;
    let c5 = d * 6.0 - dv * 3.0 + da;
    let p = a.p + (v0 + (a0 + (c3 + (c4 + c5 * s) * s) * s) * s) * s;
    let v = (v0 + (a0 * 2.0 + (c3 * 3.0 + (c4 * 4.0 + c5 * (5.0 * s)) * s) * s) * s) / h;
    (p, v)
}

/// One step of `h` s: the new node and the error estimate.
fn dormand_prince(
    acceleration: &impl Fn(&na::Vector3<f64>) -> na::Vector3<f64>,
    n: &Node,
    h: f64,
) -> (Node, f64) {
    const A: [[f64; 6]; 6] = [
        [1.0 / 5.0, 0.0, 0.0, 0.0, 0.0, 0.0],
        [3.0 / 40.0, 9.0 / 40.0, 0.0, 0.0, 0.0, 0.0],
        [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0, 0.0, 0.0, 0.0],
        [19_372.0 / 6561.0, -25_360.0 / 2187.0, 64_448.0 / 6561.0, -212.0 / 729.0, 0.0, 0.0],
        [9017.0 / 3168.0, -355.0 / 33.0, 46_732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18_656.0, 0.0],
        [35.0 / 384.0, 0.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0],
    ];
    // Fifth order less embedded fourth order.
    const E: [f64; 7] = [
        71.0 / 57_600.0,
        0.0,
        -71.0 / 16_695.0,
        71.0 / 1920.0,
        -17_253.0 / 339_200.0,
        22.0 / 525.0,
        -1.0 / 40.0,
    ];
    let zero = na::Vector3::zeros();
    let mut dp = [zero; 7];
    let mut dv = [zero; 7];
    (dp[0], dv[0]) = (n.v, n.a);
    let (mut p, mut v) = (n.p, n.v);
    for (stage, row) in A.iter().enumerate() {
        (p, v) = (n.p, n.v);
        for (k, a) in row.iter().take(stage + 1).enumerate() {
            p += dp[k] * (h * a);
            v += dv[k] * (h * a);
        }
        (dp[stage + 1], dv[stage + 1]) = (v, acceleration(&v));
    }
    let (mut ep, mut ev) = (zero, zero);
    for (k, e) in E.iter().enumerate() {
        ep += dp[k] * (h * e);
        ev += dv[k] * (h * e);
    }
    (Node { t: n.t + h, p, v, a: dv[6] }, ep.norm().max(ev.norm()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::{mph_from_yards_per_second, yards_from_metres, yards_per_second_from_mph};

    fn model(cd: f64) -> FlightModel {
        // Density 1.225 kg/m³ is the default air's, to four places.
        let per_metre = 1.225 * cd * BALL_AREA_M2 / (2.0 * BALL_MASS_KG);
        FlightModel { drag_per_yd: per_metre * METRES_PER_YARD, wind: Vector3::ZERO }
    }

    /// Reference trajectories of docs/sources.md (SciPy `solve_ivp`, rtol 1e-11): range yd, time s, final speed mph.
    #[test]
    fn reference_trajectories_are_met() {
        let rows = [
            (45.0, 20.0, [[29.01, 1.403, 45.00], [28.06, 1.391, 43.01], [26.74, 1.374, 40.33]]),
            (50.0, 10.0, [[19.06, 0.792, 50.00], [18.65, 0.787, 48.45], [18.06, 0.781, 46.26]]),
            (50.0, 30.0, [[48.25, 2.279, 50.00], [45.61, 2.246, 46.68], [42.15, 2.198, 42.59]]),
            (60.0, 45.0, [[80.23, 3.868, 60.00], [72.56, 3.762, 54.46], [63.61, 3.621, 48.43]]),
        ];
        let height = yards_from_metres(2.0);
        for (mph, degrees, by_drag) in rows {
            for (cd, [range, time, last]) in [0.0, 0.055, 0.14].into_iter().zip(by_drag) {
                let v = yards_per_second_from_mph(mph);
                let (s, c) = f64::to_radians(degrees).sin_cos();
                let from = Point3::new(0.0, 0.0, height);
                let f = Flight::down_to(&model(cd), from, Vector3::new(v * c, 0.0, v * s), height).unwrap();
                let t = f.descent_through(height).unwrap();
                let (p, u) = f.at(t);
                // Half a unit of the table's last place.
                assert!((p.x - range).abs() < 0.0051, "{mph} mph {degrees}° cd {cd}: {} yd", p.x);
                assert!((t - time).abs() < 0.00051, "{mph} mph {degrees}° cd {cd}: {t} s");
                assert!((mph_from_yards_per_second(u.norm()) - last).abs() < 0.0051);
                assert!((p.z - height).abs() < 1e-9);
            }
        }
    }

    /// Drag without gravity has the closed form ln(1 + k v t) / k: 19.1008 m for Cd 0.14 at 20 m/s after 1 s.
    #[test]
    fn drag_alone_is_the_closed_form() {
        let m = model(0.14);
        let v = Vector3::new(yards_from_metres(20.0), 0.0, 0.0);
        let f = Flight::until(|v| m.drag(v), Point3::new(0.0, 0.0, 0.0), v, 1.0, |_| false);
        let x = f.at(1.0).0.x;
        assert!((x - (m.drag_per_yd * v.x).ln_1p() / m.drag_per_yd).abs() < 1e-9);
        assert!((x * METRES_PER_YARD - 19.1008).abs() < 1e-4, "{} m", x * METRES_PER_YARD);
    }

    #[test]
    fn a_ball_in_still_air_equals_one_seen_from_the_moving_air() {
        let still = model(0.1);
        let wind = Vector3::new(4.0, -3.0, 0.0);
        let windy = FlightModel { wind, ..still };
        let (p, v) = (Point3::new(3.0, 20.0, 2.0), Vector3::new(20.0, 5.0, 9.0));
        let a = Flight::new(&windy, p, v, 2.0);
        let b = Flight::new(&still, p, v - wind, 2.0);
        for t in [0.3, 0.77, 1.5, 2.0] {
            assert!(a.at(t).0.distance(b.at(t).0 + wind * t) < 1e-9);
        }
    }

    #[test]
    fn apex_and_descent_agree_with_the_parabola() {
        let m = model(0.0);
        let f = Flight::new(&m, Point3::new(0.0, 0.0, 2.0), Vector3::new(15.0, 0.0, 8.0), 3.0);
        let (t, z) = f.apex();
        assert!((t - 8.0 / GRAVITY_YDPS2).abs() < 1e-9 && (z - 2.0 - 32.0 / GRAVITY_YDPS2).abs() < 1e-9);
        assert!(f.descent_through(6.0).is_none());
        assert!((f.descent_through(2.0).unwrap() - 16.0 / GRAVITY_YDPS2).abs() < 1e-9);
    }
}
