//! What a throw is worth: expected points.

use play::Situation;
use window::Draw;

/// Expected points of first and ten by yards from the offense's own goal: Carter & Machol 1971, Operations Research
/// 19, 541, from memory; not opened while this was written.
const FIRST_AND_TEN: [(f64, f64); 10] = [
    (5.0, -1.245),
    (15.0, -0.637),
    (25.0, 0.236),
    (35.0, 0.923),
    (45.0, 1.538),
    (55.0, 2.392),
    (65.0, 3.167),
    (75.0, 3.681),
    (85.0, 4.572),
    (95.0, 6.041),
];

/// A touchdown with its kick, points.
const TOUCHDOWN: f64 = 7.0;
/// Where the other side starts after a score, yards from its own goal; common practice, no source.
const AFTER_SCORE: f64 = 25.0;
/// Net yards of a punt, and how far out a field goal is tried, yards from the goal; common practice, no source.
const PUNT_NET: f64 = 38.0;
const FIELD_GOAL_FROM: f64 = 33.0;
/// How far past the catch a receiver runs per yard that the first defender is late, and at most; ours.
const RUN_PER_YARD: f64 = 0.5;
const RUN_AT_MOST: f64 = 8.0;

/// Expected points of first and ten (or goal) `from_own_goal` yards out, linear between the table's places and level
/// beyond its ends.
pub fn first_and_ten(from_own_goal: f64) -> f64 {
    let t = &FIRST_AND_TEN;
    let x = from_own_goal.clamp(t[0].0, t[t.len() - 1].0);
    let k = t.partition_point(|p| p.0 <= x).clamp(1, t.len() - 1);
    let ((x0, y0), (x1, y1)) = (t[k - 1], t[k]);
    y0 + (y1 - y0) * (x - x0) / (x1 - x0)
}

/// Down, distance and place as far as they are charted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// 1 to 4.
    pub down: u8,
    /// To the line to gain, yd.
    pub distance: f64,
    /// From the offense's own goal, yd.
    pub from_own_goal: f64,
}

impl Standing {
    /// The situation's; first and ten where down or distance are not charted; `None` without line and direction.
    pub fn of(situation: &Situation) -> Option<Self> {
        let to_goal = situation.yards_to_goal()?;
        Some(Self {
            down: situation.down.unwrap_or(1).clamp(1, 4),
            distance: situation.distance_yd.unwrap_or(10.0).clamp(0.1, to_goal.max(0.1)),
            from_own_goal: 100.0 - to_goal,
        })
    }

    /// Expected points of this down. First downs are the table's; later downs weigh reaching the line to gain against
    /// giving the ball up, with conversion chances that are common practice, no source.
    pub fn points(self) -> f64 {
        let convert = match self.down {
            1 => return first_and_ten(self.from_own_goal) - 0.04 * (self.distance - 10.0).max(0.0),
            2 => 0.86 - 0.025 * self.distance,
            3 => 0.72 - 0.038 * self.distance,
            _ => 0.62 - 0.05 * self.distance,
        }
        .clamp(0.05, 0.95);
        let there = self.from_own_goal + self.distance;
        let made = if there >= 100.0 { self.score() } else { first_and_ten(there) };
        let kick = self.given_up();
        if self.down >= 4 {
            // On fourth down the better of going on and kicking.
            let stopped = -first_and_ten(100.0 - self.from_own_goal);
            return kick.max(convert * made + (1.0 - convert) * stopped);
        }
        convert * made + (1.0 - convert) * kick
    }

    fn score(self) -> f64 {
        TOUCHDOWN - first_and_ten(AFTER_SCORE)
    }

    /// Expected points of a kick on fourth down.
    fn given_up(self) -> f64 {
        let to_goal = 100.0 - self.from_own_goal;
        if to_goal <= FIELD_GOAL_FROM {
            let good = (1.0 - 0.011 * to_goal).clamp(0.0, 0.98);
            let missed = -first_and_ten(to_goal.max(20.0));
            return good * (3.0 - first_and_ten(AFTER_SCORE)) + (1.0 - good) * missed;
        }
        -first_and_ten((to_goal - PUNT_NET).max(20.0))
    }

    /// Expected points after a gain, yd.
    pub fn after(self, gain: f64) -> f64 {
        let there = self.from_own_goal + gain;
        if there >= 100.0 {
            self.score()
        } else if gain >= self.distance {
            first_and_ten(there)
        } else if self.down >= 4 {
            -first_and_ten(100.0 - there)
        } else {
            Self { down: self.down + 1, distance: self.distance - gain, from_own_goal: there.max(1.0) }
                .points()
        }
    }

    /// Expected points after an interception `depth` yd past the line.
    pub fn intercepted(self, depth: f64) -> f64 {
        -first_and_ten(100.0 - (self.from_own_goal + depth).clamp(1.0, 99.0))
    }

    /// Expected points of a throw caught `depth` yd past the line with the figures of `draw`.
    pub fn throw(self, depth: f64, draw: &Draw) -> f64 {
        let run = (RUN_PER_YARD * draw.margin_yd).clamp(0.0, RUN_AT_MOST);
        let caught = self.after(depth + run);
        let missed = self.after(0.0);
        let lost = self.intercepted(depth);
        let miss = (1.0 - draw.complete - draw.intercept).max(0.0);
        draw.complete * caught + miss * missed + draw.intercept * lost
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use field::Direction;

    /// Carter & Machol 1971, from memory (docs/sources.md).
    #[test]
    fn the_tables_places_are_its_values_and_points_rise_toward_the_goal() {
        for (x, y) in [(5.0, -1.245), (25.0, 0.236), (55.0, 2.392), (95.0, 6.041)] {
            assert!((first_and_ten(x) - y).abs() < 1e-12);
        }
        assert!((first_and_ten(50.0) - (1.538 + 2.392) / 2.0).abs() < 1e-12);
        assert!((first_and_ten(1.0) + 1.245).abs() < 1e-12 && (first_and_ten(99.0) - 6.041).abs() < 1e-12);
        assert!((6..95).all(|x| first_and_ten(f64::from(x)) > first_and_ten(f64::from(x - 1))));
    }

    #[test]
    fn a_catch_past_the_line_to_gain_is_worth_more_than_one_short_of_it() {
        let s = Situation {
            down: Some(3),
            distance_yd: Some(8.0),
            line_x: Some(40.0),
            direction: Some(Direction::Up),
            ..Default::default()
        };
        let st = Standing::of(&s).unwrap();
        let sure = Draw { margin_s: 0.0, margin_yd: 0.0, complete: 1.0, intercept: 0.0 };
        assert!(st.throw(8.5, &sure) > st.throw(7.5, &sure) + 0.5);
        // A first down never costs, an interception always does.
        let picked = Draw { complete: 0.0, intercept: 1.0, ..sure };
        assert!(st.throw(20.0, &picked) < st.throw(0.0, &Draw { complete: 0.0, ..sure }));
        // Later downs are worth less.
        let at = |down| Standing { down, ..st }.points();
        assert!(at(1) > at(2) && at(2) > at(3) && at(3) > at(4));
        assert!(Standing::of(&Situation::default()).is_none());
    }

    #[test]
    fn reaching_the_end_zone_is_a_touchdown_less_the_kickoff() {
        let st = Standing { down: 1, distance: 5.0, from_own_goal: 95.0 };
        let sure = Draw { margin_s: 0.0, margin_yd: 0.0, complete: 1.0, intercept: 0.0 };
        assert!((st.throw(6.0, &sure) - (7.0 - 0.236)).abs() < 1e-12);
    }
}
