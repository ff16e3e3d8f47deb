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

/// Length of background read on either side, px.
const SIDE: f32 = 2.5;
/// Spacing of profile samples, px.
const STEP: f32 = 0.5;
/// How far inside the picture's border profiles stay, px: half a pixel to where interpolation ends, and a little for rounding.
const EDGE: f32 = 0.51;
/// Variance of the usual blur of optics, pixels and interpolation, as far as it falls inside the window, px².
const BLUR_VARIANCE: f32 = 0.7;

impl Probe {
    /// How far from `at` the picture is read, px, beside the averaging along the stripe.
    pub fn reach(&self) -> f32 {
        self.radius + self.wing() + 1.0
    }

    /// The clearest bright stripe of about the given width within reach, its middle to a fraction of a pixel; `None` when the profile leaves the picture or nothing stands out by `least` grey levels on both sides.
    pub fn find(&self, v: GrayView<'_>, least: f32, s: &mut Scratch) -> Option<Ridge1> {
        let n = self.read(v, s)?;
        // In samples: half width of the core, where the sides begin and end.
        let core = (self.half_width.max(0.5)) / STEP;
        let (side0, side1) = self.sides();
        let window = |a: f32, b: f32| Window::new(&s.integral, n as f32 + 0.5, a, b);
        let (left, right) = (window(-side1, -side0), window(side0, side1));
        let within = window(-core, core);
        // Integral positions put sample k's centre at k + 0.5.
        let middle = n as f32 + 0.5;
        let steps = (self.radius / STEP) as i32;
        let mut best = (f32::NEG_INFINITY, 0.0);
        for k in -steps..=steps {
            let r = within.mean(k) - left.mean(k).max(right.mean(k));
            if r > best.0 {
                best = (r, middle + k as f32);
            }
        }
        if best.0 < least {
            return None;
        }
        let found =
            // Edges drawn out over the whole stripe leave no level between them.
            if self.half_width >= WIDE && 1.2 * self.half_width > self.soft { self.between_edges(s, best.1) } else { self.centroid(s, best.1) };
        let (c, sd) = found?;
        let offset = (c - middle) * STEP;
        (offset.abs() <= self.radius + 1.0).then_some(Ridge1 { offset, contrast: best.0, sd })
    }

    /// The clearest step from dark to bright along `across` within reach, by the balance of area about it; `half_width` says how far
    /// the levels on both sides must hold, at least 1.5 px. `None` as for [`Self::find`].
    pub fn find_edge(&self, v: GrayView<'_>, least: f32, s: &mut Scratch) -> Option<Ridge1> {
        let n = self.read(v, s)?;
        let mean = |a: f32, b: f32| mean_of(&s.integral, a, b);
        let soft = 0.7 * self.soft / STEP;
        let level = self.half_width.max(1.5) / STEP;
        let middle = n as f32 + 0.5;
        let window = |a: f32, b: f32| Window::new(&s.integral, middle, a, b);
        let (dark, bright) = (window(-soft - level, -soft), window(soft, soft + level));
        let steps = (self.radius / STEP) as i32;
        let (mut height, mut c) = (f32::NEG_INFINITY, middle);
        for k in -steps..=steps {
            let r = bright.mean(k) - dark.mean(k);
            if r > height {
                (height, c) = (r, middle + k as f32);
            }
        }
        if height < least {
            return None;
        }
        for _ in 0..3 {
            let dark = mean(c - soft - level, c - soft);
            height = mean(c + soft, c + soft + level) - dark;
            if height < 0.5 * least {
                return None;
            }
            let bright_length = (mean(c - soft, c + soft) - dark) * 2.0 * soft / height;
            c += (soft - bright_length).clamp(-2.0, 2.0);
        }
        let rough = self.roughness(s, c, soft, soft + level);
        let offset = (c - middle) * STEP;
        let sd = rough * (4.0 * soft * STEP).sqrt() / height;
        (offset.abs() <= self.radius + 1.0).then_some(Ridge1 { offset, contrast: height, sd })
    }

    /// Middle and its standard deviation of a thin stripe by its centroid over the backgrounds of its two sides, which may
    /// differ (mown bands meet at yard lines).
    fn centroid(&self, s: &Scratch, start: f32) -> Option<(f32, f32)> {
        let len = s.profile.len();
        let mean = |a: f32, b: f32| mean_of(&s.integral, a, b);
        let (side0, side1) = self.sides();
        let mut c = start;
        // Thrice, so that the window centres itself.
        let mut sd = 0.0;
        for _ in 0..3 {
            if c - side1 < 0.0 || c + side1 > len as f32 {
                return None;
            }
            let (left, right) = (mean(c - side1, c - side0), mean(c + side0, c + side1));
            let (lo, hi) = (c - side0, c + side0);
            let (mut mass, mut moment, mut square) = (0.0, 0.0, 0.0);
            let (first, last) = (lo.floor().max(0.0) as usize, (hi.ceil() as usize).min(len));
            for k in first..last {
                // Shares of this sample inside the window, left and right of the middle.
                let (a, b) = ((k as f32).max(lo), ((k + 1) as f32).min(hi));
                let (l, r) = ((b.min(c) - a).max(0.0), (b - a.max(c)).max(0.0));
                let x = k as f32 + 0.5 - c;
                let value = s.profile[k] * (l + r) - left * l - right * r;
                mass += value;
                moment += value * x;
                square += (l + r) * x * x;
            }
            if mass <= 0.0 {
                return None;
            }
            // Opaque paint over two greens: the half on the darker side stands out more, and the blurred step under it pulls
            // the same way; both are known from the width and the usual blur.
            let half = self.half_width / STEP;
            let pull = 0.5 * (left - right) * (half * half + BLUR_VARIANCE / (STEP * STEP));
            let shift = ((moment - pull) / mass).clamp(-2.0, 2.0);
            c += shift;
            let settled = shift.abs() < 0.01;
            let rough = self.roughness(s, c, side0, side1);
            // One independent value a pixel.
            sd = rough * (square * STEP).sqrt() / mass;
            if settled {
                break;
            }
        }
        Some((c, sd))
    }

    /// Middle of a wide stripe half-way between its edges, each where the step from side to stripe balances; what the ground does
    /// farther off does not matter.
    fn between_edges(&self, s: &Scratch, start: f32) -> Option<(f32, f32)> {
        let (soft, half) = ((0.7 * self.soft) / STEP, self.half_width / STEP);
        let level = 1.5 / STEP;
        let mut c = start;
        let mut sd = 0.0;
        for _ in 0..3 {
            let (mut middle, mut variance) = (0.0, 0.0);
            for side in [-1.0f32, 1.0] {
                let edge = c + side * half;
                let (out0, out1) = (edge + side * soft, edge + side * (soft + level));
                let (in0, in1) = (edge - side * soft, edge - side * (soft + level).min(half));
                if out1.min(in1) < 0.0 || out1.max(in1) > s.profile.len() as f32 {
                    return None;
                }
                let mean = |a: f32, b: f32| mean_of(&s.integral, a.min(b), a.max(b));
                let (outside, inside) = (mean(out0, out1), mean(in0, in1));
                let height = inside - outside;
                if height < 1.0 {
                    return None;
                }
                let filled = (mean(in0, out0) - outside) * 2.0 * soft / height;
                middle += 0.5 * (in0 + side * filled);
                variance += 0.25 * 2.0 * soft * STEP / (height * height);
            }
            c += (middle - c).clamp(-2.0, 2.0);
            let (side0, side1) = self.sides();
            let rough = self.roughness(s, c, side0, side1);
            // The levels' own noise about doubles that of the step.
            sd = rough * (2.0 * variance).sqrt();
        }
        Some((c, sd))
    }

    /// Where the sides begin and end, in samples from the middle.
    fn sides(&self) -> (f32, f32) {
        ((self.half_width + self.soft) / STEP, self.wing() / STEP)
    }

    fn wing(&self) -> f32 {
        self.half_width + self.soft + SIDE
    }

    /// The profile across, averaged along the stripe, and its running integral; how many samples lie on either side of the middle.
    /// `None` when it leaves the picture.
    fn read(&self, v: GrayView<'_>, s: &mut Scratch) -> Option<i32> {
        let n = (self.reach() / STEP).ceil() as i32;
        let end = n as f32 * STEP + self.along;
        let inside = |k: usize, size: usize| {
            let extent = end * self.across[k].abs() + self.along + EDGE;
            self.at[k] >= extent && self.at[k] + extent <= size as f32
        };
        if !(inside(0, v.width()) && inside(1, v.height())) {
            return None;
        }
        let taps = if self.along > 0.75 { 3 } else { 1 };
        let length = 2 * n as usize + 1;
        s.profile.clear();
        s.profile.resize(length, 0.0);
        let first = -n as f32 * STEP;
        for j in 0..taps {
            let u = if taps == 1 { 0.0 } else { self.along * (2.0 * j as f32 / (taps - 1) as f32 - 1.0) };
            let from = [0, 1].map(|k| self.at[k] + first * self.across[k] + u * self.direction[k]);
            v.add_line(from, self.across.map(|a| a * STEP), &mut s.profile);
        }
        s.integral.clear();
        s.integral.push(0.0);
        let mut sum = 0.0;
        for value in &mut s.profile {
            *value /= taps as f32;
            sum += *value;
            s.integral.push(sum);
        }
        Some(n)
    }

    /// Standard deviation of pixel noise on the two sides, from second differences a pixel apart.
    fn roughness(&self, s: &Scratch, c: f32, side0: f32, side1: f32) -> f32 {
        let apart = (1.0 / STEP) as usize;
        let (mut sum, mut count) = (0.0, 0.0);
        for (a, b) in [(c - side1, c - side0), (c + side0, c + side1)] {
            let (a, b) = (a.max(0.0) as usize, (b.max(0.0) as usize + 1).min(s.profile.len()));
            for w in s.profile[a.min(b)..b].windows(2 * apart + 1) {
                let d = w[0] - 2.0 * w[apart] + w[2 * apart];
                sum += d * d;
                count += 1.0;
            }
        }
        // Second differences of white noise have six times its variance; interpolation had halved it.
        if count > 0.0 { (sum / (3.0 * count) + 0.25f32).sqrt() } else { 2.0 }
    }
}

/// Stripes at least this wide to either side, px, show a level of their own between their edges.
const WIDE: f32 = 2.2;

/// Means of the profile over a window that moves by whole samples: its two ends keep their places between samples.
struct Window<'a> {
    integral: &'a [f32],
    ends: [(i32, f32); 2],
    length: f32,
}

impl<'a> Window<'a> {
    /// From `a` to `b` about `middle`, in samples.
    fn new(integral: &'a [f32], middle: f32, a: f32, b: f32) -> Self {
        let end = |x: f32| (x.floor() as i32, x - x.floor());
        Self { integral, ends: [end(middle + a), end(middle + b)], length: b - a }
    }
    /// Mean with the window moved by `k` samples, kept inside the profile.
    #[inline]
    fn mean(&self, k: i32) -> f32 {
        let last = self.integral.len() as i32 - 2;
        let [a, b] = self.ends.map(|(i, t)| {
            let i = (i + k).clamp(0, last) as usize;
            self.integral[i] + (self.integral[i + 1] - self.integral[i]) * t
        });
        (b - a) / self.length
    }
}

/// Mean of the profile between two fractional positions.
fn mean_of(integral: &[f32], a: f32, b: f32) -> f32 {
    (integral_at(integral, b) - integral_at(integral, a)) / (b - a)
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

    /// An opaque stripe of given width, exactly integrated over pixels along x, where two greens meet.
    fn striped(middle: f32, width: f32, step: f32) -> GrayImage {
        let (w, h) = (64u32, 24u32);
        let level = |x: f32| {
            if (x - middle).abs() < width / 2.0 {
                170.0
            } else if x < middle {
                60.0
            } else {
                60.0 + step
            }
        };
        let row: Vec<u8> = (0..w)
            .map(|x| {
                ((0..100).map(|k| level(x as f32 + (k as f32 + 0.5) / 100.0)).sum::<f32>() / 100.0).round()
                    as u8
            })
            .collect();
        GrayImage::new(w, h, (0..h).flat_map(|_| row.clone()).collect()).unwrap()
    }

    fn gaussian(g: GrayImage) -> GrayImage {
        let soft = crate::gaussian_blur(g.view(), 0.7);
        GrayImage::new(g.width(), g.height(), soft.data.iter().map(|v| v.round() as u8).collect()).unwrap()
    }

    fn probe(at: f32, half_width: f32) -> Probe {
        Probe {
            at: [at, 12.0],
            across: [1.0, 0.0],
            half_width,
            radius: 6.0,
            along: 2.0,
            direction: [0.0, 1.0],
            soft: 1.9,
        }
    }

    #[test]
    fn the_middle_is_found_to_a_twentieth_of_a_pixel() {
        let mut s = Scratch::default();
        for width in [1.0, 2.2, 3.7, 6.0] {
            for k in 0..10 {
                let middle = 30.0 + 0.1 * k as f32;
                for step in [0.0, 15.0] {
                    let g = gaussian(striped(middle, width, step));
                    let r = probe(32.0, width / 2.0).find(g.view(), 10.0, &mut s).unwrap();
                    assert!(
                        (32.0 + r.offset - middle).abs() < 0.05,
                        "width {width} step {step} at {middle}: {r:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_step_is_found_to_a_twentieth_of_a_pixel() {
        let mut s = Scratch::default();
        for k in 0..10 {
            let at = 30.0 + 0.1 * k as f32;
            // A stripe from `at` to beyond the picture.
            let g = gaussian(striped(at + 30.0, 60.0, 0.0));
            let r = probe(32.0, 2.0).find_edge(g.view(), 10.0, &mut s).unwrap();
            assert!((32.0 + r.offset - at).abs() < 0.05, "{at}: {r:?}");
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
