//! Colour inside the renderer: gamma-coded Y′CbCr by ITU-R BT.709 at full range, so that shading scales one number and
//! the encoder's planes need no further matrix.

/// A colour: luma 0 to 255, chroma centred on 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Yuv {
    /// Luma.
    pub y: f32,
    /// Blue difference.
    pub u: f32,
    /// Red difference.
    pub v: f32,
}

/// Luma weights of red and blue, ITU-R BT.709.
const KR: f32 = 0.2126;
const KB: f32 = 0.0722;

impl Yuv {
    /// From sRGB-coded red, green and blue, 0 to 255.
    pub fn from_rgb(rgb: [u8; 3]) -> Self {
        Self::from_rgb_f32(rgb.map(f32::from))
    }
    /// From red, green and blue, 0 to 255.
    pub fn from_rgb_f32([r, g, b]: [f32; 3]) -> Self {
        let y = KR * r + (1.0 - KR - KB) * g + KB * b;
        Self { y, u: (b - y) / (2.0 * (1.0 - KB)), v: (r - y) / (2.0 * (1.0 - KR)) }
    }
    /// To red, green and blue, 0 to 255, clipped.
    pub fn to_rgb(self) -> [u8; 3] {
        let r = self.y + 2.0 * (1.0 - KR) * self.v;
        let b = self.y + 2.0 * (1.0 - KB) * self.u;
        let g = (self.y - KR * r - KB * b) / (1.0 - KR - KB);
        [r, g, b].map(|c| c.round().clamp(0.0, 255.0) as u8)
    }
    /// As lit by `k` times the light.
    pub fn lit(self, k: f32) -> Self {
        Self { y: self.y * k, u: self.u * k, v: self.v * k }
    }
    /// The colour `t` of the way to `o`.
    pub fn mix(self, o: Self, t: f32) -> Self {
        Self {
            y: self.y + (o.y - self.y) * t,
            u: self.u + (o.u - self.u) * t,
            v: self.v + (o.v - self.v) * t,
        }
    }
    /// Packed as 0x00VVUUYY.
    #[inline]
    pub fn pack(self) -> u32 {
        let q = |c: f32| c.clamp(0.0, 255.0) as u32;
        q(self.y + 0.5) | q(self.u + 128.5) << 8 | q(self.v + 128.5) << 16
    }
    /// From its packed form.
    #[inline]
    pub fn unpack(c: u32) -> Self {
        let b = |s: u32| ((c >> s) & 255) as f32;
        Self { y: b(0), u: b(8) - 128.0, v: b(16) - 128.0 }
    }
}

/// `a` and `b` mixed with weight `w` of 256 for `b`, all channels at once.
#[inline]
pub fn mix_packed(a: u32, b: u32, w: u32) -> u32 {
    const M: u32 = 0x00ff_00ff;
    let v = 256 - w;
    let lo = ((a & M) * v + (b & M) * w) >> 8 & M;
    let hi = ((a >> 8 & M) * v + (b >> 8 & M) * w) & !M;
    lo | hi
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ITU-R BT.709 colour bars: 100% yellow has luma .9278, Cb −.5; the way back is exact to the last code.
    #[test]
    fn colours_are_bt_709() {
        let c = Yuv::from_rgb([255, 255, 0]);
        assert!((c.y / 255.0 - 0.9278).abs() < 1e-4 && (c.u / 255.0 + 0.5).abs() < 1e-4);
        for rgb in [[12, 200, 77], [255, 255, 255], [90, 30, 160]] {
            assert_eq!(Yuv::from_rgb(rgb).to_rgb(), rgb);
        }
    }

    #[test]
    fn packed_mixing_is_mixing() {
        let (a, b) = (Yuv::from_rgb([20, 90, 40]), Yuv::from_rgb([240, 240, 235]));
        for w in [0, 13, 128, 256] {
            let m = Yuv::unpack(mix_packed(a.pack(), b.pack(), w));
            let t = a.mix(b, w as f32 / 256.0);
            assert!((m.y - t.y).abs() < 1.6 && (m.u - t.u).abs() < 1.6 && (m.v - t.v).abs() < 1.6);
        }
    }
}
