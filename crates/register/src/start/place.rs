use super::fit::width_px;
use super::glyphs::Glyph;
use super::numbers::{Reading, read};
use crate::evidence::{Look, look};
use crate::model::{Model, Surface};
use crate::samples::{Class, GROUPS, Sample};
use field::{RuleBook, Side};
use geometry::frame::Ground;
use geometry::{Point2, Vector2};
use picture::{GrayView, Scratch};

/// What the picture says about which yard line is which, in the labelling of the camera it was read with.
pub(super) struct Along {
    readings: Vec<Reading>,
    /// x of a place on the five-yard raster, and log odds that a line is painted there.
    lines: Vec<(f64, f64)>,
    /// Middle of a five-yard stretch, and log odds that hash marks are painted there.
    marks: Vec<(f64, f64)>,
}

/// Chance that a sample shows where paint is and where none is. From pictures; players, wear and soft focus hide paint, strokes of other
/// things pass for it.
const SHOWS: f64 = 0.75;
const CHANCE: f64 = 0.12;
/// Only paint at least this wide in the picture, px, is missed when it does not show.
const PLAIN: f64 = 0.9;
/// Most that paint which does not show may say, nats: shade, wear and soft focus hide whole stretches at once.
const MISSING: f64 = -8.0;
/// Share of number places where a number is painted and can be read.
const PAINTED: f64 = 0.8;

impl Along {
    pub fn look(m: &Model, s: &Surface, v: GrayView<'_>, glyphs: &[Glyph], scratch: &mut Scratch) -> Self {
        let book = s.book;
        let how = Look { radius: 2.5, rows: 2.5, least: 7.0, spacing: 4.0, long_only: false, smear: None };
        let (mut readings, mut lines, mut marks) = (Vec::new(), Vec::new(), Vec::new());
        for k in -12..=40 {
            let x = f64::from(k) * 5.0;
            for side in [Side::Near, Side::Far] {
                readings.extend(read(m, s, book, x, side, v, glyphs));
            }
            let odds = |samples: &[Sample], least: usize, scratch: &mut Scratch| {
                let plain: Vec<Sample> =
                    samples.iter().filter(|q| width_px(m, s, q) >= PLAIN).copied().collect();
                let seen = look(m, s, &plain, v, &how, scratch);
                (seen.expected >= least).then(|| {
                    let found = seen
                        .seen
                        .iter()
                        .filter(|e| {
                            m.project(s, e.ground).is_some_and(|p| {
                                e.normal.dot(&(e.at - p.pixel.column())).abs() < 1.3 + 0.03 * e.scale
                            })
                        })
                        .count() as f64;
                    let n = seen.expected as f64;
                    // Neighbours hide together: about three samples are one.
                    ((found * (SHOWS / CHANCE).ln() + (n - found) * ((1.0 - SHOWS) / (1.0 - CHANCE)).ln())
                        / 3.0)
                        .clamp(-6.0, 6.0)
                })
            };
            if let Some(o) = odds(&line_samples(x, book), 8, scratch) {
                lines.push((x, o));
            }
            if let Some(o) = odds(&mark_samples(x, book), 4, scratch) {
                marks.push((x + 2.5, o));
            }
        }
        Self { readings, lines, marks }
    }

    /// Log likelihood, up to a constant, when `shift` yards are added to every x.
    pub fn weigh(&self, book: RuleBook, shift: f64) -> f64 {
        let (length, ez) = (book.length(), book.end_zone());
        let (mut out, mut missing) = (0.0, 0.0);
        let mut hear = |odds: f64| {
            if odds < 0.0 {
                missing += odds;
            } else {
                out += odds;
            }
        };
        for (x, odds) in &self.lines {
            let x = x + shift;
            let painted =
                (-0.1..=length + 0.1).contains(&x) || (x + ez).abs() < 0.1 || (x - length - ez).abs() < 0.1;
            if painted {
                hear(*odds);
            }
        }
        for (x, odds) in &self.marks {
            if (0.0..=length).contains(&(x + shift)) {
                hear(0.7 * odds);
            }
        }
        out += missing.max(MISSING);
        for r in &self.readings {
            out += number(r, book, shift);
        }
        out
    }

    /// The numbers that were read plainly, in words, under a shift.
    pub fn words(&self, book: RuleBook, shift: f64) -> Vec<String> {
        self.readings
            .iter()
            .filter(|r| number(r, book, shift) > 2.0)
            .map(|r| format!("{}", book.yard_line(r.x + shift)))
            .collect()
    }

    /// Log odds that a goal line lies where the shift puts it: a line with field on one side only.
    pub fn end_in_view(&self, book: RuleBook, shift: f64) -> bool {
        let beyond = |x: f64| x < -1.0 || x > book.length() + 1.0;
        let outside = self.lines.iter().filter(|(x, o)| beyond(x + shift) && *o < -2.0).count();
        let goal = self
            .lines
            .iter()
            .any(|(x, o)| ((x + shift).abs() < 0.1 || (x + shift - book.length()).abs() < 0.1) && *o > 2.0);
        outside > 0 && goal
    }
}

/// Log likelihood of one number place under a shift, over nothing painted there.
fn number(r: &Reading, book: RuleBook, shift: f64) -> f64 {
    let x = r.x + shift;
    let at = (x / 10.0).round() * 10.0;
    let on = (x - at).abs() < 0.1 && at > 5.0 && at < book.length() - 5.0;
    if !on {
        return 0.0;
    }
    let tens = usize::from(book.yard_line(at) / 10);
    if !(1..=5).contains(&tens) {
        return 0.0;
    }
    let l = r.digits[tens - 1];
    let strongest = r.digits.iter().copied().fold(0.0, f64::max);
    let arrow = if strongest > 2.0 && (at - book.length() / 2.0).abs() > 1.0 {
        let toward = if at < book.length() / 2.0 { 1.0 } else { -1.0 };
        0.5 * toward * r.arrow
    } else {
        0.0
    };
    (PAINTED * l.exp() + 1.0 - PAINTED).ln() + arrow
}

fn base(cluster: u32) -> Sample {
    Sample {
        ground: Point2::new(0.0, 0.0),
        along: Vector2::new(0.0, 1.0),
        width: 4.0 / 36.0,
        half_extent: 0.5,
        place: 0.5,
        cluster,
        group: GROUPS,
        long: true,
        class: Class::YardLine,
        outward: None,
        repeat: 5.0,
    }
}

fn line_samples(x: f64, book: RuleBook) -> Vec<Sample> {
    let w = book.width();
    let rows = [book.hash_from_sideline(), book.far_hash()];
    (1..w as u32)
        .map(|k| f64::from(k) + 0.5)
        .filter(|y| rows.iter().all(|r| (y - r).abs() > 0.7) && *y > 1.2 && *y < w - 1.2)
        .filter(|y| {
            let inward = y.min(w - y);
            !(book.number_bottom() - 0.6..=book.number_bottom() + book.number_height() + 0.6)
                .contains(&inward)
        })
        .map(|y| Sample { ground: Point2::<Ground>::new(x, y), ..base(1) })
        .collect()
}

/// The four hash marks of both rows between two full lines.
fn mark_samples(x: f64, book: RuleBook) -> Vec<Sample> {
    let half = 0.5 * book.hash_length();
    let mut out = Vec::new();
    for y in [book.hash_from_sideline() - half, book.far_hash() + half] {
        for k in 1..5 {
            out.push(Sample {
                ground: Point2::<Ground>::new(x + f64::from(k), y),
                half_extent: 0.4 * book.hash_length(),
                long: false,
                class: Class::Mark,
                repeat: 1.0,
                ..base(10 + k)
            });
        }
    }
    out
}
