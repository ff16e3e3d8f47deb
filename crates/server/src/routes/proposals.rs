//! Moments and ball proposed from the film.

use crate::body::Body;
use crate::error::{Answer, Failure};
use axum::Json;
use axum::extract::{Path, State};
use play::PlayId;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{Job, Proposals, TakeProposals, Workbench};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new()
        .routes(routes!(watch_play))
        .routes(routes!(proposals))
        .routes(routes!(take_proposals))
}

/// Starts to watch what moves in every lined-up clip of a play; clips that were watched are passed over.
#[utoipa::path(post, path = "/plays/{play}/watch", params(("play" = String, Path)), responses((status = 200, body = Job), (status = "default", body = Failure)))]
async fn watch_play(State(bench): State<Workbench>, Path(play): Path<String>) -> Answer<Json<Job>> {
    Ok(Json(bench.watch_play(&PlayId(play)).await?))
}

/// Moments and the ball as proposed; what is marked is not.
#[utoipa::path(get, path = "/plays/{play}/proposals", params(("play" = String, Path)), responses((status = 200, body = Proposals), (status = "default", body = Failure)))]
async fn proposals(State(bench): State<Workbench>, Path(play): Path<String>) -> Answer<Json<Proposals>> {
    Ok(Json(bench.proposals(&PlayId(play)).await?))
}

/// Confirms proposals, in one edit: they become marks.
#[utoipa::path(post, path = "/plays/{play}/proposals/take", params(("play" = String, Path)), request_body = TakeProposals, responses((status = 200, body = Proposals), (status = "default", body = Failure)))]
async fn take_proposals(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
    Body(take): Body<TakeProposals>,
) -> Answer<Json<Proposals>> {
    Ok(Json(bench.take_proposals(&PlayId(play), take).await?))
}
