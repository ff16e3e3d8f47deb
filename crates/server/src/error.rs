//! The one file that maps errors to HTTP.

use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use film::FilmError;
use serde::Serialize;
use store::StoreError;
use utoipa::ToSchema;
use workbench::WorkError;

/// Why a request was refused or failed.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Failure {
    error: FailureFacts,
}

/// Code and words.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct FailureFacts {
    /// Short stable word.
    code: String,
    /// In plain words, with value, unit and limit where there are any.
    message: String,
}

/// An answer that refuses.
pub(crate) fn refusal(status: StatusCode, code: &str, message: impl Into<String>) -> Response {
    let facts = FailureFacts { code: code.to_owned(), message: message.into() };
    (status, Json(Failure { error: facts })).into_response()
}

/// A use case's error on its way out.
pub(crate) struct ApiError(pub WorkError);

impl<E: Into<WorkError>> From<E> for ApiError {
    fn from(e: E) -> Self {
        Self(e.into())
    }
}

impl IntoResponse for ApiError {
    fn into_response(self) -> Response {
        let (status, code) = status(&self.0);
        refusal(status, code, self.0.to_string())
    }
}

/// What handlers answer.
pub(crate) type Answer<T> = Result<T, ApiError>;

fn status(e: &WorkError) -> (StatusCode, &'static str) {
    match e {
        WorkError::Invalid(_) => (StatusCode::UNPROCESSABLE_ENTITY, "invalid"),
        WorkError::NotReady(_) => (StatusCode::CONFLICT, "not-ready"),
        WorkError::NotFound { .. } => (StatusCode::NOT_FOUND, "not-found"),
        WorkError::Outside { .. } => (StatusCode::FORBIDDEN, "outside"),
        WorkError::Io { .. } => (StatusCode::UNPROCESSABLE_ENTITY, "io"),
        WorkError::Broken(_) => (StatusCode::INTERNAL_SERVER_ERROR, "broken"),
        WorkError::Store(e) => store_status(e),
        WorkError::Film(e) => film_status(e),
    }
}

fn store_status(e: &StoreError) -> (StatusCode, &'static str) {
    match e {
        StoreError::NoRecord { .. } | StoreError::NoFilm { .. } => (StatusCode::NOT_FOUND, "not-found"),
        StoreError::NothingToUndo => (StatusCode::CONFLICT, "nothing-to-undo"),
        StoreError::NothingToRedo => (StatusCode::CONFLICT, "nothing-to-redo"),
        StoreError::Busy { .. } => (StatusCode::SERVICE_UNAVAILABLE, "study-busy"),
        StoreError::ReadOnly => (StatusCode::SERVICE_UNAVAILABLE, "study-read-only"),
        StoreError::DiskFull => (StatusCode::INSUFFICIENT_STORAGE, "disk-full"),
        StoreError::Damaged { .. } | StoreError::BadRecord { .. } => {
            (StatusCode::INTERNAL_SERVER_ERROR, "study-damaged")
        }
        StoreError::FolderName { .. }
        | StoreError::Missing { .. }
        | StoreError::Exists { .. }
        | StoreError::Newer { .. }
        | StoreError::OtherFormat { .. }
        | StoreError::Io { .. }
        | StoreError::Database(_) => (StatusCode::INTERNAL_SERVER_ERROR, "study"),
    }
}

fn film_status(e: &FilmError) -> (StatusCode, &'static str) {
    match e {
        FilmError::Missing { .. } => (StatusCode::NOT_FOUND, "film-missing"),
        FilmError::FrameRange { .. } => (StatusCode::NOT_FOUND, "no-such-frame"),
        FilmError::Changed { .. } => (StatusCode::CONFLICT, "film-changed"),
        FilmError::DiskFull { .. } => (StatusCode::INSUFFICIENT_STORAGE, "disk-full"),
        FilmError::ToolMissing { .. } | FilmError::ToolUnfit { .. } => {
            (StatusCode::SERVICE_UNAVAILABLE, "video-tool")
        }
        FilmError::Cancelled => (StatusCode::CONFLICT, "cancelled"),
        _ => (StatusCode::UNPROCESSABLE_ENTITY, "film"),
    }
}
