//! An invented world for the tests of this crate: its own physics, cameras and noise. No estimator sees its truth.
#![allow(dead_code, missing_docs, clippy::unwrap_used)] // every test uses a part of it

pub mod cameras;
pub mod feet;
pub mod plays;
pub mod runner;
pub mod score;
pub mod studies;
pub mod throws;

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

pub struct Dice(ChaCha8Rng);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.random::<f64>()
    }
    /// Standard normal (Box & Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let u = 1.0 - self.0.random::<f64>();
        let v = self.0.random::<f64>();
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
    pub fn about(&mut self, mean: f64, sd: f64) -> f64 {
        mean + sd * self.normal()
    }
    pub fn chance(&mut self, p: f64) -> bool {
        self.0.random::<f64>() < p
    }
}
