//! What can be asked of a play: every fact and measure, in one list.

use serde::Serialize;
use stats::Interval;

/// What kind of answer a field has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum FieldKind {
    /// Yes or no; over plays a share.
    YesNo,
    /// One of several words.
    Word,
    /// A number; over plays an average.
    Value,
}

/// Where a field stands in a menu.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum FieldGroup {
    /// What came of it.
    Result,
    /// The decision.
    Decision,
    /// Where in the games, and what the scoreboard said.
    Situation,
    /// What was called.
    Call,
    /// What the defense did.
    Defense,
    /// The rush and the pocket.
    Pressure,
    /// The throw.
    Throw,
    /// Feet and base.
    Feet,
    /// Where the ball arrived.
    Placement,
    /// Result against expectation.
    Expected,
}

/// A fact or measure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Field {
    /// Unique; what a question names.
    pub id: &'static str,
    /// In plain words. Of a yes-or-no: what a yes is.
    pub label: &'static str,
    /// Kind.
    pub kind: FieldKind,
    /// Where in a menu.
    pub group: FieldGroup,
    /// Unit of a value; empty otherwise. "pt" is expected points, "100" a chance from 0 to 1.
    pub unit: &'static str,
    /// Words in their own order, where they have one; others follow by how often they come.
    pub words: &'static [&'static str],
    /// Upper ends of the bands that a value is cut into when others are split by it, with the last band's word; none: cut into
    /// thirds of the plays.
    #[serde(skip)]
    pub bands: &'static [(f64, &'static str)],
}

const fn yes(id: &'static str, group: FieldGroup, label: &'static str) -> Field {
    Field { id, label, kind: FieldKind::YesNo, group, unit: "", words: &[YES, NO], bands: &[] }
}
const fn word(
    id: &'static str,
    group: FieldGroup,
    label: &'static str,
    words: &'static [&'static str],
) -> Field {
    Field { id, label, kind: FieldKind::Word, group, unit: "", words, bands: &[] }
}
const fn value(
    id: &'static str,
    group: FieldGroup,
    label: &'static str,
    unit: &'static str,
    bands: &'static [(f64, &'static str)],
) -> Field {
    Field { id, label, kind: FieldKind::Value, group, unit, words: &[], bands }
}

/// The word of a yes.
pub const YES: &str = "yes";
/// The word of a no.
pub const NO: &str = "no";

use FieldGroup::{
    Call, Decision, Defense, Expected, Feet, Placement, Pressure, Result as Came, Situation, Throw,
};

/// Bands of depth past the line: common practice, no source.
pub(super) const DEPTHS: &[(f64, &str)] = &[
    (0.0, "behind the line"),
    (10.0, "short, under 10"),
    (20.0, "10 to 19"),
    (f64::INFINITY, "deep, 20 and more"),
];
/// Bands of time to throw, between the trade's quick, intermediate and deep throws: common practice, no source.
const TIMES: &[(f64, &str)] =
    &[(2.05, "under 2.1 s"), (2.8, "2.1 to 2.8 s"), (f64::INFINITY, "2.8 s and more")];
/// Feet off the target line by more than ten degrees: common practice, no source.
pub(super) const FEET: &[(f64, &str)] =
    &[(-10.0, "closed"), (10.0, "at the target"), (f64::INFINITY, "open")];
/// Where the hips are over the base.
pub(super) const WEIGHT: &[(f64, &str)] =
    &[(0.4, "on the back foot"), (0.6, "between"), (f64::INFINITY, "on the front foot")];

/// All of them.
pub const FIELDS: &[Field] = &[
    yes("completions", Came, "Throws completed"),
    yes("intercepted", Came, "Throws intercepted"),
    yes("touchdowns", Came, "Throws completed for a touchdown"),
    yes("sacked", Came, "Dropbacks that ended in a sack"),
    yes("high-misses", Came, "Misses that were high"),
    yes("ball-misses", Came, "Misses by the ball, not by drop or defender"),
    word("result", Came, "Result", &[]),
    word("miss", Came, "How it missed", &[]),
    value("gain", Came, "Gain", "yd", &[]),
    yes("in-rhythm", Decision, "Decisions most likely in rhythm"),
    yes("sound-decision", Decision, "Decisions as good as the plan's answer or better"),
    yes("called-in-rhythm", Decision, "Decisions called in rhythm"),
    yes("agreed", Decision, "Calls that agree with the program"),
    word("judgement", Decision, "Likeliest judgement", &[]),
    word("own-call", Decision, "The evaluator's call", &[]),
    word(
        "look",
        Decision,
        "Look of the plan thrown to",
        &["first look", "second look", "later look", "off the plan"],
    ),
    word("plan", Decision, "Plan", &[]),
    word("picture", Decision, "The picture", &["first time", "seen before"]),
    value("value-gap", Decision, "Value left with the plan's answer", "pt", &[]),
    word("game", Situation, "Game", &[]),
    word("quarter", Situation, "Quarter", &["1st", "2nd", "3rd", "4th", "overtime"]),
    word("half", Situation, "Half", &["first half", "second half", "overtime"]),
    word("early-late", Situation, "Of the game's dropbacks", &["the earlier ones", "the later ones"]),
    word("down", Situation, "Down", &["1st", "2nd", "3rd", "4th"]),
    word("to-go", Situation, "To go", &["1 to 3", "4 to 7", "8 and more"]),
    word(
        "field-zone",
        Situation,
        "Place on the field",
        &["own 20 and back", "between the 20s", "last 20 yards"],
    ),
    word("score", Situation, "Score", &["behind", "level", "ahead"]),
    word("hash", Situation, "Hash", &["near hash", "middle", "far hash"]),
    word("formation", Call, "Formation", &[]),
    word("motion", Call, "Motion", &[]),
    word("concept", Call, "Concept", &[]),
    word("protection", Call, "Protection", &[]),
    word("drop", Call, "Drop", &[]),
    word("route", Call, "Route thrown to", &[]),
    word("coverage-before", Defense, "Coverage shown", &[]),
    word("coverage", Defense, "Coverage charted", &[]),
    word("coverage-family", Defense, "Coverage, kind", &[]),
    word("man-zone", Defense, "Man or zone", &["man", "zone"]),
    word("middle", Defense, "Middle of the field", &["open", "closed"]),
    word("shell", Defense, "Deep safeties before the snap", &["none", "one", "two", "three"]),
    word("rush", Defense, "Rushers", &["3", "4", "5", "6 and more"]),
    word("pocket", Pressure, "Pocket charted", &[]),
    word("pressure", Pressure, "Pocket", &["clean", "pressured"]),
    yes("pressure-before-throw", Pressure, "Pressure before the ball was out"),
    value("time-to-pressure", Pressure, "Time to pressure", "s", &[]),
    word("on-the-move", Throw, "Passer", &["from his spot", "on the move"]),
    word("tempo", Throw, "Ball out against the drop's time", &["quicker", "on time", "later"]),
    value("time-to-throw", Throw, "Time to throw", "s", TIMES),
    value("release-speed", Throw, "Release speed", "mph", &[]),
    value("launch", Throw, "Launch angle", "°", &[]),
    value("air-distance", Throw, "Air distance", "yd", &[]),
    value("target-depth", Throw, "Depth of the throw", "yd", DEPTHS),
    word("depth", Throw, "Depth", &["behind the line", "short, under 10", "10 to 19", "deep, 20 and more"]),
    word("direction", Throw, "Direction", &["left", "middle", "right"]),
    word("arc", Throw, "Trajectory", &["driven", "layered", "touch"]),
    word("feet", Feet, "Feet at release", &["closed", "at the target", "open"]),
    value("feet-error", Feet, "Feet error (closed negative)", "°", FEET),
    value("base", Feet, "Base at release", "yd", &[]),
    value("step", Feet, "Step of the front foot", "yd", &[]),
    value("front-foot-lead", Feet, "Front foot's landing before release", "s", &[]),
    word("weight-on", Feet, "Weight", &["on the back foot", "between", "on the front foot"]),
    value("weight", Feet, "Weight (0 back foot, 1 front foot)", "", WEIGHT),
    value("margin-at-release", Placement, "Window of the thrown receiver at release", "s", &[]),
    value("separation", Placement, "Separation at arrival", "yd", &[]),
    value("lead", Placement, "Lead (ahead of the receiver positive)", "yd", &[]),
    value("ahead-of-run", Placement, "Ahead of the run he was on at release (behind negative)", "yd", &[]),
    value("over-run", Placement, "Height as it passed the run he was on at release", "ft", &[]),
    value("away", Placement, "Away from the nearest defender", "yd", &[]),
    value("miss-across", Placement, "Miss across the throw (to his open side positive)", "yd", &[]),
    value("miss-along", Placement, "Miss along the throw (long positive)", "yd", &[]),
    value("arrival-height", Placement, "Height at arrival", "ft", &[]),
    value("chance", Expected, "Chance of completion of the window thrown to", "100", &[]),
    value("over-chance", Expected, "Completed over that chance", "100", &[]),
    value("choice-chance", Expected, "Chance by choice of receiver", "100", &[]),
    value("timing-chance", Expected, "Chance by timing", "100", &[]),
    value("placement-chance", Expected, "Chance by placement", "100", &[]),
    value("rest-chance", Expected, "Completed over the chance of the ball as thrown", "100", &[]),
    value("points", Expected, "Expected points gained over the best window", "pt", &[]),
    value("choice-points", Expected, "Points by choice of receiver", "pt", &[]),
    value("timing-points", Expected, "Points by timing", "pt", &[]),
    value("placement-points", Expected, "Points by placement", "pt", &[]),
    value("rest-points", Expected, "Points by receivers and all else", "pt", &[]),
];

impl Field {
    /// The field of that id.
    pub fn by_id(id: &str) -> Option<&'static Self> {
        FIELDS.iter().find(|f| f.id == id)
    }
    /// A value of this field in words with its unit, with as many digits as such a figure is read with.
    pub fn said(&self, v: f64) -> String {
        let (text, unit) = self.digits(v);
        text + &unit
    }
    /// An interval of its figures in words: "−9 to −3°".
    pub fn said_between(&self, i: Interval) -> String {
        let (low, unit) = self.digits(i.low);
        format!("{low} to {}{unit}", self.digits(i.high).0)
    }
    /// A difference of two of its figures with its interval in words; shares differ by points of a hundred: "−28 points (−44 to −10)".
    pub fn said_range(&self, v: f64, i: Interval) -> String {
        let share = self.unit == "100" || self.kind != FieldKind::Value;
        let plus = |v: f64| {
            let text = if share { minus(100.0 * v, 0) } else { self.finer(v) };
            if v > 0.0 { format!("+{text}") } else { text }
        };
        let unit = if share { " points".to_owned() } else { self.digits(v).1 };
        format!("{}{unit} ({} to {})", plus(v), plus(i.low), plus(i.high))
    }
    /// A number with as many digits as such a figure is read with, and the unit after it.
    fn digits(&self, v: f64) -> (String, String) {
        match self.unit {
            "100" => (minus(100.0 * v, 0), "%".to_owned()),
            "°" => (minus(v, 0), "°".to_owned()),
            "" if self.kind == FieldKind::Value => (minus(v, 2), String::new()),
            "" => (minus(100.0 * v, 0), "%".to_owned()),
            "s" | "pt" => (minus(v, 2), format!(" {}", self.unit)),
            unit => (minus(v, 1), format!(" {unit}")),
        }
    }
    /// A difference is read with a digit more where it is small.
    fn finer(&self, v: f64) -> String {
        match self.unit {
            "°" | "mph" => minus(v, 1),
            _ => minus(v, 2),
        }
    }
}

/// A number with a true minus, and no minus before zero.
fn minus(v: f64, digits: usize) -> String {
    let text = format!("{:.digits$}", v.abs());
    if v < 0.0 && text.bytes().any(|b| (b'1'..=b'9').contains(&b)) { format!("−{text}") } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn ids_are_unique_and_every_field_is_found_by_its_own() {
        let ids: HashSet<_> = FIELDS.iter().map(|f| f.id).collect();
        assert_eq!(ids.len(), FIELDS.len());
        assert!(FIELDS.iter().all(|f| Field::by_id(f.id) == Some(f)));
        assert!(crate::ask::MEASURES.iter().all(|m| ids.contains(m)));
    }

    #[test]
    fn figures_are_said_with_their_unit_and_a_true_minus() {
        let field = |id| Field::by_id(id).unwrap();
        assert_eq!(field("feet-error").said(-12.4), "−12°");
        assert_eq!(field("completions").said(0.614), "61%");
        let i = Interval { low: -0.44, high: 0.1 };
        assert_eq!(field("completions").said_range(-0.28, i), "−28 points (−44 to +10)");
        assert_eq!(field("time-to-throw").said_range(0.12, i), "+0.12 s (−0.44 to +0.10)");
        assert_eq!(field("feet-error").said_between(Interval { low: -9.0, high: -3.2 }), "−9 to −3°");
        assert_eq!(field("time-to-throw").said(-0.001), "0.00 s");
    }
}
