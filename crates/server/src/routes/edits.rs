//! History, undo, redo.

use crate::error::{Answer, Failure};
use axum::Json;
use axum::extract::{Query, State};
use play::PlayId;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{PastEdit, Stepped, Workbench};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new().routes(routes!(history)).routes(routes!(undo)).routes(routes!(redo))
}

/// Which edits.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct HistoryQuery {
    /// Only those of this play.
    play: Option<String>,
}

/// Past edits, newest first.
#[utoipa::path(get, path = "/history", params(HistoryQuery), responses((status = 200, body = Vec<PastEdit>), (status = "default", body = Failure)))]
async fn history(State(bench): State<Workbench>, query: Query<HistoryQuery>) -> Answer<Json<Vec<PastEdit>>> {
    Ok(Json(bench.history(query.0.play.map(PlayId).as_ref()).await?))
}

/// Takes back the last edit.
#[utoipa::path(post, path = "/undo", responses((status = 200, body = Stepped), (status = "default", body = Failure)))]
async fn undo(State(bench): State<Workbench>) -> Answer<Json<Stepped>> {
    Ok(Json(bench.undo().await?))
}

/// Brings back the edit undone last.
#[utoipa::path(post, path = "/redo", responses((status = 200, body = Stepped), (status = "default", body = Failure)))]
async fn redo(State(bench): State<Workbench>) -> Answer<Json<Stepped>> {
    Ok(Json(bench.redo().await?))
}
