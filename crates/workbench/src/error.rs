use film::FilmError;
use std::path::PathBuf;
use store::StoreError;

/// Why a use case was refused or failed.
#[derive(Debug, thiserror::Error)]
pub enum WorkError {
    /// The study.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A film.
    #[error(transparent)]
    Film(#[from] FilmError),
    /// A value that cannot be: names value, unit and limit.
    #[error("{0}")]
    Invalid(String),
    /// Something needed first is not there yet.
    #[error("{0}")]
    NotReady(String),
    /// No such thing.
    #[error("there is no {what} {id}")]
    NotFound {
        /// What was asked for.
        what: &'static str,
        /// By which id.
        id: String,
    },
    /// A path outside the study and the folders that the user named.
    #[error("{} is outside the study and the film folders you named; name its folder first", path.display())]
    Outside {
        /// What was asked for.
        path: PathBuf,
    },
    /// A folder or file could not be read or written.
    #[error("{doing} {} failed: {source}", path.display())]
    Io {
        /// The work under way.
        doing: &'static str,
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A bug of ours.
    #[error("something broke inside: {0}")]
    Broken(String),
}

impl WorkError {
    pub(crate) fn io(doing: &'static str, path: &std::path::Path, source: std::io::Error) -> Self {
        Self::Io { doing, path: path.into(), source }
    }
    pub(crate) fn missing(what: &'static str, id: impl ToString) -> Self {
        Self::NotFound { what, id: id.to_string() }
    }
}

impl From<serde_json::Error> for WorkError {
    /// Only what the program itself wrote is read this way.
    fn from(e: serde_json::Error) -> Self {
        Self::Broken(format!("stored JSON cannot be read: {e}"))
    }
}

/// Runs something that blocks off the async threads.
pub(crate) async fn blocking<T: Send + 'static, E: Send + 'static>(
    work: impl FnOnce() -> Result<T, E> + Send + 'static,
) -> Result<T, WorkError>
where
    WorkError: From<E>,
{
    match tokio::task::spawn_blocking(work).await {
        Ok(result) => Ok(result?),
        Err(e) => Err(WorkError::Broken(e.to_string())),
    }
}
