//! A film session: the statements' clips, in the order of the verdict, as one MP4.

use crate::cutting::{Look, Stretch, cut};
use crate::jobs::{Job, Ticket};
use crate::{WorkError, Workbench};
use play::{ClaimId, PlayId};
use serde::{Deserialize, Serialize};
use std::path::PathBuf;
use std::sync::Arc;

/// A film session to make.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(default)]
pub struct SessionRequest {
    /// Statements whose clips are shown, in the verdict's order; all when empty.
    pub claims: Vec<ClaimId>,
    /// How long the picture stays on each release, s, 0 to 10.
    pub pause_s: f64,
}

/// Longest pause on a release, s.
const LONGEST_PAUSE_S: f64 = 10.0;
const LOOK: Look = Look { width: 1280, height: 720, quality: 18, originals: true };
/// Units of progress.
const UNITS: u64 = 1000;

impl Workbench {
    /// Starts to make a film session, which is kept in the study's `reports` folder under the job's number.
    ///
    /// # Errors
    /// `Invalid` for a pause out of range or statements without clips; `Store`.
    pub async fn start_session(&self, request: SessionRequest) -> Result<Job, WorkError> {
        if !(0.0..=LONGEST_PAUSE_S).contains(&request.pause_s) {
            return Err(WorkError::Invalid(format!(
                "a pause of {} s: 0 to {LONGEST_PAUSE_S} s are allowed",
                request.pause_s
            )));
        }
        if self.shown(&request).await?.is_empty() {
            return Err(WorkError::Invalid(
                "no statement has a clip: put one for or against it first".into(),
            ));
        }
        let text = serde_json::to_string(&request)?;
        let title = "Film session".to_owned();
        self.start("session", title, &text, move |bench, ticket| bench.run_session(request, ticket)).await
    }
    /// The plays of a session in order: each statement's clips for it, then those against it.
    async fn shown(&self, request: &SessionRequest) -> Result<Vec<PlayId>, WorkError> {
        let all = request.claims.is_empty();
        let claims = self.claims().await?;
        let chosen = claims.into_iter().filter(|c| all || request.claims.contains(&c.claim.id));
        Ok(chosen
            .flat_map(|c| c.claim.evidence.supporting.into_iter().chain(c.claim.evidence.against))
            .collect())
    }
    pub(crate) async fn run_session(
        self,
        request: SessionRequest,
        ticket: Arc<Ticket>,
    ) -> Result<String, WorkError> {
        ticket.say("Gathering the clips");
        let mut stretches: Vec<Stretch> = Vec::new();
        let plays = self.shown(&request).await?;
        for play in &plays {
            stretches.extend(self.stretches(play, request.pause_s).await?);
        }
        if stretches.is_empty() {
            return Err(WorkError::NotReady("no clip of the statements has film".into()));
        }
        ticket.say("Joining the clips");
        let (tool, target) = (self.outside.tool.clone(), self.session_path(ticket.id));
        let bytes = crate::error::blocking(move || {
            let mut done = |share: f64| ticket.progress((share * UNITS as f64) as u64, UNITS);
            cut(&tool, &stretches, LOOK, &target, &ticket, &mut done)?;
            std::fs::metadata(&target).map(|m| m.len()).map_err(|e| WorkError::io("reading", &target, e))
        })
        .await?;
        Ok(format!("{} clips, {:.1} MB", plays.len(), bytes as f64 / 1e6))
    }
    fn session_path(&self, job: i64) -> PathBuf {
        self.place().reports().join(format!("{job}.mp4"))
    }
    /// A finished session's file.
    ///
    /// # Errors
    /// `NotFound` when that job made none.
    pub fn finished_session(&self, job: i64) -> Result<PathBuf, WorkError> {
        let path = self.session_path(job);
        if path.is_file() { Ok(path) } else { Err(WorkError::missing("film session", job)) }
    }
}
