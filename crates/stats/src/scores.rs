//! How well claimed probabilities fit what came.

use crate::{Estimate, Interval, Proportion, mean_interval};
use serde::{Deserialize, Serialize};

/// A claim and whether it came true.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Claimed {
    /// Probability claimed, 0 to 1.
    pub probability: f64,
    /// Whether it came.
    pub came: bool,
}

/// Claims of a probability and how often they came true, binned by the claim (the reliability diagram of Murphy & Winkler
/// 1977).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ReliabilityBin {
    /// Mean claim, 0 to 1.
    pub claimed: f64,
    /// Share that came true.
    pub came: f64,
    /// 90% Wilson interval of that share.
    pub interval: Interval,
    /// Claims.
    pub n: usize,
}

/// Scores of a set of claims.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Scores {
    /// Claims.
    pub n: usize,
    /// Mean squared error of the claims (Brier 1950) and its 90% interval.
    pub brier: f64,
    /// See `brier`.
    pub brier_interval: Interval,
    /// Mean negative log likelihood, nats, and its 90% interval.
    pub log_loss: f64,
    /// See `log_loss`.
    pub log_loss_interval: Interval,
    /// Brier score of always claiming the share that came.
    pub brier_of_the_rate: f64,
    /// Intercept and slope of what came on the claims' log odds (Cox 1958): 0 and 1 for honest claims. `None` when the
    /// claims are all alike or tell apart perfectly.
    pub line: Option<[Estimate; 2]>,
    /// By claim, ten bins of like number, or fewer.
    pub bins: Vec<ReliabilityBin>,
}

/// Claims nearer to 0 or 1 than this count as this near in log losses: one blunder must not outweigh a season. Ours.
pub const SUREST: f64 = 0.005;

/// Level of the intervals in [`Scores`].
const LEVEL: f64 = 0.9;

/// Log loss of one claim, nats.
pub fn log_loss(c: &Claimed) -> f64 {
    let p = c.probability.clamp(SUREST, 1.0 - SUREST);
    -(if c.came { p } else { 1.0 - p }).ln()
}

/// Scores of `claims` with at most `bins` bins; `None` under two claims, which show no spread.
pub fn scores(claims: &[Claimed], bins: usize) -> Option<Scores> {
    let brier: Vec<f64> =
        claims.iter().map(|c| (c.probability - f64::from(u8::from(c.came))).powi(2)).collect();
    let loss: Vec<f64> = claims.iter().map(log_loss).collect();
    let (brier, brier_interval) = mean_interval(&brier, LEVEL)?;
    let (log_loss, log_loss_interval) = mean_interval(&loss, LEVEL)?;
    let rate = claims.iter().filter(|c| c.came).count() as f64 / claims.len() as f64;
    Some(Scores {
        n: claims.len(),
        brier,
        brier_interval,
        log_loss,
        log_loss_interval,
        brier_of_the_rate: rate * (1.0 - rate),
        line: line(claims),
        bins: reliability(claims, bins),
    })
}

/// Bins of like number, by claim; at least ten claims in each where there are as many.
pub fn reliability(claims: &[Claimed], bins: usize) -> Vec<ReliabilityBin> {
    const LEAST: usize = 10;
    let mut sorted = claims.to_vec();
    sorted.sort_by(|a, b| a.probability.total_cmp(&b.probability));
    let bins = bins.min(sorted.len() / LEAST).max(1);
    (0..bins)
        .filter_map(|k| {
            let part = &sorted[k * sorted.len() / bins..(k + 1) * sorted.len() / bins];
            let n = part.len();
            let came = part.iter().filter(|c| c.came).count();
            let share = Proportion::new(came as u64, n as u64).ok()?;
            Some(ReliabilityBin {
                claimed: part.iter().map(|c| c.probability).sum::<f64>() / n as f64,
                came: share.value(),
                interval: share.wilson(LEVEL),
                n,
            })
        })
        .collect()
}

/// Logistic regression on one regressor by Newton's steps.
fn line(claims: &[Claimed]) -> Option<[Estimate; 2]> {
    let rows: Vec<(f64, f64)> = claims
        .iter()
        .map(|c| {
            let p = c.probability.clamp(SUREST, 1.0 - SUREST);
            ((p / (1.0 - p)).ln(), f64::from(u8::from(c.came)))
        })
        .collect();
    let (mut a, mut b) = (0.0, 1.0);
    for _ in 0..50 {
        let (mut g, mut h) = ([0.0; 2], [0.0; 3]);
        for &(x, y) in &rows {
            let p = 1.0 / (1.0 + (-(a + b * x)).exp());
            let w = p * (1.0 - p);
            g = [g[0] + y - p, g[1] + (y - p) * x];
            h = [h[0] + w, h[1] + w * x, h[2] + w * x * x];
        }
        let det = h[0] * h[2] - h[1] * h[1];
        if det <= 1e-9 * (h[0] * h[2]).max(1e-9) {
            return None;
        }
        let (da, db) = ((h[2] * g[0] - h[1] * g[1]) / det, (h[0] * g[1] - h[1] * g[0]) / det);
        (a, b) = (a + da, b + db);
        if !(a.is_finite() && b.abs() < 50.0) {
            return None;
        }
        if da.abs() + db.abs() < 1e-9 {
            return Some([Estimate::new(a, (h[2] / det).sqrt()), Estimate::new(b, (h[0] / det).sqrt())]);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn claims(rows: &[(f64, u8)]) -> Vec<Claimed> {
        rows.iter().map(|&(probability, came)| Claimed { probability, came: came == 1 }).collect()
    }

    /// Two claims of .1 and .9 that come as claimed: Brier .01, log loss −ln .9; by hand.
    #[test]
    fn scores_of_two_claims_are_those_by_hand() {
        let s = scores(&claims(&[(0.1, 0), (0.9, 1)]), 10).unwrap();
        assert!((s.brier - 0.01).abs() < 1e-12 && (s.log_loss + 0.9f64.ln()).abs() < 1e-12);
        assert!((s.brier_of_the_rate - 0.25).abs() < 1e-12);
        // They tell apart perfectly: no line.
        assert_eq!(s.line, None);
        assert!(scores(&claims(&[(0.4, 1)]), 10).is_none());
    }

    /// Claims all alike give no slope, and bins hold everybody once.
    #[test]
    fn bins_hold_every_claim_once_and_like_claims_have_no_slope() {
        let alike = vec![Claimed { probability: 0.6, came: true }; 30];
        assert_eq!(scores(&alike, 10).unwrap().line, None);
        let many: Vec<Claimed> =
            (0..157).map(|k| Claimed { probability: k as f64 / 157.0, came: k % 3 == 0 }).collect();
        let bins = reliability(&many, 10);
        assert_eq!(bins.len(), 10);
        assert_eq!(bins.iter().map(|b| b.n).sum::<usize>(), 157);
        assert!(bins.windows(2).all(|b| b[0].claimed < b[1].claimed));
    }
}
