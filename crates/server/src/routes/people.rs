//! People found in film: looked for, followed, repaired.

use crate::body::Body;
use crate::error::{Answer, Failure};
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use play::{MarkId, PlayId, Repair, TrackRepair};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{FoundPeople, Job, TakePeople, Workbench};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new()
        .routes(routes!(find_people))
        .routes(routes!(found_people))
        .routes(routes!(take_people))
        .routes(routes!(repair_track))
        .routes(routes!(delete_repair))
}

/// Starts to find the people in every lined-up clip of a play; clips whose people are known are passed over.
#[utoipa::path(post, path = "/plays/{play}/find-people", params(("play" = String, Path)), responses((status = 200, body = Job), (status = "default", body = Failure)))]
async fn find_people(State(bench): State<Workbench>, Path(play): Path<String>) -> Answer<Json<Job>> {
    Ok(Json(bench.find_people(&PlayId(play)).await?))
}

/// The people found in a play as repaired: paths on the ground and in each view with their uncertainty, who they are or
/// probably are, and the repairs in order.
#[utoipa::path(get, path = "/plays/{play}/found", params(("play" = String, Path)), responses((status = 200, body = FoundPeople), (status = "default", body = Failure)))]
async fn found_people(State(bench): State<Workbench>, Path(play): Path<String>) -> Answer<Json<FoundPeople>> {
    Ok(Json(bench.found_people(&PlayId(play)).await?))
}

/// Says of every likely track that he is who is proposed, in one edit; measured from then on.
#[utoipa::path(post, path = "/plays/{play}/found/take", params(("play" = String, Path)), request_body = TakePeople, responses((status = 200, body = FoundPeople), (status = "default", body = Failure)))]
async fn take_people(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
    Body(take): Body<TakePeople>,
) -> Answer<Json<FoundPeople>> {
    Ok(Json(bench.take_people(&PlayId(play), take).await?))
}

/// Changes the tracks: moves, swaps, merges, splits, deletes or labels. A second drag of a track in the same frame
/// continues the first.
#[utoipa::path(post, path = "/plays/{play}/repairs", params(("play" = String, Path)), request_body = Repair, responses((status = 200, body = TrackRepair), (status = "default", body = Failure)))]
async fn repair_track(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
    Body(repair): Body<Repair>,
) -> Answer<Json<TrackRepair>> {
    Ok(Json(bench.repair(&PlayId(play), repair).await?))
}

/// Takes one repair back.
#[utoipa::path(delete, path = "/repairs/{repair}", params(("repair" = String, Path)), responses((status = 204), (status = "default", body = Failure)))]
async fn delete_repair(State(bench): State<Workbench>, Path(repair): Path<String>) -> Answer<StatusCode> {
    bench.delete_repair(&MarkId(repair)).await?;
    Ok(StatusCode::NO_CONTENT)
}
