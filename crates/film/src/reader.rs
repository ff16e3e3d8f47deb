use crate::error::READING;
use crate::filters::{self, STAMP};
use crate::frames::{FrameStream, Plan};
use crate::tool::input;
use crate::{FilmError, FrameClock, Picture, PixelFormat, Probe, ProxyIndex, ProxySession, VideoTool};
use std::ffi::OsString;
use std::fs::File;
use std::io::{Read, Seek, SeekFrom, Write};
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::process::ChildStdin;
use std::thread::JoinHandle;

/// Frames of an original by exact index, upright and in square pixels, at full resolution or scaled.
#[derive(Clone, Debug)]
pub struct OriginalReader {
    tool: VideoTool,
    path: PathBuf,
    probe: Probe,
    clock: FrameClock,
}

/// Frames that a decoder may hold back to put them in order (ITU-T H.264 A.3.1 and H.265 A.4.2 both limit the
/// picture buffer to 16). A jump aims this much early, so that the keyframe it lands on is shown before the frame
/// wanted even where storage order runs ahead.
const REORDER_LIMIT: f64 = 16.0;

impl OriginalReader {
    /// Opens a film by what [`crate::probe`] and [`crate::ingest`] found.
    ///
    /// # Errors
    /// `Missing`, or `Changed` when the file's size is another than at import.
    pub fn open(tool: &VideoTool, path: &Path, probe: &Probe, clock: &FrameClock) -> Result<Self, FilmError> {
        check_unchanged(path, probe.size_bytes)?;
        Ok(Self { tool: tool.clone(), path: path.into(), probe: probe.clone(), clock: clock.clone() })
    }
    /// Number of frames.
    pub fn frames_total(&self) -> usize {
        self.clock.table.len()
    }
    /// Square pixels across and down.
    pub fn size(&self) -> (u32, u32) {
        (self.probe.display_width, self.probe.display_height)
    }
    /// One frame at full resolution, in any order.
    ///
    /// # Errors
    /// `FrameRange`, `Missing`, `Changed`, `NotDecoded`.
    pub fn frame(&self, index: usize, format: PixelFormat) -> Result<Picture, FilmError> {
        only(self.frames(index..index.saturating_add(1), format, None)?)
    }
    /// A run of frames decoded once, scaled to `size` when given.
    ///
    /// # Errors
    /// `FrameRange`, `Request`, `Missing`, `Changed`, `ToolMissing`; the stream's own errors come with its frames.
    pub fn frames(
        &self,
        range: Range<usize>,
        format: PixelFormat,
        size: Option<(u32, u32)>,
    ) -> Result<FrameStream, FilmError> {
        check_range(&range, self.frames_total())?;
        check_unchanged(&self.path, self.probe.size_bytes)?;
        let size = size.unwrap_or_else(|| self.size());
        check_request(size, format)?;
        let by_count = self.arguments(&range, format, size, None);
        let ticks: Option<Vec<i64>> = range.clone().map(|i| self.clock.file_tick(i)).collect();
        let jump = ticks.as_ref().and_then(|t| Some((self.jump_seconds(range.start)?, t[0])));
        let args = jump.map_or_else(|| by_count.clone(), |j| self.arguments(&range, format, size, Some(j)));
        let running = self.tool.start(args, false)?;
        let from_start = jump.map(|_| (self.tool.clone(), by_count));
        Ok(FrameStream::new(
            Plan { path: self.path.clone(), range, size, format, ticks, from_start },
            running,
            None,
        ))
    }
    /// Where to jump to for frame `index`, seconds after the container's start; `None` when decoding must begin at
    /// the film's start, because the film is short of it or the container's times cannot be trusted after a jump.
    fn jump_seconds(&self, index: usize) -> Option<f64> {
        let container = |names: &[&str]| self.probe.container.split(',').any(|c| names.contains(&c));
        // These store when each frame is shown. An AVI stores none, which matters only with reordered frames.
        let sure =
            container(&["mov", "mp4", "matroska", "webm"]) || (container(&["avi"]) && !self.probe.reordered);
        let origin = units::MediaTime::new(self.clock.origin_tick, self.probe.ticks).seconds();
        let back = REORDER_LIMIT * self.clock.table.median_interval_seconds();
        let at = origin + self.clock.table.seconds(index) - self.probe.start_seconds - back;
        (sure && at > back).then_some(at)
    }
    fn arguments(
        &self,
        range: &Range<usize>,
        format: PixelFormat,
        size: (u32, u32),
        jump: Option<(f64, i64)>,
    ) -> Vec<OsString> {
        let mut out: Vec<OsString> = Vec::new();
        let trim = match jump {
            Some((seconds, tick)) => {
                out.extend(["-noaccurate_seek".into(), "-ss".into(), format!("{seconds:.6}").into()]);
                format!("trim=start_pts={tick}")
            }
            None => format!("trim=start_frame={}:end_frame={}", range.start, range.end),
        };
        out.push("-copyts".into());
        out.extend(input(&self.path));
        out.extend(["-map".into(), format!("0:{}", self.probe.track).into(), "-vf".into()]);
        let convert = filters::convert(filters::matrix(&self.probe), size, format);
        out.push(format!("{trim},{STAMP},{convert}").into());
        out.extend(raw_output(range.len()));
        out
    }
}

/// Frames of a proxy by exact index.
#[derive(Clone, Debug)]
pub struct ProxyReader {
    tool: VideoTool,
    path: PathBuf,
    index: ProxyIndex,
}

impl ProxyReader {
    /// Opens a proxy by its index.
    ///
    /// # Errors
    /// `Missing`, or `Changed` when the file is not as long as its index says.
    pub fn open(tool: &VideoTool, path: &Path, index: &ProxyIndex) -> Result<Self, FilmError> {
        check_unchanged(path, *index.offsets.last().expect("an index ends with the file's length"))?;
        Ok(Self { tool: tool.clone(), path: path.into(), index: index.clone() })
    }
    /// Number of frames.
    pub fn frames_total(&self) -> usize {
        self.index.frames()
    }
    /// Pixels across and down.
    pub fn size(&self) -> (u32, u32) {
        (self.index.width, self.index.height)
    }
    pub(crate) fn index(&self) -> &ProxyIndex {
        &self.index
    }
    pub(crate) fn tool(&self) -> &VideoTool {
        &self.tool
    }
    /// Single frames from a decoder that is kept running, for a user who steps about.
    ///
    /// # Errors
    /// `Request`.
    pub fn session(&self, format: PixelFormat, size: Option<(u32, u32)>) -> Result<ProxySession, FilmError> {
        ProxySession::new(self, format, size)
    }
    /// The stored bytes of a run of frames. A decoder needs them from a keyframe on.
    ///
    /// # Errors
    /// `FrameRange`, `Missing`, `Io`.
    pub fn bytes(&self, range: Range<usize>) -> Result<Vec<u8>, FilmError> {
        check_range(&range, self.frames_total())?;
        let mut out = Vec::new();
        self.piece(&range)?.read_to_end(&mut out).map_err(|e| FilmError::io(READING, &self.path, e))?;
        Ok(out)
    }
    /// One frame, in any order; at most 15 are decoded for it.
    ///
    /// # Errors
    /// `FrameRange`, `Missing`, `NotDecoded`.
    pub fn frame(&self, index: usize, format: PixelFormat) -> Result<Picture, FilmError> {
        only(self.frames(index..index.saturating_add(1), format, None)?)
    }
    /// A run of frames, scaled to `size` when given.
    ///
    /// # Errors
    /// `FrameRange`, `Request`, `Missing`, `ToolMissing`; the stream's own errors come with its frames.
    pub fn frames(
        &self,
        range: Range<usize>,
        format: PixelFormat,
        size: Option<(u32, u32)>,
    ) -> Result<FrameStream, FilmError> {
        check_range(&range, self.frames_total())?;
        let size = size.unwrap_or_else(|| self.size());
        check_request(size, format)?;
        let key = self.index.key_before(range.start);
        let piece = self.piece(&(key..range.end))?;
        let (first, end) = (range.start - key, range.end - key);
        let chain =
            format!("trim=start_frame={first}:end_frame={end},{}", filters::convert("bt709", size, format));
        // A proxy needs no guessing at its format.
        let mut args: Vec<OsString> =
            ["-probesize", "32", "-f", "h264", "-i", "pipe:0", "-vf"].map(Into::into).into();
        args.push(chain.into());
        args.extend(raw_output(range.len()));
        let mut running = self.tool.start(args, true)?;
        let feeder = feed(piece, running.take_stdin());
        let plan = Plan { path: self.path.clone(), range, size, format, ticks: None, from_start: None };
        Ok(FrameStream::new(plan, running, Some(feeder)))
    }
    fn piece(&self, frames: &Range<usize>) -> Result<impl Read + Send + 'static, FilmError> {
        let fail = |e| FilmError::io(READING, &self.path, e);
        let bytes = self.index.bytes(frames.clone());
        let mut file = File::open(&self.path).map_err(fail)?;
        file.seek(SeekFrom::Start(bytes.start)).map_err(fail)?;
        Ok(file.take(bytes.end - bytes.start))
    }
}

/// Writes a piece of a proxy to the decoder. It stops early when the decoder has what it needs.
fn feed(mut piece: impl Read + Send + 'static, mut pipe: ChildStdin) -> JoinHandle<()> {
    std::thread::spawn(move || {
        let _ = std::io::copy(&mut piece, &mut pipe).and_then(|_| pipe.flush());
    })
}

fn raw_output(frames: usize) -> Vec<OsString> {
    let count = frames.to_string();
    ["-frames:v", &count, "-fps_mode", "passthrough", "-f", "rawvideo", "pipe:1"].map(Into::into).into()
}

pub(crate) fn only(mut stream: FrameStream) -> Result<Picture, FilmError> {
    stream.next().expect("a range of one frame gives one item").map(|(_, picture)| picture)
}

pub(crate) fn check_range(range: &Range<usize>, frames: usize) -> Result<(), FilmError> {
    if range.start < range.end && range.end <= frames {
        return Ok(());
    }
    Err(FilmError::FrameRange { first: range.start, end: range.end, frames })
}

pub(crate) fn check_request((w, h): (u32, u32), format: PixelFormat) -> Result<(), FilmError> {
    let (what, limit) = ("picture size", "each side must be from 2 to 8192 pixels, and even in 4:2:0");
    let odd = format == PixelFormat::Yuv420p && (w % 2 == 1 || h % 2 == 1);
    if odd || !(2..=8192).contains(&w) || !(2..=8192).contains(&h) {
        return Err(FilmError::Request { what, value: format!("{w} x {h} pixels"), limit });
    }
    Ok(())
}

/// A file that is there and as long as when it was first read.
pub(crate) fn check_unchanged(path: &Path, was_bytes: u64) -> Result<(), FilmError> {
    let is_bytes = std::fs::metadata(path).map_err(|e| FilmError::io(READING, path, e))?.len();
    if is_bytes == was_bytes {
        Ok(())
    } else {
        Err(FilmError::Changed { path: path.into(), was_bytes, is_bytes })
    }
}

/// Why the tool stopped: a file gone from under it, else its own words.
pub(crate) fn explain(path: &Path, doing: &str, said: String) -> FilmError {
    if path.exists() {
        FilmError::ToolFailed { doing: format!("{doing} {}", path.display()), message: said }
    } else {
        FilmError::Missing { path: path.into() }
    }
}

pub(crate) fn undecoded(path: &Path, index: usize, reason: String) -> FilmError {
    if path.exists() {
        FilmError::NotDecoded { index, path: path.into(), reason }
    } else {
        FilmError::Missing { path: path.into() }
    }
}
