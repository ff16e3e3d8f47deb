//! The report of one game.

use crate::claims::row;
use crate::jobs::{Job, Ticket};
use crate::{WorkError, Workbench};
use patterns::Measure;
use play::GameId;
use report::{ClaimReport, GameReport, PlayReport, SummaryRow};
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

/// A report to make.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ReportRequest {
    /// The game; may be left out when there is one.
    #[serde(default)]
    pub game: Option<GameId>,
    /// Its form.
    pub format: ReportForm,
}

impl Workbench {
    /// Starts to make a report, which is kept in the study's `reports` folder under the job's number.
    ///
    /// # Errors
    /// `Invalid` when no game is named and there is not exactly one; `Store` with `NoRecord`.
    pub async fn start_report(&self, request: ReportRequest) -> Result<Job, WorkError> {
        let games: Vec<play::Game> = self.store.list().await?;
        let game = match (&request.game, games.as_slice()) {
            (Some(id), _) => self.store.get::<play::Game>(id.as_str()).await?,
            (None, [one]) => one.clone(),
            (None, many) => {
                return Err(WorkError::Invalid(format!("the study has {} games; say which one", many.len())));
            }
        };
        let request = ReportRequest { game: Some(game.id.clone()), ..request };
        let text = serde_json::to_string(&request)?;
        let title = format!("Report of {}", game.name);
        self.start("report", title, &text, move |bench, ticket| bench.run_report(request, ticket)).await
    }
    pub(crate) async fn run_report(
        self,
        request: ReportRequest,
        ticket: Arc<Ticket>,
    ) -> Result<String, WorkError> {
        let game = request.game.ok_or_else(|| WorkError::Broken("a report job without its game".into()))?;
        let plays: Vec<_> = self.plays().await?.into_iter().filter(|p| p.game == game).collect();
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
        ticket.say("Setting the pages");
        let bytes = self.report(&game, request.format).await?;
        let target = self.report_path(ticket.id, request.format);
        let size = bytes.len();
        crate::error::blocking(move || {
            let partial = target.with_extension("part");
            std::fs::write(&partial, bytes).map_err(|e| WorkError::io("writing", &partial, e))?;
            std::fs::rename(&partial, &target).map_err(|e| WorkError::io("writing", &target, e))
        })
        .await?;
        ticket.progress(total, total);
        Ok(format!("{} kB", size.div_ceil(1000)))
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
    /// The game's report as bytes.
    ///
    /// # Errors
    /// `Store` with `NoRecord` for no such game; `Broken` when the typesetter refuses.
    pub async fn report(&self, game: &GameId, form: ReportForm) -> Result<Vec<u8>, WorkError> {
        let content = self.report_content(game).await?;
        crate::error::blocking(move || match form {
            ReportForm::Html => Ok(report::html(&content).into_bytes()),
            ReportForm::Pdf => report::pdf(&content).map_err(|e| WorkError::Broken(e.to_string())),
        })
        .await
    }

    async fn report_content(&self, game: &GameId) -> Result<GameReport, WorkError> {
        let overview = self.study().await?;
        let found = overview
            .games
            .into_iter()
            .find(|g| g.id == *game)
            .ok_or_else(|| WorkError::missing("game", game))?;
        let facts = self.facts(Some(game)).await?;
        let claims = self.weighed(&facts).await?;
        let summary = Measure::ALL.into_iter().map(|m| row(m, &facts)).filter(|r| r.value.is_some());
        Ok(GameReport {
            study: overview.study,
            game: found,
            claims: claims
                .into_iter()
                .map(|c| ClaimReport {
                    claim: c.claim,
                    figures: c.figures,
                    strength: c.strength,
                    unsupported: c.unsupported,
                })
                .collect(),
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
            made_on: crate::version::day(self.now_ms()),
            made_by: format!(
                "tapemeasure {}, study revision {}",
                env!("CARGO_PKG_VERSION"),
                overview.revision
            ),
        })
    }
}
