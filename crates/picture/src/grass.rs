use crate::{GrayImage, RgbView};

/// Range of colours that counts as grass or turf.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GrassRange {
    /// Green must exceed red by this many levels.
    pub over_red: i16,
    /// Green must exceed blue by this many levels.
    pub over_blue: i16,
    /// Darkest green level.
    pub darkest: u8,
}

impl Default for GrassRange {
    /// Wide enough for shade, artificial turf and faded winter grass. Common practice, no source.
    fn default() -> Self {
        Self { over_red: 4, over_blue: 10, darkest: 24 }
    }
}

/// 255 where the colour is in the range, 0 elsewhere.
pub fn grass_mask(v: RgbView<'_>, range: GrassRange) -> GrayImage {
    let data = v
        .data()
        .chunks_exact(3)
        .map(|p| {
            let (r, g, b) = (i16::from(p[0]), i16::from(p[1]), i16::from(p[2]));
            if g - r >= range.over_red && g - b >= range.over_blue && p[1] >= range.darkest { 255 } else { 0 }
        })
        .collect();
    GrayImage::new(v.width(), v.height(), data).expect("one byte for each pixel")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::RgbImage;

    #[test]
    fn turf_in_sun_and_shade_is_grass_and_chalk_and_track_are_not() {
        let colours =
            [[60, 120, 50], [20, 38, 18], [235, 238, 230], [150, 70, 50], [40, 60, 140], [90, 90, 90]];
        let rgb = RgbImage::new(6, 1, colours.concat()).unwrap();
        assert_eq!(grass_mask(rgb.view(), GrassRange::default()).data(), &[255, 255, 0, 0, 0, 0]);
    }
}
