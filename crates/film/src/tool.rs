#![allow(clippy::disallowed_methods, reason = "the one file that starts the video tool")]

use crate::FilmError;
use crate::stamps::{self, Note};
use std::ffi::{OsStr, OsString};
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread::JoinHandle;

/// Where ffmpeg and ffprobe are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VideoTool {
    ffmpeg: PathBuf,
    ffprobe: PathBuf,
}

/// Containers that hold film. Playlists, subtitle and image formats are left out, so that a renamed text
/// file cannot make the tool open other files or draw its text.
const CONTAINERS: &str =
    "mov,matroska,webm,avi,mpegts,mpeg,mxf,asf,flv,dv,ogg,h264,hevc,m4v,mpegvideo,nut,gxf";

impl VideoTool {
    /// Both programs found by the system's search path.
    pub fn on_path() -> Self {
        Self { ffmpeg: "ffmpeg".into(), ffprobe: "ffprobe".into() }
    }
    /// Both programs in one folder.
    pub fn in_folder(folder: &Path) -> Self {
        let named = |n: &str| folder.join(format!("{n}{}", std::env::consts::EXE_SUFFIX));
        Self { ffmpeg: named("ffmpeg"), ffprobe: named("ffprobe") }
    }
    /// Runs both programs and makes sure that they can do the work here.
    ///
    /// # Errors
    /// `ToolMissing`, or `ToolUnfit` for a version before 5.1 or one without the H.264 encoder x264.
    pub fn check(&self) -> Result<String, FilmError> {
        let mut version = String::new();
        for tool in [&self.ffprobe, &self.ffmpeg] {
            let said = self.output(Command::new(tool).arg("-version"), tool, "asking its version")?;
            version = said.lines().next().unwrap_or_default().to_owned();
            if too_old(&version) {
                return Err(FilmError::ToolUnfit {
                    tool: tool.clone(),
                    version,
                    need: "5.1 or newer is needed",
                });
            }
        }
        let mut list = Command::new(&self.ffmpeg);
        list.args(["-hide_banner", "-encoders"]);
        if !self.output(&mut list, &self.ffmpeg, "listing its encoders")?.contains(" libx264 ") {
            return Err(FilmError::ToolUnfit {
                tool: self.ffmpeg.clone(),
                version,
                need: "it must be built with the encoder libx264",
            });
        }
        Ok(version)
    }
    fn output(&self, command: &mut Command, tool: &Path, doing: &str) -> Result<String, FilmError> {
        let out = command
            .stdin(Stdio::null())
            .output()
            .map_err(|source| FilmError::ToolMissing { tool: tool.into(), source })?;
        if !out.status.success() {
            let message = String::from_utf8_lossy(&out.stderr).trim().to_owned();
            return Err(FilmError::ToolFailed { doing: doing.into(), message });
        }
        Ok(String::from_utf8_lossy(&out.stdout).into_owned())
    }
    /// The header of a film as JSON, and the tool's warnings; `Err` holds what it said of a file it cannot read.
    pub(crate) fn header(&self, path: &Path) -> Result<Result<(String, String), String>, FilmError> {
        let mut command = Command::new(&self.ffprobe);
        command.args([
            "-hide_banner",
            "-v",
            "warning",
            "-print_format",
            "json",
            "-show_format",
            "-show_streams",
        ]);
        command.args(input(path));
        let out = command
            .stdin(Stdio::null())
            .output()
            .map_err(|source| FilmError::ToolMissing { tool: self.ffprobe.clone(), source })?;
        let said = String::from_utf8_lossy(&out.stderr).trim().to_owned();
        Ok(if out.status.success() {
            Ok((String::from_utf8_lossy(&out.stdout).into_owned(), said))
        } else {
            Err(said)
        })
    }
    /// Starts ffmpeg with its error stream drained; `feed` asks for a pipe into it.
    pub(crate) fn start<I, S>(&self, args: I, feed: bool) -> Result<Running, FilmError>
    where
        I: IntoIterator<Item = S>,
        S: AsRef<OsStr>,
    {
        let mut child = Command::new(&self.ffmpeg)
            .args(["-hide_banner", "-nostdin", "-y", "-loglevel", "error"])
            .args(args)
            .stdin(if feed { Stdio::piped() } else { Stdio::null() })
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .map_err(|source| FilmError::ToolMissing { tool: self.ffmpeg.clone(), source })?;
        let stderr = child.stderr.take().expect("piped above");
        let (send, notes) = channel();
        let drain = std::thread::spawn(move || {
            let mut log = Log::default();
            let mut lines = BufReader::new(stderr);
            let mut line = Vec::new();
            while matches!(lines.read_until(b'\n', &mut line), Ok(n) if n > 0) {
                let text = String::from_utf8_lossy(&line);
                match stamps::parse(&text) {
                    // The receiver may have left early; the tool must still not block on a full pipe.
                    Some(note) => drop(send.send(note)),
                    None => log.add(text.trim()),
                }
                line.clear();
            }
            log
        });
        Ok(Running { child, notes, drain: Some(drain) })
    }
}

fn too_old(version_line: &str) -> bool {
    // "ffmpeg version 5.1.9-0+deb12u1 ..." or "n7.1"; builds from a repository ("N-12345-g...") carry no number.
    let Some(word) = version_line.split_whitespace().nth(2) else { return false };
    let mut parts = word.trim_start_matches('n').split(['.', '-']).map(|p| p.parse::<u32>().ok());
    match (parts.next().flatten(), parts.next().flatten()) {
        (Some(major), Some(minor)) => (major, minor) < (5, 1),
        (Some(major), None) => major < 5,
        _ => false,
    }
}

/// Arguments that open a local film and nothing else, whatever its name looks like.
pub(crate) fn input(path: &Path) -> Vec<OsString> {
    open(path, CONTAINERS.into())
}

/// The same for a recording of sound.
pub(crate) fn sound_input(path: &Path) -> Vec<OsString> {
    open(path, format!("{CONTAINERS},wav,mp3,aac,flac"))
}

fn open(path: &Path, containers: String) -> Vec<OsString> {
    let options = ["-protocol_whitelist", "file,pipe", "-format_whitelist"].map(Into::into);
    let mut out: Vec<OsString> = options.into();
    out.extend([containers.into(), "-i".into(), file(path)]);
    out
}

/// A path as the tool's file URL, so that a leading dash or a colon in a name means nothing.
pub(crate) fn file(path: &Path) -> OsString {
    let mut url = OsString::from("file:");
    url.push(path);
    url
}

/// What the tool said on its error stream, kept short.
#[derive(Default)]
pub(crate) struct Log {
    /// Lines said in all.
    pub count: usize,
    lines: Vec<String>,
}

impl Log {
    /// First lines kept: the cause comes first, the rest are its consequences.
    const KEPT: usize = 12;
    fn add(&mut self, line: &str) {
        if !line.is_empty() {
            self.count += 1;
            if self.lines.len() < Self::KEPT {
                self.lines.push(line.to_owned());
            }
        }
    }
    pub fn first(&self) -> &str {
        self.lines.first().map_or("it gave no reason", String::as_str)
    }
    pub fn text(&self) -> String {
        if self.lines.is_empty() { self.first().to_owned() } else { self.lines.join("; ") }
    }
}

/// A running ffmpeg. Dropping it kills it.
pub(crate) struct Running {
    child: Child,
    pub notes: Receiver<Note>,
    drain: Option<JoinHandle<Log>>,
}

impl Running {
    pub fn take_stdin(&mut self) -> ChildStdin {
        self.child.stdin.take().expect("started with a pipe, taken once")
    }
    pub fn take_stdout(&mut self) -> ChildStdout {
        self.child.stdout.take().expect("started with a pipe, taken once")
    }
    pub fn kill(&mut self) {
        // It may have ended already, which is what was wanted.
        let _ = self.child.kill();
    }
    /// Waits for the end; whether it went well, and what was said.
    pub fn finish(mut self) -> (bool, Log) {
        let ok = self.child.wait().is_ok_and(|s| s.success());
        let log = self.drain.take().and_then(|d| d.join().ok()).unwrap_or_default();
        (ok, log)
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        if self.drain.is_some() {
            self.kill();
            let _ = self.child.wait(); // no zombie is left behind
            self.drain.take().map(JoinHandle::join);
        }
    }
}

/// Fills `buffer`; false when the stream ended first.
pub(crate) fn read_full(stream: &mut impl Read, buffer: &mut [u8]) -> std::io::Result<bool> {
    match stream.read_exact(buffer) {
        Ok(()) => Ok(true),
        Err(e) if e.kind() == std::io::ErrorKind::UnexpectedEof => Ok(false),
        Err(e) => Err(e),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn versions_are_compared_as_numbers() {
        assert!(too_old("ffmpeg version 4.4.2-0ubuntu1 Copyright"));
        assert!(too_old("ffmpeg version 5.0.1 Copyright"));
        assert!(!too_old("ffmpeg version 5.1.9-0+deb12u1 Copyright"));
        assert!(!too_old("ffmpeg version n7.1 Copyright"));
        assert!(!too_old("ffmpeg version N-110000-gabcdef Copyright"));
        assert!(!too_old("ffmpeg version 10.0 Copyright"));
    }

    #[test]
    fn a_missing_tool_is_named_with_the_way_to_get_it() {
        let e = VideoTool::in_folder(Path::new("no/such/folder")).check().unwrap_err().to_string();
        assert!(e.contains("ffprobe") && e.contains("no/such/folder"), "{e}");
        assert!(e.contains("apt install ffmpeg") && e.contains("brew") && e.contains("winget"), "{e}");
    }
}
