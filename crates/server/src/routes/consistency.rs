//! The evaluator's consistency.

use crate::body::Body;
use crate::error::{Answer, Failure};
use axum::Json;
use axum::extract::{Path, State};
use play::{Outcome, PlayId};
use serde::Deserialize;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{BlindSet, Consistency, NewBlindSet, StudyComparison, Workbench};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new()
        .routes(routes!(consistency))
        .routes(routes!(pick_blind_set))
        .routes(routes!(call_again))
        .routes(routes!(compare_studies))
}

/// A second call.
#[derive(Deserialize, ToSchema)]
pub(crate) struct SecondCall {
    /// What the decision was.
    outcome: Outcome,
}

/// Another study.
#[derive(Deserialize, ToSchema)]
pub(crate) struct OtherStudy {
    /// Its folder, in a named folder or beside this study.
    path: String,
}

/// Sets of decisions called again, and what they show.
#[utoipa::path(get, path = "/consistency", responses((status = 200, body = Consistency), (status = "default", body = Failure)))]
async fn consistency(State(bench): State<Workbench>) -> Answer<Json<Consistency>> {
    Ok(Json(bench.consistency().await?))
}

/// Picks earlier decisions to be called again, blind.
#[utoipa::path(post, path = "/consistency/sets", request_body = NewBlindSet, responses((status = 200, body = BlindSet), (status = "default", body = Failure)))]
async fn pick_blind_set(
    State(bench): State<Workbench>,
    Body(new): Body<NewBlindSet>,
) -> Answer<Json<BlindSet>> {
    Ok(Json(bench.pick_blind_set(new).await?))
}

/// Calls a decision of a set again.
#[utoipa::path(put, path = "/consistency/sets/{set}/{play}", params(("set" = String, Path), ("play" = String, Path)), request_body = SecondCall, responses((status = 200, body = BlindSet), (status = "default", body = Failure)))]
async fn call_again(
    State(bench): State<Workbench>,
    Path((set, play)): Path<(String, String)>,
    Body(call): Body<SecondCall>,
) -> Answer<Json<BlindSet>> {
    Ok(Json(bench.call_again(&set, &PlayId(play), call.outcome).await?))
}

/// This study beside another evaluator's of the same games, play by play.
#[utoipa::path(post, path = "/consistency/compare", request_body = OtherStudy, responses((status = 200, body = StudyComparison), (status = "default", body = Failure)))]
async fn compare_studies(
    State(bench): State<Workbench>,
    Body(other): Body<OtherStudy>,
) -> Answer<Json<StudyComparison>> {
    Ok(Json(bench.compare_listed(std::path::Path::new(&other.path)).await?))
}
