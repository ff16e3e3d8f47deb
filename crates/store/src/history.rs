use crate::edit::{Content, write};
use crate::open::advance;
use crate::{Kind, Store, StoreError};
use play::PlayId;
use sqlx::Row;
use sqlx::sqlite::SqliteRow;

/// Where a past edit stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PastState {
    /// In force.
    Done,
    /// Undone; can be redone.
    Undone,
    /// Undone, and then something else was done.
    Dropped,
}

/// A past edit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Past {
    /// Its number.
    pub id: i64,
    /// What it was.
    pub label: String,
    /// The play it concerned.
    pub play: Option<PlayId>,
    /// When, ms since 1970.
    pub at_ms: i64,
    /// Where it stands.
    pub state: PastState,
}

/// What an undo or redo brought back or took away.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Touched {
    /// The edit.
    pub edit: Past,
    /// Kinds and ids of the records.
    pub records: Vec<(Kind, String)>,
    /// The study's revision afterwards.
    pub revision: i64,
}

impl Store {
    /// Takes back the last edit in force.
    ///
    /// # Errors
    /// `NothingToUndo`, and those of the database.
    pub async fn undo(&self) -> Result<Touched, StoreError> {
        self.step("SELECT * FROM edit WHERE state = 'done' ORDER BY id DESC LIMIT 1", true)
            .await?
            .ok_or(StoreError::NothingToUndo)
    }
    /// Brings back the edit undone last.
    ///
    /// # Errors
    /// `NothingToRedo`, and those of the database.
    pub async fn redo(&self) -> Result<Touched, StoreError> {
        self.step("SELECT * FROM edit WHERE state = 'undone' ORDER BY id LIMIT 1", false)
            .await?
            .ok_or(StoreError::NothingToRedo)
    }
    async fn step(&self, select: &'static str, back: bool) -> Result<Option<Touched>, StoreError> {
        let mut tx = self.begin().await?;
        let Some(row) = sqlx::query(select).fetch_optional(&mut *tx).await? else { return Ok(None) };
        let mut edit = past(&row)?;
        let revision = advance(&mut tx, "revision", 1).await?;
        let mut changes = sqlx::query("SELECT * FROM edit_change WHERE edit_id = $1 ORDER BY seq")
            .bind(edit.id)
            .fetch_all(&mut *tx)
            .await?;
        if back {
            changes.reverse();
        }
        let mut records = Vec::new();
        for change in &changes {
            let word: String = change.try_get("kind")?;
            let kind = Kind::from_word(&word)
                .ok_or_else(|| StoreError::Damaged { reason: format!("a change of unknown kind {word}") })?;
            let id: String = change.try_get("record_id")?;
            let (owner, body) = if back { ("owner_before", "before") } else { ("owner_after", "after") };
            let content: Option<Content> = match change.try_get::<Option<String>, _>(body)? {
                Some(body) => Some((change.try_get(owner)?, body)),
                None => None,
            };
            write(&mut tx, kind, &id, content.as_ref(), revision).await?;
            records.push((kind, id));
        }
        edit.state = if back { PastState::Undone } else { PastState::Done };
        sqlx::query("UPDATE edit SET state = $1 WHERE id = $2")
            .bind(if back { "undone" } else { "done" })
            .bind(edit.id)
            .execute(&mut *tx)
            .await?;
        tx.commit().await?;
        Ok(Some(Touched { edit, records, revision }))
    }
    /// Past edits, newest first, of one play when given; at most `limit`.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn history(&self, play: Option<&PlayId>, limit: u32) -> Result<Vec<Past>, StoreError> {
        let rows = match play {
            Some(p) => {
                sqlx::query("SELECT * FROM edit WHERE play_id = $1 ORDER BY id DESC LIMIT $2")
                    .bind(p.as_str())
                    .bind(i64::from(limit))
                    .fetch_all(&self.read)
                    .await?
            }
            None => {
                sqlx::query("SELECT * FROM edit ORDER BY id DESC LIMIT $1")
                    .bind(i64::from(limit))
                    .fetch_all(&self.read)
                    .await?
            }
        };
        rows.iter().map(past).collect()
    }
}

fn past(row: &SqliteRow) -> Result<Past, StoreError> {
    let state: String = row.try_get("state")?;
    Ok(Past {
        id: row.try_get("id")?,
        label: row.try_get("label")?,
        play: row.try_get::<Option<String>, _>("play_id")?.map(PlayId),
        at_ms: row.try_get("at_ms")?,
        state: match state.as_str() {
            "done" => PastState::Done,
            "undone" => PastState::Undone,
            "dropped" => PastState::Dropped,
            other => return Err(StoreError::Damaged { reason: format!("an edit in unknown state {other}") }),
        },
    })
}
