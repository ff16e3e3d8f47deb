use field::{Markings, RuleBook, StripeKind};
use geometry::frame::Ground;
use geometry::{Point2, Vector2};

/// A place on painted chalk where the picture is probed across `along`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sample {
    /// Middle of the paint.
    pub ground: Point2<Ground>,
    /// Unit direction along the paint edge that is probed across.
    pub along: Vector2<Ground>,
    /// Painted extent across, yd.
    pub width: f64,
    /// Half the paint that is surely there along `along`, yd.
    pub half_extent: f64,
    /// Place between the stripe's ends, 0 to 1.
    pub place: f64,
    /// Samples of one painted stripe share its paint error.
    pub cluster: u32,
    /// Row of marks painted along one string, which shares that string's error; `GROUPS` and over for paint of its own.
    pub group: u8,
    /// Part of a line many yards long.
    pub long: bool,
    /// What it can tell.
    pub class: Class,
    /// For the field's boundary: unit direction off the field, where some fields are painted yards wide.
    pub outward: Option<Vector2<Ground>>,
    /// Distance across to the next paint that looks the same, yd.
    pub repeat: f64,
}

/// What a kind of paint can tell; each has its own residual scale until the camera has settled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Class {
    /// Lines across the field: the place along its length.
    YardLine,
    /// Sidelines: the place across.
    Sideline,
    /// Marks, crossed along the length.
    Mark,
    /// Ends of marks and crossbars: the place across.
    Row,
}

/// Clusters from here on are the ends of the mark whose cluster is as much less.
pub(crate) const ENDS: u32 = 100_000;

/// Rows of marks: near and far, inbounds line and sideline, marks crossed along the length and their ends.
pub(crate) const GROUPS: u8 = 8;

/// Everything worth probing on a field, stripe by stripe.
pub(crate) fn samples(book: RuleBook) -> Vec<Sample> {
    let m = Markings::of(book);
    let mut out = Vec::new();
    let mut cluster = 0;
    for s in &m.stripes {
        let Some(along) = (s.b - s.a).unit() else { continue };
        let length = s.a.distance(s.b);
        let across = Vector2::new(-along.y, along.x);
        let base = Sample {
            ground: s.a,
            along,
            width: s.width,
            half_extent: 0.0,
            place: 0.5,
            cluster,
            group: GROUPS,
            long: true,
            class: Class::YardLine,
            outward: None,
            repeat: 5.0,
        };
        match s.kind {
            StripeKind::YardLine | StripeKind::GoalLine => {
                line(&mut out, &base, length, 1.0, |p| near_rows(p, book) || near_digits(p, book));
            }
            StripeKind::EndLine => line(
                &mut out,
                &Sample { outward: Some(Vector2::new(if s.a.x < 0.0 { -1.0 } else { 1.0 }, 0.0)), ..base },
                length,
                1.0,
                |p| p.y < 1.0 || p.y > book.width() - 1.0,
            ),
            // Yard lines and ticks run up to the sideline; between them its inside is clear.
            StripeKind::Sideline => line(
                &mut out,
                &Sample {
                    class: Class::Sideline,
                    outward: Some(Vector2::new(0.0, if s.a.y < 1.0 { -1.0 } else { 1.0 })),
                    ..base
                },
                length,
                0.5,
                |p| {
                    off_tick(p.x) < 0.3
                        || !(1.0 - book.end_zone()..=book.length() + book.end_zone() - 1.0).contains(&p.x)
                },
            ),
            StripeKind::Hash | StripeKind::SidelineTick => {
                let middle = s.a.lerp(s.b, 0.5);
                let far = u8::from(middle.y > book.width() / 2.0);
                let row = far + 2 * u8::from(s.kind == StripeKind::SidelineTick);
                let (crossed, ends) = (Sample { group: row, ..base }, row + 4);
                if along.y.abs() < 0.5 {
                    // The crossbar on a full line: probed across on both sides of the line.
                    for side in [-0.3, 0.3] {
                        out.push(Sample {
                            ground: middle + along * (side * length),
                            half_extent: 0.12 * length,
                            long: false,
                            class: Class::Row,
                            group: ends,
                            ..base
                        });
                    }
                } else {
                    out.push(Sample {
                        ground: middle,
                        half_extent: 0.4 * length,
                        long: false,
                        class: Class::Mark,
                        repeat: 1.0,
                        ..crossed
                    });
                    // The mark's two ends, as one stripe as wide as the mark is long.
                    if s.kind == StripeKind::Hash {
                        out.push(Sample {
                            ground: middle,
                            along: across,
                            width: length,
                            place: 0.5,
                            half_extent: 0.35 * s.width,
                            cluster: cluster + ENDS,
                            outward: None,
                            group: ends,
                            long: false,
                            class: Class::Row,
                            repeat: 5.0,
                        });
                    }
                }
            }
        }
        cluster += 1;
    }
    out.sort_by_key(|s| s.cluster);
    out
}

fn line(
    out: &mut Vec<Sample>,
    base: &Sample,
    length: f64,
    spacing: f64,
    skip: impl Fn(Point2<Ground>) -> bool,
) {
    let count = (length / spacing).floor() as usize;
    for k in 0..count {
        let place = (k as f64 + 0.5) / count as f64;
        let ground = base.ground + base.along * (place * length);
        if !skip(ground) {
            out.push(Sample { ground, half_extent: 0.5 * spacing, place, ..*base });
        }
    }
}

/// Close to where other paint meets a yard line: sidelines and the crossbars on the inbounds lines.
fn near_rows(p: Point2<Ground>, book: RuleBook) -> bool {
    let w = book.width();
    [book.hash_from_sideline(), book.far_hash()].iter().any(|row| (p.y - row).abs() < 0.45)
        || p.y < 0.8
        || p.y > w - 0.8
}

/// Between the digits of a painted number, whose strokes would pass for the line's sides.
fn near_digits(p: Point2<Ground>, book: RuleBook) -> bool {
    let tens = (p.x / 10.0).round() * 10.0;
    let inward = p.y.min(book.width() - p.y);
    let (bottom, top) = (book.number_bottom(), book.number_bottom() + book.number_height());
    (p.x - tens).abs() < 1.0
        && (10.0..=book.length() - 10.0).contains(&tens)
        && (bottom - 0.4..=top + 0.4).contains(&inward)
}

/// Distance to the nearest whole yard.
fn off_tick(x: f64) -> f64 {
    (x - x.round()).abs()
}
