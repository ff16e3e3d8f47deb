use crate::annexb::Scanner;
use crate::filters::{self, SCORE_AND_STAMP, TAGS};
use crate::partial::Partial;
use crate::stamps::Note;
use crate::tool::{Log, Running, input};
use crate::{
    FilmError, Finding, FrameClock, Monitor, PixelFormat, Probe, ProxyIndex, RATE_LIMITS, VideoTool,
};
use serde::{Deserialize, Serialize};
use std::ffi::OsString;
use std::io::{Read, Write};
use std::path::Path;
use std::process::ChildStdout;
use std::sync::mpsc::{Receiver, RecvTimeoutError, sync_channel};
use std::time::Duration;
use units::Rate;

/// Widest proxy, pixels.
pub const PROXY_MAX_WIDTH: u32 = 1280;
/// Tallest proxy, pixels.
pub const PROXY_MAX_HEIGHT: u32 = 720;
/// Frames from one keyframe of a proxy to the next: at most this many are decoded to show any one.
pub const KEYFRAME_INTERVAL: usize = 15;

/// What one decoding of a film yields, besides the proxy itself.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ingested {
    /// When each frame is shown.
    pub clock: FrameClock,
    /// Frames per second: the header's where the frames bear it out, else from their median interval.
    pub rate: Rate,
    /// Scene-change score of each frame against the one before, 0 to 100; see [`crate::cuts`].
    pub scores: Vec<f32>,
    /// Where each frame lies in the proxy.
    pub proxy: ProxyIndex,
    /// What is odd about the film.
    pub findings: Vec<Finding>,
}

/// Width and height of a film's proxy: square pixels, even sides, within 1280 x 720, never enlarged.
///
/// Rounding to even sides may stretch the picture by under a pixel; map between proxy and original by the
/// ratio of widths across and of heights down.
pub fn proxy_size(probe: &Probe) -> (u32, u32) {
    let (w, h) = (f64::from(probe.display_width), f64::from(probe.display_height));
    let shrink = (f64::from(PROXY_MAX_WIDTH) / w).min(f64::from(PROXY_MAX_HEIGHT) / h).min(1.0);
    let even = |side: f64| ((side * shrink / 2.0 + 1e-9).floor() as u32 * 2).max(2);
    (even(w), even(h))
}

/// Decodes `original` once and writes its proxy to `proxy_path`. Progress counts frames.
///
/// The proxy appears under its name only when complete, so a run that is cancelled or killed leaves nothing
/// half-made and the next one simply does the work again. A rate outside 1 to 240 in the header alone is a
/// finding; in the frames' own times it is refused.
///
/// # Errors
/// `Missing`, `Changed`, `NoFrames`, `Rate`, `PictureChanges`, `DiskFull`, `Io`, `ToolMissing`, `ToolFailed`,
/// `ProxyMismatch`, `Cancelled`.
pub fn ingest(
    tool: &VideoTool,
    original: &Path,
    probe: &Probe,
    proxy_path: &Path,
    monitor: &mut Monitor<'_>,
) -> Result<Ingested, FilmError> {
    crate::reader::check_unchanged(original, probe.size_bytes)?;
    let partial = Partial::new(proxy_path)?;
    let mut file = partial.create()?;
    let size = proxy_size(probe);
    let running = tool.start(arguments(original, probe, size), false)?;
    let mut pass = Pass { original, proxy_path, total: total(probe), times: Vec::new(), scores: Vec::new() };
    let (scanner, log) = pass.run(running, &mut file, monitor)?;
    drop(file);
    if pass.times.is_empty() {
        return Err(FilmError::NoFrames { path: original.into() });
    }
    let mismatch = FilmError::ProxyMismatch { proxy_frames: scanner.frames(), frames: pass.times.len() };
    let Some(proxy) = scanner.finish(size.0, size.1) else { return Err(mismatch) };
    let regular = proxy.keys.iter().enumerate().all(|(n, &k)| k as usize == n * KEYFRAME_INTERVAL);
    if proxy.frames() != pass.times.len()
        || !regular
        || proxy.keys.len() != proxy.frames().div_ceil(KEYFRAME_INTERVAL)
    {
        return Err(mismatch);
    }
    let (clock, mut findings) =
        FrameClock::build(&pass.times, probe.ticks, probe.nominal_rate).map_err(|e| {
            FilmError::ToolFailed { doing: "reading the frames' times".into(), message: e.to_string() }
        })?;
    let rate = true_rate(original, probe, &clock)?;
    if log.count > 0 {
        findings.push(Finding::Damage { count: log.count, first: log.first().to_owned() });
    }
    findings.extend(short(probe, &clock));
    findings.splice(0..0, probe.findings.iter().cloned());
    partial.keep()?;
    monitor.tell_now(clock.table.len() as u64, Some(clock.table.len() as u64));
    Ok(Ingested { clock, rate, scores: pass.scores, proxy, findings })
}

fn arguments(original: &Path, probe: &Probe, size: (u32, u32)) -> Vec<OsString> {
    // The times are read before the last two filters number the frames evenly: the encoder must see neither
    // gaps nor repeats, or it would drop frames or shift keyframes.
    let chain = format!(
        "{},{SCORE_AND_STAMP},settb=1/30,setpts=N",
        filters::convert(filters::matrix(probe), size, PixelFormat::Yuv420p)
    );
    // Plain variable-length codes and no weighting: half the decoding time for an eighth more bytes, which is the
    // right trade for stepping about.
    let x264 = "aud=1:repeat-headers=1:scenecut=0:open-gop=0:force-cfr=1:cabac=0:weightp=0";
    let mut out: Vec<OsString> = vec!["-copyts".into()];
    out.extend(input(original));
    out.extend(["-map".into(), format!("0:{}", probe.track).into(), "-vf".into(), chain.into()]);
    let interval = KEYFRAME_INTERVAL.to_string();
    out.extend(
        [
            "-fps_mode",
            "passthrough",
            "-enc_time_base",
            "1:30",
            "-c:v",
            "libx264",
            "-profile:v",
            "high",
            "-preset",
        ]
        .map(Into::into),
    );
    out.extend(
        ["veryfast", "-crf", "21", "-bf", "0", "-g", &interval, "-keyint_min", &interval].map(Into::into),
    );
    out.extend(["-sc_threshold", "0", "-x264-params", x264].map(Into::into));
    out.extend(TAGS.map(Into::into));
    out.extend(["-flush_packets", "1", "-f", "h264", "pipe:1"].map(Into::into));
    out
}

fn total(probe: &Probe) -> Option<u64> {
    probe
        .declared_frames
        .or_else(|| Some((probe.duration_seconds? * probe.nominal_rate?.per_second()).round() as u64))
}

/// One decoding under way.
struct Pass<'a> {
    original: &'a Path,
    proxy_path: &'a Path,
    total: Option<u64>,
    times: Vec<Option<i64>>,
    scores: Vec<f32>,
}

impl Pass<'_> {
    fn run(
        &mut self,
        mut running: Running,
        file: &mut impl Write,
        monitor: &mut Monitor<'_>,
    ) -> Result<(Scanner, Log), FilmError> {
        let chunks = pump(running.take_stdout());
        let mut scanner = Scanner::default();
        monitor.restart();
        // An error return drops `running`, which kills the tool and so ends the pump.
        loop {
            monitor.check()?;
            match chunks.recv_timeout(Duration::from_millis(50)) {
                Ok(chunk) => {
                    file.write_all(&chunk)
                        .map_err(|e| FilmError::write(self.proxy_path, scanner.position(), e))?;
                    scanner.feed(&chunk);
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => break,
            }
            while let Ok(note) = running.notes.try_recv() {
                self.note(note)?;
            }
            monitor.tell(self.times.len() as u64, self.total);
        }
        for note in running.notes.iter() {
            self.note(note)?;
        }
        let (ok, log) = running.finish();
        if !ok && (!self.times.is_empty() || !self.original.exists()) {
            return Err(crate::reader::explain(self.original, "decoding", log.text()));
        }
        Ok((scanner, log))
    }
    fn note(&mut self, note: Note) -> Result<(), FilmError> {
        match note {
            Note::Frame { number, tick } if number == self.times.len() as u64 => {
                self.times.push(tick);
                self.scores.push(0.0);
            }
            // The filters start over only when the picture's size or layout changes.
            Note::Frame { number: 0, .. } => {
                return Err(FilmError::PictureChanges {
                    path: self.original.into(),
                    frame: self.times.len(),
                });
            }
            Note::Frame { number, .. } => {
                return Err(FilmError::ToolFailed {
                    doing: "decoding".into(),
                    message: format!("frame {number} was named after {} frames", self.times.len()),
                });
            }
            Note::Score(score) => {
                if let Some(last) = self.scores.last_mut() {
                    *last = score;
                }
            }
            Note::Quiet => {}
        }
        Ok(())
    }
}

/// Reads the tool's output on a thread of its own, a bounded way ahead, so that a stop request is seen even
/// while the tool says nothing.
fn pump(mut stream: ChildStdout) -> Receiver<Vec<u8>> {
    let (send, chunks) = sync_channel(16);
    std::thread::spawn(move || {
        let mut buffer = vec![0; 1 << 16];
        while let Ok(n) = stream.read(&mut buffer) {
            if n == 0 || send.send(buffer[..n].to_vec()).is_err() {
                break;
            }
        }
    });
    chunks
}

fn true_rate(path: &Path, probe: &Probe, clock: &FrameClock) -> Result<Rate, FilmError> {
    let interval = clock.table.median_interval_seconds();
    let per_second = 1.0 / interval;
    if clock.table.len() > 1 && !(RATE_LIMITS.0 * 0.999..=RATE_LIMITS.1 * 1.001).contains(&per_second) {
        return Err(FilmError::Rate { path: path.into(), per_second, limits: RATE_LIMITS });
    }
    let measured = || {
        // The median interval is a whole number of ticks.
        let r = clock.table.rate();
        let gap = (interval * r.per_second()).round() as u32;
        r.denominator().checked_mul(gap).and_then(|d| Rate::new(r.numerator(), d).ok()).unwrap_or(r)
    };
    Ok(match probe.nominal_rate {
        // Containers of millisecond ticks put the median up to half a tick off the true interval.
        Some(r) if (r.per_second() * interval - 1.0).abs() < 0.04 => r,
        Some(r) if clock.table.len() < 2 => r,
        _ => measured(),
    })
}

fn short(probe: &Probe, clock: &FrameClock) -> Option<Finding> {
    let declared_seconds = probe.duration_seconds?;
    let t = &clock.table;
    let decoded_seconds = t.seconds(t.len() - 1) + t.median_interval_seconds();
    // Half a second: more than any container's rounding or a last frame's unknown length.
    (declared_seconds - decoded_seconds > 0.5).then_some(Finding::Short { declared_seconds, decoded_seconds })
}
