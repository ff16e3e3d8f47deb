use crate::{GrayView, gaussian_blur};
use geometry::frame::Pixel;
use geometry::{Point2, Vector2};

/// What counts as a ridge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RidgeSettings {
    /// Smoothing, px: about half the width of the lines looked for.
    pub sigma: f32,
    /// Least curvature across the ridge, grey levels per px² after smoothing.
    pub least: f32,
    /// Curvature along the ridge at most this share of that across.
    pub flatness: f32,
}

impl Default for RidgeSettings {
    fn default() -> Self {
        Self { sigma: 1.5, least: 3.0, flatness: 0.4 }
    }
}

/// A point on the crest of a thin bright line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ridge {
    /// The crest, px, to a fraction of a pixel.
    pub at: Point2<Pixel>,
    /// Unit direction along the line.
    pub direction: Vector2<Pixel>,
    /// Curvature across, grey levels per px².
    pub strength: f32,
}

/// Crests of thin bright lines over the whole picture, by the second derivatives of the smoothed picture (Steger 1998,
/// IEEE Trans. Pattern Anal. 20, 113): where the slope across vanishes within the pixel.
pub fn ridges(v: GrayView<'_>, settings: RidgeSettings) -> Vec<Ridge> {
    let p = gaussian_blur(v, settings.sigma);
    let (w, h) = (p.width, p.height);
    let mut out = Vec::new();
    if w < 3 || h < 3 {
        return out;
    }
    for y in 1..h - 1 {
        let (a, b, c) =
            (&p.data[(y - 1) * w..y * w], &p.data[y * w..(y + 1) * w], &p.data[(y + 1) * w..(y + 2) * w]);
        for x in 1..w - 1 {
            let xx = b[x - 1] - 2.0 * b[x] + b[x + 1];
            let yy = a[x] - 2.0 * b[x] + c[x];
            // A bright ridge curves down across; most pixels leave here.
            if xx + yy > -settings.least {
                continue;
            }
            let xy = 0.25 * (a[x - 1] - a[x + 1] - c[x - 1] + c[x + 1]);
            let half = 0.5 * (xx - yy);
            let root = half.hypot(xy);
            let mean = 0.5 * (xx + yy);
            let (across, along) = (mean - root, mean + root);
            if across > -settings.least || along.abs() > settings.flatness * -across {
                continue;
            }
            // Eigenvector of the most negative curvature.
            let (nx, ny) = if xy.abs() > 1e-6 {
                (xy, across - xx)
            } else if xx < yy {
                (1.0, 0.0)
            } else {
                (0.0, 1.0)
            };
            let n = nx.hypot(ny);
            let (nx, ny) = (nx / n, ny / n);
            let (gx, gy) = (0.5 * (b[x + 1] - b[x - 1]), 0.5 * (c[x] - a[x]));
            let t = -(gx * nx + gy * ny) / across;
            let (dx, dy) = (t * nx, t * ny);
            if dx.abs() <= 0.5 && dy.abs() <= 0.5 {
                out.push(Ridge {
                    at: Point2::new(x as f64 + 0.5 + f64::from(dx), y as f64 + 0.5 + f64::from(dy)),
                    direction: Vector2::new(f64::from(-ny), f64::from(nx)),
                    strength: -across,
                });
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::GrayImage;

    /// An antialiased line at any angle: crests lie on it to a tenth of a pixel and point along it.
    #[test]
    fn crests_lie_on_the_line() {
        for degrees in [0.0f64, 17.0, 45.0, 68.0, 90.0, 140.0] {
            let (s, c) = degrees.to_radians().sin_cos();
            let (w, h) = (120u32, 90u32);
            let mut g = GrayImage::filled(w, h, 70);
            for y in 0..h as usize {
                for x in 0..w as usize {
                    // 4×4 samples a pixel, a line 2.4 px wide through (60.3, 44.6).
                    let hits = (0..64).filter(|k| {
                        let (px, py) = (
                            x as f64 + (f64::from(k % 8) + 0.5) / 8.0,
                            y as f64 + (f64::from(k / 8) + 0.5) / 8.0,
                        );
                        ((py - 44.6) * c - (px - 60.3) * s).abs() < 1.2
                    });
                    g.data_mut()[y * w as usize + x] += (110.0 * hits.count() as f64 / 64.0) as u8;
                }
            }
            let found = ridges(g.view(), RidgeSettings::default());
            let inner: Vec<_> = found.iter().filter(|r| g.view().contains(r.at, 8.0)).collect();
            assert!(inner.len() > 60, "{degrees}: {}", inner.len());
            for r in inner {
                let off = (r.at.y - 44.6) * c - (r.at.x - 60.3) * s;
                assert!(off.abs() < 0.1, "{degrees}: {r:?} off by {off}");
                assert!((r.direction.x * c + r.direction.y * s).abs() > 0.99);
            }
        }
    }
}
