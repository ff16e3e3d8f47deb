use crate::error::READING;
use crate::probe_parse::{Header, Track};
use crate::{FilmError, Finding, VideoTool};
use serde::{Deserialize, Serialize};
use std::fs::File;
use std::io::Read;
use std::path::Path;
use units::Rate;

/// Smallest and largest side of a picture, pixels: the tool's coders work in 16-pixel blocks, and 8192 is
/// the widest picture that H.264 and HEVC levels in use allow.
pub const SIDE_LIMITS: (u32, u32) = (16, 8192);
/// Longest side over shortest, of the picture as shown.
pub const ASPECT_LIMIT: f64 = 8.0;
/// Frames per second that a film may have.
pub const RATE_LIMITS: (f64, f64) = (1.0, 240.0);

/// What a film's header says. The frames' own times come from [`crate::ingest`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Probe {
    /// The tool's name of the container, such as `mov,mp4,m4a,3gp,3g2,mj2`.
    pub container: String,
    /// The tool's name of the picture's coding, such as `h264`.
    pub codec: String,
    /// Number of the picture's track in the container.
    pub track: u32,
    /// Pixels across as coded.
    pub coded_width: u32,
    /// Pixels down as coded.
    pub coded_height: u32,
    /// Square pixels across as shown: upright and unsqueezed.
    pub display_width: u32,
    /// Square pixels down as shown.
    pub display_height: u32,
    /// Turn that the player makes before showing, degrees counter-clockwise: 0, 90, 180 or 270.
    pub rotation_degrees: u32,
    /// Ticks per second of the picture track's times.
    pub ticks: Rate,
    /// Frames per second by the header; `None` when it is absent or outside [`RATE_LIMITS`].
    pub nominal_rate: Option<Rate>,
    /// Whether there is sound.
    pub has_audio: bool,
    /// Length of the picture by the header, s.
    pub duration_seconds: Option<f64>,
    /// Frames by the header.
    pub declared_frames: Option<u64>,
    /// When the container's earliest track begins, s.
    pub start_seconds: f64,
    /// Whether frames are stored out of the order they are shown in.
    pub reordered: bool,
    /// The tool's name of the colour matrix, if the film says.
    pub colour_matrix: Option<String>,
    /// Size of the file, to notice a changed one.
    pub size_bytes: u64,
    /// What is odd about the header.
    pub findings: Vec<Finding>,
}

/// Reads a film's header.
///
/// # Errors
/// `Missing`, `NotAFile`, `Io`, `Empty`, `NotAFilm`, `Truncated`, `NoPicture`, `NoFrames`, `PictureSize`,
/// `PictureAspect`, `ToolMissing`.
pub fn probe(tool: &VideoTool, path: &Path) -> Result<Probe, FilmError> {
    let (size_bytes, head) = look(path)?;
    let (json, warnings) = tool.header(path)?.map_err(|said| unreadable(path, size_bytes, &head, &said))?;
    let header: Header = serde_json::from_str(&json)
        .map_err(|e| FilmError::ToolFailed { doing: "reading a header".into(), message: e.to_string() })?;
    let has_audio = header.streams.iter().any(Track::is_sound);
    let Some(track) = header.streams.iter().find(|t| t.is_picture()) else {
        return Err(if has_audio {
            FilmError::NoPicture { path: path.into() }
        } else {
            FilmError::NoFrames { path: path.into() }
        });
    };
    let duration_seconds = track.duration().or_else(|| header.format.duration());
    if track.width == 0 || track.declared_frames() == Some(0) || duration_seconds.is_some_and(|d| d <= 0.0) {
        return Err(FilmError::NoFrames { path: path.into() });
    }
    let (display_width, display_height) = check_size(path, track)?;
    let (nominal_rate, mut findings) = nominal_rate(track, &warnings);
    if track.is_interlaced() {
        findings.push(Finding::Interlaced);
    }
    Ok(Probe {
        container: header.format.format_name.clone(),
        codec: track.codec_name.clone(),
        track: track.index,
        coded_width: track.width,
        coded_height: track.height,
        display_width,
        display_height,
        rotation_degrees: track.rotation(),
        ticks: track.ticks().ok_or_else(|| FilmError::NotAFilm {
            path: path.into(),
            reason: format!("its time base is {}", track.time_base),
        })?,
        nominal_rate,
        has_audio,
        duration_seconds,
        declared_frames: track.declared_frames(),
        start_seconds: header.format.start(),
        reordered: track.has_b_frames > 0,
        colour_matrix: track.color_space.clone().filter(|c| c != "unknown" && c != "unspecified"),
        size_bytes,
        findings,
    })
}

/// Size and first bytes, so that the system's own reasons come before the tool's.
fn look(path: &Path) -> Result<(u64, Vec<u8>), FilmError> {
    let fail = |e| FilmError::io(READING, path, e);
    let about = std::fs::metadata(path).map_err(fail)?;
    if !about.is_file() {
        return Err(FilmError::NotAFile { path: path.into() });
    }
    if about.len() == 0 {
        return Err(FilmError::Empty { path: path.into() });
    }
    let mut head = Vec::new();
    File::open(path).map_err(fail)?.take(4096).read_to_end(&mut head).map_err(fail)?;
    Ok((about.len(), head))
}

fn unreadable(path: &Path, size_bytes: u64, head: &[u8], said: &str) -> FilmError {
    let reason = if is_text(head) {
        "it is a text file".to_owned()
    } else if head.get(4..8) == Some(b"ftyp") && said.contains("moov atom not found") {
        return FilmError::Truncated { path: path.into(), size_bytes };
    } else if said.contains("whitelist") {
        "its container is not one that holds film".to_owned()
    } else if said.ends_with("End of file") {
        "it ends before its first frame".to_owned()
    } else {
        // The tool's last line repeats the name it was given; only its reason is wanted.
        said.lines().last().and_then(|l| l.rsplit(": ").next()).unwrap_or("it cannot be read").to_owned()
    };
    FilmError::NotAFilm { path: path.into(), reason }
}

fn is_text(head: &[u8]) -> bool {
    let valid = match std::str::from_utf8(head) {
        Ok(s) => s,
        // The sample may end within a letter.
        Err(e) if e.error_len().is_none() => {
            std::str::from_utf8(&head[..e.valid_up_to()]).unwrap_or_default()
        }
        Err(_) => return false,
    };
    !valid.is_empty() && !valid.chars().any(|c| c.is_control() && !c.is_whitespace())
}

fn check_size(path: &Path, track: &Track) -> Result<(u32, u32), FilmError> {
    let (width, height) = (track.width, track.height);
    let allowed = SIDE_LIMITS.0..=SIDE_LIMITS.1;
    if !allowed.contains(&width) || !allowed.contains(&height) {
        return Err(FilmError::PictureSize { path: path.into(), width, height, limits: SIDE_LIMITS });
    }
    let (dw, dh) = track.display_size();
    let ratio = f64::from(dw.max(dh)) / f64::from(dw.min(dh).max(1));
    if ratio > ASPECT_LIMIT {
        return Err(FilmError::PictureAspect {
            path: path.into(),
            width: dw,
            height: dh,
            ratio,
            limit: ASPECT_LIMIT,
        });
    }
    Ok((dw, dh))
}

fn nominal_rate(track: &Track, warnings: &str) -> (Option<Rate>, Vec<Finding>) {
    let sane = |r: &Rate| (RATE_LIMITS.0..=RATE_LIMITS.1).contains(&r.per_second());
    let header = |header: &str| vec![Finding::HeaderRate { header: header.to_owned() }];
    // The tool replaces an impossible rate in an AVI header by a guess and says so only in a warning.
    if let Some(at) = warnings.find("scale/rate is ") {
        let said = warnings[at + "scale/rate is ".len()..].split_whitespace().next().unwrap_or("0");
        let (scale, rate) = said.split_once('/').unwrap_or(("0", said));
        return (None, header(&format!("{rate}/{scale}")));
    }
    // The average is what the header says of its frames; the base rate, a guess of the tool, stands in for none.
    match track.average_rate().or_else(|| track.base_rate()).filter(sane) {
        Some(rate) => (Some(rate), Vec::new()),
        None => (None, header(&track.avg_frame_rate)),
    }
}
