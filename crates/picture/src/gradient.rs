use crate::blur::mirror;
use crate::{GrayView, Plane};

/// First derivatives by the 3×3 Sobel kernels, unscaled (eight times the slope per pixel).
#[derive(Clone, Debug, PartialEq)]
pub struct Gradient {
    /// Along x (right).
    pub x: Plane,
    /// Along y (down).
    pub y: Plane,
}

/// Sobel gradient; mirrored at the border without repeating the border pixel.
pub fn sobel(v: GrayView<'_>) -> Gradient {
    let (w, h) = (v.width(), v.height());
    let plane = || Plane { width: w, height: h, data: vec![0.0; w * h] };
    let (mut gx, mut gy) = (plane(), plane());
    // Column sums (1 2 1) and differences of three rows, padded by one on both sides.
    let (mut smooth, mut slope) = (vec![0.0f32; w + 2], vec![0.0f32; w + 2]);
    for y in 0..h {
        let (a, b, c) = (v.row(mirror(y as isize - 1, h)), v.row(y), v.row(mirror(y as isize + 1, h)));
        for x in 0..w {
            let (p, q, r) = (f32::from(a[x]), f32::from(b[x]), f32::from(c[x]));
            smooth[x + 1] = p + 2.0 * q + r;
            slope[x + 1] = r - p;
        }
        for s in [&mut smooth, &mut slope] {
            s[0] = s[mirror(-1, w) + 1];
            s[w + 1] = s[mirror(w as isize, w) + 1];
        }
        let (ox, oy) = (&mut gx.data[y * w..(y + 1) * w], &mut gy.data[y * w..(y + 1) * w]);
        for x in 0..w {
            ox[x] = smooth[x + 2] - smooth[x];
            oy[x] = slope[x] + 2.0 * slope[x + 1] + slope[x + 2];
        }
    }
    Gradient { x: gx, y: gy }
}
