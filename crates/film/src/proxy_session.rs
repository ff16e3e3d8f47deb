use crate::filters;
use crate::reader::{check_range, check_request, only};
use crate::tool::{Running, read_full};
use crate::{FilmError, Picture, PixelFormat, ProxyReader};
use std::ffi::OsString;
use std::io::Write;
use std::ops::Range;
use std::process::{ChildStdin, ChildStdout};
use std::sync::mpsc::{Receiver, sync_channel};
use std::time::Duration;

/// A proxy with its decoder kept running: single frames in any order without starting a process for each.
///
/// Every group of pictures is closed and begins with its parameters, so the decoder takes any one after any other. The
/// process lives until the session is dropped.
pub struct ProxySession {
    proxy: ProxyReader,
    format: PixelFormat,
    size: (u32, u32),
    state: State,
}

enum State {
    Idle,
    Running(Decoder),
    /// This tool holds frames back; each frame gets a process of its own.
    Unfit,
}

struct Decoder {
    // Fields drop in order: the pipe closes before the process is killed.
    pipe: ChildStdin,
    pictures: Receiver<Vec<u8>>,
    sent: u64,
    _running: Running,
}

/// A decoder that has said nothing for this long is stuck.
const PATIENCE: Duration = Duration::from_secs(5);

impl ProxySession {
    pub(crate) fn new(
        proxy: &ProxyReader,
        format: PixelFormat,
        size: Option<(u32, u32)>,
    ) -> Result<Self, FilmError> {
        let size = size.unwrap_or_else(|| proxy.size());
        check_request(size, format)?;
        Ok(Self { proxy: proxy.clone(), format, size, state: State::Idle })
    }
    /// Whether the decoder is kept running; when the tool will not have it, frames come all the same, only slower.
    pub fn is_kept_running(&self) -> bool {
        matches!(self.state, State::Running(_))
    }
    /// One frame; at most 15 are decoded for it.
    ///
    /// # Errors
    /// `FrameRange`, `Missing`, `NotDecoded`, `ToolMissing`.
    pub fn frame(&mut self, index: usize) -> Result<Picture, FilmError> {
        check_range(&(index..index.saturating_add(1)), self.proxy.frames_total())?;
        let units = self.units(self.proxy.index().key_before(index)..index + 1)?;
        // Taken out, so that a decoder that did not answer in full is never asked again: it may do so late, and would
        // from then on be a frame behind.
        let mut decoder = match std::mem::replace(&mut self.state, State::Unfit) {
            State::Running(decoder) => Some(decoder),
            State::Idle => Some(self.start()?),
            State::Unfit => None,
        };
        if let Some(data) = decoder.as_mut().and_then(|d| d.last_of(&units)) {
            self.state = decoder.map_or(State::Unfit, State::Running);
            return Ok(Picture { width: self.size.0, height: self.size.1, format: self.format, data });
        }
        drop(decoder);
        only(self.proxy.frames(index..index + 1, self.format, Some(self.size))?)
    }
    /// The stored bytes of some frames, one by one.
    fn units(&self, frames: Range<usize>) -> Result<Vec<Vec<u8>>, FilmError> {
        let bytes = self.proxy.bytes(frames.clone())?;
        let mut rest = bytes.as_slice();
        Ok(frames
            .map(|i| {
                let span = self.proxy.index().bytes(i..i + 1);
                let (unit, after) = rest.split_at((span.end - span.start) as usize);
                rest = after;
                unit.to_vec()
            })
            .collect())
    }
    fn start(&self) -> Result<Decoder, FilmError> {
        // One thread at either end: coding several frames at once would hold each back until others have come. The
        // container gives each frame's length; in a bare byte stream a frame ends only where the next begins.
        let mut args: Vec<OsString> =
            ["-probesize", "32", "-threads", "1", "-flags", "low_delay", "-f", "ivf", "-i", "pipe:0", "-vf"]
                .map(Into::into)
                .into();
        args.push(filters::convert("bt709", self.size, self.format).into());
        args.extend(["-fps_mode", "passthrough", "-threads", "1", "-flush_packets", "1"].map(Into::into));
        args.extend(["-f", "rawvideo", "pipe:1"].map(Into::into));
        let mut running = self.proxy.tool().start(args, true)?;
        let mut pipe = running.take_stdin();
        let (width, height) = self.proxy.size();
        // A decoder that is gone already shows itself by its silence.
        let _ = pipe.write_all(&ivf_header(width, height));
        let pictures = pump(running.take_stdout(), self.format.bytes(self.size.0, self.size.1));
        Ok(Decoder { pipe, pictures, sent: 0, _running: running })
    }
}

/// The file header of IVF, the plainest container: little-endian, 32 bytes. Only the coding's name matters here; times
/// are a mere count.
fn ivf_header(width: u32, height: u32) -> Vec<u8> {
    let mut header = Vec::with_capacity(32);
    header.extend(b"DKIF\0\0\x20\0H264");
    header.extend([width as u16, height as u16].iter().flat_map(|v| v.to_le_bytes()));
    header.extend([30u32, 1, 0, 0].iter().flat_map(|v| v.to_le_bytes()));
    header
}

impl Decoder {
    /// The last of the frames in `units`; `None` when the decoder failed or fell silent.
    fn last_of(&mut self, units: &[Vec<u8>]) -> Option<Vec<u8>> {
        for unit in units {
            let length = u32::try_from(unit.len()).ok()?.to_le_bytes();
            let mut packet = Vec::with_capacity(12 + unit.len());
            packet.extend(length);
            packet.extend(self.sent.to_le_bytes());
            packet.extend(unit);
            self.sent += 1;
            self.pipe.write_all(&packet).ok()?;
        }
        self.pipe.flush().ok()?;
        let mut last = None;
        for _ in units {
            last = Some(self.pictures.recv_timeout(PATIENCE).ok()?);
        }
        last
    }
}

/// Reads pictures on a thread of its own, so that silence can be noticed. It holds one group of pictures, which is all
/// that is ever asked for at once.
fn pump(mut stream: ChildStdout, bytes: usize) -> Receiver<Vec<u8>> {
    let (send, pictures) = sync_channel(crate::KEYFRAME_INTERVAL);
    std::thread::spawn(move || {
        loop {
            let mut picture = vec![0; bytes];
            if !matches!(read_full(&mut stream, &mut picture), Ok(true)) || send.send(picture).is_err() {
                break;
            }
        }
    });
    pictures
}
