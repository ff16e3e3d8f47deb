use serde::{Deserialize, Serialize};

/// A parameter and the standard deviation that perturbed repeats draw it with.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spread {
    /// Best value.
    pub value: f64,
    /// Standard deviation, same unit.
    pub sd: f64,
}

/// How somebody moves: the resisted sprint of Fujimura & Sugihara 2005, with its acceleration capped at what sprinters
/// are measured to reach.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MoverParameters {
    /// Time for which he keeps his present velocity, s.
    pub reaction_s: Spread,
    /// Fastest run, yd/s.
    pub top_speed_ydps: Spread,
    /// Time constant of the approach to the top speed, s.
    pub time_constant_s: f64,
    /// Greatest acceleration in any direction, yd/s².
    pub acceleration_ydps2: Spread,
    /// How far from his ground point he plays a ball, yd.
    pub arm_yd: Spread,
}

/// Bodies and heights.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BodyParameters {
    /// Standard deviation of the tracked point about the body, yd.
    pub lean_yd: f64,
    /// Stature, yd.
    pub stature_yd: f64,
    /// Standing reach over stature.
    pub standing_reach: f64,
    /// Jump, yd.
    pub jump_yd: f64,
    /// Release height over stature.
    pub release_height: f64,
}

/// How the receiver leaves his route for the ball.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RouteParameters {
    /// Share of the flight for which he still runs the route, 0 to 1.
    pub share: f64,
    /// And at least this long, s.
    pub look_s: f64,
    /// Farthest off his way that he adjusts to a badly placed ball, yd.
    pub latitude_yd: f64,
    /// Seconds of margin lost per second that he is late.
    pub late_weight: f64,
}

/// What the passer can throw.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ArmParameters {
    /// Fastest release, mph.
    pub fastest_mph: f64,
    /// Slowest release, mph.
    pub slowest_mph: f64,
    /// Steepest launch, degrees above the horizon.
    pub steepest_deg: f64,
    /// Flattest launch, degrees (negative is downward).
    pub flattest_deg: f64,
    /// Height of the catch, yd.
    pub catch_height_yd: f64,
    /// Shortest flight considered, s.
    pub shortest_flight_s: f64,
    /// Longest flight considered, s.
    pub longest_flight_s: f64,
    /// Standard deviation of the ball across its line, degrees.
    pub spread_deg: f64,
    /// Standard deviation of the ball along its line, share of the air distance.
    pub depth_spread: f64,
    /// Seconds of margin that a surely placed ball is worth over one surely misplaced, when choosing the best ball.
    pub placement_weight_s: f64,
}

/// The race for the ball, after the pass-control equations of Spearman 2017 and 2018.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ControlParameters {
    /// Standard deviation of a mover's logistic arrival time, s.
    pub arrival_spread_s: f64,
    /// Receiver's control rate at the catch, 1/s.
    pub receiver_rate: f64,
    /// Defender's rate over the receiver's.
    pub defender_factor: f64,
    /// Defender's control rate under the path, 1/s.
    pub flight_rate: f64,
    /// How long a ball can be played at the catch point, s.
    pub alive_s: f64,
    /// Share of controlled balls dropped, 0 to 1.
    pub drop: f64,
    /// Share of a defender's controls that he catches, 0 to 1.
    pub intercept_share: f64,
    /// Added to the log odds of a completion after the race; 0 leaves them.
    pub claim_shift: f64,
    /// Factor on the log odds of a completion after the race; 1 leaves them.
    pub claim_slope: f64,
    /// How much more of that factor falls to small chances than to great ones, as a log; 0 lets it fall to both alike.
    pub claim_bend: f64,
}

impl ControlParameters {
    /// Whether chances are claimed as the race has them.
    pub(crate) fn claims_as_raced(&self) -> bool {
        self.claim_shift == 0.0 && self.claim_slope == 1.0 && self.claim_bend == 0.0
    }
}

/// The least difference of margins that is called one.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ResolutionParameters {
    /// Seconds.
    pub margin_s: f64,
    /// Yards.
    pub margin_yd: f64,
    /// Probability that the sign of the difference is right, 0.5 to 1.
    pub confidence: f64,
    /// Share of the repeats that must agree that the gap passes the resolution, 0 to 1.
    pub agreement: f64,
}

/// Bounds of what is shown.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LimitParameters {
    /// Widest margin shown, s.
    pub margin_s: f64,
}

/// Every number that the engine leans on. The sources stand beside the values in `data/movers.toml`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Parameters {
    /// Receivers on their way to the ball.
    pub receiver: MoverParameters,
    /// Defenders in coverage.
    pub cover: MoverParameters,
    /// Bodies.
    pub body: BodyParameters,
    /// Routes.
    pub route: RouteParameters,
    /// The passer's arm.
    pub arm: ArmParameters,
    /// The race.
    pub control: ControlParameters,
    /// What is called a difference.
    pub resolution: ResolutionParameters,
    /// Bounds.
    pub limits: LimitParameters,
}

/// Why parameters were refused.
#[derive(Debug, thiserror::Error, PartialEq)]
pub enum ParameterError {
    /// The text is not the file it should be.
    #[error("parameters, line {line}: {message}")]
    Text {
        /// Line, from 1.
        line: usize,
        /// What is wrong.
        message: String,
    },
    /// A value is outside its limits.
    #[error("{name} is {value} {unit}, outside {low} to {high}")]
    OutOfRange {
        /// Dotted name as in the file.
        name: &'static str,
        /// Value given.
        value: f64,
        /// Unit.
        unit: &'static str,
        /// Least allowed.
        low: f64,
        /// Most allowed.
        high: f64,
    },
}

impl Parameters {
    /// The text of our own parameter file.
    pub const OURS: &'static str = include_str!("../data/movers.toml");

    /// Our own parameters.
    pub fn ours() -> Self {
        Self::from_toml(Self::OURS).expect("the embedded file is tested")
    }

    /// Parameters from the text of a file in the form of `data/movers.toml`.
    ///
    /// # Errors
    /// `Text` naming the line, or `OutOfRange` naming value, unit and limits.
    pub fn from_toml(text: &str) -> Result<Self, ParameterError> {
        let parameters: Self = toml::from_str(text).map_err(|e| {
            let at = e.span().map_or(0, |s| s.start.min(text.len()));
            ParameterError::Text {
                line: text.as_bytes()[..at].iter().filter(|&&b| b == b'\n').count() + 1,
                message: e.message().to_owned(),
            }
        })?;
        parameters.check()?;
        Ok(parameters)
    }

    /// Refuses values outside what the model is made for.
    ///
    /// # Errors
    /// `OutOfRange` naming the first such value.
    pub fn check(&self) -> Result<(), ParameterError> {
        let p = self;
        type Row = (&'static str, f64, &'static str, f64, f64);
        let mut rows: Vec<Row> = vec![
            ("body.lean_yd", p.body.lean_yd, "yd", 0.0, 1.0),
            ("body.stature_yd", p.body.stature_yd, "yd", 1.5, 2.6),
            ("body.standing_reach", p.body.standing_reach, "statures", 1.0, 1.6),
            ("body.jump_yd", p.body.jump_yd, "yd", 0.0, 1.5),
            ("body.release_height", p.body.release_height, "statures", 0.5, 1.5),
            ("route.share", p.route.share, "", 0.0, 1.0),
            ("route.look_s", p.route.look_s, "s", 0.0, 2.0),
            ("route.latitude_yd", p.route.latitude_yd, "yd", 0.1, 10.0),
            ("route.late_weight", p.route.late_weight, "", 0.0, 100.0),
            ("arm.fastest_mph", p.arm.fastest_mph, "mph", 20.0, 75.0),
            ("arm.slowest_mph", p.arm.slowest_mph, "mph", 5.0, p.arm.fastest_mph),
            ("arm.steepest_deg", p.arm.steepest_deg, "deg", 5.0, 80.0),
            ("arm.flattest_deg", p.arm.flattest_deg, "deg", -45.0, 0.0),
            ("arm.catch_height_yd", p.arm.catch_height_yd, "yd", 0.1, 3.0),
            ("arm.shortest_flight_s", p.arm.shortest_flight_s, "s", 0.1, 1.0),
            ("arm.longest_flight_s", p.arm.longest_flight_s, "s", 1.0, 5.0),
            ("arm.spread_deg", p.arm.spread_deg, "deg", 0.0, 15.0),
            ("arm.depth_spread", p.arm.depth_spread, "", 0.0, 0.5),
            ("arm.placement_weight_s", p.arm.placement_weight_s, "s", 0.0, 5.0),
            ("control.arrival_spread_s", p.control.arrival_spread_s, "s", 0.01, 2.0),
            ("control.receiver_rate", p.control.receiver_rate, "1/s", 0.1, 100.0),
            ("control.defender_factor", p.control.defender_factor, "", 0.0, 20.0),
            ("control.flight_rate", p.control.flight_rate, "1/s", 0.0, 100.0),
            ("control.alive_s", p.control.alive_s, "s", 0.05, 10.0),
            ("control.drop", p.control.drop, "", 0.0, 1.0),
            ("control.intercept_share", p.control.intercept_share, "", 0.0, 1.0),
            ("control.claim_shift", p.control.claim_shift, "", -5.0, 5.0),
            ("control.claim_slope", p.control.claim_slope, "", 0.05, 5.0),
            ("control.claim_bend", p.control.claim_bend, "", -3.0, 3.0),
            ("resolution.margin_s", p.resolution.margin_s, "s", 0.0, 3.0),
            ("resolution.margin_yd", p.resolution.margin_yd, "yd", 0.0, 20.0),
            ("resolution.confidence", p.resolution.confidence, "", 0.5, 1.0),
            ("resolution.agreement", p.resolution.agreement, "", 0.0, 1.0),
            ("limits.margin_s", p.limits.margin_s, "s", 0.5, 10.0),
        ];
        let names: [[&'static str; 9]; 2] = [
            [
                "receiver.reaction_s.value",
                "receiver.reaction_s.sd",
                "receiver.top_speed_ydps.value",
                "receiver.top_speed_ydps.sd",
                "receiver.time_constant_s",
                "receiver.acceleration_ydps2.value",
                "receiver.acceleration_ydps2.sd",
                "receiver.arm_yd.value",
                "receiver.arm_yd.sd",
            ],
            [
                "cover.reaction_s.value",
                "cover.reaction_s.sd",
                "cover.top_speed_ydps.value",
                "cover.top_speed_ydps.sd",
                "cover.time_constant_s",
                "cover.acceleration_ydps2.value",
                "cover.acceleration_ydps2.sd",
                "cover.arm_yd.value",
                "cover.arm_yd.sd",
            ],
        ];
        for (m, n) in [p.receiver, p.cover].into_iter().zip(names) {
            rows.extend([
                (n[0], m.reaction_s.value, "s", 0.0, 1.0),
                (n[1], m.reaction_s.sd, "s", 0.0, 0.5),
                (n[2], m.top_speed_ydps.value, "yd/s", 3.0, 14.0),
                (n[3], m.top_speed_ydps.sd, "yd/s", 0.0, 3.0),
                (n[4], m.time_constant_s, "s", 0.1, 3.0),
                (n[5], m.acceleration_ydps2.value, "yd/s²", 1.0, 1e6),
                (n[6], m.acceleration_ydps2.sd, "yd/s²", 0.0, 5.0),
                (n[7], m.arm_yd.value, "yd", 0.0, 2.0),
                (n[8], m.arm_yd.sd, "yd", 0.0, 0.5),
            ]);
        }
        for (name, value, unit, low, high) in rows {
            if !(low..=high).contains(&value) {
                return Err(ParameterError::OutOfRange { name, value, unit, low, high });
            }
        }
        Ok(())
    }

    /// Highest ball that somebody on the ground can touch, yd.
    pub fn touch_height_yd(&self) -> f64 {
        self.body.stature_yd * self.body.standing_reach + self.body.jump_yd
    }

    /// Height at which the ball leaves the hand, yd.
    pub fn release_height_yd(&self) -> f64 {
        self.body.stature_yd * self.body.release_height
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn our_file_loads_and_its_heights_are_a_mans() {
        let p = Parameters::ours();
        assert!((p.touch_height_yd() - (2.03 * 1.33 + 0.55)).abs() < 1e-12);
        assert!(p.release_height_yd() > 2.0 && p.release_height_yd() < 2.4);
    }

    #[test]
    fn wrong_text_names_the_line_and_wrong_values_their_limits() {
        let text = Parameters::OURS.replace("stature_yd = 2.03", "stature_yd = \"tall\"");
        let line = Parameters::OURS.lines().position(|l| l.starts_with("stature_yd")).unwrap() + 1;
        match Parameters::from_toml(&text).unwrap_err() {
            ParameterError::Text { line: got, .. } => assert_eq!(got, line),
            other => panic!("{other}"),
        }
        let text = Parameters::OURS.replace("fastest_mph = 58.0", "fastest_mph = 158.0");
        assert_eq!(
            Parameters::from_toml(&text).unwrap_err().to_string(),
            "arm.fastest_mph is 158 mph, outside 20 to 75"
        );
        let text = Parameters::OURS.replace("jump_yd = 0.55", "jump_yd = nan");
        assert!(Parameters::from_toml(&text).is_err());
    }
}
