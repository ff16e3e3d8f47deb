use crate::stamps::Note;
use crate::tool::{Running, read_full};
use crate::{FilmError, Picture, PixelFormat, VideoTool};
use std::ffi::OsString;
use std::iter::FusedIterator;
use std::ops::Range;
use std::path::PathBuf;
use std::process::ChildStdout;
use std::thread::JoinHandle;

/// Frames of a film in order, each with its index. The decoder waits while nobody reads, so memory stays at
/// a few pictures; dropping the stream stops it.
pub struct FrameStream {
    path: PathBuf,
    running: Option<Running>,
    stdout: Option<ChildStdout>,
    feeder: Option<JoinHandle<()>>,
    next: usize,
    end: usize,
    size: (u32, u32),
    format: PixelFormat,
    /// The file's own tick of each frame to come, to prove that the decoder gives the frame asked for.
    ticks: Option<std::vec::IntoIter<i64>>,
    /// How to get the same frames by decoding from the film's start, should the jump into it fail.
    from_start: Option<(VideoTool, Vec<OsString>)>,
}

/// How a stream is begun.
pub(crate) struct Plan {
    pub path: PathBuf,
    pub range: Range<usize>,
    pub size: (u32, u32),
    pub format: PixelFormat,
    pub ticks: Option<Vec<i64>>,
    pub from_start: Option<(VideoTool, Vec<OsString>)>,
}

impl FrameStream {
    pub(crate) fn new(plan: Plan, mut running: Running, feeder: Option<JoinHandle<()>>) -> Self {
        Self {
            path: plan.path,
            stdout: Some(running.take_stdout()),
            running: Some(running),
            feeder,
            next: plan.range.start,
            end: plan.range.end,
            size: plan.size,
            format: plan.format,
            ticks: plan.ticks.map(Vec::into_iter),
            from_start: plan.from_start,
        }
    }
    /// Reads the next frame into `picture`, whose memory is reused, and returns its index; `None` at the end.
    ///
    /// # Errors
    /// `NotDecoded` when the film's frames are not (any more) what its frame table says, `Missing`, `Io`.
    pub fn read_into(&mut self, picture: &mut Picture) -> Result<Option<usize>, FilmError> {
        if self.next >= self.end {
            self.stop();
            return Ok(None);
        }
        let (width, height) = self.size;
        (picture.width, picture.height, picture.format) = (width, height, self.format);
        picture.data.resize(self.format.bytes(width, height), 0);
        let expected = self.ticks.as_mut().and_then(Iterator::next);
        let mut got = self.take(&mut picture.data, expected);
        if got.is_err()
            && let Some((tool, args)) = self.from_start.take()
        {
            let mut running = tool.start(args, false)?;
            self.stdout = Some(running.take_stdout());
            self.running = Some(running);
            got = self.take(&mut picture.data, expected);
        }
        self.from_start = None; // only the first frame can reveal a bad jump
        if let Err(e) = got {
            self.end = self.next; // nothing after a frame in doubt
            self.stop();
            return Err(e);
        }
        self.next += 1;
        Ok(Some(self.next - 1))
    }
    fn take(&mut self, data: &mut [u8], expected: Option<i64>) -> Result<(), FilmError> {
        let index = self.next;
        let read = match &mut self.stdout {
            Some(stdout) => read_full(stdout, data).map_err(|e| FilmError::io("decoding", &self.path, e))?,
            None => false,
        };
        if !read {
            let said = self.running.take().map(|r| r.finish().1.text()).unwrap_or_default();
            return Err(crate::reader::undecoded(&self.path, index, said));
        }
        let Some(expected) = expected else { return Ok(()) };
        let notes = self.running.as_ref().map(|r| &r.notes);
        // The filter names a frame before the picture leaves the tool, so this does not wait for long.
        let tick = notes.into_iter().flat_map(|n| n.iter()).find_map(|n| match n {
            Note::Frame { tick, .. } => Some(tick),
            _ => None,
        });
        if tick != Some(Some(expected)) {
            let reason = format!("the decoder gave time {tick:?} where the frame table has {expected} ticks");
            return Err(FilmError::NotDecoded { index, path: self.path.clone(), reason });
        }
        Ok(())
    }
    fn stop(&mut self) {
        self.stdout = None;
        self.running = None; // kills, which also ends the feeder's writing
        self.feeder.take().map(JoinHandle::join);
    }
}

impl Iterator for FrameStream {
    type Item = Result<(usize, Picture), FilmError>;
    fn next(&mut self) -> Option<Self::Item> {
        let mut picture = Picture { width: 0, height: 0, format: self.format, data: Vec::new() };
        self.read_into(&mut picture).map(|i| i.map(|i| (i, picture))).transpose()
    }
}
impl FusedIterator for FrameStream {}

impl Drop for FrameStream {
    fn drop(&mut self) {
        self.stop();
    }
}
