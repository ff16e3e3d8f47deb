use crate::figure::{Figure, FigureValue};
use play::Claim;

/// What the evidence of a claim is worth.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Weight {
    /// In words, with counts.
    pub words: String,
    /// True when nothing measured or shown carries the sentence and it is not marked as an impression.
    pub unsupported: bool,
}

/// A share whose interval is wider than this tells little. Common practice, no source.
const WIDE_SHARE: f64 = 0.35;
/// Plays below which a figure is called thin. Common practice, no source.
const FEW_PLAYS: usize = 8;

/// Weighs a claim by its figures and clips.
pub fn weigh(claim: &Claim, figures: &[Figure]) -> Weight {
    let (supporting, against) = (claim.evidence.supporting.len(), claim.evidence.against.len());
    let clips =
        format!("{supporting} {} for, {against} against", if supporting == 1 { "clip" } else { "clips" });
    let thin = |f: &Figure| {
        f.plays.len() < FEW_PLAYS
            || matches!(f.value, FigureValue::Share { interval, .. } if interval.width() > WIDE_SHARE)
            || matches!(f.value, FigureValue::Single(_))
    };
    let carried = !figures.is_empty() && supporting > 0;
    let words = if figures.is_empty() && supporting == 0 {
        "no figure and no clip".to_owned()
    } else if figures.is_empty() {
        format!("no figure; {clips}")
    } else if figures.iter().all(thin) {
        let most = figures.iter().map(|f| f.plays.len()).max().unwrap_or(0);
        format!("thin: {most} plays at most behind any figure; {clips}")
    } else {
        format!("measured; {clips}")
    };
    Weight { words, unsupported: !carried && !claim.impression }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Measure;
    use play::{Evidence, Leaning, PlayId};
    use stats::Proportion;

    fn claim(supporting: usize, impression: bool) -> Claim {
        let plays = (0..supporting).map(|k| PlayId(format!("p{k}"))).collect();
        Claim {
            id: "c1".into(),
            order: 1,
            text: "Late when hurried.".into(),
            leaning: Leaning::Fault,
            strands: vec![],
            evidence: Evidence { supporting: plays, against: vec![] },
            impression,
        }
    }

    fn share(successes: u64, trials: u64) -> Figure {
        let proportion = Proportion::new(successes, trials).unwrap();
        Figure {
            measure: Measure::Completions,
            plays: (0..trials).map(|k| PlayId(format!("p{k}"))).collect(),
            missing: 0,
            value: FigureValue::Share { proportion, interval: proportion.wilson(0.9) },
        }
    }

    #[test]
    fn a_sentence_without_figure_or_clip_is_unsupported_unless_an_impression() {
        assert!(weigh(&claim(0, false), &[]).unsupported);
        assert!(!weigh(&claim(0, true), &[]).unsupported);
        assert!(weigh(&claim(0, false), &[share(5, 30)]).unsupported);
        assert!(!weigh(&claim(2, false), &[share(5, 30)]).unsupported);
    }

    #[test]
    fn few_plays_are_called_thin() {
        assert!(weigh(&claim(1, false), &[share(2, 4)]).words.starts_with("thin"));
        assert!(weigh(&claim(1, false), &[share(40, 60)]).words.starts_with("measured"));
    }
}
