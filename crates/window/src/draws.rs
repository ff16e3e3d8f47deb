use crate::parameters::Parameters;
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
