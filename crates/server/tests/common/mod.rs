//! A served study and a client that sends exactly what a test says.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]
#![allow(dead_code, reason = "each test file uses its part")]

use serde_json::Value;
use server::{Options, Serving};
use std::path::Path;
use std::sync::Arc;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use workbench::{Outside, Workbench};

/// A served study in a folder of its own.
pub struct Room {
    dir: tempfile::TempDir,
    bench: Workbench,
    serving: Serving,
}

/// An answer as it came.
pub struct Answer {
    pub status: u16,
    pub headers: Vec<(String, String)>,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn header(&self, name: &str) -> Option<String> {
        self.headers.iter().find(|h| h.0 == name).map(|h| h.1.clone())
    }
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|e| panic!("{e}: {}", self.text()))
    }
}

/// A new study, served.
pub async fn room() -> Room {
    let dir = tempfile::tempdir().unwrap();
    let study = play::Study {
        name: "Test".into(),
        passer: "the passer".into(),
        right_handed: true,
        evaluator: "tests".into(),
    };
    let outside = Outside { tool: film::VideoTool::on_path(), now: Arc::new(|| 1_764_028_800_000) };
    let bench = Workbench::create(&dir.path().join("a.tape"), &study, outside).await.unwrap();
    let serving = server::serve(bench.clone(), Options::default()).await.unwrap();
    Room { dir, bench, serving }
}

impl Room {
    pub fn dir(&self) -> &Path {
        self.dir.path()
    }
    pub fn token(&self) -> &str {
        &self.serving.token
    }
    pub fn port(&self) -> u16 {
        self.serving.address.port()
    }
    pub fn bench(&self) -> Workbench {
        self.bench.clone()
    }
    /// Sends a request under the right Host and nothing else that is not said.
    pub async fn raw(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Answer {
        let host = self.serving.address.to_string();
        self.raw_host(&host, method, path, headers, body).await
    }
    /// The same under any Host.
    pub async fn raw_host(
        &self,
        host: &str,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &[u8],
    ) -> Answer {
        let mut stream = TcpStream::connect(self.serving.address).await.unwrap();
        let mut head = format!("{method} {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n");
        for (name, value) in headers {
            head.push_str(&format!("{name}: {value}\r\n"));
        }
        head.push_str(&format!("Content-Length: {}\r\n\r\n", body.len()));
        stream.write_all(head.as_bytes()).await.unwrap();
        // A server that refuses early may stop reading.
        let _ = stream.write_all(body).await;
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all).await;
        let end = all.windows(4).position(|w| w == b"\r\n\r\n").expect("a head");
        let head = String::from_utf8(all[..end].to_vec()).unwrap();
        let mut lines = head.lines();
        let status = lines.next().unwrap().split(' ').nth(1).unwrap().parse().unwrap();
        let headers = lines
            .filter_map(|l| l.split_once(':'))
            .map(|(n, v)| (n.to_lowercase(), v.trim().to_owned()))
            .collect();
        Answer { status, headers, body: all[end + 4..].to_vec() }
    }
    /// `GET /api/study` with the token under a Host.
    pub async fn with_host(&self, host: &str, more: &[(&str, &str)]) -> Answer {
        let auth = format!("Bearer {}", self.token());
        let mut headers = vec![("Authorization", auth.as_str())];
        headers.extend(more);
        self.raw_host(host, "GET", "/api/study", &headers, b"").await
    }
    /// Sends JSON with the token.
    pub async fn send(&self, method: &str, path: &str, body: &Value) -> Answer {
        let auth = format!("Bearer {}", self.token());
        let headers = [("Authorization", auth.as_str()), ("Content-Type", "application/json")];
        self.raw(method, path, &headers, body.to_string().as_bytes()).await
    }
}

/// `GET` with the token.
pub async fn get(room: &Room, path: &str) -> Answer {
    let auth = format!("Bearer {}", room.token());
    room.raw("GET", path, &[("Authorization", auth.as_str())], b"").await
}
