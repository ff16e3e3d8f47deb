//! Groups drawn toward each other as far as their few observations ask for it.

use crate::models::{Cell, Family, Hierarchy};
use crate::nuts::{Checks, Sampling};
use crate::quadrature::{below, masses};
use crate::{Interval, quantile};

/// A group's figure drawn toward the others'.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pooled {
    /// Posterior mean: a share, or a value.
    pub value: f64,
    /// Interval between its quantiles.
    pub interval: Interval,
}

/// Yes or no by group and, where there are several, by occasion (a game): how many of how many. Each group's share over the occasions
/// at hand, weighed by all that was seen on each, drawn toward the others by a hierarchical logistic model with the spreads of groups
/// and of occasions estimated, two-sided at `level`. With more than [`MOST_OCCASIONS`], or where no sample can be trusted, occasions
/// are not told apart and the model is integrated over a grid.
pub fn pool_shares(counts: &[Vec<(u64, u64)>], level: f64, seed: u64) -> Vec<Pooled> {
    if sampled(counts) {
        let cells = cells(counts, |c: &(u64, u64)| (c.1 > 0).then_some((c.1 as f64, c.0 as f64, 0.0)));
        let h = Hierarchy::weak(Family::Logit, cells, levels(counts), 0);
        if let Ok(p) = pooled(&h, counts.len(), level, seed, crate::models::share) {
            return p;
        }
    }
    let whole: Vec<(f64, f64)> = counts
        .iter()
        .map(|g| g.iter().fold((0.0, 0.0), |s, c| (s.0 + c.0 as f64, s.1 + c.1 as f64)))
        .collect();
    let grid: Vec<f64> = (-200..=200).map(|k| 0.035 * f64::from(k)).collect();
    let likelihood: Vec<Vec<f64>> = whole
        .iter()
        .map(|(y, n)| grid.iter().map(|t| y * t - n * (t.max(0.0) + (-t.abs()).exp().ln_1p())).collect())
        .collect();
    let (y, n) = whole.iter().fold((0.5, 1.0), |s, g| (s.0 + g.0, s.1 + g.1));
    let p = y / n;
    let error = (n * p * (1.0 - p)).sqrt().recip();
    let out = masses(&likelihood, &grid, 1.5, 1.0, (p / (1.0 - p)).ln(), error);
    out.iter().map(|m| of_masses(m, &grid, level, crate::models::share)).collect()
}

/// Values by group and occasion; as [`pool_shares`] by a hierarchical linear model. Values without any spread are left as they are.
pub fn pool_means(values: &[Vec<Vec<f64>>], level: f64, seed: u64) -> Vec<Pooled> {
    let all: Vec<f64> = values.iter().flatten().flatten().copied().collect();
    let n = all.len() as f64;
    let mean = all.iter().sum::<f64>() / n;
    let sd = (all.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
    let sd = if sd > 0.0 { sd } else { 1.0 };
    let scale = |eta: f64| mean + sd * eta;
    if sampled(values) {
        let cells = cells(values, |v: &Vec<f64>| {
            let k = v.len() as f64;
            let m = v.iter().sum::<f64>() / k;
            let square = v.iter().map(|x| ((x - m) / sd).powi(2)).sum();
            (!v.is_empty()).then_some((k, (m - mean) / sd, square))
        });
        let h = Hierarchy::weak(Family::Normal, cells, levels(values), 0);
        if let Ok(p) = pooled(&h, values.len(), level, seed, scale) {
            return p;
        }
    }
    let whole: Vec<(f64, f64, f64)> = values
        .iter()
        .map(|g| {
            let v: Vec<f64> = g.iter().flatten().map(|v| (v - mean) / sd).collect();
            let k = v.len() as f64;
            let m = v.iter().sum::<f64>() / k.max(1.0);
            (k, m, v.iter().map(|x| (x - m).powi(2)).sum())
        })
        .collect();
    let degrees = (n - values.len() as f64).max(1.0);
    let within = (whole.iter().map(|g| g.2).sum::<f64>() / degrees).max(0.01);
    let grid: Vec<f64> = (-200..=200).map(|k| 0.03 * f64::from(k)).collect();
    let likelihood: Vec<Vec<f64>> = whole
        .iter()
        .map(|(k, m, _)| grid.iter().map(|t| -0.5 * k * (t - m).powi(2) / within).collect())
        .collect();
    let out = masses(&likelihood, &grid, 1.5, 0.5, 0.0, (within / n).sqrt());
    out.iter().map(|m| of_masses(m, &grid, level, scale)).collect()
}

/// Occasions up to which they are told apart: sampling takes a tenth of a second then, and many times that for a whole season.
pub const MOST_OCCASIONS: usize = 6;

/// Whether occasions are told apart, which the grid cannot.
fn sampled<T>(by_group: &[Vec<T>]) -> bool {
    (2..=MOST_OCCASIONS).contains(&occasions(by_group))
}

fn of_masses(m: &[f64], grid: &[f64], level: f64, scale: impl Fn(f64) -> f64) -> Pooled {
    let at = |p| scale(below(m, grid, p));
    Pooled {
        value: m.iter().zip(grid).map(|(m, t)| m * scale(*t)).sum(),
        interval: Interval { low: at(0.5 - level / 2.0), high: at(0.5 + level / 2.0) },
    }
}

fn occasions<T>(by_group: &[Vec<T>]) -> usize {
    by_group.iter().map(Vec::len).max().unwrap_or(0)
}

fn levels<T>(by_group: &[Vec<T>]) -> Vec<usize> {
    let occasions = occasions(by_group);
    if occasions > 1 { vec![by_group.len(), occasions] } else { vec![by_group.len()] }
}

fn cells<T>(by_group: &[Vec<T>], of: impl Fn(&T) -> Option<(f64, f64, f64)>) -> Vec<Cell> {
    let several = occasions(by_group) > 1;
    let mut cells = Vec::new();
    for (g, row) in by_group.iter().enumerate() {
        for (o, c) in row.iter().enumerate() {
            let Some((n, y, square)) = of(c) else { continue };
            let levels = if several { vec![Some(g), Some(o)] } else { vec![Some(g)] };
            cells.push(Cell { levels, x: Vec::new(), n, y, square });
        }
    }
    cells
}

fn pooled(
    h: &Hierarchy,
    groups: usize,
    level: f64,
    seed: u64,
    scale: impl Fn(f64) -> f64,
) -> Result<Vec<Pooled>, Checks> {
    let d = h.fit(Sampling { seed, ..Sampling::default() })?;
    // Over the occasions at hand, not over all that might be: with two or three games their spread is hardly known, and an average
    // over it would draw every group toward the middle.
    let mut seen = vec![0.0; h.levels.get(1).copied().unwrap_or(1)];
    for c in &h.cells {
        seen[c.levels.get(1).copied().flatten().unwrap_or(0)] += c.n;
    }
    let all: f64 = seen.iter().sum();
    let over_occasions = |p: &[f64], g: usize| -> f64 {
        let own = h.mean(p) + h.effect(p, 0, g);
        if seen.len() == 1 {
            return scale(own);
        }
        seen.iter().enumerate().map(|(o, n)| n / all * scale(own + h.effect(p, 1, o))).sum()
    };
    Ok((0..groups)
        .map(|g| {
            let mut draws = d.of(|p| over_occasions(p, g));
            draws.sort_by(f64::total_cmp);
            Pooled {
                value: draws.iter().sum::<f64>() / draws.len() as f64,
                interval: Interval {
                    low: quantile(&draws, 0.5 - level / 2.0),
                    high: quantile(&draws, 0.5 + level / 2.0),
                },
            }
        })
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_groups_are_drawn_further_than_large_ones() {
        let counts = [vec![(60, 100)], vec![(4, 4)], vec![(28, 50)], vec![(0, 3)], vec![(33, 60)]];
        let p = pool_shares(&counts, 0.9, 1);
        let whole = 125.0 / 217.0;
        let left = |k: usize| {
            let (y, n) = counts[k][0];
            (p[k].value - whole) / (y as f64 / n as f64 - whole)
        };
        assert!(left(1) < 0.6 && left(1) > 0.0, "{p:?}");
        assert!((p[0].value - 0.6).abs() < 0.03, "{p:?}");
        assert!(p[1].interval.contains(p[1].value) && p[1].interval.high < 1.0);
        assert_eq!(pool_shares(&counts, 0.9, 1), p, "the same seed gives the same figures");
    }

    /// Groups alike on two alike occasions: every figure is near the whole's, none is drawn toward one half.
    #[test]
    fn occasions_do_not_draw_toward_the_middle() {
        let counts = vec![vec![(28, 34), (27, 34)]; 3];
        let p = pool_shares(&counts, 0.9, 1);
        assert!(p.iter().all(|g| (g.value - 165.0 / 204.0).abs() < 0.015), "{p:?}");
    }

    /// The grid and the sampler are two ways to one posterior: they agree within the sampler's error.
    #[test]
    fn the_grid_agrees_with_the_sampler() {
        let counts = [vec![(18, 24)], vec![(3, 4)], vec![(9, 20)], vec![(0, 3)], vec![(11, 16)]];
        let grid = pool_shares(&counts, 0.9, 1);
        let cells = cells(&counts, |c: &(u64, u64)| Some((c.1 as f64, c.0 as f64, 0.0)));
        let h = Hierarchy::weak(Family::Logit, cells, levels(&counts), 0);
        let drawn = pooled(&h, 5, 0.9, 1, crate::models::share).unwrap();
        for (g, d) in grid.iter().zip(&drawn) {
            // Some 800 effective draws know a mean to a thirtieth of its spread, an end of the interval to a tenth of it or so.
            let spread = d.interval.width() / 3.3;
            assert!((g.value - d.value).abs() < 0.12 * spread, "{g:?} {d:?}");
            assert!((g.interval.low - d.interval.low).abs() < 0.35 * spread, "{g:?} {d:?}");
            assert!((g.interval.high - d.interval.high).abs() < 0.35 * spread, "{g:?} {d:?}");
        }
    }

    #[test]
    fn values_are_drawn_together_over_occasions() {
        let row = |m: f64, n: usize| (0..n).map(|k| m + [-1.0, 0.4, 0.6][k % 3]).collect::<Vec<f64>>();
        let values = [
            vec![row(10.0, 12), row(10.5, 9)],
            vec![row(10.2, 30), row(10.7, 30)],
            vec![row(13.0, 2), vec![]],
        ];
        let p = pool_means(&values, 0.9, 1);
        assert!(p[2].value < 12.9 && p[2].value > p[1].value, "{p:?}");
        assert!(p[2].interval.width() > p[1].interval.width(), "{p:?}");
    }
}
