//! What other crates find out of a play for its line: plain data, so that this crate knows neither reads nor windows.

use serde::{Deserialize, Serialize};
use stats::Estimate;

/// What was recognised of a play, and what the playbook says of its words.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Scouted {
    /// Kind of the charted coverage, if the playbook has it.
    pub family: Option<String>,
    /// Whether the charted coverage is man to man underneath.
    pub charted_man: Option<bool>,
    /// Whether the charted coverage closes the deep middle.
    pub charted_closed: Option<bool>,
    /// Kind of coverage recognised, with its share among all kinds.
    pub seen_family: Option<(String, f64)>,
    /// Share of man coverage as recognised.
    pub seen_man: Option<f64>,
    /// Probability that somebody held the deep middle.
    pub seen_closed: Option<f64>,
    /// Deep safeties at the snap and how sure the count is.
    pub shell: Option<(u8, f64)>,
    /// Rushers seen.
    pub rushers: Option<u8>,
    /// When the charted drop's ball is out, earliest and latest, s from the snap.
    pub drop_out_s: Option<(f64, f64)>,
    /// Slots of the first plan's looks in their order.
    pub looks: Vec<String>,
    /// Depth past the line of where the ball arrived, yd.
    pub depth_yd: Option<Estimate>,
    /// Where the ball arrived, to the offense's left of its spot, yd.
    pub left_yd: Option<Estimate>,
    /// Result against expectation, or why there is none.
    pub expected: Option<Expected>,
    /// Why there is no expectation.
    pub not_expected: String,
}

/// A thrown ball held against what was there: each of two scales has the same steps.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Expected {
    /// In chance of completion.
    pub chance: Steps,
    /// In expected points; `None` where the situation or the gain is not charted.
    pub points: Option<Steps>,
}

/// From the best window that was there down to what came.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Steps {
    /// Best window of anybody between the set and the release.
    pub best: Estimate,
    /// Best window of the receiver thrown to in that time.
    pub target: Estimate,
    /// His window at the release.
    pub release: Estimate,
    /// The ball as it was thrown; `None` when it was not measured.
    pub thrown: Option<Estimate>,
    /// What came.
    pub came: f64,
}

impl Steps {
    /// Choice, timing, placement, receivers and all else; they sum to what came less the best window. Placement and the rest
    /// are `None` when the ball was not measured.
    pub fn parts(&self) -> [Option<Estimate>; 4] {
        let less = |a: Estimate, b: Estimate| Estimate::new(a.value - b.value, a.se.hypot(b.se));
        [
            Some(less(self.target, self.best)),
            Some(less(self.release, self.target)),
            self.thrown.map(|t| less(t, self.release)),
            self.thrown.map(|t| Estimate::new(self.came - t.value, t.se)),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_parts_sum_to_what_came_less_the_best() {
        let e = |v| Estimate::new(v, 0.05);
        let s = Steps { best: e(0.82), target: e(0.7), release: e(0.55), thrown: Some(e(0.31)), came: 1.0 };
        let parts: Vec<f64> = s.parts().iter().map(|p| p.unwrap().value).collect();
        let by_hand = [-0.12, -0.15, -0.24, 0.69];
        assert!(parts.iter().zip(by_hand).all(|(a, b)| (a - b).abs() < 1e-12), "{parts:?}");
        assert!((parts.iter().sum::<f64>() - (1.0 - 0.82)).abs() < 1e-12);
        assert_eq!(Steps { thrown: None, ..s }.parts()[2], None);
    }
}
