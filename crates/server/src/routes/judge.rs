//! Words, measurement, judgement, figures.

use crate::body::Body;
use crate::error::{Answer, ApiError, Failure};
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use play::{Judgement, Measurement, OwnCall, PlayId, View};
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{ChartWords, Concepts, FigureKind, Judged, Recognised, Theme, Trail, WorkError, Workbench};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new()
        .routes(routes!(words))
        .routes(routes!(concepts))
        .routes(routes!(measurement))
        .routes(routes!(trails))
        .routes(routes!(judgements))
        .routes(routes!(judged))
        .routes(routes!(recognised, take_recognised))
        .routes(routes!(call, delete_call))
        .routes(routes!(figure))
}

/// Trade words for the chart.
#[utoipa::path(get, path = "/words", responses((status = 200, body = ChartWords), (status = "default", body = Failure)))]
async fn words(State(bench): State<Workbench>) -> Json<ChartWords> {
    Json(bench.words().await)
}

/// The concepts with routes and read plans.
#[utoipa::path(get, path = "/concepts", responses((status = 200, body = Concepts), (status = "default", body = Failure)))]
async fn concepts(State(bench): State<Workbench>) -> Json<Concepts> {
    Json(bench.concepts().await)
}

/// Everything measured of a play.
#[utoipa::path(get, path = "/plays/{play}/measurement", params(("play" = String, Path)), responses((status = 200, body = Measurement), (status = "default", body = Failure)))]
async fn measurement(State(bench): State<Workbench>, Path(play): Path<String>) -> Answer<Json<Measurement>> {
    Ok(Json(bench.measurement(&PlayId(play)).await?))
}

/// Which view.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct TrailQuery {
    /// The view.
    view: View,
}

/// People's paths in each frame of a view.
#[utoipa::path(get, path = "/plays/{play}/tracks", params(("play" = String, Path), TrailQuery), responses((status = 200, body = Vec<Trail>), (status = "default", body = Failure)))]
async fn trails(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
    query: Query<TrailQuery>,
) -> Answer<Json<Vec<Trail>>> {
    Ok(Json(bench.trails(&PlayId(play), query.0.view).await?))
}

/// The program's judgements, the evaluator's first plan first.
#[utoipa::path(get, path = "/plays/{play}/judgements", params(("play" = String, Path)), responses((status = 200, body = Vec<Judgement>), (status = "default", body = Failure)))]
async fn judgements(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
) -> Answer<Json<Vec<Judgement>>> {
    Ok(Json(bench.judgements(&PlayId(play)).await?))
}

/// The program's judgements with one sentence over all and what stands in their way.
#[utoipa::path(get, path = "/plays/{play}/judged", params(("play" = String, Path)), responses((status = 200, body = Judged), (status = "default", body = Failure)))]
async fn judged(State(bench): State<Workbench>, Path(play): Path<String>) -> Answer<Json<Judged>> {
    Ok(Json(bench.judged(&PlayId(play)).await?))
}

/// What is recognised of a play: proposals for its chart.
#[utoipa::path(get, path = "/plays/{play}/recognised", params(("play" = String, Path)), responses((status = 200, body = Recognised), (status = "default", body = Failure)))]
async fn recognised(State(bench): State<Workbench>, Path(play): Path<String>) -> Answer<Json<Recognised>> {
    Ok(Json(bench.recognised(&PlayId(play)).await?))
}

/// Charts what is recognised surely enough where nothing is charted, as one undoable edit; answers whether anything was.
#[utoipa::path(post, path = "/plays/{play}/recognised", params(("play" = String, Path)), responses((status = 200, body = bool), (status = "default", body = Failure)))]
async fn take_recognised(State(bench): State<Workbench>, Path(play): Path<String>) -> Answer<Json<bool>> {
    Ok(Json(!bench.take_recognised(&[PlayId(play)]).await?.is_empty()))
}

/// Keeps the evaluator's own call; the plan in the body must be the one in the path.
#[utoipa::path(put, path = "/plays/{play}/calls/{plan}", params(("play" = String, Path), ("plan" = String, Path)), request_body = OwnCall, responses((status = 200, body = OwnCall), (status = "default", body = Failure)))]
async fn call(
    State(bench): State<Workbench>,
    Path((play, plan)): Path<(String, String)>,
    Body(call): Body<OwnCall>,
) -> Answer<Json<OwnCall>> {
    if call.plan != plan {
        return Err(WorkError::Invalid(format!("the path names {plan}, the body {}", call.plan)).into());
    }
    Ok(Json(bench.call(&PlayId(play), call).await?))
}

/// Takes the evaluator's call under a plan back.
#[utoipa::path(delete, path = "/plays/{play}/calls/{plan}", params(("play" = String, Path), ("plan" = String, Path)), responses((status = 204), (status = "default", body = Failure)))]
async fn delete_call(
    State(bench): State<Workbench>,
    Path((play, plan)): Path<(String, String)>,
) -> Answer<StatusCode> {
    bench.delete_call(&PlayId(play), &plan).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Where a figure will be looked at.
#[derive(Clone, Copy, Debug, Default, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Look {
    /// On a light screen.
    #[default]
    Light,
    /// On a dark screen.
    Dark,
    /// In print.
    Paper,
}

/// How to draw a figure.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct FigureQuery {
    /// Where it will be looked at.
    #[serde(default)]
    #[param(inline)]
    theme: Look,
    /// The instant, s from the snap; the release when left out.
    t: Option<f64>,
}

/// A figure as SVG.
#[utoipa::path(get, path = "/plays/{play}/figures/{figure}", params(("play" = String, Path), ("figure" = String, Path, description = "diagram, windows, feet or placement, with or without .svg"), FigureQuery), responses((status = 200, content_type = "image/svg+xml"), (status = "default", body = Failure)))]
async fn figure(
    State(bench): State<Workbench>,
    Path((play, figure)): Path<(String, String)>,
    query: Query<FigureQuery>,
) -> Result<Response, ApiError> {
    let kind = match figure.trim_end_matches(".svg") {
        "diagram" => FigureKind::Diagram,
        "windows" => FigureKind::Windows,
        "feet" => FigureKind::Feet,
        "placement" => FigureKind::Placement,
        _ => return Err(WorkError::NotFound { what: "figure", id: figure }.into()),
    };
    let theme = match query.0.theme {
        Look::Light => Theme::Light,
        Look::Dark => Theme::Dark,
        Look::Paper => Theme::Paper,
    };
    let svg = bench.figure(&PlayId(play), kind, theme, query.0.t).await?;
    Ok(([(CONTENT_TYPE, "image/svg+xml")], svg).into_response())
}
