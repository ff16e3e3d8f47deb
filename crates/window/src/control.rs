use crate::parameters::ControlParameters;

/// Chance that somebody whose expected arrival is `late` seconds after now has arrived, by a logistic arrival time of
/// standard deviation `spread` (Spearman 2017, physics-based pass probabilities; 2018, beyond expected goals).
#[inline(always)]
pub(crate) fn arrived(late: f64, spread: f64) -> f64 {
    const LOGISTIC: f64 = std::f64::consts::PI / 1.732_050_807_568_877_2;
    1.0 / (1.0 + (LOGISTIC * late / spread).exp())
}

/// A mover in a race for a ball that is at one place: expected arrival and control rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Racer {
    /// Expected arrival, s.
    pub arrives_s: f64,
    /// Control rate once there, 1/s.
    pub rate: f64,
}

/// Chance of each racer to control a ball that can be played from `from_s` for `alive_s`, by Spearman's equations:
/// d(chance) = (1 − sum of chances) · arrived · rate · dt. One step solves the shared loss exactly for rates held over
/// the step, so that chances never pass 1.
pub fn control(racers: &[Racer], spread_s: f64, from_s: f64, alive_s: f64, steps: usize) -> Vec<f64> {
    let mut chance = vec![0.0; racers.len()];
    let mut free = 1.0;
    let h = alive_s / steps as f64;
    for k in 0..steps {
        let t = from_s + (k as f64 + 0.5) * h;
        let rates: Vec<f64> = racers.iter().map(|r| r.rate * arrived(r.arrives_s - t, spread_s)).collect();
        let total: f64 = rates.iter().sum();
        if total <= 0.0 {
            continue;
        }
        let taken = free * (1.0 - (-total * h).exp());
        for (c, r) in chance.iter_mut().zip(&rates) {
            *c += taken * r / total;
        }
        free -= taken;
    }
    chance
}

/// Chances of a throw: caught by the receiver, caught by the defense.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Chances {
    /// Completion, 0 to 1.
    pub complete: f64,
    /// Interception, 0 to 1.
    pub intercept: f64,
}

/// Steps over the catch in [`chances`].
const CATCH_STEPS: usize = 4;

/// Chances of one throw. `stations` yields (seconds for which the ball passes, then the slack of each defender there) for
/// touchable stations before the catch; `receiver_late` and `defenders_late` are arrival times less the ball's at the
/// catch; `placed` is the chance that the ball comes within the receiver's reach.
#[inline]
pub(crate) fn chances(
    p: &ControlParameters,
    stations: impl Iterator<Item = (f64, f64)>,
    receiver_late: f64,
    defenders_late: &[f64],
    placed: f64,
) -> Chances {
    let mut free = 1.0;
    let mut defense = 0.0;
    for (passing_s, slack) in stations {
        let taken = free * (1.0 - (-p.flight_rate * arrived(slack, p.arrival_spread_s) * passing_s).exp());
        defense += taken;
        free -= taken;
    }
    let h = p.alive_s / CATCH_STEPS as f64;
    let mut caught = 0.0;
    for k in 0..CATCH_STEPS {
        let t = (k as f64 + 0.5) * h;
        let r = placed * p.receiver_rate * arrived(receiver_late - t, p.arrival_spread_s);
        let d: f64 = defenders_late.iter().map(|&l| arrived(l - t, p.arrival_spread_s)).sum::<f64>()
            * p.receiver_rate
            * p.defender_factor;
        let total = r + d;
        if total > 0.0 {
            let taken = free * (1.0 - (-total * h).exp());
            caught += taken * r / total;
            defense += taken * d / total;
            free -= taken;
        }
    }
    Chances { complete: caught * (1.0 - p.drop), intercept: defense * p.intercept_share }
}

/// Chances with the completion's log odds where outcomes ask for them: on a line (Cox 1958) that may be steeper on one side than on
/// the other (beta calibration, Kull, Silva Filho & Flach 2017, Proc. AISTATS); what is left to the rest shrinks or grows with it.
/// Handed the mean over the repeats of a throw: outcomes tell of that, not of one repeat.
pub(crate) fn claimed(p: &ControlParameters, Chances { complete, intercept }: Chances) -> Chances {
    if p.claims_as_raced() || complete <= 0.0 || complete >= 1.0 {
        return Chances { complete, intercept };
    }
    let (small, great) = (p.claim_slope * p.claim_bend.exp(), p.claim_slope * (-p.claim_bend).exp());
    let odds = p.claim_shift.exp() * complete.powf(small) / (1.0 - complete).powf(great);
    Chances { complete: odds / (1.0 + odds), intercept: intercept / (1.0 - complete) / (1.0 + odds) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Solutions of the race equations with the published soccer parameters of 2018 (s .54, rate 3.99, factor 1.72;
    /// docs/sources.md; `tests/reference.rs` solves them again with SciPy).
    #[test]
    fn published_races_are_met() {
        let rows = [
            ((2.0, 2.0, 2.0, 1.72), (0.3676, 0.6324)),
            ((2.0, 2.0, 2.0, 1.0), (0.5, 0.5)),
            ((1.5, 2.0, 2.0, 1.72), (0.4633, 0.5367)),
            ((1.5, 2.0, 2.0, 1.0), (0.591, 0.409)),
            ((2.0, 3.0, 2.0, 1.72), (0.8154, 0.1846)),
        ];
        for ((a, d, ball, factor), (pa, pd)) in rows {
            let racers = [Racer { arrives_s: a, rate: 3.99 }, Racer { arrives_s: d, rate: 3.99 * factor }];
            let c = control(&racers, 0.54, ball, 12.0, 4000);
            assert!((c[0] - pa).abs() < 1e-4 && (c[1] - pd).abs() < 1e-4, "{a} {d} {ball}: {c:?}");
        }
    }

    /// By the published formula with a = .5, b = 2, c = .3: odds e^.3 · p^.5 / (1 − p)^2; at p = .4 they are 2.3714.
    #[test]
    fn a_bent_claim_is_the_published_curve_and_stays_in_order() {
        let mut p = crate::Parameters::ours().control;
        (p.claim_shift, p.claim_slope, p.claim_bend) = (0.3, 1.0, -std::f64::consts::LN_2);
        let at = |complete| claimed(&p, Chances { complete, intercept: 0.1 * (1.0 - complete) });
        assert!((at(0.4).complete - 2.371_4 / 3.371_4).abs() < 1e-4, "{:?}", at(0.4));
        for k in 1..99 {
            let (low, high) = (at(f64::from(k) / 100.0), at(f64::from(k + 1) / 100.0));
            assert!(low.complete < high.complete);
            // A tenth of what is not complete was intercepted, and still is.
            assert!((low.intercept - 0.1 * (1.0 - low.complete)).abs() < 1e-12);
        }
    }

    #[test]
    fn chances_stay_chances_and_fall_with_the_defender() {
        let p = crate::Parameters::ours().control;
        let open = chances(&p, std::iter::empty(), -0.5, &[2.0], 0.95);
        let tight = chances(&p, std::iter::empty(), -0.1, &[-0.1], 0.95);
        let under = chances(&p, [(0.3, -0.4)].into_iter(), -0.5, &[2.0], 0.95);
        assert!(open.complete > 0.8 && open.intercept < 0.02, "{open:?}");
        assert!(tight.complete < 0.55 && under.complete < open.complete && under.intercept > open.intercept);
        let bolder = ControlParameters { claim_shift: 0.3, claim_slope: 1.2, ..p };
        let again = claimed(&bolder, tight);
        let odds = |c: f64| (c / (1.0 - c)).ln();
        assert!((odds(again.complete) - 0.3 - 1.2 * odds(tight.complete)).abs() < 1e-12);
        let share = |c: Chances| c.intercept / (1.0 - c.complete);
        assert!((share(again) - share(tight)).abs() < 1e-12);
        for c in [open, tight, under, again] {
            assert!(c.complete >= 0.0 && c.intercept >= 0.0 && c.complete + c.intercept <= 1.0);
        }
    }
}
