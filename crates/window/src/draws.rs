use crate::control::{Chances, claimed};
use crate::parameters::{ControlParameters, Parameters};
use play::{Ball, PersonId, ReceiverWindows, WindowCell};
use stats::Estimate;

/// One throw's figures in one repeat.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Draw {
    /// Margin, s.
    pub margin_s: f64,
    /// Margin, yd.
    pub margin_yd: f64,
    /// Chance of a completion.
    pub complete: f64,
    /// Chance of an interception.
    pub intercept: f64,
}

/// A receiver at a release: the measurement, and the repeats in the order of their seed.
#[derive(Clone, Debug, PartialEq)]
pub struct CellDraws {
    /// As measured.
    pub measured: Draw,
    /// The ball it takes; `None` when no throw the arm allows reaches him, and then no repeat is any better.
    pub ball: Option<Ball>,
    /// The defender who would be first.
    pub defender: Option<PersonId>,
    /// Repeats: entry `k` of every cell of a play rests on the same perturbed people.
    pub repeats: Vec<Draw>,
}

/// Windows of every receiver at every release, with the repeats behind their error bars.
#[derive(Clone, Debug, PartialEq)]
pub struct WindowDraws {
    /// Release times, s from the snap.
    pub releases: Vec<f64>,
    /// Receivers, in the order of the scene.
    pub receivers: Vec<PersonId>,
    /// By receiver, then release; `None` where passer or receiver was not seen.
    pub cells: Vec<Option<CellDraws>>,
    /// Number of repeats in every cell.
    pub draws: usize,
}

impl WindowDraws {
    /// The receiver's place among [`Self::receivers`].
    pub fn receiver(&self, id: &PersonId) -> Option<usize> {
        self.receivers.iter().position(|r| r == id)
    }
    /// The release nearest to `t_s`, if one lies within a release step of it.
    pub fn release(&self, t_s: f64) -> Option<usize> {
        let first = *self.releases.first()?;
        // Releases are evenly spaced.
        let step = self.releases.get(1).map_or(1.0 / 30.0, |second| second - first);
        let k = ((t_s - first) / step).round();
        (k >= -1.0 && k <= self.releases.len() as f64)
            .then(|| (k.max(0.0) as usize).min(self.releases.len() - 1))
    }
    /// A cell.
    pub fn cell(&self, receiver: usize, release: usize) -> Option<&CellDraws> {
        self.cells.get(receiver * self.releases.len() + release)?.as_ref()
    }
    /// Windows with standard errors, as the rest of the program knows them.
    pub fn windows(&self) -> Vec<ReceiverWindows> {
        let of = |r: usize| {
            self.releases
                .iter()
                .enumerate()
                .filter_map(|(k, &t)| self.cell(r, k).map(|c| c.summary(t)))
                .collect()
        };
        self.receivers
            .iter()
            .enumerate()
            .map(|(r, id)| ReceiverWindows { receiver: id.clone(), cells: of(r) })
            .collect()
    }
}

impl CellDraws {
    /// The cell with its chances as they are claimed: their mean moves to where outcomes ask for it, and the repeats keep about it what
    /// spread fits between 0 and 1.
    pub(crate) fn claimed(mut self, p: &ControlParameters) -> Self {
        if p.claims_as_raced() || self.repeats.is_empty() {
            return self;
        }
        let n = self.repeats.len() as f64;
        let mean = |pick: fn(&Draw) -> f64| self.repeats.iter().map(pick).sum::<f64>() / n;
        let raced = Chances { complete: mean(|d| d.complete), intercept: mean(|d| d.intercept) };
        if raced.complete <= 0.0 || raced.complete >= 1.0 {
            return self;
        }
        let now = claimed(p, raced);
        let rest = (1.0 - now.complete) / (1.0 - raced.complete);
        let spread = (now.complete / raced.complete).min(rest);
        for d in self.repeats.iter_mut().chain([&mut self.measured]) {
            d.complete = now.complete + spread * (d.complete - raced.complete);
            d.intercept = (d.intercept * rest).min(1.0 - d.complete);
        }
        self
    }
    /// The measurement with the spread of the repeats. Margins stand as measured; a chance is the mean over the repeats, which
    /// is what is claimed once errors of measurement are averaged over, and what calibration holds against outcomes.
    pub fn summary(&self, release_s: f64) -> WindowCell {
        let spread = |pick: fn(&Draw) -> f64| {
            let n = self.repeats.len().max(1) as f64;
            let mean = self.repeats.iter().map(pick).sum::<f64>() / n;
            let variance =
                self.repeats.iter().map(|d| (pick(d) - mean).powi(2)).sum::<f64>() / (n - 1.0).max(1.0);
            (mean, variance.sqrt())
        };
        let margin = |pick: fn(&Draw) -> f64| Estimate::new(pick(&self.measured), spread(pick).1);
        let chance = |pick: fn(&Draw) -> f64| match spread(pick) {
            (mean, se) if !self.repeats.is_empty() => Estimate::new(mean, se),
            (_, se) => Estimate::new(pick(&self.measured), se),
        };
        WindowCell {
            release_s,
            margin_s: margin(|d| d.margin_s),
            margin_yd: margin(|d| d.margin_yd),
            complete: chance(|d| d.complete),
            intercept: chance(|d| d.intercept),
            ball: self.ball,
            defender: self.defender.clone(),
        }
    }
}

/// How two throws compare.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Difference {
    /// The first is more open.
    First,
    /// The second is more open.
    Second,
    /// No difference that can be seen.
    NotSeen,
}

/// Which of two cells of the same play is more open. A difference is called only when the measured gap passes the
/// resolution, most repeats agree that it does, and its sign is sure enough. The repeats are paired, so what shakes both
/// alike cancels.
pub fn compare(a: &CellDraws, b: &CellDraws, p: &Parameters) -> Difference {
    let r = &p.resolution;
    let beyond = |x: &Draw, y: &Draw| {
        let (s, yd) = (x.margin_s - y.margin_s, x.margin_yd - y.margin_yd);
        s * yd >= 0.0 && s > 0.0 && (s >= r.margin_s || yd >= r.margin_yd)
    };
    let called = |a: &CellDraws, b: &CellDraws| {
        let agree = a.repeats.iter().zip(&b.repeats).filter(|(x, y)| beyond(x, y)).count();
        beyond(&a.measured, &b.measured)
            && agree as f64 >= r.agreement * a.repeats.len().min(b.repeats.len()) as f64
            && probability_ahead(&a.repeats, &b.repeats) >= r.confidence
    };
    if called(a, b) {
        Difference::First
    } else if called(b, a) {
        Difference::Second
    } else {
        Difference::NotSeen
    }
}

/// Share of the paired repeats in which the first margin is the larger; ties count half.
pub fn probability_ahead(a: &[Draw], b: &[Draw]) -> f64 {
    let mut sum = 0.0;
    for (x, y) in a.iter().zip(b) {
        sum += match x.margin_s.total_cmp(&y.margin_s) {
            std::cmp::Ordering::Greater => 1.0,
            std::cmp::Ordering::Equal => 0.5,
            std::cmp::Ordering::Less => 0.0,
        };
    }
    sum / a.len().min(b.len()).max(1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::control::Chances;

    /// Repeats that are sure one way or the other, and claims far below and above them.
    #[test]
    fn a_claimed_cell_has_the_claimed_mean_and_stays_between_none_and_all() {
        let draw = |complete: f64| Draw { complete, intercept: 0.2 * (1.0 - complete), ..Draw::default() };
        let cell = CellDraws {
            measured: draw(1.0),
            ball: None,
            defender: None,
            repeats: [0.0, 0.0, 0.1, 0.9, 1.0].map(draw).to_vec(),
        };
        for (shift, bend) in [(-3.0, 0.0), (0.0, 0.7), (0.4, -1.2), (3.0, 0.0)] {
            let mut p = Parameters::ours().control;
            (p.claim_shift, p.claim_bend) = (shift, bend);
            let now = cell.clone().claimed(&p);
            let wanted = claimed(&p, Chances { complete: 0.4, intercept: 0.12 });
            let mean = |pick: fn(&Draw) -> f64| now.repeats.iter().map(pick).sum::<f64>() / 5.0;
            assert!((mean(|d| d.complete) - wanted.complete).abs() < 1e-12);
            assert!(mean(|d| d.intercept) <= wanted.intercept + 1e-12);
            for d in now.repeats.iter().chain([&now.measured]) {
                assert!((0.0..=1.0).contains(&d.complete), "{d:?}");
                assert!(d.intercept >= 0.0 && d.complete + d.intercept <= 1.0 + 1e-12, "{d:?}");
            }
            let order = |c: &CellDraws| c.repeats.windows(2).all(|w| w[0].complete <= w[1].complete);
            assert!(order(&now), "{now:?}");
        }
        assert_eq!(
            cell.clone().claimed(&Parameters::ours().control),
            cell,
            "as raced while nothing is fitted"
        );
    }
}
