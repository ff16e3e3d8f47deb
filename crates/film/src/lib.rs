//! Frames by exact index, proxies, cut-ups; the only place that runs the video tool.
//!
//! The way through: [`probe`] reads a file's header, [`ingest`] decodes it once into a frame table,
//! scene-change scores and a proxy, [`OriginalReader`] and [`ProxyReader`] give any frame or a stream of
//! frames, [`make_cutup`] joins ranges into one MP4. Everything here blocks; the caller owns the threads.
//!
//! **Index is identity.** A frame is named by its place in decoding order of presentation, from zero,
//! with nothing dropped or repeated. The proxy holds exactly one access unit per frame of the original,
//! so frame `i` of the one is frame `i` of the other by construction.

mod annexb;
mod clock;
mod cuts;
mod cutup;
mod encode;
mod error;
mod filters;
mod fingerprint;
mod frames;
mod ingest;
mod partial;
mod picture;
mod probe;
mod probe_parse;
mod progress;
mod proxy_session;
mod reader;
mod stamps;
#[cfg(feature = "testfilm")]
pub mod testfilm;
mod tool;

pub use annexb::ProxyIndex;
pub use clock::FrameClock;
pub use cuts::{CutRules, cuts};
pub use cutup::{Cutup, FrameSource, Hold, Overlay, Segment, make_cutup};
pub use encode::{EncodeSettings, Encoder, SpokenNote};
pub use error::{FilmError, Finding};
pub use fingerprint::{Fingerprint, fingerprint};
pub use frames::FrameStream;
pub use ingest::{Ingested, KEYFRAME_INTERVAL, PROXY_MAX_HEIGHT, PROXY_MAX_WIDTH, ingest, proxy_size};
pub use picture::{Picture, PixelFormat};
pub use probe::{ASPECT_LIMIT, Probe, RATE_LIMITS, SIDE_LIMITS, probe};
pub use progress::{Monitor, Progress};
pub use proxy_session::ProxySession;
pub use reader::{OriginalReader, ProxyReader};
pub use tool::VideoTool;
