//! Errors and how often claimed 90% intervals cover.

use stats::Estimate;

#[derive(Default, Clone, Debug)]
pub struct Score {
    errors: Vec<f64>,
    covered: usize,
    claimed: Vec<f64>,
}

impl Score {
    pub fn add(&mut self, e: Estimate, truth: f64) {
        self.errors.push(e.value - truth);
        self.covered += usize::from(e.interval(0.9).contains(truth));
        self.claimed.push(e.se);
    }
    pub fn n(&self) -> usize {
        self.errors.len()
    }
    pub fn rms(&self) -> f64 {
        (self.errors.iter().map(|e| e * e).sum::<f64>() / self.n().max(1) as f64).sqrt()
    }
    pub fn bias(&self) -> f64 {
        self.errors.iter().sum::<f64>() / self.n().max(1) as f64
    }
    pub fn median_abs(&self) -> f64 {
        let mut e: Vec<f64> = self.errors.iter().map(|e| e.abs()).collect();
        e.sort_by(f64::total_cmp);
        e.get(e.len() / 2).copied().unwrap_or(f64::NAN)
    }
    /// Percent of truths inside the claimed 90% interval.
    pub fn coverage(&self) -> f64 {
        100.0 * self.covered as f64 / self.n().max(1) as f64
    }
    pub fn typical_se(&self) -> f64 {
        (self.claimed.iter().map(|e| e * e).sum::<f64>() / self.n().max(1) as f64).sqrt()
    }
    pub fn line(&self, name: &str) -> String {
        format!(
            "{name}: n {} rms {:.3} bias {:+.3} median |e| {:.3} claimed se {:.3} coverage {:.1}%",
            self.n(),
            self.rms(),
            self.bias(),
            self.median_abs(),
            self.typical_se(),
            self.coverage()
        )
    }
}
