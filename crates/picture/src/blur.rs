use crate::{GrayView, Plane};

/// Mean over the (2r+1)² square around each pixel; the picture is mirrored at its border without repeating the border
/// pixel. Running sums: cost does not grow with `radius`.
pub fn box_blur(v: GrayView<'_>, radius: usize) -> Plane {
    let r = radius.min(v.width().saturating_sub(1)).min(v.height().saturating_sub(1));
    let (w, h) = (v.width(), v.height());
    let norm = 1.0 / ((2 * r + 1) * (2 * r + 1)) as f32;
    let mut rows = vec![0u32; w * h];
    for y in 0..h {
        let row = v.row(y);
        let at = |x: isize| u32::from(row[mirror(x, w)]);
        let mut sum: u32 = (-(r as isize)..=r as isize).map(at).sum();
        for x in 0..w {
            rows[y * w + x] = sum;
            sum = sum + at((x + r + 1) as isize) - at(x as isize - r as isize);
        }
    }
    let mut column: Vec<u32> = vec![0; w];
    for y in -(r as isize)..=r as isize {
        let row = mirror(y, h) * w;
        column.iter_mut().zip(&rows[row..row + w]).for_each(|(c, v)| *c += v);
    }
    let mut data = vec![0.0; w * h];
    for y in 0..h {
        data[y * w..(y + 1) * w].iter_mut().zip(&column).for_each(|(d, c)| *d = *c as f32 * norm);
        let (add, drop) = (mirror((y + r + 1) as isize, h) * w, mirror(y as isize - r as isize, h) * w);
        for x in 0..w {
            column[x] = column[x] + rows[add + x] - rows[drop + x];
        }
    }
    Plane { width: w, height: h, data }
}

/// Gaussian of `sigma` px, cut at four sigma; mirrored at the border without repeating the border pixel.
pub fn gaussian_blur(v: GrayView<'_>, sigma: f32) -> Plane {
    if sigma <= 0.0 {
        return Plane::of(v);
    }
    let r = (4.0 * sigma).ceil() as usize;
    let mut kernel: Vec<f32> = (0..=r).map(|k| (-0.5 * (k as f32 / sigma).powi(2)).exp()).collect();
    let sum = kernel[0] + 2.0 * kernel[1..].iter().sum::<f32>();
    kernel.iter_mut().for_each(|k| *k /= sum);
    let (w, h) = (v.width(), v.height());
    let mut across = vec![0.0f32; w * h];
    let mut padded = vec![0.0f32; w + 2 * r];
    for y in 0..h {
        let row = v.row(y);
        for (k, p) in padded.iter_mut().enumerate() {
            *p = f32::from(row[mirror(k as isize - r as isize, w)]);
        }
        let out = &mut across[y * w..(y + 1) * w];
        out.iter_mut().zip(&padded[r..r + w]).for_each(|(o, p)| *o = kernel[0] * p);
        for k in 1..=r {
            let (left, right) = (&padded[r - k..r - k + w], &padded[r + k..r + k + w]);
            for ((o, a), b) in out.iter_mut().zip(left).zip(right) {
                *o += kernel[k] * (a + b);
            }
        }
    }
    let mut data = vec![0.0f32; w * h];
    for y in 0..h {
        let out = &mut data[y * w..(y + 1) * w];
        out.iter_mut().zip(&across[y * w..(y + 1) * w]).for_each(|(o, p)| *o = kernel[0] * p);
        for k in 1..=r {
            let (up, down) = (mirror(y as isize - k as isize, h) * w, mirror((y + k) as isize, h) * w);
            for ((o, a), b) in out.iter_mut().zip(&across[up..up + w]).zip(&across[down..down + w]) {
                *o += kernel[k] * (a + b);
            }
        }
    }
    Plane { width: w, height: h, data }
}

/// Index mirrored into 0..n about the border pixels' centres.
pub(crate) fn mirror(i: isize, n: usize) -> usize {
    if n == 1 {
        return 0;
    }
    let period = 2 * (n as isize - 1);
    let m = i.rem_euclid(period);
    (if m < n as isize { m } else { period - m }) as usize
}
