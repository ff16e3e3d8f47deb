//! Warm-up: the step by dual averaging, the variances of the parameters in doubling windows.

/// Step size by dual averaging (Nesterov 2009, as Hoffman & Gelman 2014 use it, with their constants).
pub(super) struct StepSize {
    accept: f64,
    anchor: f64,
    ln: f64,
    averaged: f64,
    error: f64,
    count: f64,
}

impl StepSize {
    pub fn new(accept: f64, step: f64) -> Self {
        Self { accept, anchor: (10.0 * step).ln(), ln: step.ln(), averaged: 0.0, error: 0.0, count: 0.0 }
    }
    pub fn now(&self) -> f64 {
        self.ln.exp()
    }
    pub fn learn(&mut self, accepted: f64) {
        const GAMMA: f64 = 0.05;
        const OFFSET: f64 = 10.0;
        const KAPPA: f64 = 0.75;
        self.count += 1.0;
        let weight = 1.0 / (self.count + OFFSET);
        self.error = (1.0 - weight) * self.error + weight * (self.accept - accepted);
        self.ln = self.anchor - self.count.sqrt() / GAMMA * self.error;
        let kept = self.count.powf(-KAPPA);
        self.averaged = kept * self.ln + (1.0 - kept) * self.averaged;
    }
    /// The step to keep.
    pub fn settled(&self) -> f64 {
        if self.count > 0.0 { self.averaged.exp() } else { self.now() }
    }
}

/// Running variances (Welford 1962).
pub(super) struct Variances {
    n: f64,
    mean: Vec<f64>,
    square: Vec<f64>,
}

impl Variances {
    pub fn new(dim: usize) -> Self {
        Self { n: 0.0, mean: vec![0.0; dim], square: vec![0.0; dim] }
    }
    pub fn add(&mut self, at: &[f64]) {
        self.n += 1.0;
        for ((m, s), x) in self.mean.iter_mut().zip(&mut self.square).zip(at) {
            let d = x - *m;
            *m += d / self.n;
            *s += d * (x - *m);
        }
    }
    /// Variances drawn a little toward a small one, so that a short window cannot make one 0.
    pub fn regular(&self) -> Vec<f64> {
        let n = self.n;
        self.square.iter().map(|s| n / (n + 5.0) * s / (n - 1.0).max(1.0) + 1e-3 * 5.0 / (n + 5.0)).collect()
    }
}

/// When variances are collected.
pub(super) struct Windows {
    /// From this step on.
    pub first: usize,
    /// Up to this one.
    pub last: usize,
    /// Where a window ends.
    pub at: Vec<usize>,
}

/// A stretch to find the bulk, windows of 25, 50, 100 ... steps, and a stretch to settle the step.
pub(super) fn windows(warm: usize) -> Windows {
    let (first, last) = (warm * 15 / 100, warm - warm / 6);
    let mut at = Vec::new();
    let (mut end, mut size) = (first, 25);
    while end < last {
        end += size;
        size *= 2;
        // A rest too short for a window of its own joins the last.
        if end + size > last {
            end = last;
        }
        at.push(end);
    }
    Windows { first, last, at }
}
