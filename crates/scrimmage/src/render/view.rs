//! Where a camera stands, when it films, and how its operator follows the play.

use super::noise::dice;
use crate::stage::Stage;
use camera::{Aim, Pinhole, Station};
use field::RuleBook;
use geometry::Point3;
use rand::RngExt;
use serde::{Deserialize, Serialize};
use units::{Rate, wrap_angle, yards_from_metres};

/// The person behind the camera.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Operator {
    /// Of his wobble.
    pub seed: u64,
    /// Delay from what happens to his hand, s.
    pub reaction_s: f64,
    /// Quickness of pan and tilt, rad/s (natural frequency of a damped follower).
    pub quickness: f64,
    /// Damping ratio; under 1 he overshoots.
    pub damping: f64,
    /// Change of ln focal that he lets pass before he touches the zoom.
    pub zoom_deadband: f64,
    /// Standard deviation of the unsteadiness of a tripod head, rad.
    pub wobble_rad: f64,
    /// The same without a tripod, rad; 0 with one.
    pub shake_rad: f64,
    /// Turn of the camera about its axis, rad.
    pub roll_rad: f64,
}

impl Operator {
    /// Practised, on a tripod.
    pub fn practised(seed: u64) -> Self {
        let roll_rad = dice(seed, 41).random_range(-0.006..0.006);
        Self {
            seed,
            reaction_s: 0.18,
            quickness: 5.5,
            damping: 0.75,
            zoom_deadband: 0.07,
            wobble_rad: 0.0005,
            shake_rad: 0.0,
            roll_rad,
        }
    }
    /// Never moves from where he first looked.
    pub fn still() -> Self {
        Self {
            seed: 0,
            reaction_s: 0.0,
            quickness: 0.0,
            damping: 1.0,
            zoom_deadband: f64::MAX,
            wobble_rad: 0.0,
            shake_rad: 0.0,
            roll_rad: 0.0,
        }
    }
    /// Without a tripod.
    pub fn hand_held(seed: u64) -> Self {
        Self { shake_rad: 0.003, reaction_s: 0.25, damping: 0.6, ..Self::practised(seed) }
    }
}

/// One camera and its film.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ViewSetup {
    /// "sideline", "end-zone".
    pub name: String,
    /// Where it stands.
    pub station: Station,
    /// Width of field framed, as a share of what the stage's aim asks for.
    pub framing: f64,
    /// The film starts this long before the snap, s.
    pub starts_before_snap_s: f64,
    /// And ends this long after it, s, or when the stage does.
    pub ends_after_snap_s: f64,
    /// Frames per second.
    pub rate: Rate,
    /// How long the shutter is open, s.
    pub shutter_s: f64,
    /// Who films.
    pub operator: Operator,
}

impl ViewSetup {
    /// From the press box: 37 m behind the near sideline at midfield and 20 m up.
    pub fn sideline(width: u32, height: u32, rate: Rate, seed: u64) -> Self {
        let mut r = dice(seed, 51);
        let centre = Point3::new(
            50.0 + r.random_range(-3.0..3.0),
            -yards_from_metres(37.0) + r.random_range(-2.0..2.0),
            yards_from_metres(20.0) + r.random_range(-1.0..1.0),
        );
        let station = Station { centre, k1: r.random_range(-0.05..0.01), width, height };
        Self {
            name: "sideline".into(),
            station,
            framing: 1.3,
            starts_before_snap_s: r.random_range(2.0..4.0),
            ends_after_snap_s: 60.0,
            rate,
            shutter_s: 1.0 / 120.0,
            operator: Operator::practised(seed ^ 1),
        }
    }
    /// From behind an end line: 20 m back and 12 m up, near the middle; at the low-x end or the other.
    pub fn end_zone(
        rule_book: RuleBook,
        high_end: bool,
        width: u32,
        height: u32,
        rate: Rate,
        seed: u64,
    ) -> Self {
        let mut r = dice(seed, 52);
        let back = rule_book.end_zone() + yards_from_metres(20.0) + r.random_range(-1.0..1.0);
        let x = if high_end { rule_book.length() + back } else { -back };
        let centre = Point3::new(
            x,
            rule_book.width() / 2.0 + r.random_range(-1.0..1.0),
            yards_from_metres(12.0) + r.random_range(-0.5..0.5),
        );
        let station = Station { centre, k1: r.random_range(-0.05..0.01), width, height };
        // It frames 27 yards where the sideline camera frames 38 (models of the trade's film; docs/sources.md).
        Self {
            name: "end-zone".into(),
            station,
            framing: 1.3 * 27.0 / 38.0,
            starts_before_snap_s: r.random_range(1.2..3.2),
            ends_after_snap_s: 60.0,
            rate,
            shutter_s: 1.0 / 120.0,
            operator: Operator::practised(seed ^ 2),
        }
    }
    /// Play-clock times at which frames are exposed (the middle of the exposure), s.
    pub fn times(&self, stage: &dyn Stage) -> Vec<f64> {
        let (first, last) = stage.span();
        let step = f64::from(self.rate.denominator()) / f64::from(self.rate.numerator());
        let start = (-self.starts_before_snap_s).max(first + self.shutter_s);
        let end = self.ends_after_snap_s.min(last - self.shutter_s);
        let count = ((end - start) / step).floor().max(0.0) as usize + 1;
        (0..count).map(|i| start + i as f64 * step).collect()
    }
    /// The camera through the stage's whole span.
    pub fn follow(&self, stage: &dyn Stage) -> Follow {
        Follow::new(self, stage)
    }
}

/// Steps a second at which the operator is simulated.
const STEPS: f64 = 240.0;

/// The operator's aim over time.
pub struct Follow {
    station: Station,
    start: f64,
    aims: Vec<Aim>,
}

impl Follow {
    fn new(view: &ViewSetup, stage: &dyn Stage) -> Self {
        let (first, last) = stage.span();
        let o = &view.operator;
        let sway = Sway::new(o);
        let wanted = |t: f64| {
            let (p, width) = stage.aim_from(view.station.centre, t.clamp(first, last));
            let distance = p.distance(view.station.centre);
            let focal = f64::from(view.station.width) * distance / (width * view.framing);
            Pinhole::looking_at(view.station, p, focal).aim
        };
        let origin = wanted(first);
        let relative = |t: f64| {
            let a = wanted(t);
            [wrap_angle(a.pan - origin.pan), a.tilt - origin.tilt, (a.focal / origin.focal).ln()]
        };
        // The zoom's hand is slower than the head's.
        let quick = [o.quickness, o.quickness, o.quickness * 0.45];
        let dt = 1.0 / STEPS;
        let (mut x, mut v, mut held) = ([0.0f64; 3], [0.0f64; 3], 0.0f64);
        let count = ((last - first) * STEPS).ceil() as usize + 2;
        let mut aims = Vec::with_capacity(count);
        for i in 0..count {
            let t = first + i as f64 * dt;
            let [dp, dt_, dr] = sway.at(t);
            aims.push(Aim {
                pan: origin.pan + x[0] + dp,
                tilt: origin.tilt + x[1] + dt_,
                roll: o.roll_rad + dr,
                focal: origin.focal * x[2].exp(),
            });
            let mut goal = relative(t - o.reaction_s);
            if (goal[2] - held).abs() > o.zoom_deadband {
                held += (goal[2] - held) * dt * 8.0;
            }
            goal[2] = held;
            for k in 0..3 {
                let w = quick[k];
                v[k] += (w * w * (goal[k] - x[k]) - 2.0 * o.damping * w * v[k]) * dt;
                x[k] += v[k] * dt;
            }
        }
        Self { station: view.station, start: first, aims }
    }
    /// The camera at `t` s of the play clock, linear between steps of 1/240 s.
    pub fn at(&self, t: f64) -> Pinhole {
        let s = ((t - self.start) * STEPS).clamp(0.0, (self.aims.len() - 2) as f64);
        let (i, f) = (s as usize, s.fract());
        let (a, b) = (self.aims[i], self.aims[i + 1]);
        let mix = |a: f64, b: f64| a + (b - a) * f;
        let aim = Aim {
            pan: mix(a.pan, b.pan),
            tilt: mix(a.tilt, b.tilt),
            roll: mix(a.roll, b.roll),
            focal: mix(a.focal, b.focal),
        };
        Pinhole { station: self.station, aim }
    }
}

/// Unsteadiness as sums of a few slow waves of random phase.
struct Sway {
    waves: Vec<([f64; 3], f64, f64)>,
}

impl Sway {
    fn new(o: &Operator) -> Self {
        let mut r = dice(o.seed, 61);
        let mut waves = Vec::new();
        for (amplitude, low, high, roll) in [(o.wobble_rad, 0.2, 1.8, 0.0), (o.shake_rad, 0.8, 6.0, 0.6)] {
            for _ in 0..6 {
                // Six waves of this amplitude have the wanted standard deviation together.
                let k = amplitude * (2.0f64 / 6.0).sqrt();
                let axis = r.random_range(0.0..std::f64::consts::TAU);
                let gains = [
                    k * axis.cos() * std::f64::consts::SQRT_2,
                    k * axis.sin() * std::f64::consts::SQRT_2,
                    k * roll,
                ];
                waves.push((
                    gains,
                    r.random_range(low..high) * std::f64::consts::TAU,
                    r.random_range(0.0..std::f64::consts::TAU),
                ));
            }
        }
        Self { waves }
    }
    fn at(&self, t: f64) -> [f64; 3] {
        self.waves.iter().fold([0.0; 3], |sum, (gain, rate, phase)| {
            let s = (rate * t + phase).sin();
            std::array::from_fn(|k| sum[k] + gain[k] * s)
        })
    }
}
