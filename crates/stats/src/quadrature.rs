//! Groups drawn together by integrating over a grid: exact, quick and without chance, for one factor.

/// Spreads below this are taken for it: groups that differ by less are alike in every figure that is shown.
const LEAST_SPREAD: f64 = 0.07;
/// Nodes of the spread and, for each, of the mean.
const SPREADS: usize = 36;
const MEANS: usize = 41;

/// Posterior masses of each group's truth over `grid`, which is even, given the logarithm of its likelihood there. Truths scatter
/// normally around a mean with the prior N(0, `mean_sd`²) and a spread with a half-normal prior of scale `spread_sd`. `center` and
/// `error` are about where the mean lies and how well it is known without any spread.
pub(crate) fn masses(
    ln_likelihood: &[Vec<f64>],
    grid: &[f64],
    mean_sd: f64,
    spread_sd: f64,
    center: f64,
    error: f64,
) -> Vec<Vec<f64>> {
    let likelihood: Vec<Vec<f64>> = ln_likelihood
        .iter()
        .map(|l| {
            let top = l.iter().copied().fold(f64::MIN, f64::max);
            l.iter().map(|v| (v - top).exp()).collect()
        })
        .collect();
    let groups = likelihood.len() as f64;
    let step = grid[1] - grid[0];
    // The prior of a truth over the grid, and where it matters.
    let prior = |mean: f64, spread: f64| {
        let at = |v: f64| (((v - grid[0]) / step).max(0.0) as usize).min(grid.len() - 1);
        let (first, last) = (at(mean - 5.0 * spread), at(mean + 5.0 * spread));
        let p: Vec<f64> = grid[first..=last]
            .iter()
            .map(|t| (-0.5 * ((t - mean) / spread).powi(2)).exp() / spread)
            .collect();
        (first, p)
    };
    let mut nodes = Vec::new();
    for k in 0..SPREADS {
        // Denser near 0, where most of what is at stake lies.
        let u = (k as f64 + 0.5) / SPREADS as f64;
        let spread = LEAST_SPREAD + 3.0 * spread_sd * u * u;
        let wide = 6.0 * spread_sd * u / SPREADS as f64;
        let reach = 6.0 * (error * error + spread * spread / groups * 4.0).sqrt();
        for j in 0..MEANS {
            let mean = center + reach * (2.0 * (j as f64 + 0.5) / MEANS as f64 - 1.0);
            let (first, p) = prior(mean, spread);
            let ln: f64 = likelihood
                .iter()
                .map(|l| {
                    l[first..first + p.len()].iter().zip(&p).map(|(a, b)| a * b).sum::<f64>().max(1e-300).ln()
                })
                .sum();
            let priors = -0.5 * (mean / mean_sd).powi(2) - 0.5 * (spread / spread_sd).powi(2);
            nodes.push((ln + priors + (wide * reach).ln(), mean, spread));
        }
    }
    let top = nodes.iter().map(|n| n.0).fold(f64::MIN, f64::max);
    let mut out = vec![vec![0.0; grid.len()]; likelihood.len()];
    for (ln, mean, spread) in nodes {
        let weight = (ln - top).exp();
        if weight < 1e-7 {
            continue;
        }
        let (first, p) = prior(mean, spread);
        for (o, l) in out.iter_mut().zip(&likelihood) {
            let here: Vec<f64> = l[first..first + p.len()].iter().zip(&p).map(|(a, b)| a * b).collect();
            let sum = here.iter().sum::<f64>().max(1e-300);
            o[first..].iter_mut().zip(&here).for_each(|(o, h)| *o += weight * h / sum);
        }
    }
    for o in &mut out {
        let sum: f64 = o.iter().sum();
        o.iter_mut().for_each(|v| *v /= sum);
    }
    out
}

/// Where a share `p` of the masses lies below.
pub(crate) fn below(masses: &[f64], grid: &[f64], p: f64) -> f64 {
    let step = grid[1] - grid[0];
    let mut sum = 0.0;
    for (m, t) in masses.iter().zip(grid) {
        if sum + m >= p {
            return t + step * ((p - sum) / m.max(1e-300) - 0.5);
        }
        sum += m;
    }
    grid[grid.len() - 1]
}
