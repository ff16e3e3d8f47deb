use crate::RegisterError;
use crate::click::Mark;
use crate::minimise::Rest;
use crate::model::{Model, Surface};
use crate::rows::rows;

/// Standardised squared residuals above this quantile contradict the stated click error. 5 sd: one honest set in millions,
/// while naming the next yard line is tens of px off.
const Z_LIMIT: f64 = 5.0;
/// People click worse than they say: up to this many px (or sd, see [`limit_px`]) is sloppy, not contradictory.
const SLOPPY_PX: f64 = 3.0;

/// Distance of a click from the place that the model gives it, px.
fn distance(m: &Model, s: &Surface, mark: &Mark) -> f64 {
    rows(m, s, mark).map_or(f64::INFINITY, |r| r.iter().map(|r| r.offset * r.offset).sum::<f64>().sqrt())
}

/// Upper quantile of chi-square by Wilson & Hilferty 1931, `z` standard deviations up.
fn chi_square_quantile(dof: f64, z: f64) -> f64 {
    let a = 2.0 / (9.0 * dof);
    dof * (1.0 - a + z * a.sqrt()).max(0.0).powi(3)
}

/// Accepts a fit, or names the click that the others contradict. `refit` solves again from a subset.
pub(crate) fn check(
    marks: &[Mark],
    s: &Surface,
    fit: &Rest,
    unknowns: usize,
    refit: impl Fn(&[Mark]) -> Option<Rest>,
) -> Result<(), RegisterError> {
    let equations: usize = marks.iter().map(Mark::equations).sum();
    let spare = equations.saturating_sub(unknowns);
    let sum = 2.0 * fit.evidence_cost;
    let sd = marks.iter().map(|m| m.sd_px).sum::<f64>() / marks.len() as f64;
    let sloppy = (SLOPPY_PX / sd).max(1.0).powi(2);
    // The belief in a level camera still stands against a fit without spare equations.
    let allowed = chi_square_quantile(spare.max(1) as f64, Z_LIMIT) * sloppy;
    let rms_px =
        (marks.iter().map(|m| distance(&fit.model, s, m).powi(2)).sum::<f64>() / equations as f64).sqrt();
    if 2.0 * fit.cost <= allowed.max(chi_square_quantile(spare.max(1) as f64 + 5.0, Z_LIMIT))
        && sum <= allowed
    {
        return Ok(());
    }
    let worst_here = (0..marks.len())
        .max_by(|&a, &b| distance(&fit.model, s, &marks[a]).total_cmp(&distance(&fit.model, s, &marks[b])))
        .expect("there are clicks");
    let limit_px = (allowed * sd * sd / equations as f64).sqrt();
    // Leave each out in turn: the one whose absence helps most is the odd one, if the rest can tell.
    let mut without: Vec<(usize, Rest)> = Vec::new();
    for k in 0..marks.len() {
        let kept: Vec<Mark> = marks.iter().enumerate().filter(|(j, _)| *j != k).map(|(_, m)| *m).collect();
        let left: usize = kept.iter().map(Mark::equations).sum();
        if left > unknowns {
            without.extend(refit(&kept).map(|r| (k, r)));
        }
    }
    without.sort_by(|a, b| a.1.cost.total_cmp(&b.1.cost));
    match without.first() {
        Some((k, r)) => Err(RegisterError::Contradictory {
            click: k + 1,
            residual_px: distance(&r.model, s, &marks[*k]),
            limit_px: (SLOPPY_PX * 2.0).max(Z_LIMIT * marks[*k].sd_px),
            rms_px,
            // As good an explanation: within the cost of one more sloppy click.
            or: without[1..]
                .iter()
                .filter(|(_, o)| o.cost < r.cost + 0.5 * Z_LIMIT * Z_LIMIT * sloppy)
                .map(|(j, _)| j + 1)
                .collect(),
        }),
        None => Err(RegisterError::ContradictoryUntraced { click: worst_here + 1, rms_px, limit_px }),
    }
}
