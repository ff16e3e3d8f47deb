//! Who may call: this machine's own page with this start's token, under the address it was started on.

use crate::error::refusal;
use axum::extract::{Request, State};
use axum::http::header::{
    AUTHORIZATION, CACHE_CONTROL, CONTENT_SECURITY_POLICY, HOST, HeaderName, HeaderValue, ORIGIN,
    REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, StatusCode};
use axum::middleware::Next;
use axum::response::Response;
use std::net::SocketAddr;
use std::sync::Arc;

/// What is compared with every request.
#[derive(Clone)]
pub(crate) struct Guard(Arc<Facts>);

struct Facts {
    hosts: [String; 2],
    origins: [String; 2],
    token: String,
}

impl Guard {
    pub fn new(address: SocketAddr, token: &str) -> Self {
        let hosts = [address.to_string(), format!("localhost:{}", address.port())];
        let origins = hosts.clone().map(|h| format!("http://{h}"));
        Self(Arc::new(Facts { hosts, origins, token: token.to_owned() }))
    }
    /// A page elsewhere can make a browser send requests here, by a name that resolves here or across origins; both show.
    fn refuse(&self, headers: &HeaderMap, api: bool) -> Option<Response> {
        let text = |name: HeaderName| headers.get(name).map(|v| v.to_str().unwrap_or(""));
        let host = text(HOST).unwrap_or("");
        if !self.0.hosts.iter().any(|h| h == host) {
            return Some(refusal(
                StatusCode::FORBIDDEN,
                "foreign-host",
                "this address is not the one the program was started on",
            ));
        }
        if text(ORIGIN).is_some_and(|o| !self.0.origins.iter().any(|k| k == o)) {
            return Some(refusal(
                StatusCode::FORBIDDEN,
                "foreign-origin",
                "another site's page may not call this program",
            ));
        }
        if api {
            let given = text(AUTHORIZATION).and_then(|a| a.strip_prefix("Bearer ")).unwrap_or("");
            if !same(given.as_bytes(), self.0.token.as_bytes()) {
                let said =
                    "the token of this start is missing or wrong; open the address that the program printed";
                return Some(refusal(StatusCode::UNAUTHORIZED, "no-token", said));
            }
        }
        None
    }
}

/// Compares in a time that does not tell how much was right.
fn same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0, |d, (x, y)| d | (x ^ y)) == 0
}

/// The page's own scripts, styles and pictures only; pictures may also come from memory (exact frames are fetched with
/// the token). Style attributes are allowed because figures carry them; style elements and inline scripts are not.
const POLICY: &str = "default-src 'self'; script-src 'self'; style-src 'self'; style-src-attr 'unsafe-inline'; \
                      img-src 'self' blob: data:; font-src 'self' data:; worker-src 'self' blob:; connect-src 'self'; \
                      object-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// Checks a request and sets the headers that every answer carries.
pub(crate) async fn check(State(guard): State<Guard>, request: Request, next: Next) -> Response {
    let api = request.uri().path().starts_with("/api/") || request.uri().path() == "/api";
    let mut response = match guard.refuse(request.headers(), api) {
        Some(refused) => refused,
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    let mut set = |name: HeaderName, value: &'static str| {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    };
    set(CONTENT_SECURITY_POLICY, POLICY);
    set(X_CONTENT_TYPE_OPTIONS, "nosniff");
    set(X_FRAME_OPTIONS, "DENY");
    set(REFERRER_POLICY, "no-referrer");
    set(HeaderName::from_static("cross-origin-opener-policy"), "same-origin");
    set(HeaderName::from_static("cross-origin-resource-policy"), "same-origin");
    set(HeaderName::from_static("permissions-policy"), "camera=(), geolocation=(), payment=(), usb=()");
    if api {
        set(CACHE_CONTROL, "no-store");
    }
    response
}
