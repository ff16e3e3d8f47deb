//! Whether he did better once a picture had been seen.

use crate::LEVEL;
use crate::again::{Shown, repeated};
use crate::ask::{Answer, Question, QuestionError, ask_among, ready};
use crate::facts::{Cell, Line, YES};
use play::{GameId, PlayId};
use serde::Serialize;
use stats::Proportion;

/// One showing of a picture.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Showing {
    /// Which play.
    pub play: PlayId,
    /// Its game.
    pub game: GameId,
    /// Order within the game.
    pub number: u32,
    /// What he did, in words.
    pub did: String,
    /// Whether it was well done by the field asked for; `None` when not seen or not applicable.
    pub well: Option<bool>,
}

/// A picture that was shown more than once.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct RepeatedPicture {
    /// What it is: concept or routes, and coverage.
    pub name: String,
    /// In the order of time.
    pub showings: Vec<Showing>,
    /// The first time, then the others with their interval, in words.
    pub words: String,
}

/// Did he learn.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Learned {
    /// Over all repeated pictures: the first time against later ones.
    pub answer: Answer,
    /// Each of them, the most often shown first.
    pub pictures: Vec<RepeatedPicture>,
}

/// What he did on a play, in a few words.
pub fn did(line: &Line) -> String {
    let mut parts = Vec::new();
    if let Some(judged) = line.word("judgement") {
        parts.push(judged.to_owned());
    }
    if let Some(route) = line.word("route") {
        parts.push(format!("to the {}", route.to_lowercase()));
    }
    if let Some(result) = line.word("result") {
        parts.push(result.to_owned());
    }
    if let Some(t) = line.value("time-to-throw") {
        parts.push(format!("out at {:.1} s", t.value));
    }
    if parts.is_empty() { "nothing charted or judged".to_owned() } else { parts.join(", ") }
}

/// First showings against later ones by a yes-or-no field. Lines and pictures are in the same order, that of time.
///
/// # Errors
/// As [`Question::fields`].
pub fn learned(lines: &[Line], shown: &[Shown], of: &str) -> Result<Learned, QuestionError> {
    let pictures = repeated(shown);
    let plays: Vec<PlayId> = pictures.iter().flatten().map(|&k| lines[k].play.clone()).collect();
    let mut question = Question { plays, ..Question::new(of, "picture") };
    if question.plays.is_empty() {
        // No play is named by nothing: an empty list would mean all.
        question.plays.push(PlayId(String::new()));
    }
    // It is one more look among those that are taken anyway.
    let beside: Vec<Question> = ready().into_iter().map(|r| r.question).collect();
    let answer = ask_among(lines, &question, &beside)?;
    let mut out: Vec<RepeatedPicture> = pictures
        .iter()
        .map(|p| {
            let showings: Vec<Showing> = p
                .iter()
                .map(|&k| Showing {
                    play: lines[k].play.clone(),
                    game: lines[k].game.clone(),
                    number: lines[k].number,
                    did: did(&lines[k]),
                    well: match lines[k].cell(of) {
                        Some(Cell::Word(w)) => Some(w == YES),
                        _ => None,
                    },
                })
                .collect();
            let words = in_words(&showings);
            RepeatedPicture { name: named(&lines[p[0]], &shown[p[0]]), showings, words }
        })
        .collect();
    out.sort_by_key(|p| std::cmp::Reverse(p.showings.len()));
    Ok(Learned { answer, pictures: out })
}

/// A picture's name: concept or routes, and coverage.
pub(crate) fn named(line: &Line, shown: &Shown) -> String {
    let routes = || {
        let all: Vec<String> =
            shown.picture.routes.iter().map(|(s, r)| format!("{s} {}", r.to_lowercase())).collect();
        all.join(", ")
    };
    let call = line.word("concept").map_or_else(routes, str::to_owned);
    let coverage = line.word("coverage").or_else(|| line.word("coverage-family"));
    match (call.is_empty(), coverage) {
        (false, Some(c)) => format!("{call} against {c}"),
        (false, None) => call,
        (true, Some(c)) => c.to_owned(),
        (true, None) => "a picture without words".to_owned(),
    }
}

fn in_words(showings: &[Showing]) -> String {
    let said = |w: Option<bool>| match w {
        Some(true) => "well",
        Some(false) => "not well",
        None => "not told",
    };
    let later: Vec<bool> = showings[1..].iter().filter_map(|s| s.well).collect();
    let well = later.iter().filter(|w| **w).count();
    let share = Proportion::new(well as u64, later.len() as u64).map_or_else(
        |_| "later not told".to_owned(),
        |p| {
            let i = p.wilson(LEVEL);
            format!("later {well} of {} well ({:.0}% to {:.0}%)", later.len(), 100.0 * i.low, 100.0 * i.high)
        },
    );
    format!("first time {}; {share}", said(showings[0].well))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::again::{Picture, first_or_seen};

    fn study(pictures: &[(&str, bool)]) -> (Vec<Line>, Vec<Shown>) {
        let mut lines = Vec::new();
        let mut shown = Vec::new();
        for (k, (coverage, sound)) in pictures.iter().enumerate() {
            let mut l = Line {
                play: format!("p{k}").into(),
                game: "g1".into(),
                number: k as u32 + 1,
                cells: Default::default(),
            };
            l.put("sound-decision", Cell::Word(if *sound { "yes" } else { "no" }.to_owned()));
            l.put("coverage", Cell::Word((*coverage).to_owned()));
            shown.push(Shown {
                play: l.play.clone(),
                picture: Picture { coverage: (*coverage).to_owned(), ..Picture::default() },
            });
            lines.push(l);
        }
        first_or_seen(&mut lines, &shown);
        (lines, shown)
    }

    #[test]
    fn first_showings_are_held_against_later_ones() {
        let (lines, shown) = study(&[
            ("Cover 1", false),
            ("Cover 2", false),
            ("Cover 1", true),
            ("Cover 3", true),
            ("Cover 1", true),
            ("Cover 2", true),
        ]);
        let l = learned(&lines, &shown, "sound-decision").unwrap();
        assert_eq!(l.pictures.len(), 2, "Cover 3 was shown once");
        assert_eq!(l.pictures[0].name, "Cover 1");
        // Wilson 90% of 2 of 2 by hand: low = 1 / (1 + z²/2) = 0.425.
        assert_eq!(l.pictures[0].words, "first time not well; later 2 of 2 well (43% to 100%)");
        let counts: Vec<_> = l.answer.groups.iter().map(|g| (g.word.as_str(), g.yes, g.n)).collect();
        assert_eq!(counts, [("first time", Some(0), 2), ("seen before", Some(3), 3)]);
    }

    #[test]
    fn without_repeats_nothing_is_said() {
        let (lines, shown) = study(&[("Cover 1", false), ("Cover 2", true)]);
        let l = learned(&lines, &shown, "sound-decision").unwrap();
        assert!(l.pictures.is_empty() && l.answer.whole.n == 0);
        assert!(learned(&lines, &shown, "shoe-size").is_err());
    }
}
