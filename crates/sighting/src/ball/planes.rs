use picture::RgbView;

/// Light and redness of a picture, one byte each a pixel: leather is redder than grass even where it is as bright.
pub(super) struct Planes {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Luma, and 128 + red − green, levels.
    pub(super) channels: [Vec<u8>; 2],
}

impl Planes {
    pub(super) fn of(picture: RgbView<'_>) -> Self {
        let light = picture.luma();
        let red = picture
            .data()
            .chunks_exact(3)
            .map(|p| (128 + i16::from(p[0]) - i16::from(p[1])).clamp(0, 255) as u8)
            .collect();
        Self {
            width: picture.width() as usize,
            height: picture.height() as usize,
            channels: [light.data().to_vec(), red],
        }
    }
}
