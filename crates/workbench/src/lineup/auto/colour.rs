use film::{Picture, PixelFormat};
use picture::{GrayImage, RgbImage};

/// A frame's brightness at full range and its colour, for finding the field; from planar video range (ITU-R BT.709).
pub(super) fn full_range(p: &Picture) -> Option<(GrayImage, Option<RgbImage>)> {
    let (w, h) = (p.width as usize, p.height as usize);
    if p.format != PixelFormat::Yuv420p {
        return Some((GrayImage::new(p.width, p.height, p.data.get(..w * h)?.to_vec()).ok()?, None));
    }
    let (luma, chroma) = p.data.split_at_checked(w * h)?;
    let (blue, red) = chroma.split_at_checked(w * h / 4)?;
    let level = |y: u8| (f32::from(y) - 16.0) * (255.0 / 219.0);
    let byte = |v: f32| v.round().clamp(0.0, 255.0) as u8;
    let gray = luma.iter().map(|y| byte(level(*y))).collect();
    let mut rgb = Vec::with_capacity(3 * w * h);
    for y in 0..h {
        for x in 0..w {
            let l = level(luma[y * w + x]);
            let k = (y / 2) * (w / 2) + x / 2;
            let chroma = |c: &[u8]| (f32::from(c.get(k).copied().unwrap_or(128)) - 128.0) * (255.0 / 224.0);
            let (b, r) = (chroma(blue), chroma(red));
            rgb.extend([byte(l + 1.5748 * r), byte(l - 0.1873 * b - 0.4681 * r), byte(l + 1.8556 * b)]);
        }
    }
    Some((GrayImage::new(p.width, p.height, gray).ok()?, Some(RgbImage::new(p.width, p.height, rgb).ok()?)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// BT.709 in video range: white (235, 128, 128), black (16, 128, 128), and pure green (173, 42, 26), table 3 of the recommendation
    /// worked by hand.
    #[test]
    fn known_colours_come_back() {
        for (yuv, rgb) in [
            ([235u8, 128, 128], [255u8, 255, 255]),
            ([16, 128, 128], [0, 0, 0]),
            ([173, 42, 26], [0, 255, 0]),
        ] {
            let mut data = vec![yuv[0]; 4];
            data.extend([yuv[1], yuv[2]]);
            let p = Picture { width: 2, height: 2, format: PixelFormat::Yuv420p, data };
            let (gray, colour) = full_range(&p).unwrap();
            let colour = colour.unwrap();
            for k in 0..3 {
                // The last of four pixels.
                let found = i32::from(colour.view().data()[9 + k]);
                assert!((found - i32::from(rgb[k])).abs() <= 2, "{yuv:?}: {found} for {}", rgb[k]);
            }
            assert!(gray.data()[0].abs_diff(((f32::from(yuv[0]) - 16.0) * 255.0 / 219.0).round() as u8) <= 1);
        }
    }
}
