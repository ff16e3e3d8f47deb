//! Logistic regression by Newton's steps.

use crate::Estimate;
use std::ops::{Index, IndexMut};

/// A fitted logistic regression.
#[derive(Clone, Debug, PartialEq)]
pub struct Logistic {
    /// Intercept, then a coefficient for each regressor, with large-sample errors.
    pub coefficients: Vec<Estimate>,
    /// Minus twice the log likelihood.
    pub deviance: f64,
}

/// Fits `yes` on rows of regressors (all of one length) by maximum likelihood. `None` for rows of unlike length, regressors that depend on each other,
/// or outcomes that they tell apart perfectly.
pub fn logistic(rows: &[Vec<f64>], yes: &[bool]) -> Option<Logistic> {
    let k = rows.first()?.len() + 1;
    if rows.len() != yes.len() || rows.iter().any(|r| r.len() + 1 != k) {
        return None;
    }
    let mut b = vec![0.0; k];
    for _ in 0..60 {
        let (mut gradient, mut hessian) = (vec![0.0; k], Square::new(k));
        let mut deviance = 0.0;
        for (r, y) in rows.iter().zip(yes) {
            let x = |j: usize| if j == 0 { 1.0 } else { r[j - 1] };
            let eta: f64 = (0..k).map(|j| b[j] * x(j)).sum();
            let p = 1.0 / (1.0 + (-eta).exp());
            let y = f64::from(u8::from(*y));
            // ln(1 + e^η) − yη without overflow.
            deviance += 2.0 * (eta.max(0.0) + (-eta.abs()).exp().ln_1p() - y * eta);
            for i in 0..k {
                gradient[i] += (y - p) * x(i);
                for j in 0..k {
                    hessian[(i, j)] += p * (1.0 - p) * x(i) * x(j);
                }
            }
        }
        let inverse = hessian.inverse()?;
        let step: Vec<f64> = (0..k).map(|i| (0..k).map(|j| inverse[(i, j)] * gradient[j]).sum()).collect();
        b.iter_mut().zip(&step).for_each(|(b, s)| *b += s);
        if step.iter().all(|s| s.abs() < 1e-10) {
            let coefficients = (0..k).map(|i| Estimate::new(b[i], inverse[(i, i)].sqrt())).collect();
            return Some(Logistic { coefficients, deviance });
        }
    }
    None
}

/// A small square matrix.
struct Square {
    k: usize,
    cells: Vec<f64>,
}

impl Index<(usize, usize)> for Square {
    type Output = f64;
    fn index(&self, (i, j): (usize, usize)) -> &f64 {
        &self.cells[i * self.k + j]
    }
}
impl IndexMut<(usize, usize)> for Square {
    fn index_mut(&mut self, (i, j): (usize, usize)) -> &mut f64 {
        &mut self.cells[i * self.k + j]
    }
}

impl Square {
    fn new(k: usize) -> Self {
        Self { k, cells: vec![0.0; k * k] }
    }
    /// By elimination with pivots; `None` when it is as good as singular.
    fn inverse(mut self) -> Option<Self> {
        let k = self.k;
        let mut out = Self::new(k);
        (0..k).for_each(|i| out[(i, i)] = 1.0);
        let largest = self.cells.iter().fold(0.0_f64, |m, c| m.max(c.abs()));
        for c in 0..k {
            let p = (c..k).max_by(|a, b| self[(*a, c)].abs().total_cmp(&self[(*b, c)].abs()))?;
            if !(self[(p, c)].abs() > 1e-12 * largest) {
                return None;
            }
            for j in 0..k {
                self.cells.swap(p * k + j, c * k + j);
                out.cells.swap(p * k + j, c * k + j);
            }
            let d = self[(c, c)];
            for j in 0..k {
                self[(c, j)] /= d;
                out[(c, j)] /= d;
            }
            for i in (0..k).filter(|i| *i != c) {
                let f = self[(i, c)];
                for j in 0..k {
                    self[(i, j)] -= f * self[(c, j)];
                    out[(i, j)] -= f * out[(c, j)];
                }
            }
        }
        Some(out)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One regressor that is 0 or 1, by hand: the coefficient is the log odds ratio of the table 3/1 against 1/3, ln 9, with error
    /// √(1/3 + 1 + 1 + 1/3).
    #[test]
    fn a_two_by_two_table_by_hand() {
        let rows: Vec<Vec<f64>> = (0..8).map(|k| vec![f64::from(u8::from(k >= 4))]).collect();
        let yes = [true, false, false, false, true, true, true, false];
        let l = logistic(&rows, &yes).unwrap();
        assert!((l.coefficients[1].value - 9f64.ln()).abs() < 1e-8);
        assert!((l.coefficients[1].se - (8.0f64 / 3.0).sqrt()).abs() < 1e-8);
        assert_eq!(
            logistic(&rows, &[false, false, false, false, true, true, true, true]),
            None,
            "told apart perfectly"
        );
        assert_eq!(logistic(&[vec![1.0], vec![1.0]], &[true, false]), None, "depends on the intercept");
    }
}
