use crate::open::advance;
use crate::{Store, StoreError};
use sqlx::Row;
use sqlx::sqlite::SqliteRow;

/// Where a job stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JobState {
    /// Not begun.
    Waiting,
    /// Under way.
    Running,
    /// Finished.
    Done,
    /// Gave up.
    Failed,
    /// Stopped on request.
    Cancelled,
}

impl JobState {
    /// The word in the database.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Running => "running",
            Self::Done => "done",
            Self::Failed => "failed",
            Self::Cancelled => "cancelled",
        }
    }
    fn from_word(word: &str) -> Option<Self> {
        [Self::Waiting, Self::Running, Self::Done, Self::Failed, Self::Cancelled]
            .into_iter()
            .find(|s| s.word() == word)
    }
    /// Whether nothing more will happen.
    pub const fn ended(self) -> bool {
        !matches!(self, Self::Waiting | Self::Running)
    }
}

/// A job as kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JobRow {
    /// Unique in the study.
    pub id: i64,
    /// Which kind of work.
    pub kind: String,
    /// For people.
    pub title: String,
    /// What was asked, JSON.
    pub request: String,
    /// Where it stands.
    pub state: JobState,
    /// Result or reason.
    pub message: String,
    /// When it was asked for, ms since 1970.
    pub made_ms: i64,
}

impl Store {
    /// Keeps a new job, waiting; its id.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn add_job(
        &self,
        kind: &str,
        title: &str,
        request: &str,
        made_ms: i64,
    ) -> Result<i64, StoreError> {
        let mut tx = self.begin().await?;
        let id = advance(&mut tx, "job", 1).await?;
        sqlx::query(
            "INSERT INTO job (id, kind, title, request, state, message, made_ms) VALUES ($1, $2, $3, $4, 'waiting', '', $5)",
        )
        .bind(id)
        .bind(kind)
        .bind(title)
        .bind(request)
        .bind(made_ms)
        .execute(&mut *tx)
        .await?;
        tx.commit().await?;
        Ok(id)
    }
    /// Changes where a job stands.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn set_job(&self, id: i64, state: JobState, message: &str) -> Result<(), StoreError> {
        sqlx::query("UPDATE job SET state = $1, message = $2 WHERE id = $3")
            .bind(state.word())
            .bind(message)
            .bind(id)
            .execute(&self.write)
            .await?;
        Ok(())
    }
    /// Changes what a job is still to do, so that work done is not done again.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn set_job_request(&self, id: i64, request: &str) -> Result<(), StoreError> {
        sqlx::query("UPDATE job SET request = $1 WHERE id = $2")
            .bind(request)
            .bind(id)
            .execute(&self.write)
            .await?;
        Ok(())
    }
    /// The newest jobs, newest first, and every job not ended.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn jobs(&self, limit: u32) -> Result<Vec<JobRow>, StoreError> {
        let rows = sqlx::query(
            "SELECT * FROM job WHERE state IN ('waiting', 'running')
             OR id > (SELECT COALESCE(MAX(id), 0) FROM job) - $1 ORDER BY id DESC",
        )
        .bind(i64::from(limit))
        .fetch_all(&self.read)
        .await?;
        rows.iter().map(job).collect()
    }
}

fn job(row: &SqliteRow) -> Result<JobRow, StoreError> {
    let state: String = row.try_get("state")?;
    Ok(JobRow {
        id: row.try_get("id")?,
        kind: row.try_get("kind")?,
        title: row.try_get("title")?,
        request: row.try_get("request")?,
        state: JobState::from_word(&state)
            .ok_or_else(|| StoreError::Damaged { reason: format!("a job in unknown state {state}") })?,
        message: row.try_get("message")?,
        made_ms: row.try_get("made_ms")?,
    })
}
