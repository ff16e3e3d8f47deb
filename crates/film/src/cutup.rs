use crate::{
    EncodeSettings, Encoder, FilmError, FrameStream, Monitor, OriginalReader, Picture, PixelFormat,
    ProxyReader, SpokenNote, VideoTool,
};
use std::ops::Range;
use std::path::Path;
use units::{FrameTable, Rate};

/// Where a cut-up takes frames from.
#[derive(Clone, Copy)]
pub enum FrameSource<'a> {
    /// The film as shot.
    Original(&'a OriginalReader),
    /// Its proxy: quicker, and there when the original is not.
    Proxy(&'a ProxyReader),
}

impl FrameSource<'_> {
    fn size(&self) -> (u32, u32) {
        match self {
            Self::Original(r) => r.size(),
            Self::Proxy(r) => r.size(),
        }
    }
    fn frames(&self, range: Range<usize>, size: (u32, u32)) -> Result<FrameStream, FilmError> {
        match self {
            Self::Original(r) => r.frames(range, PixelFormat::Rgb24, Some(size)),
            Self::Proxy(r) => r.frames(range, PixelFormat::Rgb24, Some(size)),
        }
    }
}

/// A picture laid over a frame: straight-alpha RGBA of the cut-up's size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Overlay {
    width: u32,
    height: u32,
    rgba: Vec<u8>,
}

impl Overlay {
    /// From four bytes a pixel, rows top to bottom; `None` when their number does not fit the size.
    pub fn from_rgba(width: u32, height: u32, rgba: Vec<u8>) -> Option<Self> {
        (rgba.len() == width as usize * height as usize * 4).then_some(Self { width, height, rgba })
    }
    /// From a PNG.
    ///
    /// # Errors
    /// `Request` when the bytes are no PNG.
    pub fn from_png(png: &[u8]) -> Result<Self, FilmError> {
        let picture = image::load_from_memory_with_format(png, image::ImageFormat::Png)
            .map_err(|e| FilmError::Request {
                what: "overlay",
                value: e.to_string(),
                limit: "it must be a PNG",
            })?
            .into_rgba8();
        Ok(Self { width: picture.width(), height: picture.height(), rgba: picture.into_raw() })
    }
    fn lay_over(&self, picture: &mut Picture) -> Result<(), FilmError> {
        if (self.width, self.height) != (picture.width, picture.height) {
            let value = format!("{} x {} pixels", self.width, self.height);
            return Err(FilmError::Request { what: "overlay", value, limit: "it must be the cut-up's size" });
        }
        for (over, under) in self.rgba.chunks_exact(4).zip(picture.data.chunks_exact_mut(3)) {
            let alpha = u32::from(over[3]);
            for (o, u) in over.iter().zip(under) {
                *u = ((u32::from(*o) * alpha + u32::from(*u) * (255 - alpha) + 127) / 255) as u8;
            }
        }
        Ok(())
    }
}

/// A frame kept on screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// Frame of the segment's film.
    pub frame: usize,
    /// How much longer than usual, s.
    pub seconds: f64,
}

/// A run of frames of one film, as it goes into a cut-up.
pub struct Segment<'a> {
    /// The film.
    pub source: FrameSource<'a>,
    /// When its frames are shown.
    pub table: &'a FrameTable,
    /// The frames.
    pub range: Range<usize>,
    /// 1 for real time, 0.5 for half speed.
    pub speed: f64,
    /// Pauses within the range.
    pub holds: Vec<Hold>,
    /// What to lay over a frame, by its index in the film; asked once per frame used, in order.
    pub overlay: Option<&'a mut dyn FnMut(usize) -> Result<Option<Overlay>, FilmError>>,
}

/// A film made of segments, at one size and constant rate. Pictures of other shapes get black borders.
pub struct Cutup<'a> {
    /// Pixels across, even.
    pub width: u32,
    /// Pixels down, even.
    pub height: u32,
    /// Frames per second.
    pub rate: Rate,
    /// Constant rate factor of the encoder, 0 (lossless) to 51; 18 is hard to tell from the source.
    pub quality: u8,
    /// In order of showing.
    pub segments: Vec<Segment<'a>>,
    /// Recordings heard with it, timed by the cut-up's own clock. The films' own sound is left out.
    pub notes: Vec<SpokenNote>,
}

/// Writes a cut-up to an MP4 and returns its length in frames. Progress counts frames written.
///
/// # Errors
/// `Request` for a speed, pause, overlay or size that cannot be met, `FrameRange`, and those of reading and writing.
pub fn make_cutup(
    tool: &VideoTool,
    cutup: Cutup<'_>,
    path: &Path,
    monitor: &mut Monitor<'_>,
) -> Result<usize, FilmError> {
    let Cutup { width, height, rate, quality, mut segments, notes } = cutup;
    segments.iter().try_for_each(check)?;
    let total: usize =
        segments.iter().map(|s| s.range.clone().map(|i| copies(s, i, rate)).sum::<usize>()).sum();
    let settings = EncodeSettings { width, height, format: PixelFormat::Rgb24, rate, quality, fast: true };
    let seconds = total as f64 / rate.per_second();
    let mut encoder = Encoder::create_with_notes(tool, path, &settings, &notes, seconds)?;
    monitor.restart();
    for segment in &mut segments {
        let inner = fit(segment.source.size(), (width, height));
        let mut stream = segment.source.frames(segment.range.clone(), inner)?;
        let mut picture = Picture::black(inner.0, inner.1, PixelFormat::Rgb24);
        while let Some(index) = stream.read_into(&mut picture)? {
            let times = copies(segment, index, rate);
            if times == 0 {
                continue;
            }
            let mut canvas = Picture::black(width, height, PixelFormat::Rgb24);
            paste(&picture, &mut canvas);
            if let Some(draw) = &mut segment.overlay
                && let Some(overlay) = draw(index)?
            {
                overlay.lay_over(&mut canvas)?;
            }
            for _ in 0..times {
                monitor.check()?;
                encoder.write(&canvas.data)?;
                monitor.tell(encoder.frames() as u64, Some(total as u64));
            }
        }
    }
    let frames = encoder.frames();
    encoder.finish()?;
    monitor.tell_now(frames as u64, Some(frames as u64));
    Ok(frames)
}

fn check(segment: &Segment<'_>) -> Result<(), FilmError> {
    let Range { start, end } = segment.range;
    if start >= end || end > segment.table.len() {
        return Err(FilmError::FrameRange { first: start, end, frames: segment.table.len() });
    }
    if !(0.05..=8.0).contains(&segment.speed) {
        let limit = "it must be from 0.05 to 8";
        return Err(FilmError::Request { what: "speed", value: segment.speed.to_string(), limit });
    }
    for h in &segment.holds {
        if !(0.0..=600.0).contains(&h.seconds) {
            let limit = "it must be from 0 to 600 s";
            return Err(FilmError::Request { what: "pause", value: format!("{} s", h.seconds), limit });
        }
        if !segment.range.contains(&h.frame) {
            return Err(FilmError::FrameRange { first: h.frame, end: h.frame + 1, frames: end });
        }
    }
    Ok(())
}

/// How many output frames show frame `index`: those whose time falls while it is on screen, and its pauses.
fn copies(segment: &Segment<'_>, index: usize, rate: Rate) -> usize {
    let t = segment.table;
    let begin = t.seconds(segment.range.start);
    // The last frame stays as long as frames usually do.
    let end = if index + 1 < t.len() {
        t.seconds(index + 1)
    } else {
        t.seconds(index) + t.median_interval_seconds()
    };
    // The first output frame at or after a time; the small step back absorbs the float's last places.
    let slot = |s: f64| ((s - begin) / segment.speed * rate.per_second() - 1e-6).ceil().max(0.0) as usize;
    let pause: f64 = segment.holds.iter().filter(|h| h.frame == index).map(|h| h.seconds).sum();
    slot(end) - slot(t.seconds(index)) + (pause * rate.per_second()).round() as usize
}

/// The largest even size of the picture's shape within `outer`.
fn fit(inner: (u32, u32), outer: (u32, u32)) -> (u32, u32) {
    let (w, h) = (f64::from(inner.0), f64::from(inner.1));
    let scale = (f64::from(outer.0) / w).min(f64::from(outer.1) / h);
    let even = |side: f64, most: u32| (((side * scale / 2.0).round() as u32) * 2).clamp(2, most & !1);
    (even(w, outer.0), even(h, outer.1))
}

fn paste(picture: &Picture, canvas: &mut Picture) {
    let (row, wide) = (picture.width as usize * 3, canvas.width as usize * 3);
    let left = (canvas.width - picture.width) as usize / 2 * 3;
    let top = (canvas.height - picture.height) as usize / 2;
    for (y, from) in picture.data.chunks_exact(row).enumerate() {
        let at = (top + y) * wide + left;
        canvas.data[at..at + row].copy_from_slice(from);
    }
}
