use crate::error::refusal;
use axum::Json;
use axum::extract::rejection::JsonRejection;
use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::response::Response;
use serde::de::DeserializeOwned;

/// A JSON body; one that is not what it should be is refused in our own words.
pub(crate) struct Body<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Body<T> {
    type Rejection = Response;
    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        match Json::<T>::from_request(request, state).await {
            Ok(Json(value)) => Ok(Self(value)),
            Err(e) => {
                let code = match &e {
                    JsonRejection::MissingJsonContentType(_) => "not-json",
                    JsonRejection::BytesRejection(_) => "body",
                    _ => "bad-json",
                };
                let status = match e.status() {
                    StatusCode::UNPROCESSABLE_ENTITY => StatusCode::BAD_REQUEST,
                    other => other,
                };
                Err(refusal(status, code, e.body_text()))
            }
        }
    }
}
