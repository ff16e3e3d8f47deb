//! Random invented plays for the accuracy figures: true ways, and the same as a tracker would measure them.

use field::{Direction, RuleBook};
use geometry::frame::Ground;
use geometry::{Covariance2, Point2, Vector2};
use play::{Flank, Hash, Person, PersonId, Role, Situation, Track, TrackPoint, Unit};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::f64::consts::TAU;

/// Line of scrimmage in the field frame, yd.
pub const LINE_X: f64 = 45.0;
/// Error of a measured place along each axis, yd.
pub const SD_YD: f64 = 0.1;

/// Seeded numbers.
pub struct Dice(ChaCha8Rng);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.random::<f64>()
    }
    pub fn chance(&mut self, share: f64) -> bool {
        self.0.random::<f64>() < share
    }
    /// Standard normal, as the sum of twelve.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.0.random::<f64>()).sum::<f64>() - 6.0
    }
}

/// A way: corners `(t, downfield, left)` run through with rounded turns.
pub struct Way(pub Vec<(f64, f64, f64)>);

impl Way {
    fn straight(&self, t: f64) -> [f64; 2] {
        let c = &self.0;
        let k = c.iter().rposition(|c| c.0 <= t).unwrap_or(0).min(c.len() - 2);
        let w = (t - c[k].0) / (c[k + 1].0 - c[k].0);
        [c[k].1 + w * (c[k + 1].1 - c[k].1), c[k].2 + w * (c[k + 1].2 - c[k].2)]
    }
    /// Place at `t`: the mean over a quarter second, as a body turns.
    pub fn at(&self, t: f64) -> [f64; 2] {
        let mut sum = [0.0; 2];
        for k in -6..=6 {
            let p = self.straight(t + f64::from(k) * 0.02);
            sum = [sum[0] + p[0] / 13.0, sum[1] + p[1] / 13.0];
        }
        sum
    }
}

/// Slow errors of a smoothed track: two waves per axis of one to two seconds.
struct Wander([[(f64, f64, f64); 2]; 2]);

impl Wander {
    fn new(dice: &mut Dice) -> Self {
        let mut wave = || {
            (
                SD_YD * dice.normal() / 2f64.sqrt(),
                SD_YD * dice.normal() / 2f64.sqrt(),
                TAU / dice.between(1.0, 2.0),
            )
        };
        Self([[wave(), wave()], [wave(), wave()]])
    }
    fn at(&self, axis: usize, t: f64) -> (f64, f64) {
        self.0[axis].iter().fold((0.0, 0.0), |(x, v), (a, b, w)| {
            let (s, c) = (w * t).sin_cos();
            (x + a * c + b * s, v + w * (b * c - a * s))
        })
    }
}

/// A track at 30 Hz to five seconds: the truth without errors, or measured with them.
pub fn track(id: &str, way: &Way, measured: Option<&mut Dice>) -> Track {
    const DT: f64 = 1.0 / 30.0;
    let wander = measured.map(Wander::new);
    let (sd, speed_sd) = if wander.is_some() { (SD_YD, SD_YD * TAU / 1.45) } else { (0.0, 0.0) };
    let middle = RuleBook::College.width() / 2.0;
    let points = (0..=150)
        .map(|k| {
            let t_s = f64::from(k) * DT;
            let (a, b, p) = (way.at(t_s - 0.02), way.at(t_s + 0.02), way.at(t_s));
            let e = |axis| wander.as_ref().map_or((0.0, 0.0), |w| w.at(axis, t_s));
            let (ex, ey) = (e(0), e(1));
            TrackPoint {
                t_s,
                position: Point2::new(LINE_X + p[0] + ex.0, middle + p[1] + ey.0),
                velocity: Vector2::<Ground>::new((b[0] - a[0]) / 0.04 + ex.1, (b[1] - a[1]) / 0.04 + ey.1),
                position_covariance: Covariance2::isotropic(sd),
                velocity_covariance: Covariance2::isotropic(speed_sd),
            }
        })
        .collect();
    Track { person: PersonId::from(id), points }
}

pub fn person(id: &str, role: Role) -> Person {
    let unit = if matches!(role, Role::Cover | Role::Rusher) { Unit::Defense } else { Unit::Offense };
    Person { id: PersonId::from(id), unit, role, shirt: None, name: String::new() }
}

pub fn receiver(slot: &str) -> Person {
    let flank = if slot.starts_with('L') { Flank::Left } else { Flank::Right };
    person(slot, Role::Receiver { flank, number: slot[1..].parse().expect("a slot") })
}

pub fn situation() -> Situation {
    Situation {
        down: Some(1),
        distance_yd: Some(10.0),
        line_x: Some(LINE_X),
        hash: Some(Hash::Middle),
        direction: Some(Direction::Up),
        ..Default::default()
    }
}

/// Four receivers on random routes, a defender near each and two safeties: people and true ways.
pub fn play(dice: &mut Dice) -> (Vec<Person>, Vec<Way>) {
    let drop = dice.between(5.0, 7.5);
    let mut people = vec![person("passer", Role::Passer)];
    let mut ways = vec![Way(vec![
        (-1.0, -5.0, 0.0),
        (0.0, -5.0, 0.0),
        (1.6, -drop, 0.0),
        (6.0, -drop, dice.between(-0.5, 0.5)),
    ])];
    for (k, (slot, y)) in [("L1", 20.0), ("L2", 11.0), ("R2", -11.0), ("R1", -20.0)].into_iter().enumerate() {
        let y = y + dice.between(-2.0, 2.0);
        let speed = dice.between(6.0, 7.5);
        let stem = dice.between(0.8, 2.0);
        let turn = dice.between(-2.2, 2.2);
        let after = if dice.chance(0.3) { 1.0 } else { dice.between(5.0, 7.0) };
        let at = speed * stem;
        let rest = 6.0 - stem;
        let route = vec![
            (-1.0, 0.0, y),
            (0.0, 0.0, y),
            (stem, at, y),
            (6.0, at + rest * after * turn.cos(), (y + rest * after * turn.sin()).clamp(-25.5, 25.5)),
        ];
        // His defender starts with a cushion and reaches some place about him, sometimes late.
        let (cushion, off) = (dice.between(2.0, 7.0), dice.between(0.3, 5.0));
        let angle = dice.between(0.0, TAU);
        let meets = dice.between(1.5, 3.0);
        let runs = Way(route.clone());
        let mut covers = vec![(-1.0, cushion, y), (0.0, cushion, y)];
        for i in 0..8 {
            let t = meets + (6.0 - meets) * f64::from(i) / 7.0;
            let p = runs.at((t - 0.25).min(5.5));
            covers.push((t, p[0] + off * angle.cos(), p[1] + off * angle.sin()));
        }
        people.push(receiver(slot));
        ways.push(Way(route));
        people.push(person(&format!("D{k}"), Role::Cover));
        ways.push(Way(covers));
    }
    for (k, side) in [1.0, -1.0].into_iter().enumerate() {
        let (x, y) = (dice.between(10.0, 14.0), side * dice.between(2.0, 12.0));
        people.push(person(&format!("S{k}"), Role::Cover));
        ways.push(Way(vec![
            (-1.0, x, y),
            (0.0, x, y),
            (6.0, x + dice.between(5.0, 25.0), y + dice.between(-8.0, 8.0)),
        ]));
    }
    (people, ways)
}

/// The ways of a play as tracks.
pub fn tracks(people: &[Person], ways: &[Way], mut measured: Option<&mut Dice>) -> Vec<Track> {
    people.iter().zip(ways).map(|(p, w)| track(p.id.as_str(), w, measured.as_deref_mut())).collect()
}

/// Places in the field frame as a tracker would measure them: with slow errors, and velocities from differences.
pub fn measured(id: &str, places: &[(f64, [f64; 2])], dice: &mut Dice) -> Track {
    let wander = Wander::new(dice);
    let n = places.len();
    let points = (0..n)
        .map(|k| {
            let (a, b) = (&places[k.saturating_sub(2)], &places[(k + 2).min(n - 1)]);
            let (t_s, p) = places[k];
            let dt = (b.0 - a.0).max(1e-9);
            let ((ex, evx), (ey, evy)) = (wander.at(0, t_s), wander.at(1, t_s));
            TrackPoint {
                t_s,
                position: Point2::new(p[0] + ex, p[1] + ey),
                velocity: Vector2::<Ground>::new((b.1[0] - a.1[0]) / dt + evx, (b.1[1] - a.1[1]) / dt + evy),
                position_covariance: Covariance2::isotropic(SD_YD),
                velocity_covariance: Covariance2::isotropic(SD_YD * TAU / 1.45),
            }
        })
        .collect();
    Track { person: PersonId::from(id), points }
}
