//! Everything painted on the ground: stripes with tent-filtered edges, so that their centroids are exact in texels, and
//! shapes (numbers, arrows, emblems, lettering) through antialiased masks.

use super::colour::Yuv;
use super::font;
use super::look::Look;
use super::noise::{dice, normal};
use field::{Markings, Stripe, StripeKind};
use geometry::{Point2, Vector2, frame::Ground};
use rand_chacha::ChaCha8Rng;
use tiny_skia::{Mask, PathBuilder, Stroke, Transform};

/// Texel raster of the ground: where field point (x0, y0) is the corner of texel (0, 0).
#[derive(Clone, Copy)]
pub struct Raster {
    /// x of the first texel's corner, yd.
    pub x0: f64,
    /// y of the first texel's corner, yd.
    pub y0: f64,
    /// Texels per yard.
    pub density: f64,
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
}

impl Raster {
    /// Field point to texels.
    pub fn texel(&self, p: Point2<Ground>) -> (f64, f64) {
        ((p.x - self.x0) * self.density, (p.y - self.y0) * self.density)
    }
}

/// One thing painted.
pub enum Layer {
    /// A straight stripe.
    Stripe {
        /// Where.
        stripe: Stripe,
        /// Colour.
        colour: Yuv,
        /// How much it hides, 0 to 1.
        cover: f32,
    },
    /// Coverage in a window of the raster.
    Shape {
        /// First column of the window.
        column: usize,
        /// First row of the window.
        row: usize,
        /// Coverage.
        mask: Mask,
        /// Colour.
        colour: Yuv,
        /// How much it hides, 0 to 1.
        cover: f32,
    },
}

const WHITE: [u8; 3] = [233, 236, 228];
/// Width that rule books allow the boundary: six feet.
const BORDER_YD: f64 = 2.0;

/// The stripes as the groundsman painted them, each end off by the look's error, in the order of [`Markings::stripes`].
pub fn stripes_as_painted(look: &Look) -> Vec<Stripe> {
    let mut rng = dice(look.seed, 5);
    let sigma = look.paint_error_in / units::INCHES_PER_YARD;
    Markings::of(look.rule_book)
        .stripes
        .into_iter()
        .map(|s| {
            let Some(u) = (s.b - s.a).unit() else { return s };
            let across = Vector2::new(-u.y, u.x);
            // A short mark is painted through a stencil: it moves as a whole.
            let short = matches!(s.kind, StripeKind::Hash | StripeKind::SidelineTick);
            let (p, q) = (normal(&mut rng) * sigma, normal(&mut rng) * sigma);
            let q = if short { p } else { q };
            Stripe { a: s.a + across * p, b: s.b + across * q, ..s }
        })
        .collect()
}

/// All layers, first painted first.
pub fn layers(look: &Look, raster: &Raster) -> Vec<Layer> {
    let mut out = Vec::new();
    let brush = Brush { raster };
    let [main, second] = look.colours.map(Yuv::from_rgb);
    let white = Yuv::from_rgb(WHITE);
    let (width, length, ez) = (look.rule_book.width(), look.rule_book.length(), look.rule_book.end_zone());
    if let Some(words) = &look.end_zone_words {
        for (word, left) in words.iter().zip([-ez, length]) {
            out.extend(brush.polygon(
                &[(left, 0.0), (left + ez, 0.0), (left + ez, width), (left, width)],
                main,
                0.86,
            ));
            // Read from the field of play: the letters' feet are at the goal line.
            let (foot, up) = if left < 0.0 { (left + ez - 1.8, -1.0) } else { (left + 1.8, 1.0) };
            out.extend(brush.word(word, [foot, up], width, second));
        }
    }
    if look.midfield_emblem {
        // Between the hashes where the book keeps emblems off them (college rule 1-2-1); over them where they are close.
        let between = width / 2.0 - look.rule_book.hash_from_sideline() - 0.3;
        out.extend(brush.emblem(
            (length / 2.0, width / 2.0),
            if between > 5.0 { between.min(8.0) } else { 8.0 },
            [main, second, white],
        ));
    }
    if look.side_emblems {
        for x in [30.0, 70.0] {
            // Four smaller ones, clear of numbers and hashes.
            let y = (look.rule_book.number_bottom()
                + look.rule_book.number_height()
                + look.rule_book.hash_from_sideline())
                / 2.0;
            for y in [y, width - y] {
                out.extend(brush.emblem((x - 2.5, y), 2.6, [second, main, white]));
            }
        }
    }
    if look.wide_border {
        let b = BORDER_YD;
        for p in [
            [-ez - b, -b, length + ez + b, 0.0],
            [-ez - b, width, length + ez + b, width + b],
            [-ez - b, 0.0, -ez, width],
            [length + ez, 0.0, length + ez + b, width],
        ] {
            out.extend(brush.polygon(&[(p[0], p[1]), (p[2], p[1]), (p[2], p[3]), (p[0], p[3])], white, 0.88));
        }
    }
    if look.other_lines {
        out.extend(brush.soccer(width));
    }
    for stripe in stripes_as_painted(look) {
        out.push(Layer::Stripe { stripe, colour: white, cover: 0.93 });
    }
    let mut rng = dice(look.seed, 6);
    let m = Markings::of(look.rule_book);
    if look.numbers {
        for n in &m.numbers {
            out.extend(brush.number(n, look, &mut rng, white));
        }
    }
    if look.arrows {
        for a in &m.arrows {
            out.extend(brush.polygon(&a.corners.map(|p| (p.x, p.y)), white, 0.92));
        }
    }
    out
}

struct Brush<'a> {
    raster: &'a Raster,
}

impl Brush<'_> {
    /// A window of the raster around field points, with a texel to spare, and the transform from yards into it.
    fn window(&self, low: (f64, f64), high: (f64, f64)) -> Option<(usize, usize, Mask, Transform)> {
        let r = self.raster;
        let (ax, ay) = r.texel(Point2::new(low.0, low.1));
        let (bx, by) = r.texel(Point2::new(high.0, high.1));
        let clip = |v: f64, n: usize| (v.max(0.0) as usize).min(n);
        let (c0, r0) = (clip(ax - 2.0, r.width), clip(ay - 2.0, r.height));
        let (c1, r1) = (clip(bx + 3.0, r.width), clip(by + 3.0, r.height));
        let mask = Mask::new(c1.saturating_sub(c0) as u32, r1.saturating_sub(r0) as u32)?;
        let d = r.density;
        let place = Transform::from_row(
            d as f32,
            0.0,
            0.0,
            d as f32,
            (-r.x0 * d - c0 as f64) as f32,
            (-r.y0 * d - r0 as f64) as f32,
        );
        Some((c0, r0, mask, place))
    }
    fn polygon(&self, corners: &[(f64, f64)], colour: Yuv, cover: f32) -> Option<Layer> {
        let fold = |f: fn(f64, f64) -> f64, k: fn(&(f64, f64)) -> f64| corners.iter().map(k).reduce(f);
        let low = (fold(f64::min, |p| p.0)?, fold(f64::min, |p| p.1)?);
        let high = (fold(f64::max, |p| p.0)?, fold(f64::max, |p| p.1)?);
        let (column, row, mut mask, place) = self.window(low, high)?;
        let mut b = PathBuilder::new();
        for (i, &(x, y)) in corners.iter().enumerate() {
            if i == 0 { b.move_to(x as f32, y as f32) } else { b.line_to(x as f32, y as f32) }
        }
        b.close();
        mask.fill_path(&b.finish()?, tiny_skia::FillRule::Winding, true, place);
        Some(Layer::Shape { column, row, mask, colour, cover })
    }
    /// A number in its box, each digit in its own half, upright for the reader at its own sideline.
    fn number(&self, n: &field::Number, look: &Look, rng: &mut ChaCha8Rng, colour: Yuv) -> Option<Layer> {
        let sigma = look.paint_error_in / units::INCHES_PER_YARD;
        let shift = Vector2::new(normal(rng) * sigma, normal(rng) * sigma);
        let (bl, br, tl) = (n.bottom_left + shift, n.bottom_right + shift, n.top_left + shift);
        let tr = br + (tl - bl);
        let low = (bl.x.min(tr.x), bl.y.min(tr.y));
        let high = (bl.x.max(tr.x), bl.y.max(tr.y));
        let (column, row, mut mask, place) = self.window(low, high)?;
        let wide = look.rule_book.number_width();
        let right = (br - bl).unit()?;
        let across = right * (wide * look.number_width);
        // Narrower digits stand in the middle of their places.
        let aside = right * (0.5 * (1.0 - look.number_width) * wide);
        let up = tl - bl;
        let text = n.value.to_string();
        for (c, foot) in text.chars().zip([bl + aside, br + right * -wide + aside]) {
            let t = Transform::from_row(
                across.x as f32,
                across.y as f32,
                up.x as f32,
                up.y as f32,
                foot.x as f32,
                foot.y as f32,
            );
            font::stamp(&mut mask, c, look.number_weight as f32, t.post_concat(place));
        }
        Some(Layer::Shape { column, row, mask, colour, cover: 0.92 })
    }
    /// A word along the goal line: `foot` is x of the letters' feet, `up` the sign of x towards their heads.
    fn word(&self, word: &str, [foot, up]: [f64; 2], width: f64, colour: Yuv) -> Option<Layer> {
        let (column, row, mut mask, place) =
            self.window((foot.min(foot + up * 6.4), 2.0), (foot.max(foot + up * 6.4), width - 2.0))?;
        let n = word.chars().count().max(1) as f64;
        let pitch = ((width - 8.0) / n).min(5.6);
        for (i, c) in word.chars().enumerate() {
            // Seen from the field the text runs to the reader's right: up × right = out of the ground.
            let from_middle = (i as f64 - n / 2.0) * pitch;
            let y = width / 2.0 - up * from_middle;
            let t = Transform::from_row(
                0.0,
                (-up * pitch * 0.78) as f32,
                (up * 6.4) as f32,
                0.0,
                foot as f32,
                y as f32,
            );
            font::stamp(&mut mask, c, 0.24, t.post_concat(place));
        }
        Some(Layer::Shape { column, row, mask, colour, cover: 0.88 })
    }
    /// A lantern of our own: a ring, a six-sided body and three flames.
    fn emblem(&self, (x, y): (f64, f64), radius: f64, [main, second, white]: [Yuv; 3]) -> Vec<Layer> {
        let ring = |r: f64, colour| {
            let p: Vec<_> = (0..96)
                .map(|k| f64::from(k) * std::f64::consts::TAU / 96.0)
                .map(|a| (x + r * a.cos(), y + r * a.sin()))
                .collect();
            self.polygon(&p, colour, 0.85)
        };
        let shape = |points: &[(f64, f64)], colour| {
            let p: Vec<_> = points.iter().map(|&(u, v)| (x + u * radius, y + v * radius)).collect();
            self.polygon(&p, colour, 0.85)
        };
        let mut out: Vec<Layer> =
            [ring(radius, white), ring(radius * 0.95, main), ring(radius * 0.76, second)]
                .into_iter()
                .flatten()
                .collect();
        out.extend(shape(
            &[(-0.36, -0.5), (0.36, -0.5), (0.5, 0.12), (0.26, 0.42), (-0.26, 0.42), (-0.5, 0.12)],
            main,
        ));
        for k in [-1.0, 0.0, 1.0] {
            out.extend(shape(
                &[
                    (k * 0.26 - 0.08, -0.34),
                    (k * 0.26 + 0.08, -0.34),
                    (k * 0.26 + 0.11, 0.0),
                    (k * 0.26, 0.3 - 0.12 * f64::abs(k)),
                    (k * 0.26 - 0.11, 0.0),
                ],
                white,
            ));
        }
        out.extend(shape(&[(-0.3, 0.48), (0.3, 0.48), (0.0, 0.68)], main));
        out
    }
    /// A soccer pitch over the school's field, in yellow: halfway line, circle, penalty areas (association football,
    /// law 1: circle 10 yd, areas 18 by 44 yd, goal areas 6 by 20 yd).
    fn soccer(&self, width: f64) -> Vec<Layer> {
        let yellow = Yuv::from_rgb([205, 178, 62]);
        let mid = width / 2.0;
        let (lo, hi, near, far) = (-6.0, 106.0, mid - 30.0, mid + 30.0);
        let mut out = Vec::new();
        let mut line = |ax: f64, ay: f64, bx: f64, by: f64| {
            let stripe = Stripe {
                a: Point2::new(ax, ay),
                b: Point2::new(bx, by),
                width: 4.0 / 36.0,
                kind: StripeKind::YardLine,
            };
            out.push(Layer::Stripe { stripe, colour: yellow, cover: 0.75 });
        };
        let mut frame = |ax: f64, ay: f64, bx: f64, by: f64| {
            line(ax, ay, bx, ay);
            line(ax, by, bx, by);
            line(ax, ay, ax, by);
            line(bx, ay, bx, by);
        };
        frame(lo, near, hi, far);
        frame(lo, near, 50.0, far);
        for (goal, s) in [(lo, 1.0), (hi, -1.0)] {
            frame(goal, mid - 22.0, goal + s * 18.0, mid + 22.0);
            frame(goal, mid - 10.0, goal + s * 6.0, mid + 10.0);
        }
        if let Some((column, row, mut mask, place)) = self.window((39.0, mid - 11.0), (61.0, mid + 11.0)) {
            let circle = PathBuilder::from_circle(50.0, mid as f32, 10.0);
            let stroke = Stroke { width: 4.0 / 36.0, ..Stroke::default() };
            if let Some(p) = circle.and_then(|c| c.stroke(&stroke, 32.0)) {
                mask.fill_path(&p, tiny_skia::FillRule::EvenOdd, true, place);
            }
            out.push(Layer::Shape { column, row, mask, colour: yellow, cover: 0.75 });
        }
        out
    }
}

/// Share of a texel that a half plane covers, for a tent-shaped texel of half width 1: `d` is the edge's distance beyond
/// the texel's centre, texels.
#[inline]
fn half_plane(d: f32) -> f32 {
    let d = d.clamp(-1.0, 1.0);
    if d < 0.0 { 0.5 * (1.0 + d) * (1.0 + d) } else { 1.0 - 0.5 * (1.0 - d) * (1.0 - d) }
}

/// Share of the texel at (x, y) texels (its centre) that the stripe covers.
pub struct StripeCover {
    a: (f32, f32),
    along: (f32, f32),
    long: f32,
    half: f32,
}

impl StripeCover {
    /// Of a stripe on a raster, with the rows and columns it can touch: [first column, first row, end column, end row].
    pub fn new(s: &Stripe, r: &Raster) -> Option<(Self, [usize; 4])> {
        let u = (s.b - s.a).unit()?;
        let (a, b) = (r.texel(s.a), r.texel(s.b));
        let half = s.width / 2.0 * r.density;
        let reach = half + 2.0;
        let clip = |v: f64, n: usize| (v.max(0.0) as usize).min(n);
        let window = [
            clip(a.0.min(b.0) - reach, r.width),
            clip(a.1.min(b.1) - reach, r.height),
            clip(a.0.max(b.0) + reach + 1.0, r.width),
            clip(a.1.max(b.1) + reach + 1.0, r.height),
        ];
        let cover = Self {
            a: (a.0 as f32, a.1 as f32),
            along: (u.x as f32, u.y as f32),
            long: s.a.distance(s.b) as f32 * r.density as f32,
            half: half as f32,
        };
        Some((cover, window))
    }
    /// At a texel's centre.
    #[inline]
    pub fn at(&self, x: f32, y: f32) -> f32 {
        let (dx, dy) = (x - self.a.0, y - self.a.1);
        let s = dx * self.along.0 + dy * self.along.1;
        let d = dx * -self.along.1 + dy * self.along.0;
        let across = half_plane(self.half - d) - half_plane(-self.half - d);
        let along = half_plane(self.long - s) - half_plane(-s);
        across * along
    }
}
