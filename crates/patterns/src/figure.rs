use crate::measure::{Measure, PlayFacts, Told};
use play::PlayId;
use stats::{Interval, Proportion, mean_interval};

/// A share or an average with its 90% interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FigureValue {
    /// Successes among plays; Wilson interval of the share, 0 to 1.
    Share {
        /// Count.
        proportion: Proportion,
        /// Interval.
        interval: Interval,
    },
    /// Average and its Student interval, in the measure's unit.
    Mean {
        /// Average.
        value: f64,
        /// Interval.
        interval: Interval,
    },
    /// One play: its value, and no interval, since one play shows no spread.
    Single(f64),
}

/// A measure over plays.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Which.
    pub measure: Measure,
    /// Plays that count.
    pub plays: Vec<PlayId>,
    /// Plays that should count but were not seen or charted.
    pub missing: usize,
    /// The value.
    pub value: FigureValue,
}

/// Level of every interval here.
pub const LEVEL: f64 = 0.90;

/// The measure over the given plays; `None` when no play tells.
pub fn figure(measure: Measure, facts: &[PlayFacts<'_>]) -> Option<Figure> {
    let (mut plays, mut missing, mut successes, mut values) = (Vec::new(), 0, 0u64, Vec::new());
    for f in facts {
        match measure.told(f) {
            Told::Share(yes) => {
                plays.push(f.play.clone());
                successes += u64::from(yes);
            }
            Told::Value(v) => {
                plays.push(f.play.clone());
                values.push(v);
            }
            Told::Missing => missing += 1,
            Told::Outside => {}
        }
    }
    let value = if values.is_empty() {
        let proportion = Proportion::new(successes, plays.len() as u64).ok()?;
        FigureValue::Share { proportion, interval: proportion.wilson(LEVEL) }
    } else if let Some((value, interval)) = mean_interval(&values, LEVEL) {
        FigureValue::Mean { value, interval }
    } else {
        FigureValue::Single(values[0])
    };
    Some(Figure { measure, plays, missing, value })
}

#[cfg(test)]
mod tests {
    use super::*;
    use play::{Chart, ThrowResult};

    fn charts(results: &[Option<ThrowResult>]) -> Vec<(PlayId, Chart)> {
        results
            .iter()
            .enumerate()
            .map(|(k, r)| (PlayId(format!("p{k}")), Chart { result: *r, ..Default::default() }))
            .collect()
    }

    #[test]
    fn sacks_are_no_throws_and_uncharted_plays_are_missing() {
        use ThrowResult::{Complete, Incomplete, Sacked};
        let plays = charts(&[Some(Complete), Some(Complete), Some(Incomplete), Some(Sacked), None]);
        let facts: Vec<_> = plays
            .iter()
            .map(|(play, chart)| PlayFacts { play, chart, measurement: None, judgements: &[], calls: &[] })
            .collect();
        let f = figure(Measure::Completions, &facts).unwrap();
        let FigureValue::Share { proportion, .. } = f.value else { panic!("a share") };
        assert_eq!((proportion.successes(), proportion.trials(), f.missing), (2, 3, 1));
        assert_eq!(figure(Measure::TimeToThrow, &facts), None);
    }
}
