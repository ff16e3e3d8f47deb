use crate::open::advance;
use crate::{Kind, Record, Store, StoreError};
use play::PlayId;
use sqlx::{Row, Sqlite, Transaction};

/// What is done, for the history and the undo button.
#[derive(Clone, Debug)]
pub struct Edit<'a> {
    /// In plain words: "mark the release".
    pub label: &'a str,
    /// The play it concerns.
    pub play: Option<&'a PlayId>,
    /// When, ms since 1970.
    pub at_ms: i64,
    /// Typing comes as many small edits; those that follow the last edit within [`Edit::MERGE_MS`] under the same word
    /// here and change the same records become one with it.
    pub merge: Option<&'a str>,
}

impl Edit<'_> {
    /// Longest pause within one piece of typing, ms.
    pub const MERGE_MS: i64 = 1500;
}

/// A record put or deleted.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    pub(crate) kind: Kind,
    pub(crate) id: String,
    pub(crate) owner: Option<String>,
    pub(crate) body: Option<String>,
}

impl Change {
    /// Makes the record, or replaces the one with its id.
    pub fn put<T: Record>(record: &T) -> Self {
        let body = record.body().expect("records hold only what JSON can");
        Self { kind: T::KIND, id: record.id(), owner: record.owner(), body: Some(body) }
    }
    /// Deletes the record of that kind and id; nothing happens when there is none.
    pub fn delete(kind: Kind, id: impl Into<String>) -> Self {
        Self { kind, id: id.into(), owner: None, body: None }
    }
    /// Kind of the record.
    pub fn kind(&self) -> Kind {
        self.kind
    }
    /// Id of the record.
    pub fn id(&self) -> &str {
        &self.id
    }
}

/// What came of an edit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Applied {
    /// The edit in the history; `None` when nothing changed.
    pub edit: Option<i64>,
    /// The study's revision after it.
    pub revision: i64,
}

/// A record's state: owner and body.
pub(crate) type Content = (Option<String>, String);

impl Store {
    /// Puts what a new study begins with. It is in no history: nobody did it, and undoing it would leave nothing to show.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn seed(&self, changes: &[Change]) -> Result<(), StoreError> {
        let mut tx = self.begin().await?;
        let revision = advance(&mut tx, "revision", 1).await?;
        for change in changes {
            let content = change.body.clone().map(|b| (change.owner.clone(), b));
            write(&mut tx, change.kind, &change.id, content.as_ref(), revision).await?;
        }
        Ok(tx.commit().await?)
    }
    /// Makes all changes in one transaction, as one entry of the history. Changes that change nothing are left out.
    /// Undone edits can no longer be redone afterwards.
    ///
    /// # Errors
    /// Those of the database; then nothing is changed.
    pub async fn edit(&self, edit: &Edit<'_>, changes: &[Change]) -> Result<Applied, StoreError> {
        let mut tx = self.begin().await?;
        let revision = advance(&mut tx, "revision", 1).await?;
        let mut real = Vec::new();
        for change in changes {
            let before = current(&mut tx, change.kind, &change.id).await?;
            let after = change.body.clone().map(|b| (change.owner.clone(), b));
            if before == after {
                continue;
            }
            write(&mut tx, change.kind, &change.id, after.as_ref(), revision).await?;
            real.push((change.kind, change.id.clone(), before, after));
        }
        if real.is_empty() {
            tx.rollback().await?;
            return Ok(Applied { edit: None, revision: revision - 1 });
        }
        sqlx::query("UPDATE edit SET state = 'dropped' WHERE state = 'undone'").execute(&mut *tx).await?;
        let id = match joined(&mut tx, edit, &real).await? {
            Some(id) => id,
            None => insert(&mut tx, edit, &real).await?,
        };
        tx.commit().await?;
        Ok(Applied { edit: Some(id), revision })
    }
}

type Real = (Kind, String, Option<Content>, Option<Content>);

async fn insert(tx: &mut Transaction<'_, Sqlite>, edit: &Edit<'_>, real: &[Real]) -> Result<i64, StoreError> {
    let id = advance(tx, "edit", 1).await?;
    sqlx::query(
        "INSERT INTO edit (id, label, play_id, at_ms, state, merge) VALUES ($1, $2, $3, $4, 'done', $5)",
    )
    .bind(id)
    .bind(edit.label)
    .bind(edit.play.map(PlayId::as_str))
    .bind(edit.at_ms)
    .bind(edit.merge)
    .execute(&mut **tx)
    .await?;
    for (seq, (kind, record, before, after)) in real.iter().enumerate() {
        let split = |c: &Option<Content>| c.clone().map_or((None, None), |(owner, body)| (owner, Some(body)));
        let ((owner_before, before), (owner_after, after)) = (split(before), split(after));
        sqlx::query(
            "INSERT INTO edit_change (edit_id, seq, kind, record_id, owner_before, before, owner_after, after)
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
        )
        .bind(id)
        .bind(seq as i64)
        .bind(kind.word())
        .bind(record)
        .bind(owner_before)
        .bind(before)
        .bind(owner_after)
        .bind(after)
        .execute(&mut **tx)
        .await?;
    }
    Ok(id)
}

/// Makes the changes part of the last edit when they continue it; its id then.
async fn joined(
    tx: &mut Transaction<'_, Sqlite>,
    edit: &Edit<'_>,
    real: &[Real],
) -> Result<Option<i64>, StoreError> {
    let Some(merge) = edit.merge else { return Ok(None) };
    let last = sqlx::query("SELECT id, at_ms, merge, state FROM edit ORDER BY id DESC LIMIT 1")
        .fetch_optional(&mut **tx)
        .await?;
    let Some(last) = last else { return Ok(None) };
    let (id, at_ms): (i64, i64) = (last.try_get("id")?, last.try_get("at_ms")?);
    let (word, state): (Option<String>, String) = (last.try_get("merge")?, last.try_get("state")?);
    let soon = (0..=Edit::MERGE_MS).contains(&(edit.at_ms - at_ms));
    if state != "done" || word.as_deref() != Some(merge) || !soon {
        return Ok(None);
    }
    let held: Vec<(String, String)> =
        sqlx::query_as("SELECT kind, record_id FROM edit_change WHERE edit_id = $1 ORDER BY seq")
            .bind(id)
            .fetch_all(&mut **tx)
            .await?;
    let same =
        held.len() == real.len() && held.iter().zip(real).all(|(h, r)| h.0 == r.0.word() && h.1 == r.1);
    if !same {
        return Ok(None);
    }
    for (seq, (_, _, _, after)) in real.iter().enumerate() {
        let (owner, body) = after.clone().map_or((None, None), |(o, b)| (o, Some(b)));
        sqlx::query("UPDATE edit_change SET owner_after = $1, after = $2 WHERE edit_id = $3 AND seq = $4")
            .bind(owner)
            .bind(body)
            .bind(id)
            .bind(seq as i64)
            .execute(&mut **tx)
            .await?;
    }
    sqlx::query("UPDATE edit SET at_ms = $1 WHERE id = $2")
        .bind(edit.at_ms)
        .bind(id)
        .execute(&mut **tx)
        .await?;
    Ok(Some(id))
}

async fn current(
    tx: &mut Transaction<'_, Sqlite>,
    kind: Kind,
    id: &str,
) -> Result<Option<Content>, StoreError> {
    Ok(sqlx::query_as("SELECT owner, body FROM record WHERE kind = $1 AND id = $2")
        .bind(kind.word())
        .bind(id)
        .fetch_optional(&mut **tx)
        .await?)
}

/// Sets a record to a state; `None` deletes it.
pub(crate) async fn write(
    tx: &mut Transaction<'_, Sqlite>,
    kind: Kind,
    id: &str,
    content: Option<&Content>,
    revision: i64,
) -> Result<(), StoreError> {
    let Some((owner, body)) = content else {
        sqlx::query("DELETE FROM record WHERE kind = $1 AND id = $2")
            .bind(kind.word())
            .bind(id)
            .execute(&mut **tx)
            .await?;
        return Ok(());
    };
    sqlx::query(
        "INSERT INTO record (kind, id, owner, body, revision) VALUES ($1, $2, $3, $4, $5)
         ON CONFLICT (kind, id) DO UPDATE SET owner = excluded.owner, body = excluded.body, revision = excluded.revision",
    )
    .bind(kind.word())
    .bind(id)
    .bind(owner)
    .bind(body)
    .bind(revision)
    .execute(&mut **tx)
    .await?;
    Ok(())
}
