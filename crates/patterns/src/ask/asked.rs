//! Asking.

use super::answer::{Answer, AnswerKind, Dot, Left};
use super::doubt::adjusted;
use super::groups::{Adds, Gathered, compare};
use super::pooled::pool;
use super::question::{Question, QuestionError};
use super::worth::{Many, Worth};
use super::{dots, groups};
use crate::facts::{Cell, Field, FieldKind, Line, YES, banded};
use stats::Estimate;
use std::collections::BTreeMap;

/// Answers a question by itself: the control over many comparisons is over its own.
///
/// # Errors
/// As [`Question::fields`].
pub fn ask(lines: &[Line], question: &Question) -> Result<Answer, QuestionError> {
    let mut answers = ask_all(lines, std::slice::from_ref(question))?;
    Ok(answers.remove(0))
}

/// Answers a question that is asked beside others: all of their comparisons are accounted for.
///
/// # Errors
/// As [`Question::fields`].
pub fn ask_among(lines: &[Line], question: &Question, others: &[Question]) -> Result<Answer, QuestionError> {
    let mut all = vec![question.clone()];
    all.extend(others.iter().filter(|o| *o != question).cloned());
    let mut answer = figures(lines, &all)?.remove(0);
    pool(&mut answer, lines);
    Ok(answer)
}

/// Answers questions that are asked at once.
///
/// # Errors
/// As [`Question::fields`].
pub fn ask_all(lines: &[Line], questions: &[Question]) -> Result<Vec<Answer>, QuestionError> {
    let mut answers = figures(lines, questions)?;
    answers.iter_mut().for_each(|a| pool(a, lines));
    Ok(answers)
}

/// As [`ask_all`] without pooled figures, which take most of the time.
///
/// # Errors
/// As [`Question::fields`].
pub fn figures(lines: &[Line], questions: &[Question]) -> Result<Vec<Answer>, QuestionError> {
    let mut answers: Vec<Answer> = questions.iter().map(|q| alone(lines, q)).collect::<Result<_, _>>()?;
    let p: Vec<f64> = answers.iter().flat_map(chances).collect();
    let mut q = adjusted(&p).into_iter();
    for a in &mut answers {
        let (of, by) = (a.of, a.by);
        for k in 0..a.groups.len() {
            let n = a.groups[k].n;
            let others: usize = a.groups.iter().map(|g| g.n).sum::<usize>() - n;
            let g = &mut a.groups[k];
            if let Some(d) = &mut g.difference {
                let scarce = if n <= others { g.word.clone() } else { d.against.clone() };
                let many = Many { q: q.next().unwrap_or(1.0), compared: p.len() };
                groups::judge(&of, &g.word, &scarce, n.min(others), d, many);
            }
        }
        if let (Some(s), Some(by)) = (&mut a.slope, by) {
            dots::judge(&of, &by, a.dots.len(), s, Many { q: q.next().unwrap_or(1.0), compared: p.len() });
        }
        a.compared = p.len();
        conclude(a);
    }
    Ok(answers)
}

/// Chances of its differences, in the order in which they are judged.
fn chances(a: &Answer) -> Vec<f64> {
    let groups = a.groups.iter().filter_map(|g| g.difference.as_ref().map(|d| d.p));
    groups.chain(a.slope.as_ref().map(|s| s.p)).collect()
}

/// Of several, the worth that says most, and the sentence for it.
fn conclude(a: &mut Answer) {
    let rank = |w: Worth| match w {
        Worth::Carried => 0,
        Worth::Leans => 1,
        Worth::CannotTell => 2,
    };
    let differences = a.groups.iter().filter_map(|g| g.difference.as_ref()).map(|d| (d.worth, d.p, &d.words));
    let slope = a.slope.iter().map(|s| (s.worth, s.p, &s.words));
    let strongest =
        differences.chain(slope).min_by(|x, y| rank(x.0).cmp(&rank(y.0)).then(x.1.total_cmp(&y.1)));
    let filled = a.groups.iter().filter(|g| g.n > 0).count();
    (a.worth, a.said) = match strongest {
        Some((worth, _, words)) => (worth, words.clone()),
        None if a.whole.n == 0 => (Worth::CannotTell, "No play tells.".to_owned()),
        None if a.by.is_none() => (Worth::CannotTell, a.whole.words.clone()),
        None if a.kind == AnswerKind::Dots => (
            Worth::CannotTell,
            "Too few plays with both measures, or all alike: no line can be drawn.".to_owned(),
        ),
        None if filled == 1 => (
            Worth::CannotTell,
            "All plays are of one kind: there is nothing to hold them against.".to_owned(),
        ),
        None => (
            Worth::CannotTell,
            format!(
                "Too few plays to compare, or all alike: at least {} are needed in each group.",
                groups::FEWEST
            ),
        ),
    };
}

/// A play's part in the answer.
struct Counted<'l> {
    line: &'l Line,
    of: &'l Cell,
    by: Option<&'l Cell>,
}

fn alone(lines: &[Line], question: &Question) -> Result<Answer, QuestionError> {
    let (of, by) = question.fields()?;
    let (asked, doubtful) = question.lines(lines);
    let mut left: BTreeMap<(String, String), Left> = BTreeMap::new();
    let mut miss = |field: &Field, why: &str, line: &Line| {
        let key = (field.id.to_owned(), why.to_owned());
        let entry = left.entry(key).or_insert_with(|| Left {
            field: field.label.to_owned(),
            why: why.to_owned(),
            plays: Vec::new(),
        });
        entry.plays.push(line.play.clone());
    };
    let mut counted = Vec::new();
    let mut outside = 0;
    for line in asked {
        let (Some(x), y) = (line.cell(of.id), by.map(|b| line.cell(b.id))) else {
            outside += 1;
            continue;
        };
        let y = match y {
            None => None,
            Some(Some(cell)) => Some(cell),
            Some(None) => {
                outside += 1;
                continue;
            }
        };
        match (x, y, by) {
            (Cell::NotSeen(why), ..) => miss(of, why, line),
            (_, Some(Cell::NotSeen(why)), Some(b)) => miss(b, why, line),
            _ => counted.push(Counted { line, of: x, by: y }),
        }
    }
    let shares = of.kind != FieldKind::Value;
    let numbers = by.is_some_and(|b| b.kind == FieldKind::Value);
    let (word, words) = shared(of, question, &counted);
    let adds = |c: &Counted<'_>| match c.of {
        Cell::Word(w) => Adds::Yes(word.as_deref().is_some_and(|x| x.eq_ignore_ascii_case(w))),
        Cell::Value(v) => Adds::Value(v.value),
        Cell::NotSeen(_) => Adds::Yes(false),
    };
    let mut dots = Vec::new();
    let mut parts: Vec<Gathered<'_>> = Vec::new();
    if numbers && !shares {
        dots = counted
            .iter()
            .filter_map(|c| match (c.of, c.by) {
                (Cell::Value(y), Some(Cell::Value(x))) => {
                    Some(Dot { play: c.line.play.clone(), x: *x, y: *y })
                }
                _ => None,
            })
            .collect();
    } else if let Some(b) = by {
        let cut = cuts(b, &counted);
        for c in &counted {
            let in_word = match c.by {
                Some(Cell::Word(w)) => Cell::Word(w.clone()),
                Some(Cell::Value(v)) => cut.of(*v),
                _ => continue,
            };
            match in_word {
                Cell::Word(w) => match parts.iter_mut().find(|p| p.word.eq_ignore_ascii_case(&w)) {
                    Some(p) => p.plays.push((&c.line.play, adds(c))),
                    None => parts.push(Gathered { word: w, plays: vec![(&c.line.play, adds(c))] }),
                },
                Cell::NotSeen(why) => miss(b, &why, c.line),
                Cell::Value(_) => {}
            }
        }
        order(b, &cut, &mut parts);
    }
    let mut groups: Vec<_> = parts.iter().map(|p| p.group(of, shares)).collect();
    compare(&parts, &mut groups);
    let all = Gathered {
        word: "all plays".to_owned(),
        // In bands some plays are too near a border to count.
        plays: if by.is_some() && (shares || !numbers) {
            parts.iter().flat_map(|p| p.plays.clone()).collect()
        } else {
            counted.iter().map(|c| (&c.line.play, adds(c))).collect()
        },
    };
    let mut left: Vec<Left> = left.into_values().collect();
    left.sort_by_key(|l| std::cmp::Reverse(l.plays.len()));
    let not_seen = left.iter().map(|l| l.plays.len()).sum::<usize>() + doubtful;
    let kind = match (shares, numbers) {
        (true, _) => AnswerKind::Shares,
        (false, true) => AnswerKind::Dots,
        (false, false) => AnswerKind::Means,
    };
    let slope = if kind == AnswerKind::Dots { dots::slope(&dots) } else { None };
    Ok(Answer {
        question: question.clone(),
        title: title(of, word.as_deref().filter(|_| of.kind == FieldKind::Word), by, question),
        of: *of,
        by: by.copied(),
        kind,
        word: word.filter(|_| of.kind == FieldKind::Word),
        words,
        whole: all.group(of, shares),
        groups,
        dots,
        slope,
        left,
        not_seen,
        outside,
        compared: 0,
        worth: Worth::CannotTell,
        said: String::new(),
    })
}

/// The plays of a yes-or-no or a measure that nothing splits, and how many should count but were not seen.
pub(super) fn gathered<'l>(lines: &'l [Line], q: &Question, of: &Field, word: &str) -> (Gathered<'l>, usize) {
    let (asked, mut not_seen) = q.lines(lines);
    let mut plays = Vec::new();
    for l in asked {
        match l.cell(of.id) {
            Some(Cell::Word(w)) => plays.push((&l.play, Adds::Yes(w == YES))),
            Some(Cell::Value(v)) => plays.push((&l.play, Adds::Value(v.value))),
            Some(Cell::NotSeen(_)) => not_seen += 1,
            None => {}
        }
    }
    (Gathered { word: word.to_owned(), plays }, not_seen)
}

fn title(of: &Field, word: Option<&str>, by: Option<&Field>, q: &Question) -> String {
    let mut title = of.label.to_owned();
    if let Some(w) = word {
        title.push_str(&format!(" “{w}”"));
    }
    if let Some(b) = by {
        title.push_str(&format!(", by {}", lower(b.label)));
    }
    for o in &q.only {
        let label = Field::by_id(&o.field).map_or(o.field.as_str(), |f| f.label);
        title.push_str(&format!("; only {} {}", lower(label), o.words.join(" or ")));
    }
    title
}

fn lower(label: &str) -> String {
    let mut c = label.chars();
    c.next().map_or_else(String::new, |f| f.to_lowercase().chain(c).collect())
}

/// The word whose share is taken, and those there are to choose from.
fn shared(of: &Field, q: &Question, counted: &[Counted<'_>]) -> (Option<String>, Vec<String>) {
    match of.kind {
        FieldKind::Value => (None, Vec::new()),
        FieldKind::YesNo => (Some(YES.to_owned()), Vec::new()),
        FieldKind::Word => {
            let mut counts: Vec<(String, usize)> = Vec::new();
            for c in counted {
                let Cell::Word(w) = c.of else { continue };
                match counts.iter_mut().find(|x| x.0.eq_ignore_ascii_case(w)) {
                    Some(x) => x.1 += 1,
                    None => counts.push((w.clone(), 1)),
                }
            }
            counts.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
            let words: Vec<String> = counts.into_iter().map(|x| x.0).collect();
            (q.word.clone().or_else(|| words.first().cloned()), words)
        }
    }
}

/// How a measure is cut into bands.
enum Cuts {
    /// As the trade does.
    Trade(&'static [(f64, &'static str)]),
    /// At these values.
    At(Vec<(f64, String)>),
}

fn cuts(by: &Field, counted: &[Counted<'_>]) -> Cuts {
    if !by.bands.is_empty() || by.kind != FieldKind::Value {
        return Cuts::Trade(by.bands);
    }
    let mut values: Vec<f64> = counted
        .iter()
        .filter_map(|c| if let Some(Cell::Value(v)) = c.by { Some(v.value) } else { None })
        .collect();
    values.sort_by(f64::total_cmp);
    let n = values.len();
    if n < 6 {
        return Cuts::At(vec![(f64::INFINITY, "all".to_owned())]);
    }
    let (a, b) = (values[n / 3], values[2 * n / 3]);
    if b <= a {
        let said = by.said(a);
        return Cuts::At(vec![(a, format!("under {said}")), (f64::INFINITY, format!("{said} and more"))]);
    }
    let (low, high) = (by.said(a), by.said(b));
    Cuts::At(vec![
        (a, format!("under {low}")),
        (b, format!("{low} to {high}")),
        (f64::INFINITY, format!("{high} and more")),
    ])
}

impl Cuts {
    fn of(&self, v: Estimate) -> Cell {
        match self {
            Self::Trade(bands) => banded(v, bands),
            Self::At(cuts) => cuts
                .iter()
                .find(|c| v.value < c.0)
                .map_or_else(|| Cell::NotSeen("it is no number".to_owned()), |c| Cell::Word(c.1.clone())),
        }
    }
}

/// Groups in the field's own order; others by how many plays they have.
fn order(by: &Field, cuts: &Cuts, parts: &mut [Gathered<'_>]) {
    let known: Vec<String> = match (by.kind, cuts) {
        (FieldKind::Value, Cuts::Trade(bands)) => bands.iter().map(|b| b.1.to_owned()).collect(),
        (FieldKind::Value, Cuts::At(c)) => c.iter().map(|b| b.1.clone()).collect(),
        _ => by.words.iter().map(|w| (*w).to_owned()).collect(),
    };
    // Games come in the order in which they were played.
    if by.id == "game" {
        return;
    }
    let place = |w: &str| known.iter().position(|x| x.eq_ignore_ascii_case(w)).unwrap_or(known.len());
    parts.sort_by(|a, b| {
        (place(&a.word), std::cmp::Reverse(a.plays.len()), &a.word).cmp(&(
            place(&b.word),
            std::cmp::Reverse(b.plays.len()),
            &b.word,
        ))
    });
}
