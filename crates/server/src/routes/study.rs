//! Study, games, named folders.

use crate::body::Body;
use crate::error::{Answer, Failure};
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use play::{Game, GameId, Study};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{GameEdit, Listing, NamedFolder, StudyOverview, Workbench};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new()
        .routes(routes!(study, edit_study))
        .routes(routes!(add_game))
        .routes(routes!(edit_game, delete_game))
        .routes(routes!(folders, name_folder))
        .routes(routes!(list_folder))
        .routes(routes!(about))
}

/// The study at a glance.
#[utoipa::path(get, path = "/study", responses((status = 200, body = StudyOverview), (status = "default", body = Failure)))]
async fn study(State(bench): State<Workbench>) -> Answer<Json<StudyOverview>> {
    Ok(Json(bench.study().await?))
}

/// Changes the study's facts.
#[utoipa::path(put, path = "/study", request_body = Study, responses((status = 200, body = Study), (status = "default", body = Failure)))]
async fn edit_study(State(bench): State<Workbench>, Body(study): Body<Study>) -> Answer<Json<Study>> {
    Ok(Json(bench.edit_study(study).await?))
}

/// Makes a game.
#[utoipa::path(post, path = "/games", request_body = GameEdit, responses((status = 200, body = Game), (status = "default", body = Failure)))]
async fn add_game(State(bench): State<Workbench>, Body(edit): Body<GameEdit>) -> Answer<Json<Game>> {
    Ok(Json(bench.add_game(edit).await?))
}

/// Changes a game.
#[utoipa::path(put, path = "/games/{game}", params(("game" = String, Path)), request_body = GameEdit, responses((status = 200, body = Game), (status = "default", body = Failure)))]
async fn edit_game(
    State(bench): State<Workbench>,
    Path(game): Path<String>,
    Body(edit): Body<GameEdit>,
) -> Answer<Json<Game>> {
    Ok(Json(bench.edit_game(&GameId(game), edit).await?))
}

/// Deletes a game that has no plays.
#[utoipa::path(delete, path = "/games/{game}", params(("game" = String, Path)), responses((status = 204), (status = "default", body = Failure)))]
async fn delete_game(State(bench): State<Workbench>, Path(game): Path<String>) -> Answer<StatusCode> {
    bench.delete_game(&GameId(game)).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// The folders that films may be taken from.
#[utoipa::path(get, path = "/folders", responses((status = 200, body = Vec<NamedFolder>), (status = "default", body = Failure)))]
async fn folders(State(bench): State<Workbench>) -> Answer<Json<Vec<NamedFolder>>> {
    Ok(Json(bench.folders().await?))
}

/// A folder to name.
#[derive(Deserialize, ToSchema)]
pub(crate) struct FolderPath {
    /// Its path.
    path: String,
}

/// Names a folder that films may be taken from.
#[utoipa::path(post, path = "/folders", request_body = FolderPath, responses((status = 200, body = NamedFolder), (status = "default", body = Failure)))]
async fn name_folder(
    State(bench): State<Workbench>,
    Body(folder): Body<FolderPath>,
) -> Answer<Json<NamedFolder>> {
    Ok(Json(bench.name_folder(folder.path.as_ref()).await?))
}

/// Which folder to list.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct ListQuery {
    /// A path within a named folder.
    path: String,
}

/// What a folder within the named ones holds.
#[utoipa::path(get, path = "/folders/list", params(ListQuery), responses((status = 200, body = Listing), (status = "default", body = Failure)))]
async fn list_folder(State(bench): State<Workbench>, query: Query<ListQuery>) -> Answer<Json<Listing>> {
    Ok(Json(bench.list_folder(&query.0.path).await?))
}

/// The program.
#[derive(Serialize, ToSchema)]
pub(crate) struct About {
    /// Version.
    version: String,
    /// The video tool's own version line; `None` when it was not found.
    video_tool: Option<String>,
    /// Why the video tool cannot be used.
    video_tool_problem: Option<String>,
    /// The study's folder.
    study: String,
    /// Endings of files that are taken for film, without the dot.
    film_endings: Vec<String>,
    /// Endings of files that are taken for tables, without the dot.
    table_endings: Vec<String>,
}

/// The program and what it found on this machine.
#[utoipa::path(get, path = "/about", responses((status = 200, body = About), (status = "default", body = Failure)))]
async fn about(State(bench): State<Workbench>) -> Answer<Json<About>> {
    let tool = bench.check_tool().await;
    let (video_tool, video_tool_problem) = match tool {
        Ok(version) => (Some(version), None),
        Err(e) => (None, Some(e.to_string())),
    };
    Ok(Json(About {
        version: env!("CARGO_PKG_VERSION").to_owned(),
        video_tool,
        video_tool_problem,
        study: bench.place().folder().display().to_string(),
        film_endings: workbench::FILM_ENDINGS.map(str::to_owned).to_vec(),
        table_endings: workbench::TABLE_ENDINGS.map(str::to_owned).to_vec(),
    }))
}
