use crate::model::{Matrix8, Model, Vector8};
use crate::prior::Belief;
use crate::rows::Normal;

/// Where Levenberg-Marquardt came to rest.
pub(crate) struct Rest {
    pub model: Model,
    /// Half the weighted sum of squares, prior included.
    pub cost: f64,
    /// The evidence's own half sum of squares.
    pub evidence_cost: f64,
    /// Information of the evidence alone.
    pub evidence: Matrix8,
    /// Information of evidence and belief.
    pub information: Matrix8,
}

/// Which parameters may move.
pub(crate) type Free = [bool; 8];
pub(crate) const ALL: Free = [true; 8];
pub(crate) const AIM_ONLY: Free = [true, true, true, true, false, false, false, false];

/// Levenberg-Marquardt (Hartley & Zisserman, appendix 6) over the eight parameters, with an optional Gaussian belief.
/// `evidence` gives the normal equations at a model, or `None` where the evidence cannot be seen.
pub(crate) fn minimise(
    start: Model,
    belief: Option<&Belief>,
    free: Free,
    steps: usize,
    evidence: impl Fn(&Model) -> Option<Normal>,
) -> Option<Rest> {
    let full = |m: &Model| -> Option<(Normal, f64, Matrix8, f64)> {
        let mut n = evidence(m)?;
        let (own, own_cost) = (n.information, n.cost);
        if let (Some(b), Model::Pinhole(p)) = (belief, m) {
            let (pull, cost) = b.pull(p);
            n.pull += pull;
            n.information += b.information;
            n.cost += cost;
        }
        let cost = n.cost;
        cost.is_finite().then_some((n, own_cost, own, cost))
    };
    let mut model = start;
    let mut at = full(&model)?;
    let mut damping = 1e-3;
    for _ in 0..steps {
        let Some(step) = solve(&at.0, damping, free) else { break };
        let small = step.amax() < 1e-10;
        let next = model.stepped(&step);
        match full(&next) {
            Some(n) if n.3 <= at.3 => {
                let gain = at.3 - n.3;
                model = next;
                at = n;
                damping = (damping * 0.2).max(1e-9);
                if small || gain < 1e-10 * (1.0 + at.3) {
                    break;
                }
            }
            _ => {
                if small || damping > 1e8 {
                    break;
                }
                damping *= 8.0;
            }
        }
    }
    Some(Rest { model, cost: at.3, evidence_cost: at.1, evidence: at.2, information: at.0.information })
}

/// Solves the damped normal equations over the free parameters.
fn solve(n: &Normal, damping: f64, free: Free) -> Option<Vector8> {
    let mut a = n.information;
    let mut b = n.pull;
    for k in 0..8 {
        if free[k] {
            // The floor keeps a direction without evidence still instead of singular.
            a[(k, k)] += damping * a[(k, k)] + 1e-12;
        } else {
            for j in 0..8 {
                a[(k, j)] = 0.0;
                a[(j, k)] = 0.0;
            }
            a[(k, k)] = 1.0;
            b[k] = 0.0;
        }
    }
    let step = a.cholesky()?.solve(&b);
    step.iter().all(|v| v.is_finite()).then_some(step)
}
