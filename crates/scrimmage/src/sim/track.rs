//! Where a body was, at a fixed step.

use super::mover::Body;
use super::plane::{V2, mix_angle};

/// Step of the simulation and of its records, s.
pub const DT: f64 = 1.0 / 120.0;

/// A body through time, one sample each [`DT`] from `start`.
#[derive(Clone, Debug)]
pub struct Track {
    /// Time of the first sample, s from the snap.
    pub start: f64,
    /// Samples, at least one.
    pub samples: Vec<Body>,
}

impl Track {
    /// The body at `t`, held at the ends.
    pub fn at(&self, t: f64) -> Body {
        let x = ((t - self.start) / DT).clamp(0.0, (self.samples.len() - 1) as f64);
        let i = (x as usize).min(self.samples.len().saturating_sub(2));
        let a = self.samples[i];
        let b = *self.samples.get(i + 1).unwrap_or(&a);
        let u = x - i as f64;
        Body {
            at: a.at.lerp(b.at, u),
            velocity: a.velocity + (b.velocity - a.velocity) * u,
            facing: mix_angle(a.facing, b.facing, u),
        }
    }
    /// Rounds off the corners that collisions leave: a binomial kernel of about 50 ms on places, velocities from the result.
    pub fn smoothed(&self) -> Self {
        let n = self.samples.len();
        let mut at: Vec<_> = self.samples.iter().map(|s| s.at).collect();
        let mut facing: Vec<f64> = self.samples.iter().map(|s| s.facing).collect();
        // Unwrapped, so that a mean of headings is the heading between them.
        for i in 1..n {
            facing[i] = facing[i - 1] + units::wrap_angle(facing[i] - facing[i - 1]);
        }
        for _ in 0..18 {
            let (old, turned) = (at.clone(), facing.clone());
            for i in 1..n.saturating_sub(1) {
                at[i] = old[i] + ((old[i - 1] - old[i]) + (old[i + 1] - old[i])) * 0.25;
                facing[i] = turned[i] + 0.25 * (turned[i - 1] + turned[i + 1] - 2.0 * turned[i]);
            }
        }
        let samples = (0..n)
            .map(|i| {
                let (lo, hi) = (i.saturating_sub(1), (i + 1).min(n - 1));
                let velocity =
                    if hi > lo { (at[hi] - at[lo]) * (1.0 / ((hi - lo) as f64 * DT)) } else { V2::ZERO };
                Body { at: at[i], velocity, facing: facing[i] }
            })
            .collect();
        Self { start: self.start, samples }
    }
    /// Last instant recorded, s.
    pub fn end(&self) -> f64 {
        self.start + (self.samples.len() - 1) as f64 * DT
    }
}
