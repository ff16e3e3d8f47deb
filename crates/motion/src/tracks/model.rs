use nalgebra as na;

/// How people run, as the prior of their paths: along each axis the acceleration forgets itself exponentially
/// (Singer 1970, IEEE Trans. Aerosp. Electron. Syst. 6, 473), so that velocity and place are its integrals.
///
/// Sprinters accelerate at 6.4 m/s² at most (di Prampero et al. 2005); cuts brake harder. A root mean square of 5 yd/s²
/// per axis lets a cut happen within the forgetting time of 0.4 s while straight running between sparse marks stays
/// straight: values chosen on simulated runners, whose claimed intervals the tests check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Running {
    /// Root mean square acceleration per axis, yd/s².
    pub acceleration_sd: f64,
    /// Time in which an acceleration is forgotten, s.
    pub forget_s: f64,
    /// Standard deviation of the velocity at the first mark, per axis, yd/s.
    pub start_speed_sd: f64,
}

impl Default for Running {
    fn default() -> Self {
        Self { acceleration_sd: 4.5, forget_s: 0.4, start_speed_sd: 4.0 }
    }
}

// Nodes and weights of Gauss-Legendre quadrature with five points on (-1, 1) (Abramowitz & Stegun, table 25.4).
const NODES: [(f64, f64); 5] = [
    (0.0, 0.568_888_888_888_889),
    (-0.538_469_310_105_683, 0.478_628_670_499_366),
    (0.538_469_310_105_683, 0.478_628_670_499_366),
    (-0.906_179_845_938_664, 0.236_926_885_056_189),
    (0.906_179_845_938_664, 0.236_926_885_056_189),
];

impl Running {
    /// What an acceleration of 1 has become in place, velocity and acceleration after `t` s.
    fn response(&self, t: f64) -> na::Vector3<f64> {
        let x = t / self.forget_s;
        let gone = -(-x).exp_m1();
        // x − gone loses its digits for short times: its series begins x²/2 − x³/6.
        let place = if x < 1e-3 { x * x * (0.5 - x / 6.0) } else { x - gone };
        na::Vector3::new(place * self.forget_s * self.forget_s, gone * self.forget_s, 1.0 - gone)
    }
    /// Transition of (place, velocity, acceleration) along one axis over `t` s.
    pub(crate) fn transition(&self, t: f64) -> na::Matrix3<f64> {
        let r = self.response(t);
        na::Matrix3::new(1.0, t, r[0], 0.0, 1.0, r[1], 0.0, 0.0, r[2])
    }
    /// Covariance that the random part adds over `t` s, by quadrature, which keeps it positive for short and long times.
    pub(crate) fn noise(&self, t: f64) -> na::Matrix3<f64> {
        let panels = (t / self.forget_s).ceil().max(1.0);
        let h = t / panels;
        let mut q = na::Matrix3::zeros();
        for panel in 0..panels as usize {
            for (x, w) in NODES {
                let r = self.response(h * (panel as f64 + 0.5 + 0.5 * x));
                q += r * r.transpose() * (0.5 * h * w);
            }
        }
        q * (2.0 * self.acceleration_sd * self.acceleration_sd / self.forget_s)
    }
}
