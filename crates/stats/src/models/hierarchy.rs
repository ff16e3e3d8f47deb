//! Hierarchical logistic and linear regression by the No-U-Turn sampler.

use crate::nuts::{Checks, Density, Drawn, Sampling, sample};

/// What is observed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// Counts of yes among trials.
    Logit,
    /// Values with an unknown spread.
    Normal,
    /// Values each with its known error.
    Known,
}

/// Observations that share their levels and regressors.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// Level of each factor; `None` counts as the average level.
    pub levels: Vec<Option<usize>>,
    /// Regressors, best with mean 0 and spread 1.
    pub x: Vec<f64>,
    /// Trials, or values.
    pub n: f64,
    /// How many are a yes; or the mean of the values.
    pub y: f64,
    /// Of values: the sum of squares about their mean; of [`Family::Known`], the variance of `y`.
    pub square: f64,
}

/// Prior of the spread of a factor's levels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spread {
    /// Half a normal of this scale.
    HalfNormal(f64),
    /// Flat.
    Flat,
}

/// A model: an intercept, coefficients, and for each factor levels that scatter normally around 0 with a spread of their own.
///
/// Priors: intercept normal with spread `intercept`; coefficients normal with spread `coefficient`; spreads of factors by `spread`;
/// the spread of values half normal with scale 2. Values should have about unit spread. Levels are sampled as multiples of their
/// spread, which few observations a level ask for (Betancourt & Girolami 2015).
#[derive(Clone, Debug, PartialEq)]
pub struct Hierarchy {
    /// What is observed.
    pub family: Family,
    /// Observations.
    pub cells: Vec<Cell>,
    /// Number of levels of each factor.
    pub levels: Vec<usize>,
    /// Number of regressors.
    pub regressors: usize,
    /// Spread of the intercept's prior.
    pub intercept: f64,
    /// Spread of the coefficients' prior.
    pub coefficient: f64,
    /// Prior of the factors' spreads.
    pub spread: Spread,
}

impl Hierarchy {
    /// Weak priors: on the scale of log odds, shares from about 5% to 95% are all thought of, and levels differ by up to a few tenths
    /// of a share; values have unit spread.
    pub fn weak(family: Family, cells: Vec<Cell>, levels: Vec<usize>, regressors: usize) -> Self {
        let spread = Spread::HalfNormal(if family == Family::Logit { 1.0 } else { 0.5 });
        Self { family, cells, levels, regressors, intercept: 1.5, coefficient: 2.5, spread }
    }
    /// Samples it.
    pub fn sample(&self, how: Sampling) -> Drawn {
        sample(self, how)
    }
    /// Fits it: the draws when they can be trusted, else the checks that failed. A sample that fails is taken once more with four
    /// times the draws and a shorter step.
    ///
    /// # Errors
    /// The checks of the second sample.
    pub fn fit(&self, how: Sampling) -> Result<Drawn, Checks> {
        let first = self.sample(how);
        if first.checks.sound() {
            return Ok(first);
        }
        let longer = Sampling { warm: 2 * how.warm, draws: 4 * how.draws, accept: 0.97, ..how };
        let second = self.sample(longer);
        if second.checks.sound() { Ok(second) } else { Err(second.checks) }
    }
    /// Place of a factor's spread (its logarithm) among the parameters; its levels follow.
    fn at(&self, factor: usize) -> usize {
        1 + self.regressors + self.levels[..factor].iter().map(|k| k + 1).sum::<usize>()
    }
    /// The intercept of a draw.
    pub fn mean(&self, draw: &[f64]) -> f64 {
        draw[0]
    }
    /// A coefficient of a draw.
    pub fn slope(&self, draw: &[f64], regressor: usize) -> f64 {
        draw[1 + regressor]
    }
    /// Spread of a factor's levels in a draw.
    pub fn spread_of(&self, draw: &[f64], factor: usize) -> f64 {
        draw[self.at(factor)].exp()
    }
    /// Effect of a level in a draw.
    pub fn effect(&self, draw: &[f64], factor: usize, level: usize) -> f64 {
        self.spread_of(draw, factor) * draw[self.at(factor) + 1 + level]
    }
    /// What is expected of levels and regressors in a draw: log odds, or a value.
    pub fn expected(&self, draw: &[f64], levels: &[Option<usize>], x: &[f64]) -> f64 {
        let slopes: f64 = x.iter().enumerate().map(|(j, v)| self.slope(draw, j) * v).sum();
        let effects: f64 =
            levels.iter().enumerate().filter_map(|(f, l)| l.map(|l| self.effect(draw, f, l))).sum();
        draw[0] + slopes + effects
    }
}

/// A share from its log odds.
pub(crate) fn share(eta: f64) -> f64 {
    1.0 / (1.0 + (-eta).exp())
}

impl Density for Hierarchy {
    fn dim(&self) -> usize {
        let spread = usize::from(self.family == Family::Normal);
        1 + self.regressors + self.levels.iter().map(|k| k + 1).sum::<usize>() + spread
    }
    fn ln(&self, at: &[f64], g: &mut [f64]) -> f64 {
        g.fill(0.0);
        let mut ln = -0.5 * (at[0] / self.intercept).powi(2);
        g[0] = -at[0] / self.intercept.powi(2);
        for j in 1..=self.regressors {
            ln -= 0.5 * (at[j] / self.coefficient).powi(2);
            g[j] = -at[j] / self.coefficient.powi(2);
        }
        for (f, levels) in self.levels.iter().enumerate() {
            let k = self.at(f);
            // The logarithm of the spread is sampled: its own slope is 1.
            ln += at[k];
            g[k] += 1.0;
            if let Spread::HalfNormal(s) = self.spread {
                let r = at[k].exp() / s;
                ln -= 0.5 * r * r;
                g[k] -= r * r;
            }
            for l in 1..=*levels {
                ln -= 0.5 * at[k + l].powi(2);
                g[k + l] -= at[k + l];
            }
        }
        let last = at.len() - 1;
        let sigma = if self.family == Family::Normal { at[last].exp() } else { 1.0 };
        if self.family == Family::Normal {
            ln += at[last] - 0.5 * (sigma / 2.0).powi(2);
            g[last] += 1.0 - (sigma / 2.0).powi(2);
        }
        // Each factor's spread is taken once, not by every cell.
        let starts: Vec<(usize, f64)> =
            (0..self.levels.len()).map(|f| (self.at(f), at[self.at(f)].exp())).collect();
        for c in &self.cells {
            let slopes: f64 = c.x.iter().enumerate().map(|(j, v)| at[1 + j] * v).sum();
            let effects: f64 =
                c.levels.iter().zip(&starts).filter_map(|(l, (k, tau))| l.map(|l| tau * at[k + 1 + l])).sum();
            let eta = at[0] + slopes + effects;
            // Slope of the log likelihood in what is expected.
            let slope = match self.family {
                Family::Logit => {
                    let small = (-eta.abs()).exp();
                    ln += c.y * eta - c.n * (eta.max(0.0) + small.ln_1p());
                    let p = if eta > 0.0 { 1.0 / (1.0 + small) } else { small / (1.0 + small) };
                    c.y - c.n * p
                }
                Family::Normal => {
                    let off = c.y - eta;
                    let square = c.square + c.n * off * off;
                    ln -= c.n * at[last] + 0.5 * square / (sigma * sigma);
                    g[last] += square / (sigma * sigma) - c.n;
                    c.n * off / (sigma * sigma)
                }
                Family::Known => {
                    let off = c.y - eta;
                    ln -= 0.5 * off * off / c.square;
                    off / c.square
                }
            };
            g[0] += slope;
            for (j, x) in c.x.iter().enumerate() {
                g[1 + j] += slope * x;
            }
            for (l, &(k, tau)) in c.levels.iter().zip(&starts) {
                let Some(l) = l else { continue };
                g[k] += slope * tau * at[k + 1 + l];
                g[k + 1 + l] += slope * tau;
            }
        }
        ln
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Estimate, normal_normal};

    fn cell(level: usize, x: f64, n: f64, y: f64, square: f64) -> Cell {
        Cell { levels: vec![Some(level)], x: vec![x], n, y, square }
    }

    /// The gradient is that of the value, by central differences.
    #[test]
    fn gradients_fit_the_value() {
        for family in [Family::Logit, Family::Normal, Family::Known] {
            let cells =
                vec![cell(0, 0.3, 5.0, 2.0, 1.5), cell(1, -0.7, 28.0, 6.0, 2.5), cell(2, 0.1, 3.0, 0.0, 0.5)];
            let h = Hierarchy::weak(family, cells, vec![3], 1);
            let at: Vec<f64> = (0..h.dim()).map(|k| 0.3 - 0.17 * k as f64).collect();
            let mut g = vec![0.0; h.dim()];
            h.ln(&at, &mut g);
            for k in 0..h.dim() {
                let (mut up, mut down, mut unused) = (at.clone(), at.clone(), vec![0.0; h.dim()]);
                up[k] += 1e-5;
                down[k] -= 1e-5;
                let slope = (h.ln(&up, &mut unused) - h.ln(&down, &mut unused)) / 2e-5;
                assert!((slope - g[k]).abs() < 1e-5 * (1.0 + g[k].abs()), "{family:?} {k}: {slope} {}", g[k]);
            }
        }
    }

    /// Rubin 1981's eight schools: the sampler agrees with the exact integral over the spread, under the same flat priors, within
    /// four errors of its effective draws.
    #[test]
    fn eight_schools_sampled_agree_with_the_integral() {
        let (y, se) =
            ([28.0, 8.0, -3.0, 7.0, -1.0, 1.0, 18.0, 12.0], [15.0, 10.0, 16.0, 11.0, 9.0, 11.0, 10.0, 18.0]);
        let figures: Vec<Estimate> = y.iter().zip(se).map(|(y, s)| Estimate::new(*y, s)).collect();
        let exact = normal_normal(&figures).unwrap();
        let cells = (0..8)
            .map(|k| Cell {
                levels: vec![Some(k)],
                x: vec![],
                n: 1.0,
                y: y[k] / 10.0,
                square: (se[k] / 10.0).powi(2),
            })
            .collect();
        let h = Hierarchy {
            intercept: 1e3,
            spread: Spread::Flat,
            ..Hierarchy::weak(Family::Known, cells, vec![8], 0)
        };
        let d = h.fit(Sampling { draws: 2000, accept: 0.95, ..Sampling::default() }).unwrap();
        for (k, e) in exact.each.iter().enumerate() {
            let got = Estimate::from_draws(&d.of(|p| 10.0 * h.expected(p, &[Some(k)], &[]))).unwrap();
            let error = e.se / d.checks.effective.sqrt();
            assert!((got.value - e.value).abs() < 4.0 * error, "{k}: {got:?} for {e:?}, {:?}", d.checks);
            assert!((got.se / e.se - 1.0).abs() < 0.1, "{k}: {got:?} for {e:?}");
        }
    }
}
