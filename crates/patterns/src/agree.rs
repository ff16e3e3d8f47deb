//! Two evaluators' figures of the same plays, measure by measure.

use crate::LEVEL;
use crate::ask::Ranged;
use crate::facts::{FIELDS, Field, FieldKind, Line};
use serde::Serialize;
use stats::{AlphaScale, Interval, alpha, mean_interval};

/// How two evaluators' figures of one measure agree.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct MeasureAgreement {
    /// The measure.
    pub of: Field,
    /// Plays on which both have it.
    pub n: usize,
    /// Mean of the other's less this one's, with its 90% interval, in the measure's unit.
    pub apart: Ranged,
    /// Between these lie nine in ten differences (limits of agreement: Bland & Altman 1986, Lancet 327, 307).
    pub limits: Interval,
    /// Krippendorff's alpha on the interval scale: 1 for the same figures, 0 for figures no more alike than two plays'. `None` where all
    /// are the same.
    pub alpha: Option<f64>,
    /// In words.
    pub words: String,
}

/// Fewest plays of which limits are told. Common practice, no source.
const FEWEST: usize = 5;
/// Standard normal quantile of nine in ten.
const NINE_IN_TEN: f64 = 1.645;

/// Agreement on every measure that both have on enough plays; `pairs` are one play's lines, ours and theirs.
pub fn measures_agree(pairs: &[(&Line, &Line)]) -> Vec<MeasureAgreement> {
    FIELDS.iter().filter(|f| f.kind == FieldKind::Value).filter_map(|f| measure_agrees(f, pairs)).collect()
}

fn measure_agrees(of: &Field, pairs: &[(&Line, &Line)]) -> Option<MeasureAgreement> {
    let both: Vec<(f64, f64)> =
        pairs.iter().filter_map(|(a, b)| Some((a.value(of.id)?.value, b.value(of.id)?.value))).collect();
    if both.len() < FEWEST {
        return None;
    }
    let apart: Vec<f64> = both.iter().map(|(a, b)| b - a).collect();
    let (value, interval) = mean_interval(&apart, LEVEL)?;
    let spread = (apart.iter().map(|d| (d - value).powi(2)).sum::<f64>() / (apart.len() - 1) as f64).sqrt();
    let limits = Interval { low: value - NINE_IN_TEN * spread, high: value + NINE_IN_TEN * spread };
    let units: Vec<Vec<f64>> = both.iter().map(|(a, b)| vec![*a, *b]).collect();
    let alpha = alpha(&units, AlphaScale::Interval);
    let words = format!(
        "{} plays; the other's less these {}; nine in ten lie within {}{}",
        both.len(),
        of.said_range(value, interval),
        of.said_between(limits),
        alpha.map_or_else(String::new, |a| format!("; beyond chance (alpha) {a:.2}").replace('-', "−")),
    );
    Some(MeasureAgreement {
        of: *of,
        n: both.len(),
        apart: Ranged { value, interval: Some(interval) },
        limits,
        alpha,
        words,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::Cell;
    use stats::Estimate;

    fn line(value: f64) -> Line {
        Line {
            play: "p".into(),
            game: "g".into(),
            number: 1,
            cells: [("feet-error".to_owned(), Cell::Value(Estimate::new(value, 1.0)))].into(),
        }
    }

    /// Bland & Altman 1986, Lancet 327, 307: peak flow of seventeen people by a large and a small meter, first readings; the small one's
    /// mean is 2.1 l/min higher with a standard deviation of 38.8. From memory.
    #[test]
    fn limits_are_bland_and_altmans() {
        let flow = [
            (494, 512),
            (395, 430),
            (516, 520),
            (434, 428),
            (476, 500),
            (557, 600),
            (413, 364),
            (442, 380),
            (650, 658),
            (433, 445),
            (417, 432),
            (656, 626),
            (267, 260),
            (478, 477),
            (178, 259),
            (423, 350),
            (427, 451),
        ];
        let lines: Vec<(Line, Line)> =
            flow.iter().map(|(a, b)| (line(f64::from(*a)), line(f64::from(*b)))).collect();
        let pairs: Vec<(&Line, &Line)> = lines.iter().map(|(a, b)| (a, b)).collect();
        let all = measures_agree(&pairs);
        assert_eq!((all.len(), all[0].of.id, all[0].n), (1, "feet-error", 17));
        let a = &all[0];
        assert!((a.apart.value - 2.1).abs() < 0.05, "{a:?}");
        let spread = 0.5 * a.limits.width() / 1.645;
        assert!((spread - 38.8).abs() < 0.05, "{spread}");
        assert!(a.alpha.unwrap() > 0.9 && a.words.contains("alpha) 0.9"), "{}", a.words);
        assert!(measures_agree(&pairs[..4]).is_empty());
    }
}
