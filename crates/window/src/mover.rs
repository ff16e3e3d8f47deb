use crate::parameters::MoverParameters;
use geometry::frame::Ground;
use geometry::{Point2, Vector2};

/// Somebody who can run: where he can be, and when.
///
/// After his reaction he may push in any direction against a resistance (Fujimura & Sugihara 2005): the places he can
/// reach by a time are a disk, whose centre is where his present velocity would carry him and whose radius grows toward
/// the top speed. That disk alone lets him reverse faster than anybody can; a second disk, from the greatest measured
/// acceleration, holds him back. He can be where both hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mover {
    /// Keeps his velocity this long, s.
    pub reaction_s: f64,
    /// Top speed, yd/s.
    pub top_speed: f64,
    /// Time constant, s.
    pub time_constant: f64,
    /// Greatest acceleration, yd/s².
    pub acceleration: f64,
    /// Reach from his ground point, yd.
    pub arm: f64,
}

impl From<&MoverParameters> for Mover {
    fn from(p: &MoverParameters) -> Self {
        Self {
            reaction_s: p.reaction_s.value,
            top_speed: p.top_speed_ydps.value,
            time_constant: p.time_constant_s,
            acceleration: p.acceleration_ydps2.value,
            arm: p.arm_yd.value,
        }
    }
}

/// Slack of a mover at a place and time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Gap {
    /// Yards by which he is short; negative when he can be there.
    pub yards: f64,
    /// A good guess of how much later he could be there, s; negative: how much sooner.
    pub closes_in: f64,
}

/// Root of yards = closing · t + gaining · t² / 2 + ... nearest to now, in the form that keeps its digits and has no
/// branch. A gap already closed by somebody who is carried away counts from a slow walk.
#[inline(always)]
fn root(yards: f64, linear: f64, quadratic: f64) -> f64 {
    const SLOW_YDPS: f64 = 0.5;
    let width = (linear * linear + 2.0 * quadratic * yards).max(0.0).sqrt();
    2.0 * yards / (linear + width).max(SLOW_YDPS)
}

impl Mover {
    /// Radius he can run to from rest by `t_s`, arms not counted, yd.
    pub fn radius(&self, t_s: f64) -> f64 {
        let u = (t_s - self.reaction_s).max(0.0);
        let g = self.time_constant * (1.0 - (-u / self.time_constant).exp());
        (self.top_speed * (u - g)).min(0.5 * self.acceleration * u * u)
    }

    /// How far short of the place `(dx, dy)` from him he is at `t_s` when he runs at `(vx, vy)` now. `decay` is
    /// [`Self::decay`] at `t_s`, handed in so that the loop over repeats has no exponential; the code has no branch, so
    /// that it runs in every lane.
    #[inline(always)]
    pub(crate) fn gap(&self, dx: f64, dy: f64, vx: f64, vy: f64, t_s: f64, decay: f64) -> Gap {
        const TINY: f64 = 1e-12;
        let u = (t_s - self.reaction_s).max(0.0);
        let e = decay.min(1.0);
        let g = self.time_constant * (1.0 - e);
        let carried = t_s - u + g;
        let (rx, ry) = (dx - vx * carried, dy - vy * carried);
        let (ax, ay) = (dx - vx * t_s, dy - vy * t_s);
        let (rd, ad) = ((rx * rx + ry * ry + TINY).sqrt(), (ax * ax + ay * ay + TINY).sqrt());
        let run = rd - self.top_speed * (u - g) - self.arm;
        let push = ad - 0.5 * self.acceleration * u * u - self.arm;
        let run_closing = (vx * rx + vy * ry) / rd * e + self.top_speed * (1.0 - e);
        let push_closing = (vx * ax + vy * ay) / ad + self.acceleration * u;
        // The closing speed of the run nears the top speed as 1 − exp(−t/τ); with that as t/(τ + t/2) its root is a
        // quadratic's. He is there when both disks have him.
        let half = 0.5 / self.time_constant;
        let runs_in = root(run, run_closing - run * half, 2.0 * self.top_speed * half);
        let pushes_in = root(push, push_closing, self.acceleration);
        Gap { yards: run.max(push), closes_in: runs_in.max(pushes_in) }
    }

    /// How far short of `target` he is at `t_s`, yd; negative when he can be there with that much to spare.
    pub fn short_by(
        &self,
        position: Point2<Ground>,
        velocity: Vector2<Ground>,
        target: Point2<Ground>,
        t_s: f64,
    ) -> f64 {
        let d = target - position;
        self.gap(d.x, d.y, velocity.x, velocity.y, t_s, self.decay(t_s)).yards
    }

    pub(crate) fn decay(&self, t_s: f64) -> f64 {
        (-(t_s - self.reaction_s).max(0.0) / self.time_constant).exp()
    }

    /// How much later than `t_s` he could be at the place `(dx, dy)` from him, s; negative: how much sooner. The nearest
    /// such instant to `t_s`, never before now and never more than `limit` from it.
    ///
    /// `decay` is [`Self::decay`] at `t_s`, which callers have at hand.
    #[inline]
    pub(crate) fn slack(&self, dx: f64, dy: f64, vx: f64, vy: f64, t_s: f64, decay: f64, limit: f64) -> f64 {
        let mut t = t_s;
        let mut decay = decay;
        let (mut low, mut high) = (0.0_f64.max(t_s - limit), t_s + limit);
        for step in 0..SLACK_STEPS {
            if step > 0 {
                decay = self.decay(t);
            }
            let gap = self.gap(dx, dy, vx, vy, t, decay);
            if gap.yards > 0.0 {
                low = low.max(t);
            } else {
                high = high.min(t);
            }
            if low >= high {
                break;
            }
            let next = (t + gap.closes_in).clamp(low, high);
            // The error is of higher order in the last step.
            if (next - t).abs() < 5e-3 {
                t = next;
                break;
            }
            t = next;
        }
        t - t_s
    }
}

/// Steps of [`Mover::slack`]; the residual after them is tested.
const SLACK_STEPS: usize = 8;

#[cfg(test)]
mod tests {
    use super::*;

    fn free(top_speed: f64, time_constant: f64) -> Mover {
        Mover { reaction_s: 0.0, top_speed, time_constant, acceleration: f64::INFINITY, arm: 0.0 }
    }

    /// Fujimura & Sugihara 2005, resistance 1.3 1/s, top speed 7.8 m/s (docs/sources.md): radii 1.0323, 3.4352,
    /// 10.0456, 17.5215 m after 0.5, 1, 2, 3 s. The model has no unit of length in it.
    #[test]
    fn reachable_radii_are_the_published_models() {
        let m = free(7.8, 1.0 / 1.3);
        for (t, r) in [(0.5, 1.0323), (1.0, 3.4352), (2.0, 10.0456), (3.0, 17.5215)] {
            assert!((m.radius(t) - r).abs() < 5e-5, "{t}: {}", m.radius(t));
        }
    }

    /// Clark, Rieger, Bruno & Stearne 2019 with time constant .77 s (docs/sources.md): 40 yd in 4.5 s means a top speed
    /// of 9.80 m/s, and 10 yd in 1.608 s; 40 yd in 5.2 s 8.26 m/s.
    #[test]
    fn sprint_times_are_the_published_models() {
        let yd = units::yards_from_metres;
        let m = free(yd(9.80), 0.77);
        assert!((m.radius(4.5) - 40.0).abs() < 0.03, "{}", m.radius(4.5));
        let ten = m.slack(10.0, 0.0, 0.0, 0.0, 1.0, m.decay(1.0), 3.0) + 1.0;
        assert!((ten - 1.608).abs() < 0.002, "{ten}");
        assert!((free(yd(8.26), 0.77).radius(5.2) - 40.0).abs() < 0.03);
    }

    #[test]
    fn nobody_reverses_faster_than_his_acceleration() {
        let m = Mover { reaction_s: 0.2, top_speed: 9.0, time_constant: 0.77, acceleration: 7.0, arm: 0.0 };
        // At 8 yd/s away from a place 3 yd behind him: v t − A u²/2 = −3 at the earliest.
        let t = 1.0 + m.slack(-3.0, 0.0, 8.0, 0.0, 1.0, m.decay(1.0), 4.0);
        let u = t - 0.2;
        assert!((8.0 * t - 3.5 * u * u + 3.0).abs() < 1e-2, "{t}");
    }

    proptest::proptest! {
        /// A slack is a root: at the instant it names, the place is just within reach.
        #[test]
        fn slacks_are_roots(dx in -20.0..20.0f64, dy in -20.0..20.0f64, vx in -7.0..7.0f64, vy in -7.0..7.0f64, t in 0.2..2.5f64) {
            let m = Mover { reaction_s: 0.2, top_speed: 9.4, time_constant: 0.77, acceleration: 7.0, arm: 0.8 };
            let s = m.slack(dx, dy, vx, vy, t, m.decay(t), 6.0);
            let at = t + s;
            if at > 1e-3 && s.abs() < 5.9 {
                let g = m.gap(dx, dy, vx, vy, at, m.decay(at)).yards;
                proptest::prop_assert!(g.abs() < 0.05, "gap {} at {}", g, at);
            }
        }
    }
}
