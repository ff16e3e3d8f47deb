//! The passer's feet: drop, hitches, the step into the throw.

use super::concept::Drop;
use super::gait::Feet;
use super::mover::Body;
use super::plane::{P2, V2, ease, limited, mix};
use super::track::DT;

/// Right foot: the back foot of a right-handed passer.
pub const BACK: usize = 1;
/// Left foot.
pub const FRONT: usize = 0;

/// A throw under way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Windup {
    /// When he began, s.
    pub began: f64,
    /// When the ball leaves, s.
    pub release: f64,
    /// Index of the receiver.
    pub target: usize,
    /// When the front foot lands, s.
    pub lands: f64,
    /// Direction meant at the beginning, rad.
    pub heading: f64,
    /// Weight at release: 0 over the back foot, 1 over the front foot.
    pub weight: f64,
}

/// The passer.
#[derive(Clone, Debug)]
pub struct Passer {
    /// His feet.
    pub feet: Feet,
    /// When he has the ball, s.
    pub receives: f64,
    /// When the last step of the drop lands, s.
    pub set: f64,
    /// The throw.
    pub windup: Option<Windup>,
    /// He runs like anybody else from here on.
    pub free: bool,
    /// When he became free, s.
    pub free_at: f64,
    /// When the next hitch may begin, s.
    pub next_hitch: f64,
    /// Hitches taken.
    pub hitches: u32,
}

/// Steps of a drop: (foot, lands at s, yards behind the starting place of the body).
fn steps(drop: Drop, gun: bool) -> Vec<(usize, f64, f64)> {
    match (gun, drop) {
        (true, Drop::Quick) => vec![(BACK, 0.62, 0.75), (FRONT, 0.80, 0.05)],
        (true, Drop::Medium) => vec![(BACK, 0.55, 1.0), (FRONT, 0.85, 1.35), (BACK, 1.15, 2.25)],
        (true, Drop::Deep) => vec![
            (BACK, 0.50, 0.95),
            (FRONT, 0.78, 1.5),
            (BACK, 1.05, 2.45),
            (FRONT, 1.30, 2.75),
            (BACK, 1.58, 3.5),
        ],
        (false, Drop::Quick) => vec![(BACK, 0.38, 1.5), (FRONT, 0.68, 2.3), (BACK, 1.0, 3.6)],
        (false, Drop::Medium) => vec![
            (BACK, 0.38, 1.6),
            (FRONT, 0.68, 2.8),
            (BACK, 0.98, 4.2),
            (FRONT, 1.24, 4.8),
            (BACK, 1.55, 5.7),
        ],
        (false, Drop::Deep) => {
            vec![
                (BACK, 0.38, 1.6),
                (FRONT, 0.68, 2.8),
                (BACK, 0.96, 4.2),
                (FRONT, 1.22, 5.1),
                (BACK, 1.48, 6.2),
                (FRONT, 1.72, 6.7),
                (BACK, 2.0, 7.5),
            ]
        }
    }
}

/// Side-on to the line of scrimmage: a right-handed passer's chest points to the offense's right.
const SIDE_ON: f64 = -1.25;

impl Passer {
    /// Standing at `at`, ready for the drop `drop`; `tempo` stretches its times (1 as drawn).
    pub fn new(at: P2, drop: Drop, gun: bool, tempo: f64) -> Self {
        let mut feet = Feet::standing(at, 0.0, 0.42, 0.06);
        let mut set = 0.0;
        for (foot, lands, back) in steps(drop, gun) {
            let lands = lands * tempo;
            let before = feet.last(foot);
            let lift = (lands - 0.27).max(if before.from.is_finite() { before.from + 0.06 } else { 0.08 });
            // Back foot wide to the right and turned out, front foot crossing over.
            let y = if foot == BACK { -0.16 } else { 0.10 };
            feet.step(
                foot,
                lift,
                lands,
                P2::new(at.x - back, at.y + y),
                if foot == BACK { SIDE_ON } else { -0.85 },
            );
            set = lands;
        }
        // The front foot comes back to a throwing base as the last step lands.
        let (b, f) = (feet.last(BACK), feet.last(FRONT));
        let base = b.at.x - f.at.x;
        if base.abs() < 0.55 {
            feet.step(FRONT, set + 0.02, set + 0.16, P2::new(b.at.x + 0.72, b.at.y + 0.22), -0.75);
        }
        Self {
            feet,
            receives: if gun { 0.40 } else { 0.10 },
            set,
            windup: None,
            free: false,
            free_at: f64::INFINITY,
            next_hitch: set + 0.34,
            hitches: 0,
        }
    }

    /// Where the hips want to be at `t`: between the feet, over the back one at the top of the drop, through the front one at
    /// release.
    fn hips(&self, t: f64) -> P2 {
        let (b, f) = (self.feet.at(BACK, t), self.feet.at(FRONT, t));
        let mut w = mix(0.5, 0.42, ease((t - self.set + 0.3) / 0.4));
        if let Some(u) = self.windup {
            w = mix(w, 0.30, ease((t - u.began) / 0.15));
            w = mix(w, u.weight, ease((t - u.lands + 0.10) / (u.release - u.lands + 0.14)));
            w = mix(w, (u.weight + 0.25).min(0.95), ease((t - u.release - 0.04) / 0.2));
        }
        b.at.lerp(f.at, w)
    }

    /// One step of the body over the feet.
    pub fn follow(&self, body: &mut Body, t: f64, look: f64) {
        // Critically damped, looking a little ahead because weight shifts before a foot lands.
        let w = 11.0;
        let goal = self.hips(t + 0.13);
        let pull = limited((goal - body.at) * (w * w) - body.velocity * (2.0 * w), 16.0);
        body.velocity = body.velocity + pull * DT;
        body.at = body.at + body.velocity * DT;
        let facing = if t < 0.15 {
            0.0
        } else if let Some(u) = self.windup.filter(|u| t < u.release + 0.5) {
            u.heading + mix(SIDE_ON, 0.1, ease((t - u.release + 0.16) / 0.2))
        } else {
            look + SIDE_ON * ease((t - 0.15) / (self.set - 0.15).max(0.1))
        };
        let turn = units::wrap_angle(facing - body.facing);
        body.facing += (turn * (12.0 * DT)).clamp(-9.0 * DT, 9.0 * DT);
    }

    /// A short hitch up toward `look`, both feet, front first.
    pub fn hitch(&mut self, t: f64, look: f64, long: f64) {
        let step = V2::from_angle(look) * long;
        let (f, b) = (self.feet.last(FRONT), self.feet.last(BACK));
        self.feet.step(FRONT, t, t + 0.15, f.at + step, f.heading);
        self.feet.step(BACK, t + 0.13, t + 0.28, b.at + step, b.heading);
        self.next_hitch = t + 0.40;
        self.hitches += 1;
    }

    /// Slides both feet by `by`, away from somebody.
    pub fn slide(&mut self, t: f64, by: V2) {
        let (f, b) = (self.feet.last(FRONT), self.feet.last(BACK));
        // The foot on the side he goes to leads.
        let lead = if (f.at - b.at).dot(by) > 0.0 { FRONT } else { BACK };
        for (foot, lift) in [(lead, t), (1 - lead, t + 0.15)] {
            let g = self.feet.last(foot);
            self.feet.step(foot, lift, lift + 0.17, g.at + by, g.heading);
        }
        self.next_hitch = t + 0.42;
    }

    /// Whether both feet are down at `t` and no step is due.
    pub fn settled(&self, t: f64) -> bool {
        self.feet.last(FRONT).from <= t && self.feet.last(BACK).from <= t
    }

    /// Steps into a throw along `heading` with the feet's line off by `error` rad (open positive), `base` yd apart.
    pub fn stride(
        &mut self,
        t: f64,
        target: usize,
        heading: f64,
        error: f64,
        base: f64,
        weight: f64,
        hurried: bool,
    ) -> Windup {
        let start = t.max(self.feet.last(BACK).from).max(self.feet.last(FRONT).from - 0.02);
        let (lift, lands, release) = if hurried {
            (start + 0.03, start + 0.21, start + 0.30)
        } else {
            (start + 0.06, start + 0.27, start + 0.41)
        };
        let back = self.feet.last(BACK).at;
        let line = heading + error;
        self.feet.step(FRONT, lift, lands, back + V2::from_angle(line) * base, heading - 0.25 + error);
        // The back foot drags through after the ball is gone.
        let front = self.feet.last(FRONT).at;
        let through = front
            + V2::from_angle(heading - std::f64::consts::FRAC_PI_2) * 0.42
            + V2::from_angle(heading) * 0.1;
        self.feet.step(BACK, release + 0.06, release + 0.36, through, heading - 0.1);
        let w = Windup { began: start, release, target, lands, heading, weight };
        self.windup = Some(w);
        w
    }

    /// From `t` on the gait planner moves the feet: steps not yet begun are forgotten.
    pub fn let_go(&mut self, t: f64) {
        self.free = true;
        self.free_at = t;
        for side in [&mut self.feet.left, &mut self.feet.right] {
            // A foot already in the air still lands where it was going.
            let lifted = side.iter().filter(|f| f.to <= t).count();
            side.truncate(lifted + 1);
            if let Some(last) = side.last_mut() {
                last.to = f64::INFINITY;
            }
        }
    }
}
