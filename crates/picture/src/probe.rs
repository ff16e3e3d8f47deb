use crate::GrayView;

/// A search for a bright stripe along a short line across it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Probe {
    /// Middle of the search, px.
    pub at: [f32; 2],
    /// Unit direction across the stripe.
    pub across: [f32; 2],
    /// Half the stripe's width across, px.
    pub half_width: f32,
    /// How far the stripe's middle may be from `at`, px.
    pub radius: f32,
    /// Half the length, px, along the stripe that is averaged into the profile.
    pub along: f32,
    /// Direction along the stripe (unit); need not be square to `across`.
    pub direction: [f32; 2],
    /// Blur beyond which the sides count as background, px.
    pub soft: f32,
}

/// A bright stripe found on a profile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ridge1 {
    /// Signed distance of the stripe's middle from the probe's, px along `across`.
    pub offset: f32,
    /// Brightness of the stripe over the brighter of its two sides, grey levels.
    pub contrast: f32,
    /// Standard deviation of `offset` from the sides' roughness, px.
    pub sd: f32,
}

/// Buffers reused from probe to probe.
#[derive(Clone, Debug, Default)]
pub struct Scratch {
    profile: Vec<f32>,
    integral: Vec<f32>,
}

/// Spacing of profile samples, px.
const STEP: f32 = 0.5;

impl Probe {
    /// The clearest bright stripe of about the given width within reach, its middle by the centroid over a straight
    /// background; `None` when the profile leaves the picture or nothing stands out by `least` grey levels on both sides.
    pub fn find(&self, v: GrayView<'_>, least: f32, s: &mut Scratch) -> Option<Ridge1> {
        let wing = self.half_width + 2.0 * self.soft + 1.0;
        let reach = self.radius + wing + 1.0;
        let n = (reach / STEP).ceil() as i32;
        let end = n as f32 * STEP + self.along;
        let (ex, ey) = (end * self.across[0].abs() + self.along, end * self.across[1].abs() + self.along);
        if self.at[0] - ex < 0.5
            || self.at[1] - ey < 0.5
            || self.at[0] + ex > v.width() as f32 - 0.5
            || self.at[1] + ey > v.height() as f32 - 0.5
        {
            return None;
        }
        self.read(v, n, s);
        let len = s.profile.len();
        let mean = |a: f32, b: f32| (integral_at(&s.integral, b) - integral_at(&s.integral, a)) / (b - a);
        // In samples: half width of the core, where the sides begin and end.
        let core = (self.half_width.max(0.5)) / STEP;
        let (side0, side1) = ((self.half_width + self.soft) / STEP, wing / STEP);
        let response = |c: f32| {
            let left = mean(c - side1, c - side0);
            let right = mean(c + side0, c + side1);
            mean(c - core, c + core) - left.max(right)
        };
        // Integral positions put sample k's centre at k + 0.5.
        let middle = n as f32 + 0.5;
        let steps = (self.radius / STEP) as i32;
        let mut best = (f32::NEG_INFINITY, 0.0);
        for k in -steps..=steps {
            let c = middle + k as f32;
            let r = response(c);
            if r > best.0 {
                best = (r, c);
            }
        }
        if best.0 < least {
            return None;
        }
        // Centroid over a straight background between the two sides, twice so that the window centres itself.
        let mut c = best.1;
        let mut sd = 0.0;
        for _ in 0..3 {
            if c - side1 < 0.0 || c + side1 > len as f32 {
                return None;
            }
            let (left, right) = (mean(c - side1, c - side0), mean(c + side0, c + side1));
            let slope = (right - left) / (side0 + side1);
            let base = 0.5 * (left + right);
            let (lo, hi) = (c - side0, c + side0);
            let (mut mass, mut moment, mut square) = (0.0, 0.0, 0.0);
            let (first, last) = (lo.floor().max(0.0) as usize, (hi.ceil() as usize).min(len));
            for k in first..last {
                // Share of this sample inside the window.
                let share = ((k + 1) as f32).min(hi) - (k as f32).max(lo);
                let x = k as f32 + 0.5 - c;
                let value = (s.profile[k] - base - slope * x) * share.max(0.0);
                mass += value;
                moment += value * x;
                square += share * x * x;
            }
            if mass <= 0.0 {
                return None;
            }
            let shift = (moment / mass).clamp(-2.0, 2.0);
            c += shift;
            let rough = self.roughness(s, c, side0, side1);
            // Neighbouring samples share pixels: about one in two is new.
            sd = rough * (square * 2.0).sqrt() / mass * STEP;
        }
        let offset = (c - middle) * STEP;
        (offset.abs() <= self.radius + 1.0).then_some(Ridge1 { offset, contrast: best.0, sd })
    }

    fn read(&self, v: GrayView<'_>, n: i32, s: &mut Scratch) {
        s.profile.clear();
        s.integral.clear();
        s.integral.push(0.0);
        let taps = if self.along > 2.5 { 5 } else if self.along > 0.75 { 3 } else { 1 };
        let mut sum = 0.0;
        for k in -n..=n {
            let t = k as f32 * STEP;
            let (x, y) = (self.at[0] + t * self.across[0], self.at[1] + t * self.across[1]);
            let mut value = 0.0;
            for j in 0..taps {
                let u = if taps == 1 { 0.0 } else { self.along * (2.0 * j as f32 / (taps - 1) as f32 - 1.0) };
                value += v.sample(x + u * self.direction[0], y + u * self.direction[1]);
            }
            value /= taps as f32;
            sum += value;
            s.profile.push(value);
            s.integral.push(sum);
        }
    }

    /// Standard deviation of neighbouring differences on the two sides, per sample.
    fn roughness(&self, s: &Scratch, c: f32, side0: f32, side1: f32) -> f32 {
        let (mut sum, mut count) = (0.0, 0.0);
        for (a, b) in [(c - side1, c - side0), (c + side0, c + side1)] {
            let (a, b) = (a.max(0.0) as usize, (b.max(0.0) as usize).min(s.profile.len()));
            for w in s.profile[a.min(b)..b].windows(3) {
                let d = w[0] - 2.0 * w[1] + w[2];
                sum += d * d;
                count += 1.0;
            }
        }
        // Second differences of white noise have six times its variance.
        if count > 0.0 { (sum / (6.0 * count) + 0.25f32).sqrt() } else { 1.0 }
    }
}

/// The running integral at a fractional position.
#[inline]
fn integral_at(integral: &[f32], x: f32) -> f32 {
    let last = (integral.len() - 1) as f32;
    let x = x.clamp(0.0, last);
    let i = (x as usize).min(integral.len() - 2);
    integral[i] + (integral[i + 1] - integral[i]) * (x - i as f32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::GrayImage;

    /// A stripe of given width, exactly integrated over pixels along x, on a sloping background.
    fn striped(middle: f32, width: f32, slope: f32) -> GrayImage {
        let (w, h) = (64u32, 24u32);
        let mut g = GrayImage::filled(w, h, 0);
        for y in 0..h as usize {
            for x in 0..w as usize {
                let (a, b) = (x as f32, x as f32 + 1.0);
                let share = (b.min(middle + width / 2.0) - a.max(middle - width / 2.0)).clamp(0.0, 1.0);
                g.data_mut()[y * w as usize + x] = (60.0 + slope * x as f32 + 100.0 * share).round() as u8;
            }
        }
        g
    }

    fn probe(at: f32, half_width: f32) -> Probe {
        Probe { at: [at, 12.0], across: [1.0, 0.0], half_width, radius: 6.0, along: 2.0, direction: [0.0, 1.0], soft: 1.0 }
    }

    #[test]
    fn the_middle_is_found_to_a_twentieth_of_a_pixel() {
        let mut s = Scratch::default();
        for width in [1.0, 2.2, 3.7, 6.0] {
            for k in 0..10 {
                let middle = 30.0 + 0.1 * k as f32;
                for slope in [0.0, 0.5] {
                    let g = striped(middle, width, slope);
                    let r = probe(32.0, width / 2.0).find(g.view(), 10.0, &mut s).unwrap();
                    assert!((32.0 + r.offset - middle).abs() < 0.05, "width {width} at {middle}: {r:?}");
                }
            }
        }
    }

    #[test]
    fn an_edge_is_not_a_stripe_and_the_border_is_not_searched() {
        let mut s = Scratch::default();
        let mut g = GrayImage::filled(64, 24, 50);
        for y in 0..24 {
            g.data_mut()[y * 64 + 30..(y + 1) * 64].fill(150);
        }
        assert!(probe(32.0, 1.5).find(g.view(), 10.0, &mut s).is_none());
        assert!(probe(4.0, 1.5).find(striped(4.0, 3.0, 0.0).view(), 10.0, &mut s).is_none());
    }
}
