//! Films whose every frame carries its own index, readable by machine after any coding and scaling here.
//!
//! The upper half of the picture holds two rows of eight blocks, white for 1 and black for 0: the index in
//! twelve bits, most significant first, then a check of four. The lower half moves and is coloured, so that
//! coders have work and a stuck picture shows.

use crate::tool::{Running, file};
use crate::{FilmError, Picture, PixelFormat, VideoTool};
use std::ffi::OsString;
use std::io::Write;
use std::path::Path;
use units::Rate;

/// Largest index that the counter can show.
pub const COUNTER_LIMIT: usize = 4095;
const COLUMNS: usize = 8;
const ROWS: usize = 2;

fn pattern(index: usize) -> u16 {
    let nibble = |n: usize| (index >> (4 * n)) & 0xf;
    // The constant keeps an all-black or all-white picture from passing for a frame.
    ((index << 4) | (nibble(0) ^ nibble(1) ^ nibble(2) ^ 0b1010)) as u16
}

/// Draws frame `index`, RGB24.
pub fn draw(index: usize, width: u32, height: u32) -> Picture {
    assert!(index <= COUNTER_LIMIT, "the counter has twelve bits");
    let mut picture = Picture::black(width, height, PixelFormat::Rgb24);
    let (w, h) = (width as usize, height as usize);
    let bits = pattern(index);
    for y in 0..h {
        for x in 0..w {
            let at = (y * w + x) * 3;
            let colour = if y < h / 2 {
                let cell = (y * ROWS * 2 / h).min(ROWS - 1) * COLUMNS + x * COLUMNS / w;
                if bits >> (15 - cell) & 1 == 1 { [235; 3] } else { [16; 3] }
            } else {
                let phase = (x + index * 7) % w * 4 / w;
                [[180, 40, 40], [40, 150, 60], [50, 60, 170], [120, 120, 120]][phase]
            };
            picture.data[at..at + 3].copy_from_slice(&colour);
        }
    }
    picture
}

/// Reads the counter of a picture; `None` when a block is neither black nor white or the check fails.
pub fn read(picture: &Picture) -> Option<usize> {
    let (w, h) = (picture.width as usize, picture.height as usize);
    let step = if picture.format == PixelFormat::Rgb24 { 3 } else { 1 };
    let mut bits = 0u16;
    for cell in 0..ROWS * COLUMNS {
        let (row, column) = (cell / COLUMNS, cell % COLUMNS);
        // The middle half of the block: its rims are blurred by coding and scaling.
        let span = |n: usize, of: usize, side: usize| {
            let (a, b) = (n * side / of, (n + 1) * side / of);
            (a + (b - a) / 4)..(b - (b - a) / 4)
        };
        let (mut sum, mut count) = (0u64, 0u64);
        for y in span(row, ROWS * 2, h) {
            for x in span(column, COLUMNS, w) {
                sum += u64::from(picture.data[(y * w + x) * step]);
                count += 1;
            }
        }
        match sum / count.max(1) {
            0..=90 => bits <<= 1,
            165..=255 => bits = bits << 1 | 1,
            _ => return None,
        }
    }
    let index = usize::from(bits >> 4);
    (pattern(index) == bits).then_some(index)
}

/// What kind of film to make.
#[derive(Clone, Debug)]
pub struct TestFilm {
    /// `h264`, `hevc` or `mpeg4`.
    pub codec: String,
    /// Frames per second.
    pub rate: Rate,
    /// Irregular times between frames, see [`TestFilm::seconds`].
    pub variable: bool,
    /// Number of frames.
    pub frames: usize,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// A tone beside the picture.
    pub audio: bool,
    /// Frames stored out of order.
    pub b_frames: bool,
    /// Further output options of the video tool, before the file's name.
    pub extra: Vec<String>,
}

impl TestFilm {
    /// A small film in H.264 with reordered frames and no sound.
    pub fn new(rate: Rate, frames: usize) -> Self {
        let (codec, extra) = ("h264".to_owned(), Vec::new());
        Self {
            codec,
            rate,
            variable: false,
            frames,
            width: 320,
            height: 180,
            audio: false,
            b_frames: true,
            extra,
        }
    }
    /// When frame `index` is shown after the first, s. With a variable rate, intervals go through a cycle of 1,
    /// 1.25 and 0.75 of the usual one.
    pub fn seconds(&self, index: usize) -> f64 {
        let usual = f64::from(self.rate.denominator()) / f64::from(self.rate.numerator());
        let quarter = if self.variable && index % 3 == 2 { 0.25 } else { 0.0 };
        (index as f64 + quarter) * usual
    }
    /// Writes the film; the container follows the name's ending.
    ///
    /// # Errors
    /// `ToolMissing`, `ToolFailed`.
    pub fn write(&self, tool: &VideoTool, path: &Path) -> Result<(), FilmError> {
        let mut running = tool.start(self.arguments(path), true)?;
        let mut pipe = running.take_stdin();
        for i in 0..self.frames {
            if pipe.write_all(&draw(i, self.width, self.height).data).is_err() {
                break; // the tool has stopped; its own words follow
            }
        }
        drop(pipe);
        let (ok, log) = Running::finish(running);
        if ok {
            Ok(())
        } else {
            Err(FilmError::ToolFailed { doing: "making a test film".into(), message: log.text() })
        }
    }
    fn arguments(&self, path: &Path) -> Vec<OsString> {
        let rate = format!("{}/{}", self.rate.numerator(), self.rate.denominator());
        let mut a: Vec<String> =
            ["-f", "rawvideo", "-pixel_format", "rgb24", "-video_size"].map(Into::into).into();
        a.extend([
            format!("{}x{}", self.width, self.height),
            "-framerate".into(),
            rate,
            "-i".into(),
            "pipe:0".into(),
        ]);
        if self.audio {
            // A little longer than the picture, as recordings are.
            let seconds = self.seconds(self.frames) + 0.1;
            a.extend(["-f".into(), "lavfi".into(), "-i".into(), format!("sine=d={seconds:.3}")]);
            a.extend(["-map", "0:v", "-map", "1:a", "-c:a", "aac"].map(Into::into));
        }
        if self.variable {
            let (n, d) = (self.rate.numerator(), self.rate.denominator());
            let chain = format!("settb={d}/{},setpts='4*N+eq(mod(N,3),2)'", 4 * n);
            a.extend([
                "-vf".into(),
                chain,
                "-fps_mode".into(),
                "passthrough".into(),
                "-enc_time_base".into(),
            ]);
            a.push(format!("{d}:{}", 4 * n));
        }
        let b = if self.b_frames { "3" } else { "0" };
        a.extend(["-pix_fmt", "yuv420p", "-g", "24", "-bf", b, "-c:v"].map(Into::into));
        match self.codec.as_str() {
            "hevc" => {
                a.extend(["libx265", "-x265-params", "log-level=error", "-tag:v", "hvc1"].map(Into::into))
            }
            "mpeg4" => a.extend(["mpeg4", "-q:v", "3"].map(Into::into)),
            _ => a.extend(["libx264", "-preset", "veryfast"].map(Into::into)),
        }
        a.extend(self.extra.iter().cloned());
        let mut out: Vec<OsString> = a.into_iter().map(Into::into).collect();
        out.push(file(path));
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_index_reads_back_and_plain_pictures_do_not() {
        for i in (0..=COUNTER_LIMIT).step_by(37).chain([0, COUNTER_LIMIT]) {
            assert_eq!(read(&draw(i, 64, 36)), Some(i));
        }
        for level in [0, 128, 255] {
            let mut p = Picture::black(64, 36, PixelFormat::Rgb24);
            p.data.fill(level);
            assert_eq!(read(&p), None);
        }
    }
}
