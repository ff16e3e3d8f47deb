//! Questions across plays: any fact or measure by any other, and the same picture again.

mod again;
mod apart;
mod asked;
mod expect;
mod passers;
mod scout;
mod several;

pub(crate) use asked::Asked;

pub use again::SeenAgain;
pub use passers::PassersCompared;

use crate::facts::ready as not_yet;
use crate::measuring::MODELS;
use crate::{WorkError, Workbench, key_of};
use patterns::again::{Shown, first_or_seen};
use patterns::ask::{Answer, Question, QuestionError, Ready};
use patterns::facts::{FIELDS, Field, Known, Line, line, together};
use play::{Game, GameId, PlayId, Study};
use scout::{Scouting, scout};
use serde::Serialize;
use std::collections::HashMap;
use std::sync::Arc;

/// Kinds among computed things, and the one id of what is of the whole study.
const SCOUTED: &str = "scouted";
const ASKED: &str = "asked";
const STUDY: &str = "study";
/// Changes when what is scouted changes, so that an older program's is made again.
const SCOUT: u32 = 3;

/// The lines of this run, with what names their inputs. Held while they are made, so that two who ask do not both make them.
pub(crate) type AskedCache = tokio::sync::Mutex<Option<(String, Arc<Asked>)>>;

/// A ready question and its answer.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Pattern {
    /// Unique.
    pub id: String,
    /// As an evaluator would say it.
    pub asks: String,
    /// The answer.
    pub answer: Answer,
}

/// What can be asked.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Askable {
    /// Facts and measures.
    pub fields: Vec<Field>,
    /// Questions of the evaluator.
    pub ready: Vec<Ready>,
}

impl From<QuestionError> for WorkError {
    fn from(e: QuestionError) -> Self {
        Self::Invalid(e.to_string())
    }
}

impl Workbench {
    /// Facts, measures and ready questions.
    pub fn askable(&self) -> Askable {
        Askable { fields: FIELDS.to_vec(), ready: patterns::ask::ready() }
    }
    /// The ready questions over some games (all when none is named), answered at once: their comparisons are controlled together.
    ///
    /// # Errors
    /// `Store`, or what measuring the plays refused.
    pub async fn patterns(&self, games: &[GameId]) -> Result<Vec<Pattern>, WorkError> {
        let (asked, games) = (self.asked().await?, games.to_vec());
        let answered = crate::error::blocking(move || asked.ready(&games)).await?;
        let pattern =
            |(r, answer): (Ready, _)| Pattern { id: r.id.to_owned(), asks: r.asks.to_owned(), answer };
        Ok(answered.into_iter().map(pattern).collect())
    }
    /// Any question, its comparisons controlled together with those of the ready ones over the same games.
    ///
    /// # Errors
    /// `Invalid` for an unknown field; `Store`; what measuring the plays refused.
    pub async fn ask(&self, question: Question) -> Result<Answer, WorkError> {
        question.fields()?;
        let asked = self.asked().await?;
        crate::error::blocking(move || asked.answer(&question)).await
    }
    /// The lines of all plays: every fact and measure.
    ///
    /// # Errors
    /// `Store`, or what measuring the plays refused.
    pub async fn fact_lines(&self) -> Result<Vec<Line>, WorkError> {
        Ok(self.asked().await?.lines.clone())
    }

    /// Lines and pictures; made anew when an edit, a line-up or a search for people may have changed them.
    pub(crate) async fn asked(&self) -> Result<Arc<Asked>, WorkError> {
        let mut held = self.asking.lock().await;
        let mut stamps = Vec::new();
        for clip in self.store.list::<play::Clip>().await? {
            stamps.push(self.cameras_stamp(&clip).await?);
        }
        let found = self.store.computed_keys(crate::people::SIGHTINGS).await?;
        let playbook = self.playbook().await.stamp.clone();
        let key = key_of(&(MODELS, SCOUT, self.store.revision().await?, stamps, found, playbook))?;
        if let Some((kept, asked)) = &*held
            && *kept == key
        {
            return Ok(asked.clone());
        }
        let asked = match self.store.computed(ASKED, STUDY).await? {
            Some((kept, body)) if kept == key => serde_json::from_str(&body)?,
            _ => {
                let asked = self.gather().await?;
                self.store.put_computed(ASKED, STUDY, &key, &serde_json::to_string(&asked)?).await?;
                asked
            }
        };
        let asked = Arc::new(asked);
        *held = Some((key, asked.clone()));
        Ok(asked)
    }
    async fn gather(&self) -> Result<Asked, WorkError> {
        let study: Study = self.store.get("study").await?;
        let games: HashMap<GameId, Game> =
            self.store.list::<Game>().await?.into_iter().map(|g| (g.id.clone(), g)).collect();
        let facts = self.facts(None).await?;
        let (mut lines, mut pictures) = (Vec::new(), HashMap::new());
        for k in &facts.0 {
            let scouting = self.scouted(&k.detail.play.id).await?;
            let game = games.get(&k.detail.play.game).map_or("", |g| g.name.as_str());
            lines.push(line(&Known {
                play: &k.detail.play,
                game,
                chart: &k.detail.chart,
                people: &k.detail.people,
                measurement: k.measurement.as_ref(),
                judgements: &k.judgements,
                calls: &k.detail.calls,
                right_handed: study.right_handed,
                scouted: &scouting.scouted,
            }));
            pictures.insert(k.detail.play.id.clone(), scouting.picture);
        }
        let mut lines = together(lines);
        let shown: Vec<Shown> = lines
            .iter()
            .map(|l| Shown { play: l.play.clone(), picture: pictures.remove(&l.play).unwrap_or_default() })
            .collect();
        first_or_seen(&mut lines, &shown);
        Ok(Asked::new(lines, shown))
    }

    /// Coverage, picture, depth and expectation of a play. Kept until its measurement, chart or playbook changes.
    async fn scouted(&self, id: &PlayId) -> Result<Scouting, WorkError> {
        let inputs = self.measure_inputs(id).await?;
        let playbook = self.playbook().await;
        let chart = play::Chart { notes: String::new(), ..inputs.chart.clone() };
        let key = key_of(&(SCOUT, key_of(&inputs)?, chart, &playbook.book.coverages, &playbook.book.routes))?;
        if let Some((kept, body)) = self.store.computed(SCOUTED, id.as_str()).await?
            && kept == key
        {
            return Ok(serde_json::from_str(&body)?);
        }
        let measurement = not_yet(self.measurement(id).await)?;
        let cache = self.measuring.clone();
        let made = crate::error::blocking(move || {
            Ok::<_, WorkError>(scout(&inputs, measurement.as_ref(), &playbook.book, &cache))
        })
        .await?;
        self.store.put_computed(SCOUTED, id.as_str(), &key, &serde_json::to_string(&made)?).await?;
        Ok(made)
    }
}
