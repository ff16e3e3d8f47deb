//! What somebody wears, as numbers that light leaves alone.

use super::Spot;
use play::Cloth;

/// Shirt (light, red, blue), trousers (light, red, blue) and the shirt's contrast, as in [`Cloth`].
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Dress(pub [f32; 7]);

/// Standard deviation of each number from sighting to sighting of the same man, logarithms: light changes with the
/// folds and the sun's side, hue hardly. Common practice, no source.
const SD: [f32; 7] = [0.35, 0.16, 0.16, 0.4, 0.2, 0.2, 0.35];
/// A sighting in which less of him is open tells little of his dress.
const OPEN: f64 = 0.75;

/// What it costs to take one cloth for the other: bending so far is rarer than standing, e^-2. Common practice, no source.
const MISPLACED: f64 = 4.0;

fn apart(a: f32, b: f32, sd: f32) -> f64 {
    f64::from((a - b) / sd).powi(2).min(20.0)
}

impl Dress {
    /// Of one sighting.
    pub fn new(shirt: &Cloth, trousers: &Cloth) -> Self {
        Self([
            shirt.light,
            shirt.red,
            shirt.blue,
            trousers.light,
            trousers.red,
            trousers.blue,
            shirt.contrast,
        ])
    }
    /// Medians over the clearest of some sightings.
    pub fn of(spots: &[Spot]) -> Self {
        let open: Vec<&Spot> = spots.iter().filter(|s| s.seen >= OPEN).collect();
        let used = if open.len() >= 5 { open } else { spots.iter().collect() };
        Self(std::array::from_fn(|k| {
            let mut v: Vec<f32> = used.iter().map(|s| s.dress.0[k]).collect();
            v.sort_by(f32::total_cmp);
            v.get(v.len() / 2).copied().unwrap_or(0.0)
        }))
    }
    /// Squared distance in standard deviations, each number's share capped so that one torn outline cannot decide.
    pub fn distance2(&self, o: &Self) -> f64 {
        self.0.iter().zip(o.0).zip(SD).map(|((a, b), sd)| apart(*a, b, sd)).sum()
    }
    /// The same from what a team wears, for somebody who may be bent or half hidden: then shirt or trousers show where the
    /// other is looked for.
    pub(super) fn distance2_from_kit(&self, kit: &Self) -> f64 {
        let part = |own: usize, kits: usize| -> f64 {
            (0..3).map(|k| apart(self.0[own + k], kit.0[kits + k], SD[own + k])).sum()
        };
        let shirt = part(0, 0).min(part(0, 3) + MISPLACED);
        let trousers = part(3, 3).min(part(3, 0) + MISPLACED);
        shirt + trousers + apart(self.0[6], kit.0[6], SD[6])
    }
    /// Moves towards a new sighting by `share`.
    pub(super) fn drift(&mut self, o: &Self, share: f32) {
        self.0.iter_mut().zip(o.0).for_each(|(a, b)| *a += (b - *a) * share);
    }
}
