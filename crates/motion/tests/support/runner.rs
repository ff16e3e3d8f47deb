//! Invented runners: straight runs with cuts, and the gait's sway of the point between the feet.

use super::Dice;
use geometry::frame::Ground;
use geometry::{Point2, Vector2};
use std::f64::consts::TAU;

pub struct Runner {
    /// A place and velocity every 5 ms from the snap.
    body: Vec<(Point2<Ground>, Vector2<Ground>)>,
    /// Times of cuts, s.
    pub cuts: Vec<f64>,
    sway: (f64, f64, f64),
}

const STEP: f64 = 0.005;

impl Runner {
    /// Stands until the snap, runs at up to 6 to 9 yd/s with cuts of 30 to 110 degrees about every 1.5 s, speed limited by
    /// an acceleration of 8 yd/s² forward and 14 braking.
    pub fn draw(from: Point2<Ground>, seconds: f64, dice: &mut Dice) -> Self {
        let mut p = from;
        let mut v = Vector2::ZERO;
        let mut heading = dice.between(-1.2, 1.2);
        let mut top = dice.between(5.5, 9.0);
        let start = dice.between(0.0, 0.25);
        let mut next_cut = start + dice.between(1.0, 1.8);
        let mut body = Vec::new();
        let mut cuts = vec![start];
        let mut t = 0.0;
        while t <= seconds + 0.5 {
            if t >= next_cut {
                let side = if dice.chance(0.5) { 1.0 } else { -1.0 };
                heading += side * dice.between(0.5, 1.9);
                top = dice.between(4.5, 9.0);
                cuts.push(t);
                next_cut = t + dice.between(1.1, 2.0);
            }
            let wish = if t < start { Vector2::ZERO } else { Vector2::from_angle(heading) * top };
            let push = wish - v;
            let limit = if push.dot(v) < 0.0 { 14.0 } else { 8.0 };
            // Effort eases as the wish is met.
            let a = push * 3.5;
            let a = if a.norm() > limit { a * (limit / a.norm()) } else { a };
            body.push((p, v));
            v = v + a * STEP;
            p = p + v * STEP;
            t += STEP;
        }
        Self { body, cuts, sway: (dice.between(3.6, 4.6), dice.between(0.0, TAU), dice.between(0.0, TAU)) }
    }
    pub fn at(&self, t: f64) -> (Point2<Ground>, Vector2<Ground>) {
        let s = (t / STEP).clamp(0.0, (self.body.len() - 2) as f64);
        let k = s as usize;
        let (a, b) = (self.body[k], self.body[k + 1]);
        let w = s - k as f64;
        (a.0.lerp(b.0, w), a.1 + (b.1 - a.1) * w)
    }
    /// The point that an eye takes for the middle between the feet: sways once a step by up to .09 yd with speed.
    pub fn feet(&self, t: f64) -> Point2<Ground> {
        let (p, v) = self.at(t);
        let size = 0.09 * (v.norm() / 7.0).min(1.0);
        let phase = TAU * self.sway.0 * t;
        p + Vector2::new(size * (phase + self.sway.1).sin(), size * (phase + self.sway.2).sin())
    }
    pub fn near_cut(&self, t: f64) -> bool {
        self.cuts.iter().any(|c| (-0.25..0.6).contains(&(t - c)))
    }
}
