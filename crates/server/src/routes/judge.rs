//! Words, measurement, judgement, figures.

use crate::body::Body;
use crate::error::{Answer, ApiError, Failure};
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use play::{Judgement, Measurement, OwnCall, PersonId, PlayId, Seen, View};
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{
    ChartWords, Concepts, FigureKind, FigureWish, Judged, Race, Recognised, Theme, ThrowMade, Trail,
    WorkError, Workbench,
};

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
        .routes(routes!(race))
        .routes(routes!(throw_made))
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
    /// Of the diagram: the receiver whose best ball is drawn with the race to it.
    receiver: Option<String>,
    /// Release of that ball, s from the snap.
    release_s: Option<f64>,
}

/// Which race, and when the film is looked at.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct RaceQuery {
    /// To whom the ball goes.
    receiver: String,
    /// When it leaves, s from the snap.
    release_s: f64,
    /// Instant of the frames that it is drawn in, s from the snap.
    t: f64,
}

/// The best ball to a receiver at a release and the race to it, in yards and in the frames at an instant; null when no throw the arm
/// allows reaches him.
#[utoipa::path(get, path = "/plays/{play}/race", params(("play" = String, Path), RaceQuery), responses((status = 200, body = Option<Race>), (status = "default", body = Failure)))]
async fn race(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
    query: Query<RaceQuery>,
) -> Answer<Json<Option<Race>>> {
    let RaceQuery { receiver, release_s, t } = query.0;
    Ok(Json(bench.race(&PlayId(play), &PersonId(receiver), release_s, t).await?))
}

/// The ball that was thrown against the best to the same man, or why that is not seen.
#[utoipa::path(get, path = "/plays/{play}/throw-made", params(("play" = String, Path)), responses((status = 200, body = Seen<ThrowMade>), (status = "default", body = Failure)))]
async fn throw_made(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
) -> Answer<Json<Seen<ThrowMade>>> {
    Ok(Json(bench.throw_made(&PlayId(play)).await?))
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
    let race = query.0.receiver.map(PersonId).zip(query.0.release_s);
    let wish = FigureWish { at_s: query.0.t, race };
    let svg = bench.figure(&PlayId(play), kind, theme, wish).await?;
    Ok(([(CONTENT_TYPE, "image/svg+xml")], svg).into_response())
}
