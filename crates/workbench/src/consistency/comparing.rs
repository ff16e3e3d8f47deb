//! Two evaluators' studies of the same games, play by play. The other study is only read.

use super::agreement::{Agreement, Disagreement};
use crate::{WorkError, Workbench, paths};
use patterns::facts::Line;
use patterns::{MeasureAgreement, measures_agree};
use play::{Chart, Game, OwnCall, Play, PlayId, Study};
use serde::Serialize;
use std::collections::HashMap;
use std::path::Path;
use store::{OfPlay, Place, Store};

/// How two evaluators agree on one kind of word.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct WordAgreement {
    /// What was called: the decision, or a word of the chart.
    pub what: String,
    /// How well they agree.
    pub agreement: Agreement,
    /// Where they differ, in the order of the plays.
    pub disagreements: Vec<Disagreement>,
}

/// Two studies compared.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct StudyComparison {
    /// This study's evaluator.
    pub one: String,
    /// The other's.
    pub other: String,
    /// Plays that both have, matched by game and number.
    pub matched: usize,
    /// Plays of this study that the other has not.
    pub unmatched: usize,
    /// Decisions, then words of the chart.
    pub words: Vec<WordAgreement>,
    /// Figures that both measured on enough plays.
    pub measures: Vec<MeasureAgreement>,
}

/// A play of a study with what was called of it.
struct Called {
    play: Play,
    chart: Option<Chart>,
    calls: Vec<OwnCall>,
}

/// A word of the chart, by name.
type Word = (&'static str, fn(&Chart) -> String);

/// Words of the chart that two evaluators may see differently.
const WORDS: &[Word] = &[
    ("coverage played", |c| c.coverage_after.clone()),
    ("coverage shown", |c| c.coverage_before.clone()),
    ("concept", |c| c.concept.clone()),
    ("protection", |c| c.protection.clone()),
    ("pocket", |c| c.pocket.clone()),
    ("how it missed", |c| c.miss.clone()),
    ("rushers", |c| c.rushers.map(|n| n.to_string()).unwrap_or_default()),
];

impl Workbench {
    /// This study beside another of the same games that lies in a named folder or beside this study.
    ///
    /// # Errors
    /// `Outside`, and those of [`Workbench::compare`].
    pub async fn compare_listed(&self, path: &Path) -> Result<StudyComparison, WorkError> {
        self.compare(&self.listed_study(path).await?).await
    }
    /// A study that lies in a named folder or beside this one.
    pub(crate) async fn listed_study(&self, path: &Path) -> Result<std::path::PathBuf, WorkError> {
        let mut roots = self.roots().await?;
        // A study named by a relative path has a parent only once it is made whole.
        let here = self.place().folder().canonicalize().ok();
        roots.extend(here.and_then(|h| h.parent().map(Path::to_path_buf)));
        paths::within(path, &roots)
    }
    /// This study beside another of the same games. Games are matched by name, or as the only ones; plays by their number.
    ///
    /// # Errors
    /// `Invalid` when it is this study or no game is in both; `Store` when it is no study of this format.
    pub async fn compare(&self, path: &Path) -> Result<StudyComparison, WorkError> {
        if self.is_this(path) {
            return Err(WorkError::Invalid("a study cannot be compared with itself".into()));
        }
        let other = Self::over(Store::open_to_read(Place::new(path)?).await?, self.outside.clone());
        let compared = self.beside(&other).await;
        other.close().await;
        compared
    }
    async fn beside(&self, other: &Self) -> Result<StudyComparison, WorkError> {
        let (mut compared, pairs) = compare(&self.store, &other.store).await?;
        let (ours, theirs) = (self.asked().await?, other.asked().await?);
        let by_play = |lines: &'_ [Line]| -> HashMap<PlayId, Line> {
            lines.iter().map(|l| (l.play.clone(), l.clone())).collect()
        };
        let (ours, theirs) = (by_play(&ours.lines), by_play(&theirs.lines));
        let both: Vec<(&Line, &Line)> =
            pairs.iter().filter_map(|(a, b)| Some((ours.get(a)?, theirs.get(b)?))).collect();
        compared.measures = measures_agree(&both);
        Ok(compared)
    }
}

/// Words compared, and which play of ours is which of theirs.
async fn compare(
    ours: &Store,
    theirs: &Store,
) -> Result<(StudyComparison, Vec<(PlayId, PlayId)>), WorkError> {
    let (one, other): (Study, Study) = (ours.get("study").await?, theirs.get("study").await?);
    let (our_games, their_games): (Vec<Game>, Vec<Game>) = (ours.list().await?, theirs.list().await?);
    let (our_plays, their_plays) = (called(ours).await?, called(theirs).await?);
    let name = |s: &str| s.trim().to_lowercase();
    let only = our_games.len() == 1 && their_games.len() == 1;
    let mut pairs: Vec<(&Called, &Called)> = Vec::new();
    let mut shared = false;
    for game in &our_games {
        let Some(match_) = their_games.iter().find(|g| only || name(&g.name) == name(&game.name)) else {
            continue;
        };
        shared = true;
        let theirs: HashMap<u32, &Called> =
            their_plays.iter().filter(|c| c.play.game == match_.id).map(|c| (c.play.number, c)).collect();
        let of_game = our_plays.iter().filter(|c| c.play.game == game.id);
        pairs.extend(of_game.filter_map(|c| Some((c, *theirs.get(&c.play.number)?))));
    }
    if !shared {
        return Err(WorkError::Invalid(
            "no game of the other study has the name of one here; give the same game the same name in both"
                .into(),
        ));
    }
    let mut words = vec![of_words("decision", &pairs, decisions)];
    words.extend(WORDS.iter().map(|(what, word)| {
        of_words(what, &pairs, |a, b| {
            let said = |c: &Called| c.chart.as_ref().map(word).filter(|w| !w.trim().is_empty());
            Some((said(a)?, said(b)?))
        })
    }));
    words.retain(|w| w.agreement.n > 0 || w.what == "decision");
    let compared = StudyComparison {
        one: one.evaluator,
        other: other.evaluator,
        matched: pairs.len(),
        unmatched: our_plays.len() - pairs.len(),
        words,
        measures: Vec::new(),
    };
    Ok((compared, pairs.iter().map(|(a, b)| (a.play.id.clone(), b.play.id.clone())).collect()))
}

/// Both evaluators' calls under the same plan; their first ones when no plan is shared.
fn decisions(a: &Called, b: &Called) -> Option<(String, String)> {
    let shared = a.calls.iter().find_map(|x| Some((x, b.calls.iter().find(|y| y.plan == x.plan)?)));
    let (x, y) = shared.or_else(|| Some((a.calls.first()?, b.calls.first()?)))?;
    Some((report::outcome_word(x.outcome).to_owned(), report::outcome_word(y.outcome).to_owned()))
}

fn of_words(
    what: &str,
    pairs: &[(&Called, &Called)],
    said: impl Fn(&Called, &Called) -> Option<(String, String)>,
) -> WordAgreement {
    let both: Vec<(&Called, (String, String))> =
        pairs.iter().filter_map(|(a, b)| Some((*a, said(a, b)?))).collect();
    let agreement = Agreement::of(both.iter().map(|(_, (x, y))| (x.as_str(), y.as_str())));
    let disagreements = both
        .iter()
        .filter(|(_, (x, y))| !x.eq_ignore_ascii_case(y))
        .map(|(c, (x, y))| Disagreement {
            play: c.play.id.clone(),
            number: c.play.number,
            one: x.clone(),
            other: y.clone(),
        })
        .collect();
    WordAgreement { what: what.to_owned(), agreement, disagreements }
}

async fn called(store: &Store) -> Result<Vec<Called>, WorkError> {
    let mut charts: HashMap<String, Chart> =
        store.list::<OfPlay<Chart>>().await?.into_iter().map(|c| (c.play.0, c.part)).collect();
    let mut calls: HashMap<String, Vec<OwnCall>> = HashMap::new();
    for c in store.list::<OfPlay<OwnCall>>().await? {
        calls.entry(c.play.0).or_default().push(c.part);
    }
    let mut plays: Vec<Play> = store.list().await?;
    plays.sort_by_key(|p| (p.game.clone(), p.number));
    Ok(plays
        .into_iter()
        .map(|play| Called {
            chart: charts.remove(&play.id.0),
            calls: calls.remove(&play.id.0).unwrap_or_default(),
            play,
        })
        .collect())
}
