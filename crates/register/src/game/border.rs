use nalgebra as na;

/// One frame's own equations about its aim, and their coupling to what all frames share.
pub(crate) struct Own {
    pub information: na::Matrix4<f64>,
    pub pull: na::Vector4<f64>,
    /// Shared unknowns by aim.
    pub cross: na::OMatrix<f64, na::Dyn, na::U4>,
}

/// Normal equations of many aims and one border of shared unknowns: an arrow, solved by eliminating each frame on its own (Schur
/// complement; Hartley & Zisserman, appendix 6.3), so that cost grows with the number of frames only.
pub(crate) struct Bordered {
    pub border: na::DMatrix<f64>,
    pub pull: na::DVector<f64>,
    pub own: Vec<Own>,
}

fn damped(m: &na::Matrix4<f64>, damping: f64) -> na::Matrix4<f64> {
    m + na::Matrix4::from_diagonal(&(m.diagonal() * damping).add_scalar(1e-12))
}

impl Bordered {
    pub fn new(shared: usize, frames: usize) -> Self {
        let own = (0..frames).map(|_| Own {
            information: na::Matrix4::zeros(),
            pull: na::Vector4::zeros(),
            cross: na::OMatrix::<f64, na::Dyn, na::U4>::zeros(shared),
        });
        Self {
            border: na::DMatrix::zeros(shared, shared),
            pull: na::DVector::zeros(shared),
            own: own.collect(),
        }
    }

    /// The shared unknowns' equations with every aim eliminated.
    fn reduced(&self, damping: f64) -> Option<(na::DMatrix<f64>, na::DVector<f64>)> {
        let mut a = self.border.clone();
        for k in 0..a.nrows() {
            a[(k, k)] += damping * a[(k, k)] + 1e-12;
        }
        let mut g = self.pull.clone();
        for o in &self.own {
            let inverse = damped(&o.information, damping).cholesky()?.inverse();
            let gain = &o.cross * inverse;
            a.gemm(-1.0, &gain, &o.cross.transpose(), 1.0);
            g -= gain * o.pull;
        }
        Some((a, g))
    }

    /// Steps of the shared unknowns and of every aim; `None` when the equations are not definite.
    pub fn step(&self, damping: f64) -> Option<(na::DVector<f64>, Vec<na::Vector4<f64>>)> {
        let (a, g) = self.reduced(damping)?;
        let border = na::linalg::Cholesky::new(a)?.solve(&g);
        let aims = self
            .own
            .iter()
            .map(|o| {
                let left = o.pull - o.cross.tr_mul(&border);
                Some(damped(&o.information, damping).cholesky()?.solve(&left))
            })
            .collect::<Option<Vec<_>>>()?;
        let finite = border.iter().chain(aims.iter().flat_map(|v| v.iter())).all(|v| v.is_finite());
        finite.then_some((border, aims))
    }

    /// Covariance of the shared unknowns.
    pub fn covariance(&self) -> Option<na::DMatrix<f64>> {
        Some(na::linalg::Cholesky::new(self.reduced(0.0)?.0)?.inverse())
    }
}
