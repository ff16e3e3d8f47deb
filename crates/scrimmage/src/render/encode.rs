//! Frames to a video file through the system's `ffmpeg`, the only place in this crate that runs a program.

use super::lens::Frame;
use anyhow::{Context, Result, bail};
use serde::{Deserialize, Serialize};
use std::io::Write;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use units::Rate;

/// Which coding; the container follows the file's ending (mp4, mov, avi, mkv).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Codec {
    /// H.264 (ITU-T H.264), by libx264.
    H264,
    /// HEVC (ITU-T H.265), by libx265.
    Hevc,
    /// MPEG-4 part 2 (ISO/IEC 14496-2).
    Mpeg4,
}

/// How to encode.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Encode {
    /// Coding.
    pub codec: Codec,
    /// Constant rate factor of H.264 and HEVC: 18 fine, 20 usual, 28 coarse.
    pub quality: u8,
    /// Encoder threads; `None` lets the encoder choose.
    pub threads: Option<u8>,
    /// A soundtrack: a quiet tone.
    pub sound: bool,
    /// Drop some frames and keep their gaps, as variable-rate recorders do: see [`Encode::keeps`].
    pub variable_rate: bool,
}

impl Default for Encode {
    fn default() -> Self {
        Self { codec: Codec::H264, quality: 20, threads: None, sound: false, variable_rate: false }
    }
}

impl Encode {
    /// Whether frame `index` of the steady rate is in the film: all, or all but some at a variable rate.
    pub fn keeps(&self, index: usize) -> bool {
        !self.variable_rate || (index % 7 != 3 && index % 11 != 5)
    }
}

/// An encoder that is being fed.
pub(super) struct Encoder {
    child: Child,
    size: usize,
}

impl Encoder {
    /// Starts one for frames of this size.
    #[allow(
        clippy::disallowed_methods,
        reason = "the film generator may not use the `film` crate and encodes by itself"
    )]
    pub(super) fn start(out: &Path, width: usize, height: usize, rate: Rate, e: &Encode) -> Result<Self> {
        let mut c = Command::new("ffmpeg");
        c.args(["-hide_banner", "-loglevel", "error", "-y"]);
        c.args([
            "-f",
            "rawvideo",
            "-pix_fmt",
            "yuv420p",
            "-color_range",
            "tv",
            "-s",
            &format!("{width}x{height}"),
        ]);
        c.args(["-r", &format!("{}/{}", rate.numerator(), rate.denominator()), "-i", "pipe:0"]);
        if e.sound {
            c.args([
                "-f",
                "lavfi",
                "-i",
                "sine=frequency=220:sample_rate=48000,volume=0.1",
                "-shortest",
                "-c:a",
                if is_avi(out) { "mp3" } else { "aac" },
            ]);
        }
        let quality = e.quality.to_string();
        match e.codec {
            // Coarser choices and a shorter look ahead than the preset's: on this film 40% less time at no more bytes.
            Codec::H264 => {
                let settings = "subme=1:b-adapt=0:rc-lookahead=5";
                c.args(["-c:v", "libx264", "-preset", "veryfast", "-crf", &quality, "-x264-params", settings])
            }
            Codec::Hevc => c.args([
                "-c:v",
                "libx265",
                "-preset",
                "ultrafast",
                "-crf",
                &quality,
                "-tag:v",
                "hvc1",
                "-x265-params",
                "log-level=error",
            ]),
            Codec::Mpeg4 => c.args(["-c:v", "mpeg4", "-q:v", "4"]),
        };
        if let Some(n) = e.threads {
            c.args(["-threads", &n.to_string()]);
        }
        if e.variable_rate {
            c.args(["-vf", "select='not(eq(mod(n,7),3))*not(eq(mod(n,11),5))'", "-fps_mode", "passthrough"]);
        }
        c.args([
            "-pix_fmt",
            "yuv420p",
            "-color_primaries",
            "bt709",
            "-color_trc",
            "bt709",
            "-colorspace",
            "bt709",
            "-color_range",
            "tv",
        ]);
        c.arg(out).stdin(Stdio::piped()).stdout(Stdio::null()).stderr(Stdio::piped());
        let child = c.spawn().context("ffmpeg does not start: install it and see that it is on the path")?;
        Ok(Self { child, size: width * height * 3 / 2 })
    }
    /// Feeds a frame.
    pub(super) fn put(&mut self, frame: &Frame) -> Result<()> {
        if frame.planes.len() != self.size {
            bail!("a frame of {} bytes where the film's have {}", frame.planes.len(), self.size);
        }
        let pipe =
            self.child.stdin.as_mut().context("the encoder's input is open until the film is finished")?;
        pipe.write_all(&frame.planes).context("the encoder stopped taking frames")
    }
    /// Ends the film.
    pub(super) fn finish(mut self) -> Result<()> {
        drop(self.child.stdin.take());
        let out = self.child.wait_with_output()?;
        if !out.status.success() {
            bail!("ffmpeg failed ({}): {}", out.status, String::from_utf8_lossy(&out.stderr).trim());
        }
        Ok(())
    }
}

fn is_avi(out: &Path) -> bool {
    out.extension().is_some_and(|e| e.eq_ignore_ascii_case("avi"))
}
