//! Statements, measures, reports.

use crate::body::Body;
use crate::error::{Answer, ApiError, Failure};
use axum::Json;
use axum::body::Body as Bytes;
use axum::extract::{Path, Request, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use play::{Claim, ClaimId};
use tower::ServiceExt;
use tower_http::services::ServeFile;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{
    ClaimEdit, Draft, Job, MeasureRow, OpenQuestion, ReportForm, ReportRequest, SessionRequest, WeighedClaim,
    Workbench,
};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new()
        .routes(routes!(claims, add_claim))
        .routes(routes!(edit_claim, delete_claim))
        .routes(routes!(measures))
        .routes(routes!(make_report))
        .routes(routes!(report))
        .routes(routes!(open_questions))
        .routes(routes!(drafts))
        .routes(routes!(make_session))
        .routes(routes!(session_film))
}

/// The statements in order, each with what its evidence is worth.
#[utoipa::path(get, path = "/claims", responses((status = 200, body = Vec<WeighedClaim>), (status = "default", body = Failure)))]
async fn claims(State(bench): State<Workbench>) -> Answer<Json<Vec<WeighedClaim>>> {
    Ok(Json(bench.claims().await?))
}

/// Writes a new statement.
#[utoipa::path(post, path = "/claims", request_body = ClaimEdit, responses((status = 200, body = Claim), (status = "default", body = Failure)))]
async fn add_claim(State(bench): State<Workbench>, Body(edit): Body<ClaimEdit>) -> Answer<Json<Claim>> {
    Ok(Json(bench.add_claim(edit).await?))
}

/// Changes a statement.
#[utoipa::path(put, path = "/claims/{claim}", params(("claim" = String, Path)), request_body = ClaimEdit, responses((status = 200, body = Claim), (status = "default", body = Failure)))]
async fn edit_claim(
    State(bench): State<Workbench>,
    Path(claim): Path<String>,
    Body(edit): Body<ClaimEdit>,
) -> Answer<Json<Claim>> {
    Ok(Json(bench.edit_claim(&ClaimId(claim), edit).await?))
}

/// Deletes a statement.
#[utoipa::path(delete, path = "/claims/{claim}", params(("claim" = String, Path)), responses((status = 204), (status = "default", body = Failure)))]
async fn delete_claim(State(bench): State<Workbench>, Path(claim): Path<String>) -> Answer<StatusCode> {
    bench.delete_claim(&ClaimId(claim)).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Every measure over the study's plays, with its 90% interval.
#[utoipa::path(get, path = "/measures", responses((status = 200, body = Vec<MeasureRow>), (status = "default", body = Failure)))]
async fn measures(State(bench): State<Workbench>) -> Answer<Json<Vec<MeasureRow>>> {
    Ok(Json(bench.measures().await?))
}

/// Starts to make a game's report.
#[utoipa::path(post, path = "/report", request_body = ReportRequest, responses((status = 200, body = Job), (status = "default", body = Failure)))]
async fn make_report(
    State(bench): State<Workbench>,
    Body(request): Body<ReportRequest>,
) -> Answer<Json<Job>> {
    Ok(Json(bench.start_report(request).await?))
}

/// A finished report.
#[utoipa::path(get, path = "/report/{job}", params(("job" = i64, Path)), responses((status = 200, content_type = "application/octet-stream"), (status = "default", body = Failure)))]
async fn report(State(bench): State<Workbench>, Path(job): Path<i64>) -> Result<Response, ApiError> {
    let (form, bytes) = bench.finished_report(job).await?;
    let (kind, name) = match form {
        ReportForm::Pdf => ("application/pdf", "attachment; filename=\"report.pdf\""),
        ReportForm::Html => ("text/html; charset=utf-8", "attachment; filename=\"report.html\""),
    };
    Ok(([(CONTENT_TYPE, kind), (CONTENT_DISPOSITION, name)], bytes).into_response())
}

/// Questions that the film at hand leaves open, and what film would answer them.
#[utoipa::path(get, path = "/open-questions", responses((status = 200, body = Vec<OpenQuestion>), (status = "default", body = Failure)))]
async fn open_questions(State(bench): State<Workbench>) -> Answer<Json<Vec<OpenQuestion>>> {
    Ok(Json(bench.open_questions().await?))
}

/// Statements that the figures carry by themselves, drafted with clips for and against; those already rested on are left out.
#[utoipa::path(get, path = "/drafts", responses((status = 200, body = Vec<Draft>), (status = "default", body = Failure)))]
async fn drafts(State(bench): State<Workbench>) -> Answer<Json<Vec<Draft>>> {
    Ok(Json(bench.drafts().await?))
}

/// Starts to join the statements' clips into one film.
#[utoipa::path(post, path = "/session", request_body = SessionRequest, responses((status = 200, body = Job), (status = "default", body = Failure)))]
async fn make_session(
    State(bench): State<Workbench>,
    Body(request): Body<SessionRequest>,
) -> Answer<Json<Job>> {
    Ok(Json(bench.start_session(request).await?))
}

/// A finished film session.
#[utoipa::path(get, path = "/session/{job}", params(("job" = i64, Path)), responses((status = 200, content_type = "video/mp4"), (status = "default", body = Failure)))]
async fn session_film(
    State(bench): State<Workbench>,
    Path(job): Path<i64>,
    request: Request,
) -> Result<Response<Bytes>, ApiError> {
    let file = bench.finished_session(job)?;
    let answer = match ServeFile::new(file).oneshot(request).await {
        Ok(a) => a,
        Err(never) => match never {},
    };
    Ok(answer.map(Bytes::new))
}
