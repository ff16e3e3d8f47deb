//! The table out.

use crate::error::{Answer, ApiError, Failure};
use axum::Json;
use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{DataVersion, ExportForm, Workbench};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new().routes(routes!(export_table)).routes(routes!(data_version))
}

/// The study's throws with every charted word, measure, interval and judgement.
#[utoipa::path(get, path = "/export/{form}", params(("form" = ExportForm, Path)), responses((status = 200, content_type = "application/octet-stream"), (status = "default", body = Failure)))]
async fn export_table(
    State(bench): State<Workbench>,
    Path(form): Path<ExportForm>,
) -> Result<Response, ApiError> {
    let bytes = bench.export(form).await?;
    let disposition = format!("attachment; filename=\"{}\"", form.file_name());
    Ok(([(CONTENT_TYPE, form.media_type().to_owned()), (CONTENT_DISPOSITION, disposition)], bytes)
        .into_response())
}

/// The state of the data and what figures are computed with.
#[utoipa::path(get, path = "/data-version", responses((status = 200, body = DataVersion), (status = "default", body = Failure)))]
async fn data_version(State(bench): State<Workbench>) -> Answer<Json<DataVersion>> {
    Ok(Json(bench.data_version().await?))
}
