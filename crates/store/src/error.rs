use crate::Kind;
use sqlx::migrate::MigrateError;
use std::io;
use std::path::{Path, PathBuf};

/// Why the study could not be opened, read or changed.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// A study folder is told by its name.
    #[error("{} is not a study's name: a study is a folder whose name ends in .tape", path.display())]
    FolderName {
        /// What was given.
        path: PathBuf,
    },
    /// No study there.
    #[error("no study at {}", path.display())]
    Missing {
        /// Where it was looked for.
        path: PathBuf,
    },
    /// A study is there already.
    #[error("there is a study at {} already", path.display())]
    Exists {
        /// Where.
        path: PathBuf,
    },
    /// Written by a newer program.
    #[error(
        "the study has format {found}; this program knows formats up to {known}. Use a newer tapemeasure"
    )]
    Newer {
        /// Of the study.
        found: i64,
        /// Newest known.
        known: i64,
    },
    /// Read only, and not of this program's format.
    #[error(
        "the study has format {found}, not {known}; open it once with this program to bring it up to date"
    )]
    OtherFormat {
        /// Of the study.
        found: i64,
        /// This program's.
        known: i64,
    },
    /// Somebody else is writing and did not finish.
    #[error("the study is in use by another program, which did not let go within {waited_s} s")]
    Busy {
        /// How long we waited, s.
        waited_s: u64,
    },
    /// The folder or the file may not be written.
    #[error("the study may not be written: the folder or study.db is read-only")]
    ReadOnly,
    /// No room left.
    #[error("no room left on the disk for the study; the last edit was not stored, everything before it was")]
    DiskFull,
    /// The file is damaged.
    #[error("study.db is damaged ({reason}); restore the study from a copy")]
    Damaged {
        /// What the database said.
        reason: String,
    },
    /// A record that does not read as what it should be.
    #[error("{kind} {id} cannot be read: {reason}")]
    BadRecord {
        /// Kind of the record.
        kind: Kind,
        /// Its id.
        id: String,
        /// Why.
        reason: String,
    },
    /// Asked for by an id that is not there.
    #[error("there is no {kind} {id}")]
    NoRecord {
        /// Kind asked for.
        kind: Kind,
        /// Id asked for.
        id: String,
    },
    /// No film of that id.
    #[error("there is no film {id}")]
    NoFilm {
        /// Id asked for.
        id: String,
    },
    /// Every edit is undone.
    #[error("there is nothing to undo")]
    NothingToUndo,
    /// No undone edit is left.
    #[error("there is nothing to redo")]
    NothingToRedo,
    /// A folder or file could not be made or read.
    #[error("{doing} {} failed: {source}", path.display())]
    Io {
        /// The work under way.
        doing: &'static str,
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Anything else the database said.
    #[error("the study's database refused: {0}")]
    Database(String),
}

/// How long a writer waits for another before it gives up, s.
pub(crate) const WAIT_S: u64 = 5;

/// SQLite's primary result codes (sqlite.org/rescode.html).
mod code {
    pub const BUSY: i32 = 5;
    pub const LOCKED: i32 = 6;
    pub const READ_ONLY: i32 = 8;
    pub const CORRUPT: i32 = 11;
    pub const FULL: i32 = 13;
    pub const NOT_A_DATABASE: i32 = 26;
}

impl StoreError {
    pub(crate) fn io(doing: &'static str, path: &Path, source: io::Error) -> Self {
        match source.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::DiskFull,
            io::ErrorKind::ReadOnlyFilesystem => Self::ReadOnly,
            _ => Self::Io { doing, path: path.into(), source },
        }
    }
}

impl From<sqlx::Error> for StoreError {
    fn from(e: sqlx::Error) -> Self {
        let message = e.to_string();
        let extended = match &e {
            sqlx::Error::Database(d) => d.code().and_then(|c| c.parse::<i32>().ok()),
            // Two readers of a pool wait for each other only when a statement hangs on a lock.
            sqlx::Error::PoolTimedOut => Some(code::BUSY),
            _ => None,
        };
        match extended.map(|c| c & 0xff) {
            Some(code::BUSY | code::LOCKED) => Self::Busy { waited_s: WAIT_S },
            Some(code::READ_ONLY) => Self::ReadOnly,
            Some(code::FULL) => Self::DiskFull,
            Some(code::CORRUPT | code::NOT_A_DATABASE) => Self::Damaged { reason: message },
            _ => Self::Database(message),
        }
    }
}

impl StoreError {
    pub(crate) fn migration(e: MigrateError, known: i64) -> Self {
        match e {
            MigrateError::VersionMissing(found) => Self::Newer { found, known },
            MigrateError::VersionTooNew(found, _) => Self::Newer { found, known },
            MigrateError::Execute(e) | MigrateError::ExecuteMigration(e, _) => e.into(),
            other => Self::Damaged { reason: other.to_string() },
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::{Change, Edit, FilmFolder, Place, Store, StoreError};

    /// SQLite's own answer when a file may not grow (SQLITE_FULL) is that of a full disk.
    #[tokio::test]
    async fn a_full_disk_is_named_and_earlier_edits_stay() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::create(Place::new(&dir.path().join("a.tape")).unwrap()).await.unwrap();
        let folder = |id: &str, n: usize| FilmFolder { id: id.into(), path: "x".repeat(n) };
        let edit = Edit { label: "name", play: None, at_ms: 0, merge: None };
        store.edit(&edit, &[Change::put(&folder("small", 10))]).await.unwrap();
        sqlx::query("PRAGMA max_page_count = 40").fetch_all(&store.write).await.unwrap();
        let e = store.edit(&edit, &[Change::put(&folder("large", 1 << 20))]).await.unwrap_err();
        assert!(matches!(e, StoreError::DiskFull), "{e:?}");
        let kept: Vec<FilmFolder> = store.list().await.unwrap();
        assert_eq!(kept.len(), 1);
        // Room again: the store goes on without being opened anew.
        sqlx::query("PRAGMA max_page_count = 100000").fetch_all(&store.write).await.unwrap();
        store.edit(&edit, &[Change::put(&folder("large", 1 << 20))]).await.unwrap();
    }
}
