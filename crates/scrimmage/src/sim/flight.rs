//! The ball in the air: gravity and quadratic drag, nose-on. Own integrator, by the public physics.

use super::plane::{P3, V3};
use units::{GRAVITY_MPS2, METRES_PER_YARD};

/// Mass, kg: 14.5 oz (rule 2: 14 to 15).
pub const MASS: f64 = 0.411;
/// Frontal area, m²: short circumference 21.125 in (rule 2: 21 to 21.25).
pub const AREA: f64 = 0.022_91;
/// Published drag coefficients of a nose-on spiral reach from about this ...
pub const DRAG_LOW: f64 = 0.05;
/// ... to about this (docs/sources.md).
pub const DRAG_HIGH: f64 = 0.15;

/// The air and the ball of a game.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Drag coefficient.
    pub drag: f64,
    /// Density, kg/m³.
    pub density: f64,
}

impl Air {
    /// Deceleration per speed squared, 1/yd.
    fn factor(&self) -> f64 {
        0.5 * self.density * AREA * self.drag / MASS * METRES_PER_YARD
    }
}

/// A flight sampled finely from release on.
#[derive(Clone, Debug)]
pub struct Flight {
    /// Seconds between samples.
    pub dt: f64,
    /// (place, velocity) from release.
    pub samples: Vec<(P3, V3)>,
}

fn acceleration(v: V3, air: &Air) -> V3 {
    let k = air.factor() * v.norm();
    V3::new(-k * v.x, -k * v.y, -k * v.z - GRAVITY_MPS2 / METRES_PER_YARD)
}

/// One classical fourth-order step.
fn step(p: P3, v: V3, air: &Air, h: f64) -> (P3, V3) {
    let a1 = acceleration(v, air);
    let v2 = v + a1 * (h / 2.0);
    let a2 = acceleration(v2, air);
    let v3 = v + a2 * (h / 2.0);
    let a3 = acceleration(v3, air);
    let v4 = v + a3 * h;
    let a4 = acceleration(v4, air);
    (p + (v + v2 * 2.0 + v3 * 2.0 + v4) * (h / 6.0), v + (a1 + a2 * 2.0 + a3 * 2.0 + a4) * (h / 6.0))
}

impl Flight {
    /// From release until the ground or `longest` s.
    pub fn new(from: P3, velocity: V3, air: &Air, longest: f64) -> Self {
        let dt = 1.0 / 240.0;
        let mut samples = vec![(from, velocity)];
        let (mut p, mut v) = (from, velocity);
        while p.z > 0.0 && (samples.len() as f64) * dt < longest {
            (p, v) = step(p, v, air, dt);
            samples.push((p, v));
        }
        Self { dt, samples }
    }
    /// Place and velocity `t` s after release, held at the ends.
    pub fn at(&self, t: f64) -> (P3, V3) {
        let x = (t / self.dt).clamp(0.0, (self.samples.len() - 1) as f64);
        let i = (x as usize).min(self.samples.len().saturating_sub(2));
        let (Some(a), Some(b)) = (self.samples.get(i), self.samples.get(i + 1)) else {
            return self.samples[0];
        };
        let u = x - i as f64;
        // Hermite keeps the path smooth between samples.
        let (u2, u3) = (u * u, u * u * u);
        let d = b.0 - a.0;
        let p = a.0
            + d * (3.0 * u2 - 2.0 * u3)
            + a.1 * (self.dt * (u3 - 2.0 * u2 + u))
            + b.1 * (self.dt * (u3 - u2));
        (p, a.1 + (b.1 - a.1) * u)
    }
    /// How long it is followed, s.
    pub fn duration(&self) -> f64 {
        (self.samples.len() - 1) as f64 * self.dt
    }
}

/// Velocity that takes a ball from `from` through `to` at release speed `speed` yd/s on the lower arc, and the time it takes, s;
/// `None` when the speed does not reach.
pub fn aim(from: P3, to: P3, speed: f64, air: &Air) -> Option<(V3, f64)> {
    let flat = V3::new(to.x - from.x, to.y - from.y, 0.0);
    let range = flat.norm();
    let along = flat.unit()?;
    let g = GRAVITY_MPS2 / METRES_PER_YARD;
    let launch = |angle: f64| along * (speed * angle.cos()) + V3::new(0.0, 0.0, speed * angle.sin());
    // Height and time at the range.
    let arrives = |angle: f64| {
        let h = 1.0 / 60.0;
        let (mut p, mut w, mut t) = (from, launch(angle), 0.0);
        while t < 6.0 {
            let (q, u) = step(p, w, air, h);
            let (before, after) = ((p - from).dot(along), (q - from).dot(along));
            if after >= range {
                // Quadratic through both ends and the first slope.
                let mut s = (range - before) / (after - before);
                let a = acceleration(w, air);
                for _ in 0..3 {
                    let x = before + w.dot(along) * h * s + 0.5 * a.dot(along) * h * h * s * s;
                    s += (range - x) / (w.dot(along) * h).max(1e-9);
                }
                return Some((p.z + w.z * h * s + 0.5 * a.z * h * h * s * s, t + h * s));
            }
            (p, w, t) = (q, u, t + h);
        }
        None
    };
    // Without air the angle is closed form; aiming that much higher again for what the air takes converges fast.
    let mut aim_z = to.z - from.z;
    for _ in 0..40 {
        let v2 = speed * speed;
        let under = v2 * v2 - g * (g * range * range + 2.0 * aim_z * v2);
        if under < 0.0 {
            return None;
        }
        let angle = ((v2 - under.sqrt()) / (g * range)).atan();
        let (z, t) = arrives(angle)?;
        let miss = to.z - z;
        if miss.abs() < 1e-4 {
            return Some((launch(angle), t));
        }
        aim_z += miss;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::{metres_from_yards, mph_from_yards_per_second, yards_from_metres, yards_per_second_from_mph};

    /// Reference trajectories (docs/sources.md), computed there with SciPy's `solve_ivp`: speed mph, angle deg, Cd, range yd, time
    /// s, final speed mph; release and catch at 2.0 m.
    const TABLE: [(f64, f64, f64, f64, f64, f64); 12] = [
        (45.0, 20.0, 0.0, 29.01, 1.403, 45.00),
        (45.0, 20.0, 0.055, 28.06, 1.391, 43.01),
        (45.0, 20.0, 0.14, 26.74, 1.374, 40.33),
        (50.0, 10.0, 0.0, 19.06, 0.792, 50.00),
        (50.0, 10.0, 0.055, 18.65, 0.787, 48.45),
        (50.0, 10.0, 0.14, 18.06, 0.781, 46.26),
        (50.0, 30.0, 0.0, 48.25, 2.279, 50.00),
        (50.0, 30.0, 0.055, 45.61, 2.246, 46.68),
        (50.0, 30.0, 0.14, 42.15, 2.198, 42.59),
        (60.0, 45.0, 0.0, 80.23, 3.868, 60.00),
        (60.0, 45.0, 0.055, 72.56, 3.762, 54.46),
        (60.0, 45.0, 0.14, 63.61, 3.621, 48.43),
    ];

    #[test]
    fn flights_are_the_reference_trajectories() {
        for (mph, degrees, drag, range, time, last) in TABLE {
            let air = Air { drag, density: 1.225 };
            let v = yards_per_second_from_mph(mph);
            let z = yards_from_metres(2.0);
            let f = Flight::new(
                P3::new(0.0, 0.0, z),
                V3::new(v * degrees.to_radians().cos(), 0.0, v * degrees.to_radians().sin()),
                &air,
                9.0,
            );
            let (mut lo, mut hi) = (time - 0.3, time + 0.3);
            for _ in 0..60 {
                let m = 0.5 * (lo + hi);
                if f.at(m).0.z > z { lo = m } else { hi = m }
            }
            let (p, w) = f.at(lo);
            // Half of the table's last digit.
            assert!(
                (p.x - range).abs() < 0.0051 && (lo - time).abs() < 0.00051,
                "{mph} {degrees} {drag}: {} {lo}",
                p.x
            );
            assert!(
                (mph_from_yards_per_second(w.norm()) - last).abs() < 0.0051,
                "{mph} {degrees} {drag}: {}",
                mph_from_yards_per_second(w.norm())
            );
        }
    }

    #[test]
    fn aiming_inverts_flying() {
        let air = Air { drag: 0.1, density: 1.2 };
        let (from, to) = (P3::new(-7.0, 0.3, 2.1), P3::new(22.0, -14.0, 1.5));
        let (v, t) = aim(from, to, 25.0, &air).unwrap();
        assert!((v.norm() - 25.0).abs() < 1e-9);
        assert!(Flight::new(from, v, &air, 8.0).at(t).0.distance(to) < 0.001);
        assert!(aim(from, P3::new(120.0, 0.0, 1.0), 25.0, &air).is_none());
    }

    /// Horizontal drag alone, Cd 0.14, 20 m/s, 1 s: 19.1008 m (closed form ln(1 + k v t) / k).
    #[test]
    fn the_drag_factor_is_the_closed_forms() {
        let air = Air { drag: 0.14, density: 1.225 };
        let k = air.factor();
        let v = yards_from_metres(20.0);
        assert!((metres_from_yards((1.0 + k * v).ln() / k) - 19.1008).abs() < 1e-3);
    }
}
