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
    /// The measurement with the spread of the repeats about it.
    pub fn summary(&self, release_s: f64) -> WindowCell {
        let estimate = |pick: fn(&Draw) -> f64| {
            let n = self.repeats.len().max(1) as f64;
            let value = pick(&self.measured);
            let mean = self.repeats.iter().map(pick).sum::<f64>() / n;
            let variance =
                self.repeats.iter().map(|d| (pick(d) - mean).powi(2)).sum::<f64>() / (n - 1.0).max(1.0);
            Estimate::new(value, variance.sqrt())
        };
        WindowCell {
            release_s,
            margin_s: estimate(|d| d.margin_s),
            margin_yd: estimate(|d| d.margin_yd),
            complete: estimate(|d| d.complete),
            intercept: estimate(|d| d.intercept),
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

/// Which of two cells of the same play is more open: only a gap that passes the resolution, with its sign sure enough, is
/// called a difference. The repeats are paired, so what shakes both alike cancels.
pub fn compare(a: &CellDraws, b: &CellDraws, p: &Parameters) -> Difference {
    if a.ball.is_none() || b.ball.is_none() {
        return match (a.ball.is_some(), b.ball.is_some()) {
            (true, false) => Difference::First,
            (false, true) => Difference::Second,
            _ => Difference::NotSeen,
        };
    }
    let r = &p.resolution;
    let gap_s = a.measured.margin_s - b.measured.margin_s;
    let gap_yd = a.measured.margin_yd - b.measured.margin_yd;
    if gap_s * gap_yd < 0.0 || (gap_s.abs() < r.margin_s && gap_yd.abs() < r.margin_yd) {
        return Difference::NotSeen;
    }
    let ahead = probability_ahead(&a.repeats, &b.repeats);
    if gap_s > 0.0 && ahead >= r.confidence {
        Difference::First
    } else if gap_s < 0.0 && 1.0 - ahead >= r.confidence {
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
