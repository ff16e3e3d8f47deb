use super::fit::width_px;
use super::glyphs::Glyph;
use super::numbers::{Reading, read};
use crate::evidence::{Look, THINNEST, look};
use crate::model::{Model, Surface};
use crate::samples::{Class, GROUPS, Sample};
use field::{RuleBook, Side};
use geometry::frame::Ground;
use geometry::{Point2, Vector2};
use picture::{GrayView, GroundMask, Scratch};

/// What the picture says about which yard line is which, in the labelling of the camera it was read with.
pub(super) struct Along {
    readings: Vec<Reading>,
    /// x of a place on the five-yard raster, and log odds that a line is painted there.
    lines: Vec<(f64, f64)>,
    /// Middle of a five-yard stretch, and log odds that hash marks are painted there.
    marks: Vec<(f64, f64)>,
    /// Middle of a five-yard stretch, and the share of it that has the field's colour; empty where no colour is known.
    stretches: Vec<(f64, f64)>,
}

/// Chance that a sample shows where paint is and where none is. From pictures; players, wear and soft focus hide paint, strokes of other
/// things pass for it.
const SHOWS: f64 = 0.75;
const CHANCE: f64 = 0.12;
/// Only paint at least this wide in the picture, px, is missed when it does not show.
const PLAIN: f64 = 0.9;
/// Most that paint which does not show may say, nats: shade, wear and soft focus hide whole stretches at once.
const MISSING: f64 = -8.0;
/// A stretch is field up to here and something else (a painted end zone) from here: share of its ground that has the field's colour.
const FIELD: f64 = 0.65;
const PAINT: f64 = 0.35;
/// Nats lost by a stretch of the field that is something else (an emblem may fill a close picture), the most that all such lose, and by
/// an end zone of which one half is painted and the other is not.
const NO_FIELD: f64 = 2.0;
const NO_FIELDS: f64 = 4.0;
const HALF_PAINTED: f64 = 3.0;
/// Share of what a missing goal line says where a painted end zone begins at it: its edge hides the line.
const HIDDEN: f64 = 0.15;
/// Fewest places of a stretch that must be in the picture.
const PLACES: usize = 24;
/// Share of number places where a number is painted and can be read.
const PAINTED: f64 = 0.8;

// Weights of lines and ground were chosen on invented seasons and clips that no figure uses.
/// Most that a thin line says, nats, and the share of the next nearer one that must show for it to be missed.
const THIN: f64 = 4.0;
const NEXT_SHOWS: f64 = 0.6;
/// Least brightness of a thin line over both sides, grey levels, and the thinnest that is looked for, px.
const FAINT: f64 = 4.0;
const HAIR: f64 = 0.15;

/// How much of the paint of a place shows.
#[derive(Clone, Copy)]
struct Shown {
    found: f64,
    expected: f64,
}

impl Shown {
    /// Log odds that something is painted here, when paint shows in this share of its samples.
    fn odds(&self, shows: f64) -> f64 {
        let shows = shows.clamp(0.3, SHOWS);
        let missed = (self.expected - self.found) * ((1.0 - shows) / (1.0 - CHANCE)).ln();
        // Neighbours hide together: about three samples are one.
        ((self.found * (shows / CHANCE).ln() + missed) / 3.0).clamp(-6.0, 6.0)
    }
}

impl Along {
    /// `mask` is the field's colour, where the picture's colours are known.
    pub fn look(
        m: &Model,
        s: &Surface,
        v: GrayView<'_>,
        mask: Option<&GroundMask>,
        glyphs: &[Glyph],
        scratch: &mut Scratch,
    ) -> Self {
        let book = s.book;
        let how = Look {
            radius: 2.5,
            rows: 2.5,
            least: 7.0,
            spacing: 4.0,
            thinnest: THINNEST,
            long_only: false,
            smear: None,
        };
        let faint = Look { least: FAINT, thinnest: HAIR, ..how };
        let (mut readings, mut lines, mut marks) = (Vec::new(), Vec::new(), Vec::new());
        // x, width in the picture (of plain ones no more than that they are plain), what shows.
        let (mut thin, mut every): (Vec<(f64, f64, Shown)>, Vec<(f64, f64, Shown)>) = Default::default();
        for k in -12..=40 {
            let x = f64::from(k) * 5.0;
            for side in [Side::Near, Side::Far] {
                readings.extend(read(m, s, book, x, side, v, glyphs));
            }
            let of = |samples: &[Sample], how: &Look<'_>, least: usize, scratch: &mut Scratch| {
                let seen = look(m, s, samples, v, how, scratch);
                (seen.expected >= least).then(|| {
                    let near = seen.seen.iter().filter(|e| {
                        m.project(s, e.ground).is_some_and(|p| {
                            e.normal.dot(&(e.at - p.pixel.column())).abs() < 1.3 + 0.03 * e.scale
                        })
                    });
                    Shown { found: near.count() as f64, expected: seen.expected as f64 }
                })
            };
            let plain = |samples: &[Sample]| -> Vec<Sample> {
                samples.iter().filter(|q| width_px(m, s, q) >= PLAIN).copied().collect()
            };
            let all = line_samples(x, book);
            if let Some(o) = of(&plain(&all), &how, 8, scratch) {
                lines.push((x, o.odds(SHOWS)));
                every.push((x, PLAIN, o));
            } else if let Some(o) = of(&all, &faint, 8, scratch) {
                let width = all.iter().map(|q| width_px(m, s, q)).sum::<f64>() / all.len() as f64;
                thin.push((x, width, o));
                every.push((x, width, o));
            }
            if let Some(o) = of(&plain(&mark_samples(x, book)), &how, 4, scratch) {
                marks.push((x + 2.5, o.odds(SHOWS)));
            }
        }
        lines.extend(thin_lines(&thin, &every));
        let stretches = mask.map_or_else(Vec::new, |mask| {
            (-12..=40).map(|k| f64::from(k) * 5.0).filter_map(|x| stretch(m, s, v, mask, x)).collect()
        });
        Self { readings, lines, marks, stretches }
    }

    /// Whether the stretch about `x`, in the camera's own labelling, is the field's ground (true) or something else (false).
    fn is_field(&self, x: f64) -> Option<bool> {
        let share = self.stretches.iter().find(|t| (t.0 - x).abs() < 0.1)?.1;
        if share > FIELD { Some(true) } else { (share < PAINT).then_some(false) }
    }

    /// Log likelihood of what lies between the lines: field up to the goal lines, end zones painted whole or not at all.
    fn ground(&self, book: RuleBook, shift: f64) -> f64 {
        let (length, ez) = (book.length(), book.end_zone());
        let strange = self
            .stretches
            .iter()
            .filter(|(x, share)| (0.0..=length).contains(&(x + shift)) && *share < PAINT)
            .count();
        let mut out = -(NO_FIELD * strange as f64).min(NO_FIELDS);
        for (goal, outward) in [(0.0, -1.0), (length, 1.0)] {
            let near = self.is_field(goal + outward * 2.5 - shift);
            let far = self.is_field(goal + outward * (ez.min(10.0) - 2.5) - shift);
            if let (Some(near), Some(far)) = (near, far)
                && near != far
            {
                out -= HALF_PAINTED;
            }
        }
        out
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
            let outward = if x < length / 2.0 { -2.5 } else { 2.5 };
            let goal = x.abs() < 0.1 || (x - length).abs() < 0.1;
            if goal && *odds < 0.0 && self.is_field(x + outward - shift) == Some(false) {
                hear(HIDDEN * odds);
            } else if painted {
                hear(*odds);
            }
        }
        for (x, odds) in &self.marks {
            if (0.0..=length).contains(&(x + shift)) {
                hear(0.7 * odds);
            }
        }
        out += missing.max(MISSING) + self.ground(book, shift);
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

/// What thin lines say: x and log odds. Soft focus may hide all far lines; one is missed only where the next nearer one shows.
fn thin_lines(thin: &[(f64, f64, Shown)], every: &[(f64, f64, Shown)]) -> Vec<(f64, f64)> {
    let nearer = |x: f64, width: f64| {
        let next = every.iter().filter(|n| (n.0 - x).abs() < 5.1 && n.1 > width);
        next.map(|n| n.2.found / n.2.expected).fold(0.0, f64::max)
    };
    let said = |&(x, width, o): &(f64, f64, Shown)| {
        let next = nearer(x, width);
        let odds = o.odds(SHOWS * next).clamp(-THIN, THIN);
        (next >= NEXT_SHOWS || odds > 0.0).then_some((x, odds))
    };
    thin.iter().filter_map(said).collect()
}

/// The middle of the five yards from `x` on and the share of them in the picture that has the field's colour.
fn stretch(m: &Model, s: &Surface, v: GrayView<'_>, mask: &GroundMask, x: f64) -> Option<(f64, f64)> {
    let places = (0..26).flat_map(|j| (1..5).map(move |i| (f64::from(i), 1.0 + 2.0 * f64::from(j))));
    let (mut seen, mut field) = (0, 0);
    for (along, y) in places {
        let Some(p) = m.pixel(s, Point2::<Ground>::new(x + along, y)).filter(|p| v.contains(*p, 2.0)) else {
            continue;
        };
        seen += 1;
        field += usize::from(mask.is_bare(p.x, p.y));
    }
    (seen >= PLACES).then(|| (x + 2.5, field as f64 / seen as f64))
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

#[cfg(test)]
mod tests {
    use super::*;

    const BOOK: RuleBook = RuleBook::College;

    /// A picture from behind the low end, read `off` yards too low: thin lines show up to the last before the far goal line, whose own
    /// paint is lost in the edge of a painted end zone; behind that lies bare ground.
    fn toward_the_goal(off: f64, painted: bool) -> Along {
        let lines = (10..=20).map(|k| {
            let x = 5.0 * f64::from(k);
            (x - off, if x < 97.0 || !painted { 4.0 } else { -4.0 })
        });
        let beyond = [(102.5, !painted), (107.5, !painted), (112.5, true)];
        let ground = (10..20).map(|k| (5.0 * f64::from(k) + 2.5, true)).chain(beyond);
        let stretches = ground.map(|(x, field)| (x - off, if field { 0.85 } else { 0.05 })).collect();
        Along { readings: Vec::new(), lines: lines.collect(), marks: Vec::new(), stretches }
    }

    #[test]
    fn a_painted_end_zone_names_the_goal_line_that_its_edge_hides() {
        for off in [-10.0, 0.0, 15.0] {
            let along = toward_the_goal(off, true);
            let right = along.weigh(BOOK, off);
            for other in [-15.0, -10.0, -5.0, 5.0, 10.0, 15.0] {
                let wrong = along.weigh(BOOK, off + other);
                assert!(right - wrong > 2.0, "{other} yd beside {off}: {wrong} against {right}");
            }
        }
    }

    /// Lines that end say where the field does, whatever the colour of what lies beyond.
    #[test]
    fn the_last_line_that_shows_may_be_a_goal_line_and_none_lies_beyond() {
        let along = toward_the_goal(0.0, false);
        assert!(along.weigh(BOOK, 0.0) > along.weigh(BOOK, 5.0) + 2.0, "a line would lie in the end zone");
    }

    /// Far lines that show are news, far lines that do not are none unless the next nearer one shows.
    #[test]
    fn how_much_shows_is_told_against_how_much_should() {
        let odds = |found: f64, shows: f64| Shown { found, expected: 24.0 }.odds(shows);
        assert!(odds(20.0, SHOWS) > 4.0 && odds(2.0, SHOWS) < -4.0);
        assert!(odds(2.0, 0.4 * SHOWS) > odds(2.0, SHOWS), "paint that hardly shows is hardly missed");
    }
}
