//! HTTP on loopback: the use cases of [`workbench`] as JSON, and the page.
//!
//! Only this machine can connect, only with the token of this start, only under the address it was started on.

mod api;
mod body;
mod error;
mod guard;
mod page;
mod routes;
mod serve;

pub use api::openapi_json;
pub use serve::{Options, ServeError, Serving, serve};
