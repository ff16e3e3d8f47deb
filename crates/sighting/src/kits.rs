//! What the two teams wear, pixel by pixel, learned from the clip itself: in a pile the colours part the men.

use crate::bodies::Body;
use crate::cloth::dress;
use crate::empty::{hue, luma};
use play::Cloth;

/// How likely each colour is on the first team's men rather than on the second's.
#[derive(Clone, Debug)]
pub(crate) struct Kits {
    /// Per bin the chance of the first team, 0 to 1.
    first: Vec<f32>,
}

/// Somebody clear enough to learn from: his shirt, and how many of his pixels have each colour.
pub(crate) struct Sample {
    shirt: [f32; 3],
    counts: Vec<f32>,
}

/// Bins of the light against the ground's, logarithm, and of the two hues.
const BINS: [usize; 3] = [10, 12, 12];
/// Lower end and width of the bins: cloth from a twentieth to five times as bright as the ground, hues from paint to paint.
const LIGHT: (f32, f32) = (-3.0, 0.5);
const HUE: (f32, f32) = (-1.2, 0.2);
/// Share of him that must be open, and differ, for somebody to be learned from.
const CLEAR: (f32, f32) = (0.8, 0.6);
/// Least men of each team to learn from, over all frames.
const ENOUGH: usize = 4;
/// Standard deviation of a shirt's light and hues from man to man, logarithms. Common practice, no source.
const SD: [f32; 3] = [0.35, 0.16, 0.16];
/// Shirts nearer than this are one team's, squared standard deviations.
const APART: f32 = 6.0;
/// Share of all colours that each bin is granted unseen: clutter and mud.
const UNSEEN: f32 = 2e-3;

fn bin(p: [f32; 3], ground: f32) -> usize {
    let u = hue(p);
    let light = ((luma(p) + 4.0) / (ground + 4.0)).ln();
    let at = |v: f32, (low, width): (f32, f32), n: usize| (((v - low) / width).max(0.0) as usize).min(n - 1);
    (at(light, LIGHT, BINS[0]) * BINS[1] + at(u[0], HUE, BINS[1])) * BINS[2] + at(u[1], HUE, BINS[2])
}

/// The clear ones of a frame's bodies; `owner` says whose each pixel is and `ground` how bright the grass there is.
pub(crate) fn samples(data: &[u8], w: usize, ground: &[f32], owner: &[u8], bodies: &[Body]) -> Vec<Sample> {
    let mut out: Vec<(u8, Sample)> = Vec::new();
    for (k, b) in bodies.iter().enumerate() {
        let id = k as u8 + 1;
        if b.seen >= CLEAR.0 && b.filled >= CLEAR.1 {
            let [Cloth { light, red, blue, .. }, _] =
                dress(data, w, owner, id, b, crate::finder::light_at(ground, w, b));
            let counts = vec![0.0; BINS.iter().product()];
            out.push((id, Sample { shirt: [light, red, blue], counts }));
        }
    }
    for (k, o) in owner.iter().enumerate().filter(|o| *o.1 > 0) {
        if ground[k] > 0.0
            && let Some((_, s)) = out.iter_mut().find(|s| s.0 == *o)
        {
            s.counts[bin(std::array::from_fn(|c| f32::from(data[3 * k + c])), ground[k])] += 1.0;
        }
    }
    out.into_iter().map(|s| s.1).collect()
}

fn apart(a: [f32; 3], b: [f32; 3]) -> f32 {
    (0..3).map(|k| ((a[k] - b[k]) / SD[k]).powi(2)).sum()
}

impl Kits {
    /// From the clear men of some frames; `None` when their shirts are of one kind. Two means (Lloyd 1982, IEEE Trans. Inf.
    /// Theory 28, 129) from the two shirts that have the most like them.
    pub fn learn(samples: &[Sample]) -> Option<Self> {
        let like = |s: &[f32; 3], of: &dyn Fn(&Sample) -> bool| {
            samples.iter().filter(|o| of(o) && apart(*s, o.shirt) < APART).count()
        };
        let all = |_: &Sample| true;
        let first = samples.iter().max_by_key(|s| like(&s.shirt, &all))?.shirt;
        let far = |s: &Sample| apart(s.shirt, first) > 2.0 * APART;
        let second = samples.iter().filter(|s| far(s)).max_by_key(|s| like(&s.shirt, &far))?.shirt;
        let mut middles = [first, second];
        let of = |middles: &[[f32; 3]; 2], team: usize| -> Vec<&Sample> {
            let near = |s: &&Sample| {
                let d = middles.map(|m| apart(s.shirt, m));
                d[team] < d[1 - team] && d[team] < 2.0 * APART
            };
            samples.iter().filter(near).collect()
        };
        for _ in 0..5 {
            for team in 0..2 {
                let own = of(&middles, team);
                if own.is_empty() {
                    return None;
                }
                middles[team] =
                    std::array::from_fn(|k| own.iter().map(|s| s.shirt[k]).sum::<f32>() / own.len() as f32);
            }
        }
        let palettes = [0, 1].map(|team| {
            let own = of(&middles, team);
            let mut sum = vec![UNSEEN; BINS.iter().product()];
            for s in &own {
                let n: f32 = s.counts.iter().sum();
                sum.iter_mut().zip(&s.counts).for_each(|(t, c)| *t += c / n.max(1.0) / own.len() as f32);
            }
            (own.len(), sum)
        });
        let enough = palettes.iter().all(|p| p.0 >= ENOUGH);
        let chance = palettes[0].1.iter().zip(&palettes[1].1).map(|(a, b)| a / (a + b));
        enough.then(|| Self { first: chance.collect() })
    }
    /// The chance that a pixel is of the first team, before its surroundings are asked.
    fn first(&self, p: [f32; 3], ground: f32) -> f32 {
        self.first[bin(p, ground)]
    }
    /// What each team may claim of `evidence`: all of what may be its own, nothing of what is surely the other's.
    pub fn part(&self, data: &[u8], evidence: &[f32], ground: &[f32]) -> [Vec<f32>; 2] {
        let mut out = [evidence.to_vec(), evidence.to_vec()];
        for (k, e) in evidence.iter().enumerate() {
            if *e > 0.0 && ground[k] > 0.0 {
                let first = self.first(std::array::from_fn(|c| f32::from(data[3 * k + c])), ground[k]);
                out[0][k] = e * (2.0 * first).min(1.0);
                out[1][k] = e * (2.0 - 2.0 * first).min(1.0);
            }
        }
        out
    }
}
