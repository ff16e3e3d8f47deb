//! Plays out of tables of positions.

use crate::body::Body;
use crate::error::{Answer, Failure};
use axum::Json;
use axum::extract::State;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{ImportedTable, TableFiles, TableImport, TableProposal, Workbench};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new().routes(routes!(propose_table)).routes(routes!(import_table))
}

/// How tables of positions would be read; nothing is kept.
#[utoipa::path(post, path = "/tables/propose", request_body = TableFiles, responses((status = 200, body = TableProposal), (status = "default", body = Failure)))]
async fn propose_table(
    State(bench): State<Workbench>,
    Body(files): Body<TableFiles>,
) -> Answer<Json<TableProposal>> {
    Ok(Json(bench.propose_table(&files).await?))
}

/// Makes plays of tables of positions, as one edit.
#[utoipa::path(post, path = "/tables/import", request_body = TableImport, responses((status = 200, body = ImportedTable), (status = "default", body = Failure)))]
async fn import_table(
    State(bench): State<Workbench>,
    Body(request): Body<TableImport>,
) -> Answer<Json<ImportedTable>> {
    Ok(Json(bench.import_table(request).await?))
}
