//! A result taken apart: how much of it came of the choice of receiver, of timing, of placement, and of all else.

use crate::LEVEL;
use crate::ask::{Left, Question, QuestionError, Ranged};
use crate::facts::{Cell, Field, FieldKind, Line, YES};
use crate::rating::{Rated, rated};
use play::{GameId, PlayId};
use serde::Serialize;
use stats::mean_interval;

/// The scale on which results are held against the windows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Scale {
    /// Chance of completion, 0 to 1.
    Chance,
    /// Expected points.
    Points,
}

/// A step from the best window that was there down to what came.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// The receiver chosen against the best one.
    Choice,
    /// The instant of the release against that receiver's best.
    Timing,
    /// The ball as thrown against his window.
    Placement,
    /// Receivers, defenders and all else: what came against the ball as thrown.
    Rest,
}

impl Step {
    /// In the order in which they follow each other.
    pub const ALL: [Self; 4] = [Self::Choice, Self::Timing, Self::Placement, Self::Rest];

    const fn field(self, scale: Scale) -> &'static str {
        match (scale, self) {
            (Scale::Chance, Self::Choice) => "choice-chance",
            (Scale::Chance, Self::Timing) => "timing-chance",
            (Scale::Chance, Self::Placement) => "placement-chance",
            (Scale::Chance, Self::Rest) => "rest-chance",
            (Scale::Points, Self::Choice) => "choice-points",
            (Scale::Points, Self::Timing) => "timing-points",
            (Scale::Points, Self::Placement) => "placement-points",
            (Scale::Points, Self::Rest) => "rest-points",
        }
    }
}

/// A step's average.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct StepPart {
    /// Which.
    pub step: Step,
    /// Average over the plays, on the scale.
    pub figure: Ranged,
    /// In words.
    pub words: String,
    /// Plays, those that lost the most by it first.
    pub plays: Vec<PlayId>,
}

/// Some plays taken apart on one scale. The steps' averages sum to what came less the best.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Parts {
    /// The scale.
    pub scale: Scale,
    /// Throws whose ball was measured and whose result is charted.
    pub n: usize,
    /// Average of the best windows that were there; `None` on the scale of points, where only what was lost is known.
    pub best: Option<Ranged>,
    /// The steps.
    pub steps: Vec<StepPart>,
    /// Average of what came: the share of throws completed; on the scale of points, points over the best window.
    pub came: Ranged,
    /// In one sentence.
    pub words: String,
}

/// Plays of one word, taken apart.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ApartGroup {
    /// The word; "all plays" for all of them.
    pub word: String,
    /// In chance of completion; `None` without a throw that can be taken apart.
    pub chance: Option<Parts>,
    /// In expected points.
    pub points: Option<Parts>,
    /// The official ratings over its attempts, whether or not they can be taken apart.
    pub rated: Rated,
}

/// Results taken apart.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Apart {
    /// What the plays are split by.
    pub by: Field,
    /// By word, in the field's order.
    pub groups: Vec<ApartGroup>,
    /// All of them.
    pub whole: ApartGroup,
    /// Throws that cannot be taken apart, by what is missing.
    pub left: Vec<Left>,
}

/// Takes the results of plays apart, split by a fact, over `games` (all when empty).
///
/// # Errors
/// `NoField` for an unknown field, `NotWords` for one that is no word.
pub fn apart(lines: &[Line], by: &str, games: &[GameId]) -> Result<Apart, QuestionError> {
    let (field, _) = Question { of: by.to_owned(), ..Question::default() }.fields()?;
    if field.kind == FieldKind::Value {
        return Err(QuestionError::NotWords { id: by.to_owned() });
    }
    let lines: Vec<&Line> = lines.iter().filter(|l| games.is_empty() || games.contains(&l.game)).collect();
    let mut parts: Vec<(String, Vec<&Line>)> = Vec::new();
    let mut left: Vec<Left> = Vec::new();
    let mut miss = |what: &str, why: &str, play: &PlayId| match left
        .iter_mut()
        .find(|l| l.field == what && l.why == why)
    {
        Some(l) => l.plays.push(play.clone()),
        None => left.push(Left { field: what.to_owned(), why: why.to_owned(), plays: vec![play.clone()] }),
    };
    for &l in &lines {
        if let Some(Cell::NotSeen(why)) = l.cell(Step::Rest.field(Scale::Chance)) {
            miss("Result against the windows", why, &l.play);
        }
        match l.cell(field.id) {
            Some(Cell::Word(w)) => match parts.iter_mut().find(|p| p.0.eq_ignore_ascii_case(w)) {
                Some(p) => p.1.push(l),
                None => parts.push((w.clone(), vec![l])),
            },
            Some(Cell::NotSeen(why)) if l.cell("completions").is_some() => miss(field.label, why, &l.play),
            _ => {}
        }
    }
    if field.id != "game" {
        let place =
            |w: &str| field.words.iter().position(|x| x.eq_ignore_ascii_case(w)).unwrap_or(usize::MAX);
        parts.sort_by(|a, b| {
            (place(&a.0), std::cmp::Reverse(a.1.len()), &a.0).cmp(&(
                place(&b.0),
                std::cmp::Reverse(b.1.len()),
                &b.0,
            ))
        });
    }
    left.sort_by_key(|l| std::cmp::Reverse(l.plays.len()));
    let groups = parts.into_iter().map(|(word, lines)| group(word, &lines)).collect::<Vec<_>>();
    // A word without a single pass says nothing here.
    let groups = groups.into_iter().filter(|g| g.chance.is_some() || g.rated.passing.attempts > 0).collect();
    Ok(Apart { by: *field, groups, whole: group("all plays".to_owned(), &lines), left })
}

fn group(word: String, lines: &[&Line]) -> ApartGroup {
    ApartGroup {
        word,
        chance: parts(Scale::Chance, lines),
        points: parts(Scale::Points, lines),
        rated: rated(lines.iter().copied()),
    }
}

/// One play's steps, and what came.
struct Taken<'l> {
    play: &'l PlayId,
    steps: [f64; 4],
    came: f64,
}

fn taken(scale: Scale, l: &Line) -> Option<Taken<'_>> {
    let mut steps = [0.0; 4];
    for (s, step) in steps.iter_mut().zip(Step::ALL) {
        *s = l.value(step.field(scale))?.value;
    }
    let came = match scale {
        Scale::Chance => f64::from(u8::from(l.word("completions")? == YES)),
        Scale::Points => steps.iter().sum(),
    };
    Some(Taken { play: &l.play, steps, came })
}

fn ranged(values: &[f64]) -> Ranged {
    mean_interval(values, LEVEL).map_or_else(
        || Ranged { value: values.first().copied().unwrap_or(f64::NAN), interval: None },
        |(value, i)| Ranged { value, interval: Some(i) },
    )
}

fn parts(scale: Scale, lines: &[&Line]) -> Option<Parts> {
    let all: Vec<Taken<'_>> = lines.iter().filter_map(|l| taken(scale, l)).collect();
    if all.is_empty() {
        return None;
    }
    let steps = Step::ALL.iter().enumerate().map(|(k, &step)| {
        let figure = ranged(&all.iter().map(|t| t.steps[k]).collect::<Vec<_>>());
        let mut by_loss: Vec<&Taken<'_>> = all.iter().collect();
        by_loss.sort_by(|a, b| a.steps[k].total_cmp(&b.steps[k]));
        StepPart {
            step,
            figure,
            words: words_of(step, scale, figure),
            plays: by_loss.into_iter().map(|t| t.play.clone()).collect(),
        }
    });
    let steps: Vec<StepPart> = steps.collect();
    let came = match scale {
        // A share keeps between 0 and 1.
        Scale::Chance => {
            let yes = all.iter().filter(|t| t.came > 0.5).count();
            let share = stats::Proportion::new(yes as u64, all.len() as u64).ok()?;
            Ranged { value: share.value(), interval: Some(share.wilson(LEVEL)) }
        }
        Scale::Points => ranged(&all.iter().map(|t| t.came).collect::<Vec<_>>()),
    };
    let best = (scale == Scale::Chance)
        .then(|| ranged(&all.iter().map(|t| t.came - t.steps.iter().sum::<f64>()).collect::<Vec<_>>()));
    let words = sentence(&best, &came, &steps, all.len());
    Some(Parts { scale, n: all.len(), best, steps, came, words })
}

fn field_of(step: Step, scale: Scale) -> &'static Field {
    Field::by_id(step.field(scale)).expect("every step is a field")
}

fn words_of(step: Step, scale: Scale, r: Ranged) -> String {
    let f = field_of(step, scale);
    r.interval.map_or_else(
        || format!("{}, one play, which shows no spread", f.said(r.value)),
        |i| f.said_range(r.value, i),
    )
}

fn sentence(best: &Option<Ranged>, came: &Ranged, steps: &[StepPart], n: usize) -> String {
    let throws = if n == 1 { "1 throw".to_owned() } else { format!("{n} throws") };
    // What surely cost or gave something is named; the others may be no effect.
    let sure: Vec<String> = steps
        .iter()
        .filter(|s| s.figure.interval.is_some_and(|i| !i.contains(0.0)))
        .map(|s| {
            let name = match s.step {
                Step::Choice => "choice",
                Step::Timing => "timing",
                Step::Placement => "placement",
                Step::Rest => "receivers and all else",
            };
            format!("{name} {}", s.words)
        })
        .collect();
    let told = if sure.is_empty() {
        "no step can be told from no effect".to_owned()
    } else {
        format!("what surely took or gave: {}", sure.join("; "))
    };
    match best {
        Some(b) => format!(
            "{throws}: the best windows promised {:.0}%, {:.0}% were completed; {told}.",
            100.0 * b.value,
            100.0 * came.value
        ),
        None => {
            let f = field_of(Step::Rest, Scale::Points);
            let whole = came.interval.map_or_else(|| f.said(came.value), |i| f.said_range(came.value, i));
            format!("{throws}: {whole} a throw over the best windows; {told}.")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stats::Estimate;

    fn line(k: usize, depth: &str, steps: [f64; 4], complete: bool) -> Line {
        let mut l = Line {
            play: format!("p{k}").into(),
            game: "g".into(),
            number: k as u32,
            cells: Default::default(),
        };
        l.put("depth", Cell::Word(depth.to_owned()));
        l.put("completions", Cell::Word(if complete { "yes" } else { "no" }.to_owned()));
        for (s, v) in Step::ALL.iter().zip(steps) {
            l.put(s.field(Scale::Chance), Cell::Value(Estimate::new(v, 0.02)));
        }
        l
    }

    /// By hand: two throws, best windows .8 and .9, one completed: −.10, −.05, −.10 and −.10 lead from .85 to .50.
    #[test]
    fn steps_lead_from_the_best_window_to_what_came() {
        let lines = [
            line(1, "short, under 10", [-0.1, 0.0, -0.2, 0.5], true),
            line(2, "short, under 10", [-0.1, -0.1, 0.0, -0.7], false),
            line(3, "10 to 19", [0.0, 0.0, 0.0, -0.6], false),
        ];
        let a = apart(&lines, "depth", &[]).unwrap();
        assert_eq!(
            a.groups.iter().map(|g| g.word.as_str()).collect::<Vec<_>>(),
            ["short, under 10", "10 to 19"]
        );
        let p = a.groups[0].chance.as_ref().unwrap();
        let got: Vec<f64> = p.steps.iter().map(|s| s.figure.value).collect();
        assert!(got.iter().zip([-0.1, -0.05, -0.1, -0.1]).all(|(a, b)| (a - b).abs() < 1e-12), "{got:?}");
        let best = p.best.unwrap().value;
        assert!((best - 0.85).abs() < 1e-12 && (p.came.value - 0.5).abs() < 1e-12);
        assert!((best + got.iter().sum::<f64>() - p.came.value).abs() < 1e-12);
        // The play that lost the most by placement is the first to be looked at.
        assert_eq!(p.steps[2].plays[0], PlayId::from("p1"));
        assert_eq!(a.whole.chance.as_ref().unwrap().n, 3);
        assert!(a.whole.points.is_none());
        assert!(apart(&lines, "time-to-throw", &[]).is_err() && apart(&lines, "shoe-size", &[]).is_err());
        assert_eq!(apart(&lines, "depth", &["other".into()]).unwrap().groups, vec![]);
    }
}
