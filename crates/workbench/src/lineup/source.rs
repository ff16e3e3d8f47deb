use crate::WorkError;
use crate::films::Film;
use film::{FilmError, FrameStream, OriginalReader, Picture, PixelFormat, ProxyReader, VideoTool};
use std::ops::Range;

/// Frames decoded ahead for going backward.
const CHUNK: u32 = 60;

/// Gray frames at the original's size: from the original, or from the proxy enlarged when the original is gone.
pub(crate) enum Source {
    Original(OriginalReader),
    Proxy(ProxyReader, (u32, u32)),
}

impl Source {
    pub fn open(tool: &VideoTool, film: &Film) -> Result<Self, WorkError> {
        match OriginalReader::open(tool, &film.original, &film.probe, &film.ingested.clock) {
            Ok(r) => Ok(Self::Original(r)),
            Err(FilmError::Missing { .. } | FilmError::Changed { .. }) => {
                let reader = ProxyReader::open(tool, &film.proxy, &film.ingested.proxy)?;
                Ok(Self::Proxy(reader, film.size()))
            }
            Err(e) => Err(e.into()),
        }
    }
    /// One frame.
    pub fn frame(&self, index: u32) -> Result<Picture, WorkError> {
        let one = self.stream(index..index + 1)?.next();
        let (_, picture) =
            one.ok_or_else(|| WorkError::Broken("a range of one frame gave none".into()))??;
        Ok(picture)
    }
    /// Colour frames of another size, in order.
    pub fn colour(&self, frames: Range<u32>, size: (u32, u32)) -> Result<FrameStream, FilmError> {
        let range = frames.start as usize..frames.end as usize;
        match self {
            Self::Original(r) => r.frames(range, PixelFormat::Rgb24, Some(size)),
            Self::Proxy(r, _) => r.frames(range, PixelFormat::Rgb24, Some(size)),
        }
    }
    fn stream(&self, frames: Range<u32>) -> Result<FrameStream, FilmError> {
        let range = frames.start as usize..frames.end as usize;
        match self {
            Self::Original(r) => r.frames(range, PixelFormat::Gray8, None),
            Self::Proxy(r, size) => r.frames(range, PixelFormat::Gray8, Some(*size)),
        }
    }
    /// Frames in order as the decoder has them, luma before the rest; odd sizes have no colour.
    pub fn planar(&self, frames: Range<u32>, size: (u32, u32)) -> Result<FrameStream, FilmError> {
        let range = frames.start as usize..frames.end as usize;
        let even = size.0.is_multiple_of(2) && size.1.is_multiple_of(2);
        let format = if even { PixelFormat::Yuv420p } else { PixelFormat::Gray8 };
        match self {
            Self::Original(r) => r.frames(range, format, None),
            Self::Proxy(r, size) => r.frames(range, format, Some(*size)),
        }
    }
    /// Frames in order.
    pub fn forward(
        &self,
        frames: Range<u32>,
        each: &mut dyn FnMut(u32, &Picture) -> Result<(), WorkError>,
    ) -> Result<(), WorkError> {
        let mut stream = self.stream(frames)?;
        let mut picture = Picture { width: 0, height: 0, format: PixelFormat::Gray8, data: Vec::new() };
        while let Some(index) = stream.read_into(&mut picture)? {
            each(index as u32, &picture)?;
        }
        Ok(())
    }
    /// Frames in backward order; film is decoded forward only, so a piece at a time is held.
    pub fn backward(
        &self,
        frames: Range<u32>,
        each: &mut dyn FnMut(u32, &Picture) -> Result<(), WorkError>,
    ) -> Result<(), WorkError> {
        let mut end = frames.end;
        while end > frames.start {
            let start = end.saturating_sub(CHUNK).max(frames.start);
            let chunk: Vec<(usize, Picture)> = self.stream(start..end)?.collect::<Result<_, _>>()?;
            for (index, picture) in chunk.iter().rev() {
                each(*index as u32, picture)?;
            }
            end = start;
        }
        Ok(())
    }
}
