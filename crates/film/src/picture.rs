use serde::{Deserialize, Serialize};

/// How a picture's samples lie in memory. All are 8-bit, rows top to bottom without padding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PixelFormat {
    /// One luma byte a pixel, full range (black 0, white 255).
    Gray8,
    /// Three bytes a pixel: red, green, blue, full range.
    Rgb24,
    /// Planar luma then two quarter-size chroma planes, BT.709, video range (black 16, white 235). Even sides only.
    Yuv420p,
}

impl PixelFormat {
    /// Bytes in a picture of `width` x `height` pixels.
    pub const fn bytes(self, width: u32, height: u32) -> usize {
        let pixels = width as usize * height as usize;
        match self {
            Self::Gray8 => pixels,
            Self::Rgb24 => pixels * 3,
            Self::Yuv420p => pixels * 3 / 2,
        }
    }
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Gray8 => "gray",
            Self::Rgb24 => "rgb24",
            Self::Yuv420p => "yuv420p",
        }
    }
}

/// One decoded picture, upright, in square pixels.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Layout of `data`.
    pub format: PixelFormat,
    /// `format.bytes(width, height)` bytes.
    pub data: Vec<u8>,
}

impl Picture {
    /// A black picture.
    pub fn black(width: u32, height: u32, format: PixelFormat) -> Self {
        let mut data = vec![0; format.bytes(width, height)];
        if format == PixelFormat::Yuv420p {
            let luma = width as usize * height as usize;
            data[..luma].fill(16);
            data[luma..].fill(128);
        }
        Self { width, height, format, data }
    }
}
