//! Work that was under way when the program last ended.

use crate::jobs::Job;
use crate::{WorkError, Workbench};
use store::JobState;

impl Workbench {
    /// Takes up again the jobs that did not end. To be called once after opening, by the program that serves the
    /// study.
    ///
    /// # Errors
    /// `Store`.
    pub async fn resume(&self) -> Result<Vec<Job>, WorkError> {
        let mut rows: Vec<_> = self.store.jobs(0).await?.into_iter().filter(|r| !r.state.ended()).collect();
        rows.sort_by_key(|r| r.id);
        let mut out = Vec::new();
        for row in rows {
            match row.kind.as_str() {
                "import" => {
                    let pending: crate::ImportRequest = serde_json::from_str(&row.request)?;
                    out.push(self.launch(row.id, "import", row.title, move |b, t| b.run_import(pending, t)));
                }
                "follow" => {
                    let clip: play::ClipId = serde_json::from_str(&row.request)?;
                    out.push(self.launch(row.id, "follow", row.title, move |b, t| b.run_follow(clip, t)));
                }
                "find" => {
                    let play: play::PlayId = serde_json::from_str(&row.request)?;
                    out.push(self.launch(row.id, "find", row.title, move |b, t| b.run_find(play, t)));
                }
                "line-up" => {
                    let request: crate::lineup::LineUpRequest = serde_json::from_str(&row.request)?;
                    out.push(
                        self.launch(row.id, "line-up", row.title, move |b, t| b.run_line_up(request, t)),
                    );
                }
                "watch" => {
                    let play: play::PlayId = serde_json::from_str(&row.request)?;
                    out.push(self.launch(row.id, "watch", row.title, move |b, t| b.run_watch(play, t)));
                }
                "session" => {
                    let request: crate::SessionRequest = serde_json::from_str(&row.request)?;
                    out.push(
                        self.launch(row.id, "session", row.title, move |b, t| b.run_session(request, t)),
                    );
                }
                "report" => {
                    let request: crate::ReportRequest = serde_json::from_str(&row.request)?;
                    out.push(self.launch(row.id, "report", row.title, move |b, t| b.run_report(request, t)));
                }
                _ => {
                    let said = "the program ended before it was finished; start it again";
                    self.store.set_job(row.id, JobState::Failed, said).await?;
                }
            }
        }
        Ok(out)
    }
}
