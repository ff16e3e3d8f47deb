use crate::{Store, StoreError};

impl Store {
    /// Keeps something computed, with the `key` of the inputs it came from; replaces the older one of `kind` and `id`. A
    /// study that is only read keeps nothing.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn put_computed(&self, kind: &str, id: &str, key: &str, body: &str) -> Result<(), StoreError> {
        if self.only_read {
            return Ok(());
        }
        sqlx::query(
            "INSERT INTO computed (kind, id, key, body) VALUES ($1, $2, $3, $4)
             ON CONFLICT (kind, id) DO UPDATE SET key = excluded.key, body = excluded.body",
        )
        .bind(kind)
        .bind(id)
        .bind(key)
        .bind(body)
        .execute(&self.write)
        .await?;
        Ok(())
    }
    /// Key and body of something computed.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn computed(&self, kind: &str, id: &str) -> Result<Option<(String, String)>, StoreError> {
        Ok(sqlx::query_as("SELECT key, body FROM computed WHERE kind = $1 AND id = $2")
            .bind(kind)
            .bind(id)
            .fetch_optional(&self.read)
            .await?)
    }
    /// Ids and keys of everything computed of a kind.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn computed_keys(&self, kind: &str) -> Result<Vec<(String, String)>, StoreError> {
        Ok(sqlx::query_as("SELECT id, key FROM computed WHERE kind = $1")
            .bind(kind)
            .fetch_all(&self.read)
            .await?)
    }
    /// Throws something computed away.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn forget_computed(&self, kind: &str, id: &str) -> Result<(), StoreError> {
        sqlx::query("DELETE FROM computed WHERE kind = $1 AND id = $2")
            .bind(kind)
            .bind(id)
            .execute(&self.write)
            .await?;
        Ok(())
    }
}
