//! Small dense nonlinear least squares.

use nalgebra as na;

/// Residuals in units of their standard deviations, and their derivatives by the parameters.
pub(crate) struct Rows {
    pub(crate) residuals: Vec<f64>,
    derivatives: Vec<f64>,
    parameters: usize,
}

impl Rows {
    pub(crate) fn new(parameters: usize) -> Self {
        Self { residuals: Vec::new(), derivatives: Vec::new(), parameters }
    }
    /// Adds a residual with the derivatives given as (parameter, value).
    pub(crate) fn push(&mut self, residual: f64, derivatives: impl IntoIterator<Item = (usize, f64)>) {
        self.residuals.push(residual);
        let start = self.derivatives.len();
        self.derivatives.resize(start + self.parameters, 0.0);
        for (k, d) in derivatives {
            self.derivatives[start + k] += d;
        }
    }
    pub(crate) fn cost(&self) -> f64 {
        self.residuals.iter().map(|r| r * r).sum()
    }
    fn normal(&self) -> (na::DMatrix<f64>, na::DVector<f64>) {
        let n = self.residuals.len();
        let j = na::DMatrix::from_row_slice(n, self.parameters, &self.derivatives);
        let r = na::DVector::from_column_slice(&self.residuals);
        let jt = j.transpose();
        (&jt * &j, &jt * r)
    }
}

/// Where the sum of squares is least.
pub(crate) struct Minimum {
    pub(crate) at: na::DVector<f64>,
    /// Inverse of the normal matrix there.
    pub(crate) covariance: na::DMatrix<f64>,
    pub(crate) cost: f64,
}

/// Levenberg-Marquardt from `start` (Nocedal & Wright, Numerical Optimization, section 10.3). `rows` gives `None` where
/// the model has no value; `None` comes back when it has none at the start or leaves a direction free.
pub(crate) fn minimise(
    start: na::DVector<f64>,
    passes: usize,
    rows: impl Fn(&na::DVector<f64>) -> Option<Rows>,
) -> Option<Minimum> {
    let mut at = start;
    let mut here = rows(&at)?;
    let mut cost = here.cost();
    let mut damping = 1e-3;
    for _ in 0..passes {
        let (a, b) = here.normal();
        let mut moved = false;
        for _ in 0..12 {
            let mut damped = a.clone();
            for k in 0..a.nrows() {
                damped[(k, k)] += damping * a[(k, k)].max(1e-12);
            }
            let Some(step) = damped.cholesky().map(|c| c.solve(&b)) else {
                damping *= 10.0;
                continue;
            };
            let next = &at - &step;
            let Some(there) = rows(&next).filter(|r| r.cost() <= cost && r.cost().is_finite()) else {
                damping *= 8.0;
                continue;
            };
            let gain = cost - there.cost();
            (at, here, damping) = (next, there, f64::max(damping * 0.2, 1e-12));
            cost = here.cost();
            moved = gain > 1e-10 * (1.0 + cost);
            break;
        }
        if !moved {
            break;
        }
    }
    let covariance = here.normal().0.cholesky()?.inverse();
    Some(Minimum { at, covariance, cost })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST Statistical Reference Datasets, Misra1a (from memory): b1 = 238.94212918, b2 = 5.5015643181e-4, residual
    /// sum of squares 0.12455138894.
    #[test]
    fn a_certified_fit_is_reproduced() {
        let y = [
            10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78,
        ];
        let x =
            [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0];
        // Second parameter in 1e-4, so that both are of a size.
        let m = minimise(na::DVector::from_column_slice(&[500.0, 1.0]), 200, |b| {
            let mut rows = Rows::new(2);
            for (x, y) in x.iter().zip(y) {
                let e = (-b[1] * 1e-4 * x).exp();
                rows.push(b[0] * (1.0 - e) - y, [(0, 1.0 - e), (1, b[0] * e * x * 1e-4)]);
            }
            Some(rows)
        })
        .unwrap();
        assert!(
            (m.at[0] - 238.942_129_18).abs() < 1e-3 && (m.at[1] - 5.501_564_318_1).abs() < 1e-5,
            "{}",
            m.at
        );
        assert!((m.cost - 0.124_551_388_94).abs() < 1e-9);
    }
}
