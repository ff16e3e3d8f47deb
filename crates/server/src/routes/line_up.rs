//! Clicks on paint, cameras, grid, ground.

use crate::body::Body;
use crate::error::{Answer, Failure};
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use play::{ClipId, FieldMark, GameId, MarkId};
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{
    ClipLineUp, FieldPoints, GameLineUp, GridFrame, GroundPlace, Job, NewFieldMark, NewReading, PixelSpot,
    Solved, Workbench,
};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new()
        .routes(routes!(field_marks, mark_field))
        .routes(routes!(delete_field_mark))
        .routes(routes!(solve))
        .routes(routes!(follow))
        .routes(routes!(game_line_up, line_up_game))
        .routes(routes!(read_field))
        .routes(routes!(cameras))
        .routes(routes!(grid))
        .routes(routes!(ground))
        .routes(routes!(pixels))
}

/// The clicks of a clip.
#[utoipa::path(get, path = "/clips/{clip}/field-marks", params(("clip" = String, Path)), responses((status = 200, body = Vec<FieldMark>), (status = "default", body = Failure)))]
async fn field_marks(
    State(bench): State<Workbench>,
    Path(clip): Path<String>,
) -> Answer<Json<Vec<FieldMark>>> {
    Ok(Json(bench.field_marks(&ClipId(clip)).await?))
}

/// Keeps a click on paint.
#[utoipa::path(post, path = "/clips/{clip}/field-marks", params(("clip" = String, Path)), request_body = NewFieldMark, responses((status = 200, body = FieldMark), (status = "default", body = Failure)))]
async fn mark_field(
    State(bench): State<Workbench>,
    Path(clip): Path<String>,
    Body(new): Body<NewFieldMark>,
) -> Answer<Json<FieldMark>> {
    Ok(Json(bench.mark_field(&ClipId(clip), new).await?))
}

/// Deletes a click on paint.
#[utoipa::path(delete, path = "/field-marks/{mark}", params(("mark" = String, Path)), responses((status = 204), (status = "default", body = Failure)))]
async fn delete_field_mark(State(bench): State<Workbench>, Path(mark): Path<String>) -> Answer<StatusCode> {
    bench.delete_field_mark(&MarkId(mark)).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Which frame to solve.
#[derive(Deserialize, ToSchema)]
pub(crate) struct SolveFrame {
    /// Film frame.
    frame: u32,
}

/// Solves a frame's camera from its clicks; a refusal is part of the answer.
#[utoipa::path(post, path = "/clips/{clip}/solve", params(("clip" = String, Path)), request_body = SolveFrame, responses((status = 200, body = Solved), (status = "default", body = Failure)))]
async fn solve(
    State(bench): State<Workbench>,
    Path(clip): Path<String>,
    Body(asked): Body<SolveFrame>,
) -> Answer<Json<Solved>> {
    Ok(Json(bench.solve(&ClipId(clip), asked.frame).await?))
}

/// Starts to follow the chalk through the clip from its clicked frames.
#[utoipa::path(post, path = "/clips/{clip}/follow", params(("clip" = String, Path)), responses((status = 200, body = Job), (status = "default", body = Failure)))]
async fn follow(State(bench): State<Workbench>, Path(clip): Path<String>) -> Answer<Json<Job>> {
    Ok(Json(bench.follow(&ClipId(clip)).await?))
}

/// How the clips of a game are lined up, the doubtful first.
#[utoipa::path(get, path = "/games/{game}/line-up", params(("game" = String, Path)), responses((status = 200, body = GameLineUp), (status = "default", body = Failure)))]
async fn game_line_up(State(bench): State<Workbench>, Path(game): Path<String>) -> Answer<Json<GameLineUp>> {
    Ok(Json(bench.game_line_up(&GameId(game)).await?))
}

/// Which clips to take.
#[derive(Deserialize, ToSchema)]
pub(crate) struct LineUpGame {
    /// Clips that were lined up already, too; clicked ones stay.
    #[serde(default)]
    again: bool,
}

/// Starts to find the field in every clip of a game without clicks.
#[utoipa::path(post, path = "/games/{game}/line-up", params(("game" = String, Path)), request_body = LineUpGame, responses((status = 200, body = Job), (status = "default", body = Failure)))]
async fn line_up_game(
    State(bench): State<Workbench>,
    Path(game): Path<String>,
    Body(asked): Body<LineUpGame>,
) -> Answer<Json<Job>> {
    Ok(Json(bench.line_up_game(&GameId(game), asked.again).await?))
}

/// Confirms or moves a clip's reading of the yard lines; the whole game is settled again from what is stored.
#[utoipa::path(post, path = "/clips/{clip}/reading", params(("clip" = String, Path)), request_body = NewReading, responses((status = 200, body = GameLineUp), (status = "default", body = Failure)))]
async fn read_field(
    State(bench): State<Workbench>,
    Path(clip): Path<String>,
    Body(new): Body<NewReading>,
) -> Answer<Json<GameLineUp>> {
    Ok(Json(bench.read_field(&ClipId(clip), new).await?))
}

/// How well each frame is lined up.
#[utoipa::path(get, path = "/clips/{clip}/cameras", params(("clip" = String, Path)), responses((status = 200, body = ClipLineUp), (status = "default", body = Failure)))]
async fn cameras(State(bench): State<Workbench>, Path(clip): Path<String>) -> Answer<Json<ClipLineUp>> {
    Ok(Json(bench.line_up(&ClipId(clip)).await?))
}

/// Which frames.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct GridQuery {
    /// First film frame.
    from: u32,
    /// One past the last.
    to: u32,
}

/// The field's lines in each frame that has a camera.
#[utoipa::path(get, path = "/clips/{clip}/grid", params(("clip" = String, Path), GridQuery), responses((status = 200, body = Vec<GridFrame>), (status = "default", body = Failure)))]
async fn grid(
    State(bench): State<Workbench>,
    Path(clip): Path<String>,
    query: Query<GridQuery>,
) -> Answer<Json<Vec<GridFrame>>> {
    Ok(Json(bench.grid(&ClipId(clip), query.0.from, query.0.to).await?))
}

/// Where on the ground a pixel looks.
#[utoipa::path(post, path = "/clips/{clip}/ground", params(("clip" = String, Path)), request_body = PixelSpot, responses((status = 200, body = GroundPlace), (status = "default", body = Failure)))]
async fn ground(
    State(bench): State<Workbench>,
    Path(clip): Path<String>,
    Body(spot): Body<PixelSpot>,
) -> Answer<Json<GroundPlace>> {
    Ok(Json(bench.ground(&ClipId(clip), spot).await?))
}

/// Where field points appear in a frame; null for those out of sight.
#[utoipa::path(post, path = "/clips/{clip}/pixel", params(("clip" = String, Path)), request_body = FieldPoints, responses((status = 200, body = Vec<Option<[f64; 2]>>), (status = "default", body = Failure)))]
async fn pixels(
    State(bench): State<Workbench>,
    Path(clip): Path<String>,
    Body(asked): Body<FieldPoints>,
) -> Answer<Json<Vec<Option<[f64; 2]>>>> {
    let pixels = bench.pixels(&ClipId(clip), asked).await?;
    Ok(Json(pixels.into_iter().map(|p| p.map(|p| [p.x, p.y])).collect()))
}
