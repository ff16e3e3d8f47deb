//! Statements, measures, reports.

use crate::body::Body;
use crate::error::{Answer, ApiError, Failure};
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use play::{Claim, ClaimId};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{ClaimEdit, Job, MeasureRow, ReportForm, ReportRequest, WeighedClaim, Workbench};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new()
        .routes(routes!(claims, add_claim))
        .routes(routes!(edit_claim, delete_claim))
        .routes(routes!(measures))
        .routes(routes!(make_report))
        .routes(routes!(report))
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
