use crate::filters::{self, TAGS};
use crate::partial::Partial;
use crate::reader::{check_request, explain};
use crate::tool::{Log, Running, file, sound_input};
use crate::{FilmError, PixelFormat, VideoTool};
use std::ffi::OsString;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ChildStdin;
use units::Rate;

/// How frames are written to an MP4: H.264, 4:2:0, BT.709.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EncodeSettings {
    /// Pixels across, even.
    pub width: u32,
    /// Pixels down, even.
    pub height: u32,
    /// Layout of the frames given.
    pub format: PixelFormat,
    /// Frames per second, constant.
    pub rate: Rate,
    /// Constant rate factor of the encoder, 0 (lossless) to 51; 18 is hard to tell from the source.
    pub quality: u8,
    /// Trade of encoding time for size.
    pub fast: bool,
}

/// A recording to be heard with a film.
#[derive(Clone, Debug, PartialEq)]
pub struct SpokenNote {
    /// The recording, in any common sound or film container.
    pub path: PathBuf,
    /// When it begins, s after the film does.
    pub at_seconds: f64,
}

/// Writes frames to an MP4 as they come. The file appears under its name only when finished.
pub struct Encoder {
    target: PathBuf,
    partial: Option<Partial>,
    running: Option<Running>,
    pipe: Option<ChildStdin>,
    frame_bytes: usize,
    frames: usize,
}

impl Encoder {
    /// Begins a silent file.
    ///
    /// # Errors
    /// `Request` for odd sides or a quality over 51, `ToolMissing`, `Io`.
    pub fn create(tool: &VideoTool, path: &Path, settings: &EncodeSettings) -> Result<Self, FilmError> {
        Self::create_with_notes(tool, path, settings, &[], 0.0)
    }
    /// Begins a file with spoken notes laid under a picture that will be `seconds` long.
    ///
    /// # Errors
    /// As [`Encoder::create`]; `Missing` for a note that is not there, `Request` for one that begins past the end.
    pub fn create_with_notes(
        tool: &VideoTool,
        path: &Path,
        settings: &EncodeSettings,
        notes: &[SpokenNote],
        seconds: f64,
    ) -> Result<Self, FilmError> {
        let EncodeSettings { width, height, format, rate, quality, fast } = *settings;
        check_request((width, height), PixelFormat::Yuv420p)?;
        if quality > 51 {
            let (what, limit) = ("quality", "it must be from 0 to 51");
            return Err(FilmError::Request { what, value: quality.to_string(), limit });
        }
        let partial = Partial::new(path)?;
        partial.create()?; // a folder that cannot be written to is told at once, by its own reason
        let text = |s: &str| OsString::from(s);
        let mut args: Vec<OsString> =
            ["-f", "rawvideo", "-pixel_format", format.name(), "-video_size"].map(text).into();
        args.extend([format!("{width}x{height}").into(), text("-framerate")]);
        args.push(format!("{}/{}", rate.numerator(), rate.denominator()).into());
        args.extend(["-i", "pipe:0"].map(text));
        args.extend(sound(notes, seconds)?);
        args.push(text("-vf"));
        args.push(filters::convert("bt709", (width, height), PixelFormat::Yuv420p).into());
        args.extend(
            ["-c:v", "libx264", "-preset", if fast { "veryfast" } else { "medium" }, "-crf"].map(text),
        );
        args.push(quality.to_string().into());
        args.extend(TAGS.map(text));
        args.extend(["-movflags", "+faststart", "-f", "mp4"].map(text));
        args.push(file(partial.path()));
        let mut running = tool.start(args, true)?;
        let pipe = Some(running.take_stdin());
        Ok(Self {
            target: path.into(),
            partial: Some(partial),
            running: Some(running),
            pipe,
            frame_bytes: format.bytes(width, height),
            frames: 0,
        })
    }
    /// Adds a frame of `format.bytes(width, height)` bytes; waits while the encoder is behind.
    ///
    /// # Errors
    /// `Request` for a wrong number of bytes, `DiskFull`, `ToolFailed`.
    pub fn write(&mut self, data: &[u8]) -> Result<(), FilmError> {
        if data.len() != self.frame_bytes {
            let (what, limit) = ("frame", "it must be the size the file was begun with");
            return Err(FilmError::Request { what, value: format!("{} bytes", data.len()), limit });
        }
        let sent = self.pipe.as_mut().is_some_and(|p| p.write_all(data).is_ok());
        if !sent {
            // The pipe breaks only when the tool has stopped; its own words say why.
            return Err(self.end().err().unwrap_or_else(|| explain(&self.target, "writing", String::new())));
        }
        self.frames += 1;
        Ok(())
    }
    /// Frames written so far.
    pub fn frames(&self) -> usize {
        self.frames
    }
    /// Completes the file and gives it its name.
    ///
    /// # Errors
    /// `DiskFull`, `ToolFailed`, `Io`; `Request` when no frame was written.
    pub fn finish(mut self) -> Result<(), FilmError> {
        if self.frames == 0 {
            let (what, limit) = ("length", "a film needs at least one frame");
            return Err(FilmError::Request { what, value: "0 frames".into(), limit });
        }
        self.end()?;
        self.partial.take().map_or(Ok(()), Partial::keep)
    }
    fn end(&mut self) -> Result<(), FilmError> {
        self.pipe = None;
        match self.running.take().map(Running::finish) {
            Some((true, log)) if !is_full(&log) => Ok(()),
            Some((_, log)) if is_full(&log) => {
                let written_bytes = self
                    .partial
                    .as_ref()
                    .and_then(|p| std::fs::metadata(p.path()).ok())
                    .map_or(0, |m| m.len());
                Err(FilmError::DiskFull { path: self.target.clone(), written_bytes })
            }
            Some((_, log)) => Err(FilmError::ToolFailed {
                doing: format!("writing {}", self.target.display()),
                message: log.text(),
            }),
            None => Ok(()),
        }
    }
}

impl Drop for Encoder {
    fn drop(&mut self) {
        // The tool must let go of the file before the file can be removed.
        self.pipe = None;
        self.running = None;
        self.partial = None;
    }
}

/// Inputs and mixing of spoken notes; nothing for none.
fn sound(notes: &[SpokenNote], seconds: f64) -> Result<Vec<OsString>, FilmError> {
    let mut args = Vec::new();
    if notes.is_empty() {
        return Ok(args);
    }
    let (mut graph, mut mixed) = (String::new(), String::new());
    for (k, note) in notes.iter().enumerate() {
        if !note.path.is_file() {
            return Err(FilmError::Missing { path: note.path.clone() });
        }
        if !(0.0..seconds).contains(&note.at_seconds) {
            let (what, limit) = ("start of a spoken note", "it must lie within the film");
            return Err(FilmError::Request { what, value: format!("{} s", note.at_seconds), limit });
        }
        args.extend(sound_input(&note.path));
        let ms = (note.at_seconds * 1000.0).round();
        graph += &format!("[{}:a:0]asetpts=PTS-STARTPTS,adelay={ms}:all=1[n{k}];", k + 1);
        mixed += &format!("[n{k}]");
    }
    // Padded and trimmed to the picture, so that neither outlasts the other.
    graph += &format!("{mixed}amix=inputs={}:normalize=0,apad,atrim=end={seconds:.6}[sound]", notes.len());
    args.extend(["-filter_complex".into(), graph.into()]);
    args.extend(["-map", "0:v", "-map", "[sound]", "-c:a", "aac", "-b:a", "128k"].map(Into::into));
    Ok(args)
}

/// The C library's words for a full disk, a quota or a size limit, on the systems that have them.
fn is_full(log: &Log) -> bool {
    let said = log.text();
    ["No space left", "File too large", "quota exceeded", "not enough space"].iter().any(|w| said.contains(w))
}
