//! All routes together, and their description.

use crate::error::{Failure, refusal};
use crate::routes;
use axum::extract::DefaultBodyLimit;
use axum::http::StatusCode;
use axum::{Json, Router};
use utoipa::OpenApi;
use utoipa_axum::router::OpenApiRouter;
use workbench::Workbench;

#[derive(OpenApi)]
#[openapi(
    info(
        title = "tapemeasure",
        description = "The use cases of a study. Every call carries the token of this start as bearer. Pixels are of the original film's display size; lengths are yards, times seconds from the snap, unless a name says otherwise."
    ),
    components(schemas(Failure, workbench::ExportForm))
)]
struct Doc;

/// Largest JSON body. A play list is larger; its route says so itself.
const BODY_LIMIT: usize = 256 * 1024;

fn described() -> OpenApiRouter<Workbench> {
    OpenApiRouter::with_openapi(Doc::openapi())
        .merge(routes::study::routes())
        .merge(routes::films::routes())
        .merge(routes::clips::routes())
        .merge(routes::plays::routes())
        .merge(routes::tables::routes())
        .merge(routes::line_up::routes())
        .merge(routes::marks::routes())
        .merge(routes::people::routes())
        .merge(routes::proposals::routes())
        .merge(routes::judge::routes())
        .merge(routes::playbook::routes())
        .merge(routes::patterns::routes())
        .merge(routes::verdict::routes())
        .merge(routes::consistency::routes())
        .merge(routes::export::routes())
        .merge(routes::edits::routes())
}

/// The API's routes, without `/api`.
pub(crate) fn routes() -> Router<Workbench> {
    let (router, api) = described().split_for_parts();
    router
        .route("/openapi.json", axum::routing::get(move || async move { Json(api) }))
        .fallback(|| async { refusal(StatusCode::NOT_FOUND, "no-route", "there is no such call") })
        .method_not_allowed_fallback(|| async {
            refusal(StatusCode::METHOD_NOT_ALLOWED, "method", "this call is not made that way")
        })
        .layer(DefaultBodyLimit::max(BODY_LIMIT))
}

/// The description of the API, as kept in `ui/openapi.json`: paths are without `/api`.
pub fn openapi_json() -> String {
    let api = described().to_openapi();
    let mut text = serde_json::to_string_pretty(&api).expect("an OpenAPI document is JSON");
    text.push('\n');
    text
}
