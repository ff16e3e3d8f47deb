use serde::{Deserialize, Serialize};
use std::io;
use std::path::{Path, PathBuf};

/// Why a film, or a piece of work on one, was refused. Each message names the value, its unit and the limit.
#[derive(Debug, thiserror::Error)]
pub enum FilmError {
    /// The video tool is not there to be run.
    #[error(
        "the video tool `{}` was not found: {source}. Install ffmpeg 5.1 or newer (Debian/Ubuntu: `apt install ffmpeg`; macOS: `brew install ffmpeg`; Windows: `winget install ffmpeg`) or give the folder that holds ffmpeg and ffprobe",
        tool.display()
    )]
    ToolMissing {
        /// What was tried.
        tool: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The video tool is there but cannot do the work.
    #[error("the video tool `{}` is version {version}; {need}", tool.display())]
    ToolUnfit {
        /// Which program.
        tool: PathBuf,
        /// Its own version line.
        version: String,
        /// What is needed instead.
        need: &'static str,
    },
    /// The video tool gave up on something no other error names.
    #[error("the video tool stopped while {doing}: {message}")]
    ToolFailed {
        /// The work under way.
        doing: String,
        /// Its last words.
        message: String,
    },
    /// No file there (any more).
    #[error("no film at {}", path.display())]
    Missing {
        /// Where it was looked for.
        path: PathBuf,
    },
    /// A folder, device or other thing that is not a file.
    #[error("{} is not a file", path.display())]
    NotAFile {
        /// What was given.
        path: PathBuf,
    },
    /// Reading or writing failed.
    #[error("{doing} {} failed: {source}", path.display())]
    Io {
        /// The work under way.
        doing: &'static str,
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// No room left for what was being written; the part written has been removed.
    #[error("no room left on the disk for {} after {written_bytes} bytes; nothing was kept", path.display())]
    DiskFull {
        /// The file that did not fit.
        path: PathBuf,
        /// How far it got.
        written_bytes: u64,
    },
    /// A file of 0 bytes.
    #[error("{} is empty: 0 bytes", path.display())]
    Empty {
        /// The file.
        path: PathBuf,
    },
    /// Not a film in any container that is read here.
    #[error("{} is not a film: {reason}", path.display())]
    NotAFilm {
        /// The file.
        path: PathBuf,
        /// Why.
        reason: String,
    },
    /// A film cut off before its table of contents: a copy or download that did not finish.
    #[error("{} is cut off: it has {size_bytes} bytes and no index of its frames; copy it again", path.display())]
    Truncated {
        /// The file.
        path: PathBuf,
        /// Its size.
        size_bytes: u64,
    },
    /// Sound but no moving picture.
    #[error("{} has sound but no picture", path.display())]
    NoPicture {
        /// The file.
        path: PathBuf,
    },
    /// A film of zero length.
    #[error("{} holds 0 frames of picture", path.display())]
    NoFrames {
        /// The file.
        path: PathBuf,
    },
    /// A picture too small or too large to work with.
    #[error("{} has pictures of {width} x {height} pixels; each side must be from {} to {} pixels", path.display(), limits.0, limits.1)]
    PictureSize {
        /// The file.
        path: PathBuf,
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
        /// Smallest and largest side.
        limits: (u32, u32),
    },
    /// A picture too narrow to be film.
    #[error("{} shows pictures of {width} x {height} pixels, {ratio:.1} to 1; the limit is {limit} to 1", path.display())]
    PictureAspect {
        /// The file.
        path: PathBuf,
        /// Square pixels across.
        width: u32,
        /// Square pixels down.
        height: u32,
        /// Longer side over shorter.
        ratio: f64,
        /// The most allowed.
        limit: f64,
    },
    /// A frame rate that no film has, found from the frames' own times.
    #[error("{} runs at {per_second:.3} frames per second by its frames' times; the limits are {} to {}", path.display(), limits.0, limits.1)]
    Rate {
        /// The file.
        path: PathBuf,
        /// Frames per second.
        per_second: f64,
        /// Lowest and highest rate.
        limits: (f64, f64),
    },
    /// The picture's size changes within the film.
    #[error("{} changes its picture size at frame {frame}; only films of one size are read", path.display())]
    PictureChanges {
        /// The file.
        path: PathBuf,
        /// First frame of another size.
        frame: usize,
    },
    /// A frame index past the end.
    #[error("frames {first} to {} were asked for; the film has {frames}, numbered from 0", end.saturating_sub(1))]
    FrameRange {
        /// First frame asked for.
        first: usize,
        /// One past the last asked for.
        end: usize,
        /// How many there are.
        frames: usize,
    },
    /// The file is not the one that was imported.
    #[error("{} has changed since it was imported: {was_bytes} bytes then, {is_bytes} now", path.display())]
    Changed {
        /// The file.
        path: PathBuf,
        /// Size at import.
        was_bytes: u64,
        /// Size now.
        is_bytes: u64,
    },
    /// The decoder did not give the frame that the frame table promises.
    #[error("frame {index} of {} could not be decoded: {reason}", path.display())]
    NotDecoded {
        /// The frame.
        index: usize,
        /// The file.
        path: PathBuf,
        /// What happened instead.
        reason: String,
    },
    /// The proxy does not match its film; it must be made again.
    #[error("the proxy has {proxy_frames} pictures for a film of {frames} frames")]
    ProxyMismatch {
        /// Access units found.
        proxy_frames: usize,
        /// Frames of the film.
        frames: usize,
    },
    /// A request that cannot be met, such as an odd side in 4:2:0.
    #[error("{what} is {value}; {limit}")]
    Request {
        /// Which quantity.
        what: &'static str,
        /// What was asked.
        value: String,
        /// What is allowed.
        limit: &'static str,
    },
    /// The caller asked for the work to stop. Nothing half-made was kept.
    #[error("stopped on request")]
    Cancelled,
}

impl FilmError {
    /// An IO error under its most telling name.
    pub(crate) fn io(doing: &'static str, path: &Path, source: io::Error) -> Self {
        match source.kind() {
            io::ErrorKind::NotFound if doing == READING => Self::Missing { path: path.into() },
            _ => Self::Io { doing, path: path.into(), source },
        }
    }
    /// A write error; a full disk or quota is told apart.
    pub(crate) fn write(path: &Path, written_bytes: u64, source: io::Error) -> Self {
        use io::ErrorKind::{FileTooLarge, QuotaExceeded, StorageFull};
        match source.kind() {
            StorageFull | QuotaExceeded | FileTooLarge => Self::DiskFull { path: path.into(), written_bytes },
            _ => Self::Io { doing: WRITING, path: path.into(), source },
        }
    }
}

pub(crate) const READING: &str = "reading";
pub(crate) const WRITING: &str = "writing";

/// Something about a film that the user should know though work goes on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, thiserror::Error)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Finding {
    /// The header's frame rate is absent or absurd; the frames' own times are used.
    #[error("the header says {header} frames per second, outside 1 to 240; the frames' own times are used")]
    HeaderRate {
        /// As written in the header.
        header: String,
    },
    /// Frames without a time of their own, placed between their neighbours.
    #[error(
        "{count} frames from frame {first} carry no time; they were placed evenly between their neighbours"
    )]
    MissingTimes {
        /// How many.
        count: usize,
        /// The first of them.
        first: usize,
    },
    /// Frames whose time repeats or runs backwards.
    #[error(
        "{count} frames from frame {first} repeat an earlier time; they were placed evenly between their neighbours"
    )]
    RepeatedTimes {
        /// How many.
        count: usize,
        /// The first of them.
        first: usize,
    },
    /// The film ends before its header says.
    #[error("the header promises {declared_seconds:.2} s; {decoded_seconds:.2} s could be decoded")]
    Short {
        /// By the header, s.
        declared_seconds: f64,
        /// By the frames, s.
        decoded_seconds: f64,
    },
    /// The decoder complained; pictures may be damaged.
    #[error("the decoder complained {count} times, first: {first}")]
    Damage {
        /// Lines of complaint.
        count: usize,
        /// The first.
        first: String,
    },
    /// Two fields are woven into each frame.
    #[error("the film is interlaced: each frame holds two moments half a frame apart")]
    Interlaced,
    /// A recording with gaps: some frames stay on screen much longer than the rest.
    #[error("the frame rate varies: from {shortest_ms:.1} to {longest_ms:.1} ms between frames")]
    VariableRate {
        /// Shortest time between frames, ms.
        shortest_ms: f64,
        /// Longest time between frames, ms.
        longest_ms: f64,
    },
}
