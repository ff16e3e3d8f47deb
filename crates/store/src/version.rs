//! What names the state of a study's data.

use crate::{Store, StoreError};
use sqlx::Row;

/// A record as it lies in the database: kind, id, owner, body.
pub type RawRecord = (String, String, Option<String>, String);

/// Every record and the last edit in force.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contents {
    /// Counts every change, also by undo and redo.
    pub revision: i64,
    /// Number of the last edit in force; 0 when there is none.
    pub edit: i64,
    /// When it was made, ms since 1970; 0 when there is none.
    pub at_ms: i64,
    /// Records by kind and id.
    pub records: Vec<RawRecord>,
}

impl Store {
    /// Everything a report can rest on, in one order.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn contents(&self) -> Result<Contents, StoreError> {
        let mut tx = self.read.begin().await?;
        let revision = sqlx::query_scalar("SELECT value FROM counter WHERE name = 'revision'")
            .fetch_optional(&mut *tx)
            .await?
            .unwrap_or(0);
        let last = sqlx::query("SELECT id, at_ms FROM edit WHERE state = 'done' ORDER BY id DESC LIMIT 1")
            .fetch_optional(&mut *tx)
            .await?;
        let (edit, at_ms) = match last {
            Some(row) => (row.try_get("id")?, row.try_get("at_ms")?),
            None => (0, 0),
        };
        let records = sqlx::query_as("SELECT kind, id, owner, body FROM record ORDER BY kind, id")
            .fetch_all(&mut *tx)
            .await?;
        Ok(Contents { revision, edit, at_ms, records })
    }
}
