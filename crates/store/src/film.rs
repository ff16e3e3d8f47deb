use crate::{Store, StoreError};
use sqlx::Row;
use sqlx::sqlite::SqliteRow;

/// A film file as imported. `probe` and `ingested` are JSON of the film layer's types.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FilmRow {
    /// Unique in the study.
    pub id: String,
    /// Its game.
    pub game: Option<String>,
    /// File name, for people.
    pub name: String,
    /// Path: relative to the study when copied, else as it was found.
    pub path: String,
    /// Whether the study holds a copy.
    pub copied: bool,
    /// Hash of the content.
    pub fingerprint: String,
    /// The header.
    pub probe: String,
    /// Frame table, scores, proxy index.
    pub ingested: String,
    /// When, ms since 1970.
    pub added_ms: i64,
}

impl Store {
    /// Keeps a film, replacing the one of its id.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn put_film(&self, f: &FilmRow) -> Result<(), StoreError> {
        sqlx::query(
            "INSERT INTO film (id, game_id, name, path, copied, fingerprint, probe, ingested, added_ms)
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)
             ON CONFLICT (id) DO UPDATE SET game_id = excluded.game_id, name = excluded.name, path = excluded.path,
             copied = excluded.copied, fingerprint = excluded.fingerprint, probe = excluded.probe,
             ingested = excluded.ingested, added_ms = excluded.added_ms",
        )
        .bind(&f.id)
        .bind(&f.game)
        .bind(&f.name)
        .bind(&f.path)
        .bind(i64::from(f.copied))
        .bind(&f.fingerprint)
        .bind(&f.probe)
        .bind(&f.ingested)
        .bind(f.added_ms)
        .execute(&self.write)
        .await?;
        Ok(())
    }
    /// A film by id.
    ///
    /// # Errors
    /// `NoFilm`, and those of the database.
    pub async fn film(&self, id: &str) -> Result<FilmRow, StoreError> {
        let row = sqlx::query("SELECT * FROM film WHERE id = $1").bind(id).fetch_optional(&self.read).await?;
        row.as_ref().map(film).transpose()?.ok_or_else(|| StoreError::NoFilm { id: id.to_owned() })
    }
    /// A film of the given content.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn film_by_fingerprint(&self, fingerprint: &str) -> Result<Option<FilmRow>, StoreError> {
        let row = sqlx::query("SELECT * FROM film WHERE fingerprint = $1 LIMIT 1")
            .bind(fingerprint)
            .fetch_optional(&self.read)
            .await?;
        row.as_ref().map(film).transpose()
    }
    /// Ids of all films, in the order they were imported.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn film_ids(&self) -> Result<Vec<String>, StoreError> {
        Ok(sqlx::query_scalar("SELECT id FROM film ORDER BY length(id), id").fetch_all(&self.read).await?)
    }
}

fn film(row: &SqliteRow) -> Result<FilmRow, StoreError> {
    Ok(FilmRow {
        id: row.try_get("id")?,
        game: row.try_get("game_id")?,
        name: row.try_get("name")?,
        path: row.try_get("path")?,
        copied: row.try_get::<i64, _>("copied")? != 0,
        fingerprint: row.try_get("fingerprint")?,
        probe: row.try_get("probe")?,
        ingested: row.try_get("ingested")?,
        added_ms: row.try_get("added_ms")?,
    })
}
