use crate::{Record, Store, StoreError};
use sqlx::Row;
use sqlx::sqlite::SqliteRow;

impl Store {
    /// A record by id; `None` when there is none.
    ///
    /// # Errors
    /// `BadRecord`, and those of the database.
    pub async fn find<T: Record>(&self, id: &str) -> Result<Option<T>, StoreError> {
        let row = sqlx::query("SELECT id, owner, body FROM record WHERE kind = $1 AND id = $2")
            .bind(T::KIND.word())
            .bind(id)
            .fetch_optional(&self.read)
            .await?;
        row.as_ref().map(parse).transpose()
    }
    /// A record by id.
    ///
    /// # Errors
    /// `NoRecord`, `BadRecord`, and those of the database.
    pub async fn get<T: Record>(&self, id: &str) -> Result<T, StoreError> {
        self.find(id).await?.ok_or_else(|| StoreError::NoRecord { kind: T::KIND, id: id.to_owned() })
    }
    /// All records of a kind, in the order they were first made.
    ///
    /// # Errors
    /// `BadRecord`, and those of the database.
    pub async fn list<T: Record>(&self) -> Result<Vec<T>, StoreError> {
        let rows = sqlx::query("SELECT id, owner, body FROM record WHERE kind = $1 ORDER BY length(id), id")
            .bind(T::KIND.word())
            .fetch_all(&self.read)
            .await?;
        rows.iter().map(parse).collect()
    }
    /// All records of a kind that belong to `owner`, in the order they were first made.
    ///
    /// # Errors
    /// `BadRecord`, and those of the database.
    pub async fn list_of<T: Record>(&self, owner: &str) -> Result<Vec<T>, StoreError> {
        let rows = sqlx::query(
            "SELECT id, owner, body FROM record WHERE kind = $1 AND owner = $2 ORDER BY length(id), id",
        )
        .bind(T::KIND.word())
        .bind(owner)
        .fetch_all(&self.read)
        .await?;
        rows.iter().map(parse).collect()
    }
    /// What records of a kind belong to; one that belongs to nothing is left out.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn owners<T: Record>(&self) -> Result<Vec<String>, StoreError> {
        let sql = "SELECT DISTINCT owner FROM record WHERE kind = $1 AND owner IS NOT NULL";
        Ok(sqlx::query_scalar(sql).bind(T::KIND.word()).fetch_all(&self.read).await?)
    }
    /// Counts every change of any record, also by undo and redo.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn revision(&self) -> Result<i64, StoreError> {
        let found = sqlx::query_scalar("SELECT value FROM counter WHERE name = 'revision'")
            .fetch_optional(&self.read)
            .await?;
        Ok(found.unwrap_or(0))
    }
}

fn parse<T: Record>(row: &SqliteRow) -> Result<T, StoreError> {
    let id: String = row.try_get("id")?;
    let owner: Option<String> = row.try_get("owner")?;
    let body: String = row.try_get("body")?;
    T::read(owner.as_deref(), &body).map_err(|e| StoreError::BadRecord {
        kind: T::KIND,
        id,
        reason: e.to_string(),
    })
}
