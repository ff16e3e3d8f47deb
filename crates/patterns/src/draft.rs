//! Statements that the figures carry by themselves, drafted for the evaluator to put in his own words.

use crate::again::{Shown, repeated};
use crate::ask::{Answer, BORNE, Ready, Worth, adjusted, chance, fisher};
use crate::facts::{Cell, Field, FieldGroup, Line, YES};
use crate::learn::named;
use crate::relation::relation;
use crate::telling::{Telling, TellingPlay, good_when_high, telling};
use play::{Leaning, PlayId, Strand};
use serde::Serialize;
use stats::Proportion;

/// A drafted statement.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Draft {
    /// The question it answers, as an evaluator would ask it.
    pub asks: String,
    /// The sentence, with its figures.
    pub text: String,
    /// Which part of the verdict it belongs to.
    pub leaning: Leaning,
    /// The answer it rests on.
    pub strand: Strand,
    /// Clips that show it, the most telling first.
    pub supporting: Vec<PlayId>,
    /// Clips that go against it.
    pub against: Vec<PlayId>,
}

/// Clips drafted for a statement, and against it.
const CLIPS: usize = 4;
const CONTRARY: usize = 2;
/// Fewest later showings of a picture before it is spoken of.
const SHOWN: usize = 3;

/// What the `answered` ready questions carry, with all that was compared accounted for, and the pictures on which he keeps doing badly.
/// Completions by situation are left out: they speak of the situation, not of him. Lines and pictures are in the same order, that of time.
pub fn drafts(answered: &[(Ready, Answer)], lines: &[Line], shown: &[Shown]) -> Vec<Draft> {
    let mut out: Vec<Draft> = answered
        .iter()
        .filter(|(_, a)| a.worth == Worth::Carried && a.of.id != "completions")
        .filter_map(|(r, a)| of_answer(r.asks, a, lines))
        .collect();
    out.extend(unlearned(lines, shown));
    out
}

fn of_answer(asks: &str, a: &Answer, lines: &[Line]) -> Option<Draft> {
    let carried = |w: Worth| w == Worth::Carried;
    let group = a
        .groups
        .iter()
        .filter_map(|g| Some((g, g.difference.as_ref().filter(|d| carried(d.worth))?)))
        .min_by(|x, y| x.1.p.total_cmp(&y.1.p));
    let (leaning, word, plays, said) = match (group, &a.slope) {
        (Some((g, d)), _) => {
            let better = good_when_high(a.of.id).map(|high| high == (d.value > 0.0));
            let leaning = match (better, a.by.map(|b| b.group)) {
                (Some(true), _) => Leaning::Strength,
                // What the feet do to the ball can be worked on.
                (_, Some(FieldGroup::Feet)) => Leaning::Work,
                _ => Leaning::Fault,
            };
            (leaning, Some(g.word.clone()), g.plays.clone(), &d.words)
        }
        (None, Some(s)) if carried(s.worth) => (Leaning::Work, None, a.whole.plays.clone(), &s.words),
        _ => return None,
    };
    let group: Vec<&Line> = lines.iter().filter(|l| plays.contains(&l.play)).collect();
    let (supporting, against) = clips(match (&word, a.by, &a.slope) {
        (None, Some(by), Some(s)) => relation(&a.of, &by, s.plain.value > 0.0, &group),
        _ => telling(&a.of, a.word.as_deref(), leaning, &group, &[]),
    });
    Some(Draft {
        asks: asks.to_owned(),
        text: format!("{asks}: {said}"),
        leaning,
        strand: Strand {
            measure: a.of.id.to_owned(),
            word: a.word.clone(),
            by: a.by.map(|b| b.id.to_owned()),
            group: word,
            games: a.question.games.clone(),
            ..Strand::default()
        },
        supporting,
        against,
    })
}

/// The most telling clips for and against.
fn clips(t: Telling) -> (Vec<PlayId>, Vec<PlayId>) {
    (first(t.along, CLIPS), first(t.against, CONTRARY))
}

fn first(plays: Vec<TellingPlay>, most: usize) -> Vec<PlayId> {
    plays.into_iter().take(most).map(|c| c.play).collect()
}

/// Pictures on which he decided worse after the first time than on all other plays: Fisher's exact test of the two shares, with all
/// pictures accounted for (Benjamini & Hochberg 1995).
fn unlearned(lines: &[Line], shown: &[Shown]) -> Vec<Draft> {
    const OF: &str = "sound-decision";
    let well = |l: &Line| match l.cell(OF) {
        Some(Cell::Word(w)) => Some(w == YES),
        _ => None,
    };
    let count = |of: &[&Line]| {
        let known: Vec<bool> = of.iter().filter_map(|l| well(l)).collect();
        (known.iter().filter(|w| **w).count() as u64, known.len() as u64)
    };
    let pictures: Vec<Vec<usize>> = repeated(shown)
        .into_iter()
        .filter(|p| p[1..].iter().filter(|&&k| well(&lines[k]).is_some()).count() >= SHOWN)
        .collect();
    let shares: Vec<[(u64, u64); 2]> = pictures
        .iter()
        .map(|p| {
            let later: Vec<&Line> = p[1..].iter().map(|&k| &lines[k]).collect();
            let others: Vec<&Line> =
                lines.iter().enumerate().filter(|(k, _)| !p.contains(k)).map(|(_, l)| l).collect();
            [count(&later), count(&others)]
        })
        .collect();
    let p: Vec<f64> = shares.iter().map(|[a, b]| fisher(a.0, a.1, b.0, b.1)).collect();
    let worse = |[a, b]: [(u64, u64); 2]| a.0 * b.1 < b.0 * a.1;
    let named_and_worse = pictures.iter().zip(shares).zip(adjusted(&p));
    named_and_worse
        .filter(|((_, s), q)| *q <= BORNE && worse(*s))
        .filter_map(|((picture, [(yes, n), (others, m)]), q)| {
            let first = picture[0];
            let plays: Vec<PlayId> = picture[1..].iter().map(|&k| lines[k].play.clone()).collect();
            let range = Proportion::new(yes, n).ok()?.wilson(crate::LEVEL);
            let group: Vec<&Line> = lines.iter().filter(|l| plays.contains(&l.play)).collect();
            let field = Field::by_id(OF)?;
            let (supporting, against) = clips(telling(field, None, Leaning::Fault, &group, &[]));
            let asks = "The same picture again".to_owned();
            let text = format!(
                "{}, seen again: sound decisions {yes} of {n} ({:.0}% to {:.0}%), on all other plays {others} of {m}; p {} with all \
                 pictures accounted for.",
                named(&lines[first], &shown[first]),
                100.0 * range.low,
                100.0 * range.high,
                chance(q),
            );
            let strand = Strand { measure: OF.to_owned(), plays, ..Strand::default() };
            Some(Draft { asks, text, leaning: Leaning::Fault, strand, supporting, against })
        })
        .collect()
}
