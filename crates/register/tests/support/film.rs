//! Simple synthetic pictures of a painted field with known cameras: supersampled chalk on textured, unevenly lit grass, upright
//! blobs for players, soft focus and noise.
#![allow(clippy::unwrap_used, reason = "a test may fail")]
#![allow(dead_code)]

use camera::Pinhole;
use field::{Crown, Markings, RuleBook};
use geometry::Point2;
use geometry::frame::Ground;
use picture::GrayImage;
use rand_chacha::ChaCha8Rng;

use super::{normal, rng};

/// A field as painted: by the book, each stripe off by the painter's error.
pub struct Painted {
    pub book: RuleBook,
    pub crown: Crown,
    /// Stripes as (middle, unit along, half length, half width), binned by whole yards of x.
    bins: Vec<Vec<Bar>>,
    numbers: Vec<Bar>,
}

#[derive(Clone, Copy)]
struct Bar {
    mid: [f64; 2],
    along: [f64; 2],
    half_length: f64,
    half_width: f64,
}

impl Bar {
    fn covers(&self, x: f64, y: f64) -> bool {
        let (dx, dy) = (x - self.mid[0], y - self.mid[1]);
        (dx * self.along[0] + dy * self.along[1]).abs() <= self.half_length
            && (dy * self.along[0] - dx * self.along[1]).abs() <= self.half_width
    }
}

impl Painted {
    /// `error` is the standard deviation of each stripe's shift across, yd.
    pub fn new(book: RuleBook, error: f64, crown: Crown, seed: u64) -> Self {
        let mut r = rng(seed);
        let mut bins = vec![Vec::new(); 130];
        let mut put = |bar: Bar, x0: f64, x1: f64| {
            for k in ((x0 - 0.3).floor() as i32 + 12).max(0)..=((x1 + 0.3).floor() as i32 + 12).min(129) {
                bins[k as usize].push(bar);
            }
        };
        let m = Markings::of(book);
        for s in &m.stripes {
            let u = (s.b - s.a).unit().unwrap();
            let shift = error * normal(&mut r);
            let mid = s.a.lerp(s.b, 0.5);
            let bar = Bar {
                mid: [mid.x - u.y * shift, mid.y + u.x * shift],
                along: [u.x, u.y],
                half_length: s.a.distance(s.b) / 2.0,
                half_width: s.width / 2.0,
            };
            put(bar, s.a.x.min(s.b.x), s.a.x.max(s.b.x));
        }
        let mut numbers = Vec::new();
        for n in &m.numbers {
            // Each digit as a seven-segment figure, six inches of paint.
            for (digit, from, to) in [(n.value / 10, 0.0, 0.4), (n.value % 10, 0.6, 1.0)] {
                for bar in segments(digit) {
                    let at = |u: f64, v: f64| {
                        let u = from + (to - from) * u;
                        let bottom = n.bottom_left.lerp(n.bottom_right, u);
                        bottom.lerp(n.top_left.lerp(n.top_right, u), v)
                    };
                    let (a, b) = (at(bar[0], bar[1]), at(bar[2], bar[3]));
                    let along = (b - a).unit().unwrap();
                    let mid = a.lerp(b, 0.5);
                    numbers.push(Bar {
                        mid: [mid.x, mid.y],
                        along: [along.x, along.y],
                        half_length: a.distance(b) / 2.0 + 0.08,
                        half_width: 0.1,
                    });
                }
            }
        }
        for bar in numbers.clone() {
            put(bar, bar.mid[0] - 1.2, bar.mid[0] + 1.2);
        }
        Self { book, crown, bins, numbers }
    }

    fn chalk(&self, x: f64, y: f64) -> bool {
        let k = x.floor() as i32 + 12;
        (0..130).contains(&k) && self.bins[k as usize].iter().any(|b| b.covers(x, y))
    }

    fn grass(&self, x: f64, y: f64) -> f64 {
        // Mown bands, clumps, and a shadow edge.
        let band = if (x / 5.0).floor() as i64 % 2 == 0 { 5.0 } else { -5.0 };
        let clump = 5.0 * (1.7 * x + 0.9 * y).sin() * (1.1 * y - 0.6 * x).cos();
        let outside = if !(-12.0..=112.0).contains(&x) || !(-1.0..=55.0).contains(&y) { -15.0 } else { 0.0 };
        78.0 + band + clump + outside
    }
}

/// Segments of a seven-segment digit as (u0, v0, u1, v1) in its box, v upward.
fn segments(digit: u8) -> Vec<[f64; 4]> {
    let all = [
        [0.1, 0.95, 0.9, 0.95],
        [0.9, 0.95, 0.9, 0.5],
        [0.9, 0.5, 0.9, 0.05],
        [0.1, 0.05, 0.9, 0.05],
        [0.1, 0.05, 0.1, 0.5],
        [0.1, 0.5, 0.1, 0.95],
        [0.1, 0.5, 0.9, 0.5],
    ];
    let on: &[usize] = match digit {
        0 => &[0, 1, 2, 3, 4, 5],
        1 => &[1, 2],
        2 => &[0, 1, 3, 4, 6],
        3 => &[0, 1, 2, 3, 6],
        4 => &[1, 2, 5, 6],
        _ => &[0, 2, 3, 5, 6],
    };
    on.iter().map(|&k| all[k]).collect()
}

/// A standing or running figure.
#[derive(Clone, Copy)]
pub struct Figure {
    pub feet: Point2<Ground>,
    pub velocity: [f64; 2],
    pub level: f64,
}

/// 22 players about the line of scrimmage at `x`, light jerseys and dark.
pub fn figures(x: f64, r: &mut ChaCha8Rng) -> Vec<Figure> {
    (0..22)
        .map(|k| Figure {
            feet: Point2::new(x + 7.0 * normal(r), 26.7 + 9.0 * normal(r)),
            velocity: [3.0 * normal(r), 2.0 * normal(r)],
            level: if k % 2 == 0 { 215.0 } else { 40.0 },
        })
        .collect()
}

/// What stands between the field and the picture.
#[derive(Clone, Copy)]
pub struct Conditions {
    pub noise: f64,
    pub blur: f32,
    /// Chalk over grass, grey levels.
    pub chalk: f64,
    /// Relative change of light across the picture.
    pub uneven: f64,
}

pub const DAY: Conditions = Conditions { noise: 2.5, blur: 0.7, chalk: 115.0, uneven: 0.25 };

/// The frame that `c` takes.
pub fn frame(
    c: &Pinhole,
    field: &Painted,
    people: &[Figure],
    time: f64,
    how: Conditions,
    r: &mut ChaCha8Rng,
) -> GrayImage {
    let (w, h) = (c.station.width as usize, c.station.height as usize);
    let mut data = vec![0.0f32; w * h];
    let origin = c.station.centre;
    let posed = c.posed();
    // A lattice whose projections on both axes are even.
    let offsets: [(f64, f64); 8] =
        std::array::from_fn(|k| ((k as f64 + 0.5) / 8.0, ((3 * k) % 8) as f64 / 8.0 + 0.0625));
    let inside = |x: f64, y: f64| {
        let d = posed.ray(Point2::new(x, y));
        let meet = |z: f64| {
            let t = (z - origin.z) / d.z;
            (origin.x + t * d.x, origin.y + t * d.y)
        };
        if d.z > -1e-3 {
            return 120.0;
        }
        let mut g = meet(0.0);
        if field.crown.height != 0.0 {
            for _ in 0..3 {
                g = meet(field.crown.at(Point2::new(g.0, g.1), field.book));
            }
        }
        if field.chalk(g.0, g.1) { 78.0 + how.chalk } else { field.grass(g.0, g.1) }
    };
    for y in 0..h {
        for x in 0..w {
            let light = 1.0 + how.uneven * ((x as f64 / w as f64) * 3.0 + (y as f64 / h as f64)).sin();
            let sum: f64 = offsets.iter().map(|(u, v)| inside(x as f64 + u, y as f64 + v)).sum();
            data[y * w + x] = (light * sum / 8.0) as f32;
        }
    }
    for p in people {
        let feet = Point2::<Ground>::new(p.feet.x + p.velocity[0] * time, p.feet.y + p.velocity[1] * time);
        let (Some(a), Some(b)) =
            (c.pixel_from_field(feet.at_height(0.0)), c.pixel_from_field(feet.at_height(1.95)))
        else {
            continue;
        };
        let tall = a.distance(b);
        let (cx, cy, rx, ry) = ((a.x + b.x) / 2.0, (a.y + b.y) / 2.0, 0.2 * tall, 0.5 * tall);
        for y in (cy - ry).max(0.0) as usize..((cy + ry).max(0.0) as usize).min(h) {
            for x in (cx - rx).max(0.0) as usize..((cx + rx).max(0.0) as usize).min(w) {
                if ((x as f64 + 0.5 - cx) / rx).powi(2) + ((y as f64 + 0.5 - cy) / ry).powi(2) < 1.0 {
                    data[y * w + x] = p.level as f32;
                }
            }
        }
    }
    let sharp =
        GrayImage::new(w as u32, h as u32, data.iter().map(|v| v.clamp(0.0, 255.0) as u8).collect()).unwrap();
    let soft = picture::gaussian_blur(sharp.view(), how.blur);
    let bytes = soft
        .data
        .iter()
        .map(|v| (f64::from(*v) + 0.5 + how.noise * normal(r)).clamp(0.0, 255.0) as u8)
        .collect();
    GrayImage::new(w as u32, h as u32, bytes).unwrap()
}
