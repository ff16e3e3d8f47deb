//! The page, built into the program from `ui/dist`.

use axum::http::{StatusCode, Uri, header};
use axum::response::{Html, IntoResponse, Response};
use rust_embed::RustEmbed;

#[derive(RustEmbed)]
#[folder = "../../ui/dist"] // from this crate's manifest
#[allow_missing = true]
struct Built;

const ABSENT: &str = "<!doctype html><html lang=\"en\"><title>tapemeasure</title><body><h1>The page is not built</h1>\
<p>The program runs, but it was compiled without its page. Run <code>make ui</code> and compile again.</p></body></html>";

/// Any path outside the API: a built file, else the page itself, which reads the address.
pub(crate) async fn page(uri: Uri) -> Response {
    let asked = uri.path().trim_start_matches('/');
    if let Some(file) = Built::get(asked).filter(|_| !asked.is_empty()) {
        // Vite names files in assets/ by their content.
        let cache =
            if asked.starts_with("assets/") { "public, max-age=31536000, immutable" } else { "no-cache" };
        let kind = file.metadata.mimetype().to_owned();
        return (
            [(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, cache.to_owned())],
            file.data.into_owned(),
        )
            .into_response();
    }
    if asked.rsplit('/').next().is_some_and(|name| name.contains('.')) {
        return StatusCode::NOT_FOUND.into_response();
    }
    match Built::get("index.html") {
        Some(index) => {
            let text = String::from_utf8_lossy(&index.data).into_owned();
            ([(header::CACHE_CONTROL, "no-cache")], Html(text)).into_response()
        }
        None => (StatusCode::SERVICE_UNAVAILABLE, Html(ABSENT)).into_response(),
    }
}
