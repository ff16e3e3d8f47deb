//! Concepts drawn and changed.

use crate::body::Body;
use crate::error::{Answer, ApiError, Failure};
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};

use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{Concept, DrawnConcept, OpenPlaybook, WorkError, Workbench};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new().routes(routes!(open_playbook)).routes(routes!(draw, undraw)).routes(routes!(file))
}

/// The playbook laid open for drawing.
#[utoipa::path(get, path = "/playbook", responses((status = 200, body = OpenPlaybook), (status = "default", body = Failure)))]
async fn open_playbook(State(bench): State<Workbench>) -> Answer<Json<OpenPlaybook>> {
    Ok(Json(bench.open_playbook().await?))
}

/// Keeps a concept as drawn; the id in the body must be the one in the path.
#[utoipa::path(put, path = "/playbook/{concept}", params(("concept" = String, Path)), request_body = Concept, responses((status = 200, body = DrawnConcept), (status = "default", body = Failure)))]
async fn draw(
    State(bench): State<Workbench>,
    Path(id): Path<String>,
    Body(concept): Body<Concept>,
) -> Answer<Json<DrawnConcept>> {
    if concept.id != id {
        return Err(WorkError::Invalid(format!("the path names {id}, the body {}", concept.id)).into());
    }
    Ok(Json(bench.draw_concept(concept).await?))
}

/// Takes a drawing back.
#[utoipa::path(delete, path = "/playbook/{concept}", params(("concept" = String, Path)), responses((status = 204), (status = "default", body = Failure)))]
async fn undraw(State(bench): State<Workbench>, Path(id): Path<String>) -> Answer<StatusCode> {
    bench.undraw_concept(&id).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// What is drawn in this study as a playbook file for others.
#[utoipa::path(get, path = "/playbook-file", responses((status = 200, content_type = "application/toml"), (status = "default", body = Failure)))]
async fn file(State(bench): State<Workbench>) -> Result<Response, ApiError> {
    Ok(([(CONTENT_TYPE, "application/toml")], bench.playbook_file().await?).into_response())
}
