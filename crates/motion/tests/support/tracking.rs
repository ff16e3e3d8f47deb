//! Published measures of tracking quality over points on the ground.
//!
//! MOTA with identity switches: Bernardin & Stiefelhagen 2008, "Evaluating multiple object tracking performance: the CLEAR
//! MOT metrics", EURASIP J. Image Video Process. IDF1: Ristani et al. 2016, "Performance measures and a data set for
//! multi-target, multi-camera tracking", ECCV workshops. HOTA: Luiten et al. 2021, "HOTA: a higher order metric for
//! evaluating multi-object tracking", Int. J. Comput. Vis. 129, 548.
#![allow(dead_code)]

use motion::assign;
use std::collections::BTreeMap;

/// One instant: true and tracked places by identity, yd.
#[derive(Clone, Debug, Default)]
pub struct Instant {
    pub truth: Vec<(usize, [f64; 2])>,
    pub tracks: Vec<(usize, [f64; 2])>,
}

/// Quality of a set of tracks.
#[derive(Clone, Copy, Debug, Default)]
pub struct Quality {
    pub mota: f64,
    pub idf1: f64,
    pub hota: f64,
    /// Share of the truth that its own track covers: identity recall.
    pub followed: f64,
    pub switches: usize,
    pub missed: usize,
    pub false_alarms: usize,
    pub truth: usize,
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// The track of each true identity: pairs that cover the most instants within `reach` yd together.
pub fn identities(instants: &[Instant], reach: f64) -> BTreeMap<usize, usize> {
    let mut together: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    for i in instants {
        for (g, p) in &i.truth {
            for (t, q) in &i.tracks {
                if distance(*p, *q) < reach {
                    *together.entry((*g, *t)).or_default() += 1.0;
                }
            }
        }
    }
    let people: Vec<usize> = unique(together.keys().map(|k| k.0));
    let tracks: Vec<usize> = unique(together.keys().map(|k| k.1));
    let costs: Vec<Vec<f64>> = people
        .iter()
        .map(|g| tracks.iter().map(|t| -together.get(&(*g, *t)).copied().unwrap_or(0.0)).collect())
        .collect();
    let pairs = assign(&costs, 0.0);
    people.iter().zip(pairs).filter_map(|(g, t)| Some((*g, tracks[t?]))).collect()
}

fn unique(ids: impl Iterator<Item = usize>) -> Vec<usize> {
    let mut v: Vec<usize> = ids.collect();
    v.sort_unstable();
    v.dedup();
    v
}

/// All measures; a track is at a man within `reach` yd, and HOTA's similarity falls linearly to 0 at twice that.
pub fn quality(instants: &[Instant], reach: f64) -> Quality {
    let mut q = Quality { truth: instants.iter().map(|i| i.truth.len()).sum(), ..Quality::default() };
    let tracked: usize = instants.iter().map(|i| i.tracks.len()).sum();
    // Who was last at whom, ever and at the instant before.
    let (mut last, mut before): (BTreeMap<usize, usize>, BTreeMap<usize, usize>) = Default::default();
    for i in instants {
        // Pairs of the instant before hold on while they are within reach; the rest at the greatest total similarity.
        let gain = |g: &(usize, [f64; 2]), t: &(usize, [f64; 2])| {
            let d = distance(g.1, t.1);
            let holds = if before.get(&g.0) == Some(&t.0) { 1e3 } else { 0.0 };
            if d <= reach { holds + 1.0 - d / (2.0 * reach) } else { 0.0 }
        };
        let costs: Vec<Vec<f64>> =
            i.truth.iter().map(|g| i.tracks.iter().map(|t| -gain(g, t)).collect()).collect();
        let pairs = assign(&costs, f64::INFINITY);
        before.clear();
        for ((g, t), row) in i.truth.iter().zip(&pairs).zip(&costs) {
            match t.filter(|t| row[*t] < 0.0) {
                Some(t) => {
                    let id = i.tracks[t].0;
                    before.insert(g.0, id);
                    if last.insert(g.0, id).is_some_and(|was| was != id) {
                        q.switches += 1;
                    }
                }
                None => q.missed += 1,
            }
        }
        let hits = before.len();
        q.false_alarms += i.tracks.len() - hits;
    }
    q.mota = 1.0 - (q.missed + q.false_alarms + q.switches) as f64 / q.truth.max(1) as f64;
    let own = identities(instants, reach);
    let mut right = 0;
    for i in instants {
        for (g, p) in &i.truth {
            let track = own.get(g).and_then(|t| i.tracks.iter().find(|x| x.0 == *t));
            right += usize::from(track.is_some_and(|t| distance(*p, t.1) < reach));
        }
    }
    q.idf1 = 2.0 * right as f64 / (q.truth + tracked).max(1) as f64;
    q.followed = right as f64 / q.truth.max(1) as f64;
    q.hota = hota(instants, 2.0 * reach);
    q
}

/// Mean over nineteen thresholds of the root of detection and association accuracy.
pub fn hota(instants: &[Instant], zero_at: f64) -> f64 {
    let similar = |a, b| (1.0 - distance(a, b) / zero_at).max(0.0);
    let mut potential: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    let (mut truths, mut tracks): (BTreeMap<usize, f64>, BTreeMap<usize, f64>) = Default::default();
    for i in instants {
        let s: Vec<Vec<f64>> =
            i.truth.iter().map(|g| i.tracks.iter().map(|t| similar(g.1, t.1)).collect()).collect();
        let columns: Vec<f64> =
            (0..i.tracks.len()).map(|t| s.iter().map(|row| row[t]).sum::<f64>()).collect();
        for (g, row) in i.truth.iter().zip(&s) {
            *truths.entry(g.0).or_default() += 1.0;
            let sum: f64 = row.iter().sum();
            for ((t, v), column) in i.tracks.iter().zip(row).zip(&columns) {
                let either = sum + column - v;
                if either > 1e-12 {
                    *potential.entry((g.0, t.0)).or_default() += v / either;
                }
            }
        }
        for t in &i.tracks {
            *tracks.entry(t.0).or_default() += 1.0;
        }
    }
    let align = |g: usize, t: usize| {
        let p = potential.get(&(g, t)).copied().unwrap_or(0.0);
        p / (truths[&g] + tracks[&t] - p)
    };
    let alphas: Vec<f64> = (1..20).map(|k| 0.05 * f64::from(k)).collect();
    let mut hits = vec![0.0; alphas.len()];
    let mut pairs: Vec<BTreeMap<(usize, usize), f64>> = vec![BTreeMap::new(); alphas.len()];
    let (mut all_truth, mut all_tracks) = (0.0, 0.0);
    for i in instants {
        all_truth += i.truth.len() as f64;
        all_tracks += i.tracks.len() as f64;
        let costs: Vec<Vec<f64>> = i
            .truth
            .iter()
            .map(|g| i.tracks.iter().map(|t| -align(g.0, t.0) * similar(g.1, t.1)).collect())
            .collect();
        for (g, t) in i.truth.iter().zip(assign(&costs, f64::INFINITY)) {
            let Some(t) = t.map(|t| i.tracks[t]) else { continue };
            let s = similar(g.1, t.1);
            for (k, a) in alphas.iter().enumerate() {
                if s >= a - 1e-9 {
                    hits[k] += 1.0;
                    *pairs[k].entry((g.0, t.0)).or_default() += 1.0;
                }
            }
        }
    }
    let each = alphas.iter().enumerate().map(|(k, _)| {
        let n: f64 = hits[k];
        if n == 0.0 {
            return 0.0;
        }
        let association: f64 =
            pairs[k].iter().map(|((g, t), c)| c * c / (truths[g] + tracks[t] - c)).sum::<f64>() / n;
        let detection = n / (all_truth + all_tracks - n);
        (detection * association).sqrt()
    });
    each.sum::<f64>() / alphas.len() as f64
}
