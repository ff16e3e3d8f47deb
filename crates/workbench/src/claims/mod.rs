//! The verdict's statements: written, ordered, weighed against figures.

mod drafting;
mod open;
mod weighing;

pub use open::OpenQuestion;
pub use weighing::{ProposedClip, WeighedClaim};

use crate::{WorkError, Workbench};
use patterns::ask::{Answer, MEASURES, Question};
use play::{Claim, ClaimId, Evidence, GameId, Leaning, PlayId, Stage, Strand};
use serde::{Deserialize, Serialize};
use store::{Change, Kind};

/// A statement as it is written.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ClaimEdit {
    /// The sentence.
    pub text: String,
    /// Leaning.
    pub leaning: Leaning,
    /// Of what to work on: when it is taught; as its figures have it when left out.
    #[serde(default)]
    pub stage: Option<Stage>,
    /// Figures it rests on.
    #[serde(default)]
    pub strands: Vec<Strand>,
    /// Clips.
    #[serde(default)]
    pub evidence: Evidence,
    /// Said to be an impression.
    #[serde(default)]
    pub impression: bool,
    /// Place in the verdict, counted from 1; as it was, or at the end, when left out.
    pub order: Option<u32>,
}

impl ClaimEdit {
    /// A statement at the end of its part, resting on one figure.
    fn drafted(text: String, leaning: Leaning, strand: Strand) -> Self {
        Self {
            text,
            leaning,
            stage: None,
            strands: vec![strand],
            evidence: Evidence::default(),
            impression: false,
            order: None,
        }
    }
}

/// A measure over the study's plays.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct MeasureRow {
    /// Which.
    pub measure: String,
    /// In plain words.
    pub label: String,
    /// Unit of an average; empty for a share.
    pub unit: String,
    /// The figure in words with its interval.
    pub words: String,
    /// Value: a share from 0 to 1 or an average; none where no play tells.
    pub value: Option<f64>,
    /// Lower end of the 90% interval.
    pub low: Option<f64>,
    /// Upper end of the 90% interval.
    pub high: Option<f64>,
    /// Plays it rests on.
    pub plays: Vec<PlayId>,
    /// Plays that should count but were not seen or charted.
    pub missing: usize,
}

/// Longest statement, characters: a paragraph, not an essay.
const LONGEST: usize = 2000;

impl Workbench {
    /// Writes a new statement.
    ///
    /// # Errors
    /// `Invalid` for an empty or endless sentence, an unknown measure or play.
    pub async fn add_claim(&self, edit: ClaimEdit) -> Result<Claim, WorkError> {
        let _guard = self.editing.lock().await;
        self.check_claim(&edit).await?;
        let last = self.store.list::<Claim>().await?.iter().map(|c| c.order).max().unwrap_or(0);
        let id = ClaimId(self.id("c").await?);
        let claim = edit.into_claim(id, last + 1);
        self.change("write a statement", None, &[Change::put(&claim)]).await?;
        Ok(claim)
    }

    /// Changes a statement. An `order` other than the old one moves it to that place, counted from 1; the others follow.
    ///
    /// # Errors
    /// As `add_claim`; `Store` with `NoRecord`.
    pub async fn edit_claim(&self, id: &ClaimId, edit: ClaimEdit) -> Result<Claim, WorkError> {
        let _guard = self.editing.lock().await;
        self.check_claim(&edit).await?;
        let old: Claim = self.store.get(id.as_str()).await?;
        let wanted = edit.order;
        let mut claim = edit.into_claim(id.clone(), old.order);
        claim.order = old.order;
        // Places are those of the verdict: strengths, faults, what to work on, open questions.
        let mut others: Vec<Claim> = self.store.list().await?;
        others.sort_by_key(weighing::place);
        let now = others.iter().position(|c| c.id == *id).unwrap_or(others.len());
        let Some(wanted) = wanted.filter(|w| *w as usize != now + 1) else {
            let merge = format!("claim {id}");
            self.change_merging("change a statement", None, Some(&merge), &[Change::put(&claim)]).await?;
            return Ok(claim);
        };
        // The others close up and make room, in the same edit, so that one undo puts all of them back.
        others.retain(|c| c.id != *id);
        let at = (wanted.max(1) as usize - 1).min(others.len());
        others.insert(at, claim.clone());
        let mut changes = Vec::new();
        for (k, mut c) in others.into_iter().enumerate() {
            let order = k as u32 + 1;
            if c.order != order || c.id == *id {
                c.order = order;
                changes.push(Change::put(&c));
            }
        }
        claim.order = at as u32 + 1;
        self.change("move a statement", None, &changes).await?;
        Ok(claim)
    }

    /// Deletes a statement.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn delete_claim(&self, id: &ClaimId) -> Result<(), WorkError> {
        let _guard = self.editing.lock().await;
        self.store.get::<Claim>(id.as_str()).await?;
        self.change("delete a statement", None, &[Change::delete(Kind::Claim, id.as_str())]).await
    }

    /// Every measure over the study's plays.
    ///
    /// # Errors
    /// `Store`, or what measuring the plays refused.
    pub async fn measures(&self) -> Result<Vec<MeasureRow>, WorkError> {
        self.measures_over(&[]).await
    }
    /// Every measure over the plays of `games`, or of the whole study when none is named.
    pub(crate) async fn measures_over(&self, games: &[GameId]) -> Result<Vec<MeasureRow>, WorkError> {
        let asked = self.asked().await?;
        let games = games.to_vec();
        let row = move |of| Ok::<_, WorkError>(row(&asked.answer(&Question::whole(of).over(&games))?));
        crate::error::blocking(move || MEASURES.into_iter().map(row).collect::<Result<_, _>>()).await
    }

    async fn check_claim(&self, edit: &ClaimEdit) -> Result<(), WorkError> {
        let length = edit.text.chars().count();
        if edit.text.trim().is_empty() || length > LONGEST {
            return Err(WorkError::Invalid(format!(
                "a statement of {length} characters: 1 to {LONGEST} are allowed"
            )));
        }
        for s in &edit.strands {
            weighing::question(s, &[]).fields()?;
        }
        let named = edit.evidence.supporting.iter().chain(&edit.evidence.against);
        for play in named.chain(edit.strands.iter().flat_map(|s| &s.plays)) {
            self.store.get::<play::Play>(play.as_str()).await?;
        }
        Ok(())
    }
}

impl ClaimEdit {
    fn into_claim(self, id: ClaimId, order: u32) -> Claim {
        Claim {
            id,
            order: self.order.unwrap_or(order),
            text: self.text,
            leaning: self.leaning,
            stage: self.stage,
            strands: self.strands,
            evidence: self.evidence,
            impression: self.impression,
        }
    }
}

fn row(a: &Answer) -> MeasureRow {
    let figure = a.whole.figure.as_ref();
    let interval = figure.and_then(|f| f.interval);
    MeasureRow {
        measure: a.of.id.to_owned(),
        label: a.of.label.to_owned(),
        unit: a.of.unit.to_owned(),
        words: figure.map_or_else(|| "not seen on any play".to_owned(), |_| a.whole_words()),
        value: figure.map(|f| f.value),
        low: interval.map(|i| i.low),
        high: interval.map(|i| i.high),
        plays: a.whole.plays.clone(),
        missing: a.not_seen,
    }
}
