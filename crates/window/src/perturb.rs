use crate::mover::Mover;
use crate::parameters::{MoverParameters, Parameters, Spread};
use crate::scene::State;
use geometry::frame::Ground;
use geometry::{Point2, Vector2};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Standard normal numbers of one person in one repeat.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Numbers {
    position: [f64; 2],
    velocity: [f64; 2],
    lean: [f64; 2],
    reaction: f64,
    speed: f64,
    acceleration: f64,
    arm: f64,
}

/// A mover of one repeat.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Drawn {
    pub mover: Mover,
    /// exp(reaction / time constant): turns exp(−t/τ) into exp(−(t − reaction)/τ).
    pub wake: f64,
}

impl Drawn {
    pub fn of(mover: Mover) -> Self {
        Self { mover, wake: (mover.reaction_s / mover.time_constant).exp() }
    }
}

/// The repeats: the same numbers for every receiver and release, so that their differences are fair. The zeroth
/// repeat is the measurement itself.
pub(crate) struct Repeats {
    people: usize,
    numbers: Vec<Numbers>,
}

impl Repeats {
    pub fn new(people: usize, draws: usize, seed: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let mut numbers = vec![Numbers::default(); people];
        for _ in 0..people * draws {
            let mut z = || normal(&mut rng);
            numbers.push(Numbers {
                position: [z(), z()],
                velocity: [z(), z()],
                lean: [z(), z()],
                reaction: z(),
                speed: z(),
                acceleration: z(),
                arm: z(),
            });
        }
        Self { people, numbers }
    }

    /// Numbers of the person at `index` of the scene in repeat `draw` (0: all zero).
    pub fn numbers(&self, draw: usize, index: usize) -> &Numbers {
        &self.numbers[draw * self.people + index]
    }
}

/// A standard normal number (Box & Muller 1958).
fn normal(rng: &mut ChaCha8Rng) -> f64 {
    let u: f64 = 1.0 - rng.random::<f64>();
    let v: f64 = rng.random();
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

impl Numbers {
    /// A pair for a place on the ground.
    pub fn place(&self) -> [f64; 2] {
        self.position
    }
    /// One for an instant.
    pub fn time(&self) -> f64 {
        self.reaction
    }
    /// Where he may have been, and how fast.
    pub fn shift(&self, state: &State, p: &Parameters) -> (Point2<Ground>, Vector2<Ground>) {
        let lean = Vector2::new(self.lean[0], self.lean[1]) * p.body.lean_yd;
        (
            state.position + state.position_root.times(self.position) + lean,
            state.velocity + state.velocity_root.times(self.velocity),
        )
    }
    /// How he may move.
    pub fn mover(&self, p: &MoverParameters) -> Drawn {
        let draw = |s: Spread, z: f64, least: f64| (s.value + s.sd * z).max(least);
        Drawn::of(Mover {
            reaction_s: draw(p.reaction_s, self.reaction, 0.0),
            top_speed: draw(p.top_speed_ydps, self.speed, 3.0),
            time_constant: p.time_constant_s,
            acceleration: draw(p.acceleration_ydps2, self.acceleration, 1.0),
            arm: draw(p.arm_yd, self.arm, 0.0),
        })
    }
}
