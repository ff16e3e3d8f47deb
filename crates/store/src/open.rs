use crate::error::WAIT_S;
use crate::{Place, StoreError};
use sqlx::migrate::Migrator;
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use std::time::Duration;

static MIGRATIONS: Migrator = sqlx::migrate!("./migrations");

/// An open study. Cheap to clone; clones share the connections.
#[derive(Clone, Debug)]
pub struct Store {
    place: Place,
    pub(crate) write: SqlitePool,
    pub(crate) read: SqlitePool,
    /// Nothing is written, not even what is computed.
    pub(crate) only_read: bool,
}

impl Store {
    /// Makes a study folder and opens it.
    ///
    /// # Errors
    /// `Exists`, and those of [`Store::open`].
    pub async fn create(place: Place) -> Result<Self, StoreError> {
        if place.database().exists() {
            return Err(StoreError::Exists { path: place.folder().into() });
        }
        place.make()?;
        Self::connect(place, true).await
    }
    /// Opens a study, bringing an older format up to date.
    ///
    /// # Errors
    /// `Missing`, `Newer`, `Busy`, `ReadOnly`, `DiskFull`, `Damaged`.
    pub async fn open(place: Place) -> Result<Self, StoreError> {
        if !place.database().is_file() {
            return Err(StoreError::Missing { path: place.folder().into() });
        }
        let writable = |p: &std::path::Path| std::fs::metadata(p).is_ok_and(|m| !m.permissions().readonly());
        if !writable(&place.database()) || !writable(place.folder()) {
            return Err(StoreError::ReadOnly);
        }
        place.make()?;
        Self::connect(place, false).await
    }
    /// Opens a study of the same format to be read only; nothing in it is changed or made.
    ///
    /// # Errors
    /// `Missing`, `OtherFormat`, `Busy`, `Damaged`.
    pub async fn open_to_read(place: Place) -> Result<Self, StoreError> {
        if !place.database().is_file() {
            return Err(StoreError::Missing { path: place.folder().into() });
        }
        let options = SqliteConnectOptions::new()
            .filename(place.database())
            .read_only(true)
            .busy_timeout(Duration::from_secs(WAIT_S));
        let read = SqlitePoolOptions::new().max_connections(1).connect_with(options).await?;
        let found: Option<i64> =
            sqlx::query_scalar("SELECT max(version) FROM _sqlx_migrations").fetch_one(&read).await?;
        let known = MIGRATIONS.iter().map(|m| m.version).max().unwrap_or(0);
        if found != Some(known) {
            return Err(StoreError::OtherFormat { found: found.unwrap_or(0), known });
        }
        Ok(Self { place, write: read.clone(), read, only_read: true })
    }
    async fn connect(place: Place, create: bool) -> Result<Self, StoreError> {
        let options = SqliteConnectOptions::new()
            .filename(place.database())
            .create_if_missing(create)
            .journal_mode(SqliteJournalMode::Wal)
            .synchronous(SqliteSynchronous::Full)
            .foreign_keys(true)
            .busy_timeout(Duration::from_secs(WAIT_S));
        let pool = |connections| {
            SqlitePoolOptions::new()
                .max_connections(connections)
                // A queue of writers in this program waits for each other far longer than for another program.
                .acquire_timeout(Duration::from_secs(60))
        };
        let write = pool(1).connect_with(options.clone()).await?;
        let known = MIGRATIONS.iter().map(|m| m.version).max().unwrap_or(0);
        MIGRATIONS.run(&write).await.map_err(|e| StoreError::migration(e, known))?;
        let read = pool(4).connect_with(options.read_only(true)).await?;
        Ok(Self { place, write, read, only_read: false })
    }
    /// The study's folder.
    pub fn place(&self) -> &Place {
        &self.place
    }
    /// Lets go of the database; waits for work under way.
    pub async fn close(self) {
        self.read.close().await;
        self.write.close().await;
    }
    /// Begins to write; waits for other writers.
    pub(crate) async fn begin(&self) -> Result<sqlx::Transaction<'static, sqlx::Sqlite>, StoreError> {
        // Taking the lock at once: a transaction that reads first and then finds the lock taken could not wait for it.
        match self.write.begin_with("BEGIN IMMEDIATE").await {
            // SQLite ends a transaction by itself on a full disk and some other errors; the connection then counts one
            // that is no longer there, and must be replaced.
            Err(sqlx::Error::InvalidSavePointStatement) => {
                self.write.acquire().await?.close().await?;
                Ok(self.write.begin_with("BEGIN IMMEDIATE").await?)
            }
            other => Ok(other?),
        }
    }
    /// `n` numbers never given before in this study, for ids; the first of them.
    pub async fn numbers(&self, n: u32) -> Result<i64, StoreError> {
        let mut tx = self.begin().await?;
        let last = advance(&mut tx, "id", i64::from(n)).await?;
        tx.commit().await?;
        Ok(last - i64::from(n) + 1)
    }
}

/// Moves a counter on by `by` and returns where it stands.
pub(crate) async fn advance(
    tx: &mut sqlx::Transaction<'_, sqlx::Sqlite>,
    name: &str,
    by: i64,
) -> Result<i64, StoreError> {
    let value = sqlx::query_scalar(
        "INSERT INTO counter (name, value) VALUES ($1, $2)
         ON CONFLICT (name) DO UPDATE SET value = counter.value + excluded.value
         RETURNING value",
    )
    .bind(name)
    .bind(by)
    .fetch_one(&mut **tx)
    .await?;
    Ok(value)
}
