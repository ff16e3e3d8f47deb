//! Plays, situations, play lists, charts.

use crate::body::Body;
use crate::error::{Answer, Failure};
use axum::Json;
use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, Path, State};
use axum::http::StatusCode;
use play::{Chart, GameId, Play, PlayId, Situation};
use utoipa_axum::router::{OpenApiRouter, UtoipaMethodRouterExt};
use utoipa_axum::routes;
use workbench::{ListedPlays, NewPlay, PlayDetail, PlaySummary, Suggestion, Workbench};

/// Largest play list, bytes.
const LIST_LIMIT: usize = 8 << 20;

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new()
        .routes(routes!(plays, add_play))
        .routes(routes!(play, delete_play))
        .routes(routes!(edit_situation))
        .routes(routes!(edit_chart))
        .routes(routes!(suggest))
        .routes(routes!(play_list).layer(DefaultBodyLimit::max(LIST_LIMIT)))
}

/// All plays by game and number.
#[utoipa::path(get, path = "/plays", responses((status = 200, body = Vec<PlaySummary>), (status = "default", body = Failure)))]
async fn plays(State(bench): State<Workbench>) -> Answer<Json<Vec<PlaySummary>>> {
    Ok(Json(bench.plays().await?))
}

/// Makes a play at the end of its game.
#[utoipa::path(post, path = "/plays", request_body = NewPlay, responses((status = 200, body = Play), (status = "default", body = Failure)))]
async fn add_play(State(bench): State<Workbench>, Body(new): Body<NewPlay>) -> Answer<Json<Play>> {
    Ok(Json(bench.add_play(new).await?))
}

/// Everything the evaluator made of one play.
#[utoipa::path(get, path = "/plays/{play}", params(("play" = String, Path)), responses((status = 200, body = PlayDetail), (status = "default", body = Failure)))]
async fn play(State(bench): State<Workbench>, Path(play): Path<String>) -> Answer<Json<PlayDetail>> {
    Ok(Json(bench.play(&PlayId(play)).await?))
}

/// Deletes a play with its chart, people, marks and calls; its clips stay.
#[utoipa::path(delete, path = "/plays/{play}", params(("play" = String, Path)), responses((status = 204), (status = "default", body = Failure)))]
async fn delete_play(State(bench): State<Workbench>, Path(play): Path<String>) -> Answer<StatusCode> {
    bench.delete_play(&PlayId(play)).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Changes a play's situation.
#[utoipa::path(put, path = "/plays/{play}/situation", params(("play" = String, Path)), request_body = Situation, responses((status = 200, body = Play), (status = "default", body = Failure)))]
async fn edit_situation(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
    Body(situation): Body<Situation>,
) -> Answer<Json<Play>> {
    Ok(Json(bench.edit_situation(&PlayId(play), situation).await?))
}

/// Changes a play's chart.
#[utoipa::path(put, path = "/plays/{play}/chart", params(("play" = String, Path)), request_body = Chart, responses((status = 200, body = Chart), (status = "default", body = Failure)))]
async fn edit_chart(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
    Body(chart): Body<Chart>,
) -> Answer<Json<Chart>> {
    Ok(Json(bench.edit_chart(&PlayId(play), chart).await?))
}

/// What to start a play's chart from.
#[utoipa::path(get, path = "/plays/{play}/suggest", params(("play" = String, Path)), responses((status = 200, body = Suggestion), (status = "default", body = Failure)))]
async fn suggest(State(bench): State<Workbench>, Path(play): Path<String>) -> Answer<Json<Suggestion>> {
    Ok(Json(bench.suggest(&PlayId(play)).await?))
}

/// Reads a play list (CSV or XLSX bytes) into the game's plays, in order.
#[utoipa::path(post, path = "/games/{game}/playlist", params(("game" = String, Path)), request_body(content = Vec<u8>, content_type = "application/octet-stream"), responses((status = 200, body = ListedPlays), (status = "default", body = Failure)))]
async fn play_list(
    State(bench): State<Workbench>,
    Path(game): Path<String>,
    bytes: Bytes,
) -> Answer<Json<ListedPlays>> {
    Ok(Json(bench.play_list(&GameId(game), bytes.to_vec()).await?))
}
