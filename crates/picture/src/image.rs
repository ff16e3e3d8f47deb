use geometry::Point2;
use geometry::frame::Pixel;

/// Why a buffer is not a picture.
#[derive(Debug, thiserror::Error, PartialEq, Eq)]
pub enum PictureError {
    /// The buffer does not hold the picture.
    #[error(
        "a {width} x {height} picture of {channels} channels needs {needed} bytes; the buffer has {given}"
    )]
    WrongLength {
        /// Width, px.
        width: u32,
        /// Height, px.
        height: u32,
        /// Bytes per pixel.
        channels: usize,
        /// Bytes needed.
        needed: usize,
        /// Bytes given.
        given: usize,
    },
}

fn check(width: u32, height: u32, channels: usize, given: usize) -> Result<(), PictureError> {
    let needed = width as usize * height as usize * channels;
    if given == needed {
        Ok(())
    } else {
        Err(PictureError::WrongLength { width, height, channels, needed, given })
    }
}

/// A grey picture, one byte a pixel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GrayImage {
    width: u32,
    height: u32,
    data: Vec<u8>,
}

/// A look at a grey picture that lives elsewhere (for example the luma plane of a decoded frame).
#[derive(Clone, Copy, Debug)]
pub struct GrayView<'a> {
    width: usize,
    height: usize,
    data: &'a [u8],
}

impl GrayImage {
    /// From row-major bytes.
    ///
    /// # Errors
    /// When the buffer's length is not width times height.
    pub fn new(width: u32, height: u32, data: Vec<u8>) -> Result<Self, PictureError> {
        check(width, height, 1, data.len())?;
        Ok(Self { width, height, data })
    }
    /// All pixels the same.
    pub fn filled(width: u32, height: u32, value: u8) -> Self {
        Self { width, height, data: vec![value; width as usize * height as usize] }
    }
    /// Width, px.
    pub fn width(&self) -> u32 {
        self.width
    }
    /// Height, px.
    pub fn height(&self) -> u32 {
        self.height
    }
    /// Row-major bytes.
    pub fn data(&self) -> &[u8] {
        &self.data
    }
    /// Row-major bytes, to draw on.
    pub fn data_mut(&mut self) -> &mut [u8] {
        &mut self.data
    }
    /// A look at it.
    pub fn view(&self) -> GrayView<'_> {
        GrayView { width: self.width as usize, height: self.height as usize, data: &self.data }
    }
}

impl<'a> GrayView<'a> {
    /// Over row-major bytes.
    ///
    /// # Errors
    /// When the buffer's length is not width times height.
    pub fn new(width: u32, height: u32, data: &'a [u8]) -> Result<Self, PictureError> {
        check(width, height, 1, data.len())?;
        Ok(Self { width: width as usize, height: height as usize, data })
    }
    /// Width, px.
    pub fn width(&self) -> usize {
        self.width
    }
    /// Height, px.
    pub fn height(&self) -> usize {
        self.height
    }
    /// Row-major bytes.
    pub fn data(&self) -> &'a [u8] {
        self.data
    }
    /// One row, left to right.
    pub fn row(&self, y: usize) -> &'a [u8] {
        &self.data[y * self.width..(y + 1) * self.width]
    }
    /// The value at a place by bilinear interpolation between pixel centres; the border pixel's value outside.
    #[inline]
    pub fn sample(&self, x: f32, y: f32) -> f32 {
        let (x, y) = (x - 0.5, y - 0.5);
        let (x, y) = (x.clamp(0.0, (self.width - 1) as f32), y.clamp(0.0, (self.height - 1) as f32));
        let (ix, iy) =
            ((x as usize).min(self.width.saturating_sub(2)), (y as usize).min(self.height.saturating_sub(2)));
        let (fx, fy) = (x - ix as f32, y - iy as f32);
        let i = iy * self.width + ix;
        let right = usize::from(self.width > 1);
        let below = if self.height > 1 { self.width } else { 0 };
        let d = &self.data[i..i + below + right + 1];
        let (a, b, c, e) =
            (f32::from(d[0]), f32::from(d[right]), f32::from(d[below]), f32::from(d[below + right]));
        let top = a + (b - a) * fx;
        let bottom = c + (e - c) * fx;
        top + (bottom - top) * fy
    }
    /// Adds to `sums` the values at `from`, `from + step` and so on, px, as [`Self::sample`] has them but for places rounded to
    /// 1/65,536 px. All places must lie between the picture's outermost pixel centres.
    pub(crate) fn add_line(&self, from: [f32; 2], step: [f32; 2], sums: &mut [f32]) {
        // Whole and broken parts of a place come apart faster in fixed point than by rounding floats.
        const ONE: f32 = 65_536.0;
        let fixed = |v: f32| (v * ONE + 0.5f32.copysign(v)) as i32;
        let broken = |v: i32| (v & 0xffff) as f32 * (1.0 / ONE);
        let (mut x, mut y) = (fixed(from[0] - 0.5), fixed(from[1] - 0.5));
        let (dx, dy) = (fixed(step[0]), fixed(step[1]));
        for sum in sums {
            let i = (y >> 16) as usize * self.width + (x >> 16) as usize;
            let (top, bottom) = (&self.data[i..i + 2], &self.data[i + self.width..i + self.width + 2]);
            let [a, b, c, e] = [top[0], top[1], bottom[0], bottom[1]].map(f32::from);
            let (fx, fy) = (broken(x), broken(y));
            let (over, under) = (a + (b - a) * fx, c + (e - c) * fx);
            *sum += over + (under - over) * fy;
            (x, y) = (x + dx, y + dy);
        }
    }
    /// Whether a place is at least `margin` px inside the picture.
    pub fn contains(&self, p: Point2<Pixel>, margin: f64) -> bool {
        p.x >= margin
            && p.y >= margin
            && p.x <= self.width as f64 - margin
            && p.y <= self.height as f64 - margin
    }
}

/// A colour picture: red, green, blue bytes per pixel, BT.709 primaries.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RgbImage {
    width: u32,
    height: u32,
    data: Vec<u8>,
}

/// A look at a colour picture that lives elsewhere.
#[derive(Clone, Copy, Debug)]
pub struct RgbView<'a> {
    width: u32,
    height: u32,
    data: &'a [u8],
}

impl RgbImage {
    /// From row-major bytes, three a pixel.
    ///
    /// # Errors
    /// When the buffer's length is not three times width times height.
    pub fn new(width: u32, height: u32, data: Vec<u8>) -> Result<Self, PictureError> {
        check(width, height, 3, data.len())?;
        Ok(Self { width, height, data })
    }
    /// A look at it.
    pub fn view(&self) -> RgbView<'_> {
        RgbView { width: self.width, height: self.height, data: &self.data }
    }
}

impl<'a> RgbView<'a> {
    /// Over row-major bytes, three a pixel.
    ///
    /// # Errors
    /// When the buffer's length is not three times width times height.
    pub fn new(width: u32, height: u32, data: &'a [u8]) -> Result<Self, PictureError> {
        check(width, height, 3, data.len())?;
        Ok(Self { width, height, data })
    }
    /// Width, px.
    pub fn width(&self) -> u32 {
        self.width
    }
    /// Height, px.
    pub fn height(&self) -> u32 {
        self.height
    }
    /// Row-major bytes, three a pixel.
    pub fn data(&self) -> &'a [u8] {
        self.data
    }
    /// Luma by BT.709 (0.2126, 0.7152, 0.0722), rounded.
    pub fn luma(&self) -> GrayImage {
        // 16-bit fixed point of the three weights; they sum to 65536.
        let data = self
            .data
            .chunks_exact(3)
            .map(|p| {
                ((13_933 * u32::from(p[0]) + 46_871 * u32::from(p[1]) + 4_732 * u32::from(p[2]) + 32_768)
                    >> 16) as u8
            })
            .collect();
        GrayImage { width: self.width, height: self.height, data }
    }
}

/// A picture of one real number per pixel, for results of filters.
#[derive(Clone, Debug, PartialEq)]
pub struct Plane {
    /// Width, px.
    pub width: usize,
    /// Height, px.
    pub height: usize,
    /// Row-major values.
    pub data: Vec<f32>,
}

impl Plane {
    /// From a grey picture.
    pub fn of(v: GrayView<'_>) -> Self {
        Self { width: v.width, height: v.height, data: v.data.iter().map(|&b| f32::from(b)).collect() }
    }
    /// Value of a pixel.
    pub fn at(&self, x: usize, y: usize) -> f32 {
        self.data[y * self.width + x]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sampling_meets_pixel_centres_and_lies_between_them() {
        let g = GrayImage::new(3, 2, vec![10, 20, 40, 50, 80, 120]).unwrap();
        let v = g.view();
        assert_eq!(v.sample(0.5, 0.5), 10.0);
        assert_eq!(v.sample(2.5, 1.5), 120.0);
        assert_eq!(v.sample(1.0, 0.5), 15.0);
        assert_eq!(v.sample(1.0, 1.0), 40.0);
        assert_eq!(v.sample(-9.0, 9.0), 50.0);
        let thin = GrayImage::new(1, 1, vec![7]).unwrap();
        assert_eq!(thin.view().sample(0.3, 0.9), 7.0);
    }

    #[test]
    fn a_line_of_samples_is_its_samples() {
        let g = GrayImage::new(40, 30, (0..1200u32).map(|k| (k * 7919 % 251) as u8).collect()).unwrap();
        for (from, step) in
            [([0.5, 0.5], [0.41, 0.3]), ([39.4, 3.2], [-0.43, 0.25]), ([7.3, 29.4], [0.1, -0.49])]
        {
            let mut sums = [1.0; 50];
            g.view().add_line(from, step, &mut sums);
            for (k, s) in sums.iter().enumerate() {
                let [x, y] = [0, 1].map(|i| from[i] + k as f32 * step[i]);
                // Places off by up to 50 roundings, over steps of up to 250 levels.
                assert!((s - 1.0 - g.view().sample(x, y)).abs() < 50.0 * 500.0 / 65_536.0, "{k} of {from:?}");
            }
        }
    }

    /// BT.709: pure colours weigh .2126, .7152, .0722 of white.
    #[test]
    fn luma_is_bt_709() {
        let rgb = RgbImage::new(4, 1, vec![255, 0, 0, 0, 255, 0, 0, 0, 255, 255, 255, 255]).unwrap();
        assert_eq!(rgb.view().luma().data(), &[54, 182, 18, 255]);
    }

    #[test]
    fn a_short_buffer_is_refused() {
        let e = GrayImage::new(4, 4, vec![0; 15]).unwrap_err();
        assert_eq!(e.to_string(), "a 4 x 4 picture of 1 channels needs 16 bytes; the buffer has 15");
    }
}
