use crate::{api, guard, page};
use axum::Router;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use tokio::net::TcpListener;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;
use workbench::Workbench;

/// How to serve.
#[derive(Clone, Copy, Debug)]
pub struct Options {
    /// Address to listen at; loopback only.
    pub address: IpAddr,
    /// Port; 0 lets the system choose.
    pub port: u16,
}

impl Default for Options {
    fn default() -> Self {
        Self { address: IpAddr::V4(Ipv4Addr::LOCALHOST), port: 0 }
    }
}

/// Why serving could not begin.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// Other machines could connect.
    #[error(
        "refusing to listen at {address}: film and judgements are served to this machine only (127.0.0.1)"
    )]
    NotLoopback {
        /// What was asked for.
        address: IpAddr,
    },
    /// The system gave no port.
    #[error("could not listen at {address}: {source}")]
    Listen {
        /// What was asked for.
        address: SocketAddr,
        /// What the system said.
        source: std::io::Error,
    },
    /// The system gave no random numbers for the token.
    #[error("the system gave no random numbers: {0}")]
    Random(String),
}

/// A running server.
#[derive(Debug)]
pub struct Serving {
    /// Where it listens.
    pub address: SocketAddr,
    /// What a caller must present as bearer.
    pub token: String,
    stop: oneshot::Sender<()>,
    task: JoinHandle<std::io::Result<()>>,
}

impl Serving {
    /// The address that opens the page. The token is in the fragment, which no browser sends anywhere.
    pub fn url(&self) -> String {
        format!("http://{}/#token={}", self.address, self.token)
    }
    /// Stops taking requests and waits for those under way.
    ///
    /// # Errors
    /// What the system said.
    pub async fn stop(self) -> std::io::Result<()> {
        let _ = self.stop.send(()); // it may have stopped by itself
        self.task.await.map_err(std::io::Error::other)?
    }
}

/// Serves an open study.
///
/// # Errors
/// `NotLoopback`, `Listen`, `Random`.
pub async fn serve(bench: Workbench, options: Options) -> Result<Serving, ServeError> {
    if !options.address.is_loopback() {
        return Err(ServeError::NotLoopback { address: options.address });
    }
    let wanted = SocketAddr::new(options.address, options.port);
    let fail = |source| ServeError::Listen { address: wanted, source };
    let listener = TcpListener::bind(wanted).await.map_err(fail)?;
    let address = listener.local_addr().map_err(fail)?;
    let mut bytes = [0u8; 32];
    getrandom::fill(&mut bytes).map_err(|e| ServeError::Random(e.to_string()))?;
    let token: String = bytes.iter().map(|b| format!("{b:02x}")).collect();
    let app = router(bench, address, &token);
    let (stop, stopped) = oneshot::channel::<()>();
    let task = tokio::spawn(async move {
        axum::serve(listener, app)
            .with_graceful_shutdown(async {
                // A dropped handle means that nobody will ever ask; serve on.
                if stopped.await.is_err() {
                    std::future::pending::<()>().await;
                }
            })
            .await
    });
    Ok(Serving { address, token, stop, task })
}

fn router(bench: Workbench, address: SocketAddr, token: &str) -> Router {
    let guard = guard::Guard::new(address, token);
    let api = api::routes().with_state(bench);
    Router::new()
        .nest("/api", api)
        .fallback(page::page)
        .layer(axum::middleware::from_fn_with_state(guard, guard::check))
}
