//! Several facts and measures at once: what each goes with in a figure while the others are held even.

use crate::LEVEL;
use crate::ask::{Left, Question, QuestionError, Ranged, Worth, adjusted};
use crate::facts::{Cell, Field, FieldKind, Line, YES};
use play::{GameId, Only};
use serde::{Deserialize, Serialize};
use stats::models::{Calibrated, Cell as Row, Family, Hierarchy, Measured, regression_calibration};
use stats::nuts::Sampling;
use stats::{Estimate, Interval, quantile};

/// A figure, and what it is held against.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(default)]
pub struct SeveralAsked {
    /// Field that is asked for.
    pub of: String,
    /// Of a field of many words: the one whose share is taken; the most frequent when left out.
    pub word: Option<String>,
    /// Two to [`MOST`] others.
    pub by: Vec<String>,
    /// Only plays with these words.
    pub only: Vec<Only>,
    /// Only these games; all when empty.
    pub games: Vec<GameId>,
}

/// What one measure, or one word of a fact, goes with.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Term {
    /// The field.
    pub field: Field,
    /// Of a fact: the word.
    pub word: Option<String>,
    /// Plays with that word; all of them for a measure.
    pub plays: usize,
    /// What the effect is for, in words: "6° more", or the word against the average of the others.
    pub step: String,
    /// Of a measure: the share of its spread, beside what the facts tell, that is not error of measurement.
    pub reliability: Option<f64>,
    /// Of a measure: whether the flattening by its errors was taken out; not where there are none or most of its spread is error.
    pub corrected: bool,
    /// Change of the figure with its 90% interval: a share from 0 to 1, or in its unit.
    pub effect: Ranged,
    /// Posterior chance of the other sign, twice; with all terms accounted for.
    pub q: f64,
    /// What may be said.
    pub worth: Worth,
    /// The effect in words.
    pub words: String,
}

impl Term {
    /// What errors of measurement do to it, where they do something.
    fn error_said(&self) -> String {
        match self.reliability {
            Some(r) if self.corrected && r < 0.95 => {
                format!(
                    ", with its errors of measurement ({:.0}% of its spread) taken out",
                    100.0 * (1.0 - r)
                )
            }
            Some(r) if !self.corrected && r < 0.95 => {
                format!(", flattened by errors of measurement ({:.0}% of its spread)", 100.0 * (1.0 - r))
            }
            _ => String::new(),
        }
    }
}

/// The answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Several {
    /// What is asked for.
    pub of: Field,
    /// Of a field of many words: whose share it is.
    pub word: Option<String>,
    /// Plays on which all of it is known.
    pub plays: usize,
    /// By field, words in the order of how often they come.
    pub terms: Vec<Term>,
    /// How far games differ beside all that, one spread; nothing over one game.
    pub games: Option<Ranged>,
    /// Plays that should count but on which something was not seen or charted.
    pub left: Vec<Left>,
    /// In one sentence; why there is no answer where there is none.
    pub said: String,
}

/// Most fields at once: more cannot be told apart by a few games.
pub const MOST: usize = 6;
/// Plays for each number that the model has to find; common practice (about ten for a share), ours lower for the priors hold the rest.
const PLAYS_EACH: usize = 4;
/// Fewest plays of a word that is spoken of.
const FEWEST: usize = 3;

/// What is observed of one play.
struct Seen {
    y: f64,
    x: Vec<Estimate>,
    words: Vec<String>,
    game: GameId,
}

impl SeveralAsked {
    /// The question that one of the fields would be alone.
    fn alone(&self, by: &str) -> Question {
        Question {
            of: self.of.clone(),
            by: Some(by.to_owned()),
            only: self.only.clone(),
            ..Question::default()
        }
        .over(&self.games)
    }
    /// What is held against the figure, in the order asked.
    ///
    /// # Errors
    /// `NoField`, `Itself`, `NotWords`; `HowMany` for fewer than two fields or more than [`MOST`].
    pub fn fields(&self) -> Result<Vec<&'static Field>, QuestionError> {
        if !(2..=MOST).contains(&self.by.len()) {
            return Err(QuestionError::HowMany { given: self.by.len(), most: MOST });
        }
        let mut by: Vec<&'static Field> = Vec::new();
        for id in &self.by {
            let field = self.alone(id).fields()?.1.expect("a question that is split by something");
            if by.iter().any(|b| b.id == field.id) {
                return Err(QuestionError::Itself { id: field.id.to_owned() });
            }
            by.push(field);
        }
        Ok(by)
    }
}

/// Holds a figure against several fields at once by a hierarchical regression (logistic for a share, linear for a measure): measures as
/// regressors, words as levels that are drawn toward each other, games as levels of their own. Plays on which one of them was not seen are
/// left out and counted. Errors of measurement of the regressors would flatten their effects; they are taken out by
/// [`stats::models::regression_calibration`].
///
/// # Errors
/// What [`SeveralAsked::fields`] refuses.
pub fn several(lines: &[Line], asked: &SeveralAsked) -> Result<Several, QuestionError> {
    let by = asked.fields()?;
    let question = asked.alone(&asked.by[0]);
    let (of, _) = question.fields()?;
    let (kept, _) = question.lines(lines);
    let word = (of.kind != FieldKind::Value).then(|| asked.word.clone().unwrap_or_else(|| usual(of, &kept)));
    let (seen, left) = gather(of, word.as_deref(), &by, &kept);
    let mut out = Several {
        of: *of,
        word,
        plays: seen.len(),
        terms: Vec::new(),
        games: None,
        left,
        said: String::new(),
    };
    let design = Design::of(&by, &seen);
    let wanted = PLAYS_EACH * (1 + design.numbers());
    if seen.len() < wanted {
        out.said = format!(
            "{} plays have all of it; to tell {} effects apart takes about {wanted}.",
            seen.len(),
            design.numbers()
        );
        return Ok(out);
    }
    fit(&mut out, &by, &seen, &design);
    Ok(out)
}

/// The word whose share is taken: yes, or the most frequent.
fn usual(of: &Field, lines: &[&Line]) -> String {
    if of.kind == FieldKind::YesNo {
        return YES.to_owned();
    }
    let mut counts: Vec<(String, usize)> = Vec::new();
    for w in lines.iter().filter_map(|l| l.word(of.id)) {
        match counts.iter_mut().find(|c| c.0.eq_ignore_ascii_case(w)) {
            Some(c) => c.1 += 1,
            None => counts.push((w.to_owned(), 1)),
        }
    }
    counts.into_iter().max_by_key(|c| c.1).map_or_else(String::new, |c| c.0)
}

/// The plays on which everything is known, and the others by what is missing. A play to which a field does not apply is left out in silence.
fn gather(of: &Field, word: Option<&str>, by: &[&Field], lines: &[&Line]) -> (Vec<Seen>, Vec<Left>) {
    let (mut seen, mut left): (Vec<Seen>, Vec<Left>) = (Vec::new(), Vec::new());
    'plays: for l in lines {
        let mut play = Seen { y: 0.0, x: Vec::new(), words: Vec::new(), game: l.game.clone() };
        for field in std::iter::once(of).chain(by.iter().copied()) {
            match l.cell(field.id) {
                Some(Cell::Value(e)) if field.id == of.id => play.y = e.value,
                Some(Cell::Word(w)) if field.id == of.id => {
                    play.y = f64::from(u8::from(word.is_some_and(|is| w.eq_ignore_ascii_case(is))));
                }
                Some(Cell::Value(e)) => play.x.push(*e),
                Some(Cell::Word(w)) => play.words.push(w.clone()),
                Some(Cell::NotSeen(why)) => {
                    match left.iter_mut().find(|m| m.field == field.label && m.why == *why) {
                        Some(m) => m.plays.push(l.play.clone()),
                        None => left.push(Left {
                            field: field.label.to_owned(),
                            why: why.clone(),
                            plays: vec![l.play.clone()],
                        }),
                    }
                    continue 'plays;
                }
                None => continue 'plays,
            }
        }
        seen.push(play);
    }
    left.sort_by_key(|m| std::cmp::Reverse(m.plays.len()));
    (seen, left)
}

/// How plays become rows of the model.
struct Design {
    /// Of each measure: middle and spread as measured.
    scales: Vec<(f64, f64)>,
    /// The measures with their errors taken out.
    measures: Calibrated,
    /// Of each fact: its words with how many plays, the most frequent first.
    words: Vec<Vec<(String, usize)>>,
    games: Vec<GameId>,
}

impl Design {
    fn of(by: &[&Field], seen: &[Seen]) -> Self {
        let measures = by.iter().filter(|f| f.kind == FieldKind::Value).count();
        let scales = (0..measures).map(|k| scale(seen.iter().map(|s| s.x[k].value))).collect();
        let words: Vec<Vec<(String, usize)>> = (0..by.len() - measures)
            .map(|k| {
                let mut counts: Vec<(String, usize)> = Vec::new();
                for s in seen {
                    match counts.iter_mut().find(|c| c.0.eq_ignore_ascii_case(&s.words[k])) {
                        Some(c) => c.1 += 1,
                        None => counts.push((s.words[k].clone(), 1)),
                    }
                }
                counts.sort_by_key(|c| std::cmp::Reverse(c.1));
                counts
            })
            .collect();
        let mut games: Vec<GameId> = Vec::new();
        for s in seen {
            if !games.contains(&s.game) {
                games.push(s.game.clone());
            }
        }
        if by.iter().any(|f| f.id == "game") {
            games.clear();
        }
        let measured: Vec<Measured> = seen
            .iter()
            .map(|s| Measured {
                value: s.x.iter().map(|e| e.value).collect(),
                variance: s.x.iter().map(|e| e.se * e.se).collect(),
                known: said(&words, &s.words),
            })
            .collect();
        Self { scales, measures: regression_calibration(&measured), words, games }
    }
    /// Effects that have to be found.
    fn numbers(&self) -> usize {
        self.scales.len() + self.words.iter().map(|w| w.len().saturating_sub(1)).sum::<usize>()
    }
    fn levels(&self) -> Vec<usize> {
        let games = (self.games.len() > 1).then_some(self.games.len());
        self.words.iter().map(Vec::len).chain(games).collect()
    }
    fn row(&self, play: usize, s: &Seen, y: f64) -> Row {
        let place = |k: usize, w: &String| self.words[k].iter().position(|c| c.0.eq_ignore_ascii_case(w));
        let mut levels: Vec<Option<usize>> = s.words.iter().enumerate().map(|(k, w)| place(k, w)).collect();
        if self.games.len() > 1 {
            levels.push(self.games.iter().position(|g| *g == s.game));
        }
        let x = self.measures.expected[play]
            .iter()
            .zip(&self.scales)
            .map(|(v, (middle, spread))| (v - middle) / spread)
            .collect();
        Row { levels, x, n: 1.0, y, square: 0.0 }
    }
}

/// Indicators of a play's words against the most frequent of each fact.
fn said(words: &[Vec<(String, usize)>], own: &[String]) -> Vec<f64> {
    words
        .iter()
        .zip(own)
        .flat_map(|(words, own)| {
            words.iter().skip(1).map(|w| f64::from(u8::from(w.0.eq_ignore_ascii_case(own))))
        })
        .collect()
}

/// Mean and spread; a spread of 1 for what does not vary.
fn scale(values: impl Iterator<Item = f64> + Clone) -> (f64, f64) {
    let n = values.clone().count().max(1) as f64;
    let mean = values.clone().sum::<f64>() / n;
    let sd = (values.map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0).max(1.0)).sqrt();
    (mean, if sd > 0.0 { sd } else { 1.0 })
}

fn fit(out: &mut Several, by: &[&Field], seen: &[Seen], design: &Design) {
    let share = out.of.kind != FieldKind::Value;
    let (middle, spread) = if share { (0.0, 1.0) } else { scale(seen.iter().map(|s| s.y)) };
    let rows = seen.iter().enumerate().map(|(k, s)| design.row(k, s, (s.y - middle) / spread)).collect();
    let family = if share { Family::Logit } else { Family::Normal };
    let h = Hierarchy::weak(family, rows, design.levels(), design.scales.len());
    let drawn = match h.fit(Sampling::default()) {
        Ok(drawn) => drawn,
        Err(checks) => {
            out.said = format!(
                "The model's draws cannot be trusted (R-hat {:.3}, {:.0} effective draws): fewer fields, or more plays, may do.",
                checks.r_hat, checks.effective
            );
            return;
        }
    };
    // What a step on the model's scale does to the figure, from half of it below the middle to half above.
    let of_step = |a: f64, step: f64| {
        if share { logit(a + 0.5 * step) - logit(a - 0.5 * step) } else { spread * step }
    };
    let mut raw: Vec<(Term, f64)> = Vec::new();
    let (mut measure, mut fact) = (0, 0);
    let mut flat: Vec<&str> = Vec::new();
    for &field in by {
        if field.kind == FieldKind::Value {
            let k = measure;
            measure += 1;
            let draws = drawn.of(|d| of_step(h.mean(d), h.slope(d, k)));
            let step = format!("per {} more", field.said(design.scales[k].1));
            let (mut term, p) = term(field, None, seen.len(), step, draws);
            term.reliability = Some(design.measures.reliability[k]);
            term.corrected = design.measures.corrected[k];
            raw.push((term, p));
            continue;
        }
        let spoken = design.words[fact].iter().enumerate().filter(|w| w.1.1 >= FEWEST);
        // One word beside a play or two of others is an average, not a comparison.
        if spoken.clone().count() < 2 {
            flat.push(field.label);
            fact += 1;
            continue;
        }
        for (l, (word, plays)) in spoken {
            let draws = drawn.of(|d| {
                let e = h.effect(d, fact, l);
                if share { logit(h.mean(d) + e) - logit(h.mean(d)) } else { spread * e }
            });
            raw.push(term(field, Some(word.clone()), *plays, "against the average".to_owned(), draws));
        }
        fact += 1;
    }
    let q = adjusted(&raw.iter().map(|r| r.1).collect::<Vec<_>>());
    for ((mut t, _), q) in raw.into_iter().zip(q) {
        let interval = t.effect.interval.expect("every term has draws");
        t.q = q;
        t.worth = Worth::of(interval, q);
        let what = match &t.word {
            Some(word) => format!("{} “{word}”", t.field.label),
            None => format!("{}, {}", t.field.label, t.step),
        };
        t.words = format!(
            "{what}: {}{}: {}",
            out.of.said_range(t.effect.value, interval),
            t.error_said(),
            t.worth.words()
        );
        out.terms.push(t);
    }
    let games = design.words.len();
    out.games =
        (design.games.len() > 1).then(|| ranged(drawn.of(|d| of_step(h.mean(d), h.spread_of(d, games)))));
    let carried: Vec<&str> =
        out.terms.iter().filter(|t| t.worth == Worth::Carried).map(|t| t.words.as_str()).collect();
    out.said = if carried.is_empty() {
        format!("Over {} plays, with the others held even, none of these is carried by the data.", seen.len())
    } else {
        format!("Over {} plays, with the others held even: {}.", seen.len(), carried.join("; "))
    };
    if !flat.is_empty() {
        out.said += &format!(
            " Too few of another kind to compare ({FEWEST} plays of two words at least): {}.",
            flat.join(", ")
        );
    }
}

fn logit(eta: f64) -> f64 {
    1.0 / (1.0 + (-eta).exp())
}

fn ranged(mut draws: Vec<f64>) -> Ranged {
    draws.sort_by(f64::total_cmp);
    let value = draws.iter().sum::<f64>() / draws.len() as f64;
    let end = |p| quantile(&draws, p);
    Ranged { value, interval: Some(Interval { low: end(0.5 - LEVEL / 2.0), high: end(0.5 + LEVEL / 2.0) }) }
}

/// A term without its control, and twice the chance of the rarer sign; never less than one draw of all.
fn term(field: &Field, word: Option<String>, plays: usize, step: String, draws: Vec<f64>) -> (Term, f64) {
    let n = draws.len() as f64;
    let above = draws.iter().filter(|d| **d > 0.0).count() as f64;
    let p = (2.0 * above.min(n - above)).max(1.0) / n;
    let effect = ranged(draws);
    let worth = Worth::CannotTell;
    let term = Term {
        field: *field,
        word,
        plays,
        step,
        reliability: None,
        corrected: false,
        effect,
        q: p,
        worth,
        words: String::new(),
    };
    (term, p)
}
