use picture::{GrayImage, GrayView, halve, quarter_mean};

/// A small, contrast-evened copy of a frame for finding how far the picture moved.
#[derive(Clone, Debug)]
pub(crate) struct Thumbnail {
    width: usize,
    height: usize,
    /// Levels less their local mean, so that drifting light does not count as motion.
    data: Vec<f32>,
    /// Frame px per thumbnail px.
    pub reduction: f64,
}

impl Thumbnail {
    pub fn of(v: GrayView<'_>) -> Self {
        let mut small: GrayImage = quarter_mean(v);
        let mut reduction = 4.0;
        while small.width() > 120 {
            small = halve(small.view());
            reduction *= 2.0;
        }
        let local = picture::box_blur(small.view(), 3);
        let data = small.data().iter().zip(&local.data).map(|(a, b)| f32::from(*a) - b).collect();
        Self { width: small.width() as usize, height: small.height() as usize, data, reduction }
    }

    /// Picture motion from `before` to this frame, frame px, looked for within `reach` thumbnail px of `guess` (frame px);
    /// `None` when no shift stands out.
    pub fn shift_from(&self, before: &Self, guess: [f64; 2], reach: i32) -> Option<[f64; 2]> {
        if (self.width, self.height) != (before.width, before.height) || self.width < 24 || self.height < 16 {
            return None;
        }
        let g = guess.map(|v| (v / self.reduction).round() as i32);
        let span = 2 * reach + 1;
        let mut costs = vec![f32::INFINITY; (span * span) as usize];
        for dy in -reach..=reach {
            for dx in -reach..=reach {
                costs[((dy + reach) * span + dx + reach) as usize] =
                    self.difference(before, g[0] + dx, g[1] + dy);
            }
        }
        let best = (0..costs.len()).min_by(|&a, &b| costs[a].total_cmp(&costs[b]))?;
        let mut sorted = costs.clone();
        sorted.sort_by(f32::total_cmp);
        let median = sorted[sorted.len() / 2];
        if !(costs[best] < 0.7 * median) {
            return None;
        }
        let (bx, by) = (best as i32 % span - reach, best as i32 / span - reach);
        let at = |x: i32, y: i32| {
            let inside = x.abs() <= reach && y.abs() <= reach;
            if inside { Some(costs[((y + reach) * span + x + reach) as usize]) } else { None }
        };
        let vertex = |a: Option<f32>, c: Option<f32>| match (a, c) {
            (Some(a), Some(c)) => {
                let b = costs[best];
                let curve = a - 2.0 * b + c;
                if curve > 1e-6 { f64::from((0.5 * (a - c) / curve).clamp(-0.5, 0.5)) } else { 0.0 }
            }
            _ => 0.0,
        };
        Some([
            (f64::from(g[0] + bx) + vertex(at(bx - 1, by), at(bx + 1, by))) * self.reduction,
            (f64::from(g[1] + by) + vertex(at(bx, by - 1), at(bx, by + 1))) * self.reduction,
        ])
    }

    /// Mean absolute difference between this at (x, y) and `before` at (x - dx, y - dy) over the overlap; infinite for less than a
    /// third of the picture.
    fn difference(&self, before: &Self, dx: i32, dy: i32) -> f32 {
        let (w, h) = (self.width as i32, self.height as i32);
        let (x0, x1) = (dx.max(0), (w + dx).min(w));
        let (y0, y1) = (dy.max(0), (h + dy).min(h));
        if (x1 - x0) * 3 < w || (y1 - y0) * 3 < h {
            return f32::INFINITY;
        }
        let n = (x1 - x0) as usize;
        let mut sum = 0.0;
        for y in y0..y1 {
            let a = (y * w + x0) as usize;
            let b = ((y - dy) * w + x0 - dx) as usize;
            sum += self.data[a..a + n]
                .iter()
                .zip(&before.data[b..b + n])
                .map(|(p, q)| (p - q).abs())
                .sum::<f32>();
        }
        sum / (n as f32 * (y1 - y0) as f32)
    }
}
