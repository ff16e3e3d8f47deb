//! Clips and pairing.

use crate::body::Body;
use crate::error::{Answer, Failure};
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use play::{Clip, ClipId, FilmId, GameId};
use serde::Deserialize;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{ClipEdit, ClipSummary, Paired, Workbench};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new()
        .routes(routes!(clips, add_clip))
        .routes(routes!(propose_clips))
        .routes(routes!(edit_clip, delete_clip))
        .routes(routes!(pair))
}

/// All clips in the order of their films and frames.
#[utoipa::path(get, path = "/clips", responses((status = 200, body = Vec<ClipSummary>), (status = "default", body = Failure)))]
async fn clips(State(bench): State<Workbench>) -> Answer<Json<Vec<ClipSummary>>> {
    Ok(Json(bench.clips().await?))
}

/// A new clip.
#[derive(Deserialize, ToSchema)]
pub(crate) struct NewClip {
    /// Its film.
    film: FilmId,
    #[serde(flatten)]
    facts: ClipEdit,
}

/// Makes a clip.
#[utoipa::path(post, path = "/clips", request_body = NewClip, responses((status = 200, body = Clip), (status = "default", body = Failure)))]
async fn add_clip(State(bench): State<Workbench>, Body(new): Body<NewClip>) -> Answer<Json<Clip>> {
    Ok(Json(bench.add_clip(&new.film, new.facts).await?))
}

/// Which film to cut.
#[derive(Deserialize, ToSchema)]
pub(crate) struct ProposeClips {
    /// The film.
    film: FilmId,
}

/// Proposes clips for a film anew from its scene cuts.
#[utoipa::path(post, path = "/clips/propose", request_body = ProposeClips, responses((status = 200, body = Vec<Clip>), (status = "default", body = Failure)))]
async fn propose_clips(
    State(bench): State<Workbench>,
    Body(asked): Body<ProposeClips>,
) -> Answer<Json<Vec<Clip>>> {
    Ok(Json(bench.propose_clips(&asked.film).await?))
}

/// Changes a clip.
#[utoipa::path(put, path = "/clips/{clip}", params(("clip" = String, Path)), request_body = ClipEdit, responses((status = 200, body = Clip), (status = "default", body = Failure)))]
async fn edit_clip(
    State(bench): State<Workbench>,
    Path(clip): Path<String>,
    Body(edit): Body<ClipEdit>,
) -> Answer<Json<Clip>> {
    Ok(Json(bench.edit_clip(&ClipId(clip), edit).await?))
}

/// Deletes a clip; the film stays.
#[utoipa::path(delete, path = "/clips/{clip}", params(("clip" = String, Path)), responses((status = 204), (status = "default", body = Failure)))]
async fn delete_clip(State(bench): State<Workbench>, Path(clip): Path<String>) -> Answer<StatusCode> {
    bench.delete_clip(&ClipId(clip)).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Ties the clips of a game into plays.
#[utoipa::path(post, path = "/games/{game}/pair", params(("game" = String, Path)), responses((status = 200, body = Paired), (status = "default", body = Failure)))]
async fn pair(State(bench): State<Workbench>, Path(game): Path<String>) -> Answer<Json<Paired>> {
    Ok(Json(bench.pair(&GameId(game)).await?))
}
