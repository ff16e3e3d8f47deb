//! Films, their frames, and jobs.

use crate::body::Body;
use crate::error::{Answer, ApiError, Failure};
use axum::Json;
use axum::body::Body as Bytes;
use axum::extract::{DefaultBodyLimit, Path, Query, Request, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use http_body_util::BodyExt;
use serde::Deserialize;
use tower::ServiceExt;
use utoipa::IntoParams;
use utoipa_axum::router::{OpenApiRouter, UtoipaMethodRouterExt};
use utoipa_axum::routes;
use workbench::{FilmFrames, FilmSummary, ImportRequest, Job, ListedFile, WorkError, Workbench};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new()
        .routes(routes!(films))
        .routes(routes!(import))
        .routes(routes!(hand_over).layer(DefaultBodyLimit::disable()))
        .routes(routes!(frames))
        .routes(routes!(proxy))
        .routes(routes!(exact_frame))
        .routes(routes!(jobs))
        .routes(routes!(job))
        .routes(routes!(cancel_job))
}

/// All films.
#[utoipa::path(get, path = "/films", responses((status = 200, body = Vec<FilmSummary>), (status = "default", body = Failure)))]
async fn films(State(bench): State<Workbench>) -> Answer<Json<Vec<FilmSummary>>> {
    Ok(Json(bench.films().await?))
}

/// Starts to import films.
#[utoipa::path(post, path = "/films/import", request_body = ImportRequest, responses((status = 200, body = Job), (status = "default", body = Failure)))]
async fn import(State(bench): State<Workbench>, Body(request): Body<ImportRequest>) -> Answer<Json<Job>> {
    Ok(Json(bench.import(request).await?))
}

/// The file's name.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct HandedOver {
    /// Its name with its ending; a folder in front is left out.
    name: String,
}

/// Takes a film's or table's bytes into the study, for files whose path the page may not know. Import it by the path in the answer.
#[utoipa::path(post, path = "/films/hand-over", params(HandedOver), request_body(content = Vec<u8>, content_type = "application/octet-stream"), responses((status = 200, body = ListedFile), (status = "default", body = Failure)))]
async fn hand_over(
    State(bench): State<Workbench>,
    Query(file): Query<HandedOver>,
    mut bytes: Bytes,
) -> Answer<Json<ListedFile>> {
    let mut arrival = bench.take_over(&file.name).await?;
    while let Some(frame) = bytes.frame().await {
        let frame =
            frame.map_err(|e| WorkError::Invalid(format!("{} did not come whole: {e}", file.name)))?;
        if let Some(piece) = frame.data_ref() {
            arrival.write(piece).await?;
        }
    }
    Ok(Json(arrival.finish().await?))
}

/// Times of a film's frames, and where each lies in the proxy.
#[utoipa::path(get, path = "/films/{film}/frames", params(("film" = String, Path)), responses((status = 200, body = FilmFrames), (status = "default", body = Failure)))]
async fn frames(State(bench): State<Workbench>, Path(film): Path<String>) -> Answer<Json<FilmFrames>> {
    Ok(Json(bench.film_frames(&film).await?))
}

/// The proxy: H.264 by ITU-T H.264 Annex B. Ask for ranges of bytes.
#[utoipa::path(get, path = "/films/{film}/proxy", params(("film" = String, Path)), responses((status = 200, content_type = "video/h264"), (status = 206, content_type = "video/h264"), (status = "default", body = Failure)))]
async fn proxy(
    State(bench): State<Workbench>,
    Path(film): Path<String>,
    request: Request,
) -> Result<Response, ApiError> {
    let file = bench.proxy_file(&film).await?;
    let kind = "video/h264".parse().expect("a media type");
    let service = tower_http::services::ServeFile::new_with_mime(file, &kind);
    let answer = match service.oneshot(request).await {
        Ok(a) => a,
        Err(never) => match never {},
    };
    if answer.status() == axum::http::StatusCode::NOT_FOUND {
        return Err(WorkError::NotFound { what: "proxy of film", id: film }.into());
    }
    Ok(answer.map(Bytes::new))
}

/// Exactly that frame of the original, as PNG.
#[utoipa::path(get, path = "/films/{film}/frame/{index}", params(("film" = String, Path), ("index" = String, Path, description = "frame index, with or without .png")), responses((status = 200, content_type = "image/png"), (status = "default", body = Failure)))]
async fn exact_frame(
    State(bench): State<Workbench>,
    Path((film, index)): Path<(String, String)>,
) -> Result<Response, ApiError> {
    let index = index
        .trim_end_matches(".png")
        .parse()
        .map_err(|_| WorkError::Invalid(format!("\"{index}\" is no frame index")))?;
    Ok(([(CONTENT_TYPE, "image/png")], bench.exact_frame_png(&film, index).await?).into_response())
}

/// The newest jobs, newest first.
#[utoipa::path(get, path = "/jobs", responses((status = 200, body = Vec<Job>), (status = "default", body = Failure)))]
async fn jobs(State(bench): State<Workbench>) -> Answer<Json<Vec<Job>>> {
    Ok(Json(bench.jobs().await?))
}

/// One job.
#[utoipa::path(get, path = "/jobs/{job}", params(("job" = i64, Path)), responses((status = 200, body = Job), (status = "default", body = Failure)))]
async fn job(State(bench): State<Workbench>, Path(job): Path<i64>) -> Answer<Json<Job>> {
    Ok(Json(bench.job(job).await?))
}

/// Asks a job to stop.
#[utoipa::path(post, path = "/jobs/{job}/cancel", params(("job" = i64, Path)), responses((status = 200, body = Job), (status = "default", body = Failure)))]
async fn cancel_job(State(bench): State<Workbench>, Path(job): Path<i64>) -> Answer<Json<Job>> {
    Ok(Json(bench.cancel(job).await?))
}
