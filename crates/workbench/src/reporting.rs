//! Reports: of a game or the whole study, in three extents, as PDF or HTML, with film or without.

use crate::claims::WeighedClaim;
use crate::cutting::{Look, cut};
use crate::jobs::{Job, Ticket};
use crate::{WorkError, Workbench};
use play::{Game, GameId, PlayId};
use report::{ClaimReport, ClipFilm, Extent, PlayReport, StudyReport, SummaryRow};
use serde::{Deserialize, Serialize};
use std::path::PathBuf;
use std::sync::Arc;

/// Form of a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ReportForm {
    /// Pages.
    Pdf,
    /// One page that needs nothing else.
    Html,
}

impl ReportForm {
    const fn ending(self) -> &'static str {
        match self {
            Self::Pdf => "pdf",
            Self::Html => "html",
        }
    }
}

/// How much of a report is made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ReportExtent {
    /// One page: the statements and the cautions.
    OnePage,
    /// Statements, measures, and every play.
    #[default]
    Full,
    /// A page for each statement, to be shown to people.
    Presentation,
}

impl From<ReportExtent> for Extent {
    fn from(e: ReportExtent) -> Self {
        match e {
            ReportExtent::OnePage => Self::OnePage,
            ReportExtent::Full => Self::Full,
            ReportExtent::Presentation => Self::Presentation,
        }
    }
}

/// A report to make.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ReportRequest {
    /// The game; the whole study when left out.
    #[serde(default)]
    pub game: Option<GameId>,
    /// Its form.
    pub format: ReportForm,
    /// How much of it.
    #[serde(default)]
    pub extent: ReportExtent,
    /// With the film of every cited play inside (HTML only).
    #[serde(default)]
    pub film: bool,
}

/// Film that one page holds, bytes: browsers open such a page within seconds, and it still goes by mail or stick.
const FILM_LIMIT: usize = 60_000_000;
const CLIP: Look = Look { width: 640, height: 360, quality: 26, originals: false };

impl Workbench {
    /// Starts to make a report, which is kept in the study's `reports` folder under the job's number.
    ///
    /// # Errors
    /// `Invalid` for film in a PDF; `Store` with `NoRecord` for no such game.
    pub async fn start_report(&self, request: ReportRequest) -> Result<Job, WorkError> {
        let title = match &request.game {
            Some(id) => format!("Report of {}", self.store.get::<Game>(id.as_str()).await?.name),
            None => "Report of the study".to_owned(),
        };
        check(&request)?;
        let text = serde_json::to_string(&request)?;
        self.start("report", title, &text, move |bench, ticket| bench.run_report(request, ticket)).await
    }
    pub(crate) async fn run_report(
        self,
        request: ReportRequest,
        ticket: Arc<Ticket>,
    ) -> Result<String, WorkError> {
        let of_game = |g: &GameId| request.game.as_ref().is_none_or(|asked| asked == g);
        let plays: Vec<_> = self.plays().await?.into_iter().filter(|p| of_game(&p.game)).collect();
        let total = plays.len() as u64 + 1;
        for (k, p) in plays.iter().enumerate() {
            ticket.say(format!("Measuring play {}", p.number));
            crate::facts::ready(self.measurement(&p.id).await)?;
            crate::facts::ready(self.judgements(&p.id).await)?;
            if ticket.cancelled() {
                return Err(film::FilmError::Cancelled.into());
            }
            ticket.progress(k as u64 + 1, total);
        }
        let (target, form) = (self.report_path(ticket.id, request.format), request.format);
        let bytes = self.made(request, &ticket).await?;
        let size = bytes.len();
        crate::error::blocking(move || {
            let partial = target.with_extension("part");
            std::fs::write(&partial, bytes).map_err(|e| WorkError::io("writing", &partial, e))?;
            std::fs::rename(&partial, &target).map_err(|e| WorkError::io("writing", &target, e))
        })
        .await?;
        let total = ticket.total().unwrap_or(total);
        ticket.progress(total, total);
        Ok(format!("{}, {} kB", form.ending().to_uppercase(), size.div_ceil(1000)))
    }
    fn report_path(&self, job: i64, form: ReportForm) -> PathBuf {
        self.place().reports().join(format!("{job}.{}", form.ending()))
    }
    /// A finished report.
    ///
    /// # Errors
    /// `NotFound` when that job made none.
    pub async fn finished_report(&self, job: i64) -> Result<(ReportForm, Vec<u8>), WorkError> {
        for form in [ReportForm::Pdf, ReportForm::Html] {
            if let Ok(bytes) = tokio::fs::read(self.report_path(job, form)).await {
                return Ok((form, bytes));
            }
        }
        Err(WorkError::missing("report", job))
    }

    async fn made(&self, request: ReportRequest, ticket: &Arc<Ticket>) -> Result<Vec<u8>, WorkError> {
        check(&request)?;
        let content = self.report_content(request.game.as_ref()).await?;
        let clips = if request.film { self.clip_films(&content, ticket).await? } else { Vec::new() };
        ticket.say("Setting the pages");
        let extent = request.extent.into();
        crate::error::blocking(move || match request.format {
            ReportForm::Html => Ok(report::html(&content, extent, &clips).into_bytes()),
            ReportForm::Pdf => report::pdf(&content, extent).map_err(|e| WorkError::Broken(e.to_string())),
        })
        .await
    }

    /// The film of every cited play of the report's games, each once.
    async fn clip_films(
        &self,
        content: &StudyReport,
        ticket: &Arc<Ticket>,
    ) -> Result<Vec<ClipFilm>, WorkError> {
        let mut cited: Vec<PlayId> = Vec::new();
        for c in &content.claims {
            for id in c.claim.evidence.supporting.iter().chain(&c.claim.evidence.against) {
                let here = content.plays.iter().any(|p| p.play.id == *id);
                if here && !cited.contains(id) {
                    cited.push(id.clone());
                }
            }
        }
        let (mut films, mut size) = (Vec::new(), 0);
        for (k, id) in cited.iter().enumerate() {
            ticket.say(format!("Cutting clip {} of {}", k + 1, cited.len()));
            ticket.progress(k as u64, cited.len() as u64 + 1);
            let stretches = self.stretches(id, 0.0).await?;
            if stretches.is_empty() {
                continue;
            }
            let path = self.place().reports().join(format!("{}-{k}.clip.mp4", ticket.id));
            let (tool, ticket) = (self.outside.tool.clone(), ticket.clone());
            let mp4 = crate::error::blocking(move || {
                cut(&tool, &stretches, CLIP, &path, &ticket, &mut |_| {})?;
                let bytes = std::fs::read(&path).map_err(|e| WorkError::io("reading", &path, e))?;
                std::fs::remove_file(&path).map_err(|e| WorkError::io("deleting", &path, e))?;
                Ok::<_, WorkError>(bytes)
            })
            .await?;
            size += mp4.len();
            if size > FILM_LIMIT {
                return Err(WorkError::Invalid(format!(
                    "the first {} of {} cited clips come to {} MB; a page holds at most {} MB of film: cite fewer clips, or make a film session beside it",
                    k + 1,
                    cited.len(),
                    size / 1_000_000,
                    FILM_LIMIT / 1_000_000
                )));
            }
            films.push(ClipFilm { play: id.clone(), mp4 });
        }
        Ok(films)
    }

    async fn report_content(&self, game: Option<&GameId>) -> Result<StudyReport, WorkError> {
        let overview = self.study().await?;
        let games: Vec<Game> =
            overview.games.into_iter().filter(|g| game.is_none_or(|asked| *asked == g.id)).collect();
        if let (Some(asked), true) = (game, games.is_empty()) {
            return Err(WorkError::missing("game", asked));
        }
        let facts = self.facts(game).await?;
        let asked_of = game.map(std::slice::from_ref).unwrap_or_default();
        let claims = self.weighed(asked_of).await?;
        let summary = self.measures_over(asked_of).await?.into_iter().filter(|r| r.value.is_some());
        Ok(StudyReport {
            study: overview.study,
            games,
            claims: claims.into_iter().map(claim).collect(),
            summary: summary
                .map(|r| SummaryRow { label: r.label, n: r.plays.len() as u64, figure: r.words })
                .collect(),
            plays: facts
                .0
                .into_iter()
                .map(|k| PlayReport {
                    play: k.detail.play,
                    chart: k.detail.chart,
                    people: k.detail.people,
                    measurement: k.measurement,
                    judgements: k.judgements,
                    calls: k.detail.calls,
                })
                .collect(),
            version: self.data_version().await?.lines(),
        })
    }
}

fn check(request: &ReportRequest) -> Result<(), WorkError> {
    if request.film && request.format == ReportForm::Pdf {
        return Err(WorkError::Invalid("a PDF holds no film: make an HTML report with film".into()));
    }
    Ok(())
}

fn claim(c: WeighedClaim) -> ClaimReport {
    ClaimReport {
        claim: c.claim,
        stage: c.stage,
        figures: c.figures,
        strength: c.strength,
        unsupported: c.unsupported,
        lacks: c.lacks,
        one_sided: c.one_sided,
        needed: c.needed,
    }
}
