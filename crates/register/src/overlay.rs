use crate::model::Model;
use crate::{FieldModel, PictureSize};
use camera::FieldCamera;
use field::{Markings, StripeKind};
use geometry::Point2;
use geometry::frame::{Ground, Pixel};

/// One line of the field as it should appear in the picture.
#[derive(Clone, Debug, PartialEq)]
pub struct GridLine {
    /// What is painted there.
    pub kind: StripeKind,
    /// For lines across the field: the yard line as read on the field, 0 to 50 (55 on a Canadian field); `None` for lines along it and end lines.
    pub yard_line: Option<u8>,
    /// x of a line across, y of a line along the field, yd.
    pub at: f64,
    /// Points in the picture, px, at most `spacing` apart on the ground; broken where it leaves the picture.
    pub points: Vec<Point2<Pixel>>,
}

/// The field's lines as polylines in the picture, clipped to it: yard lines, goal and end lines, sidelines and inbounds (hash) lines.
/// `spacing` is the ground distance between points, yd (at least 0.1); curves by distortion and crown show with a yard or two.
pub fn grid_polylines(
    camera: &FieldCamera,
    size: PictureSize,
    field: &FieldModel,
    spacing: f64,
) -> Vec<GridLine> {
    let book = field.rule_book;
    let m = Model::from_camera(camera, size.width, size.height);
    let s = field.surface();
    let spacing = spacing.max(0.1);
    let mut out = Vec::new();
    let mut draw = |kind, yard_line, at: f64, a: Point2<Ground>, b: Point2<Ground>| {
        let count = (a.distance(b) / spacing).ceil().max(1.0) as usize;
        let mut run: Vec<Point2<Pixel>> = Vec::new();
        let mut flush = |run: &mut Vec<Point2<Pixel>>| {
            if run.len() > 1 {
                out.push(GridLine { kind, yard_line, at, points: std::mem::take(run) });
            }
            run.clear();
        };
        let place = |k: usize| m.pixel(&s, a.lerp(b, k as f64 / count as f64));
        let mut before = place(0);
        for k in 1..=count {
            let now = place(k);
            match (before, now) {
                (Some(p), Some(q)) => match clipped(p, q, size) {
                    Some((p, q)) => {
                        if run.last().is_none_or(|l| l.distance(p) > 1e-6) {
                            flush(&mut run);
                            run.push(p);
                        }
                        run.push(q);
                    }
                    None => flush(&mut run),
                },
                _ => flush(&mut run),
            }
            before = now;
        }
        flush(&mut run);
    };
    for stripe in Markings::of(book).stripes {
        let across = (stripe.a.x - stripe.b.x).abs() < 1e-9;
        match stripe.kind {
            StripeKind::YardLine | StripeKind::GoalLine => {
                let x = stripe.a.x.round();
                draw(stripe.kind, Some(book.yard_line(x)), x, stripe.a, stripe.b);
            }
            StripeKind::EndLine | StripeKind::Sideline => {
                draw(stripe.kind, None, if across { stripe.a.x } else { stripe.a.y }, stripe.a, stripe.b);
            }
            StripeKind::Hash | StripeKind::SidelineTick => {}
        }
    }
    for y in [book.hash_from_sideline(), book.far_hash()] {
        draw(StripeKind::Hash, None, y, Point2::new(0.0, y), Point2::new(book.length(), y));
    }
    out
}

/// The part of a segment inside the picture (Liang & Barsky 1984, ACM Trans. Graphics 3, 1).
fn clipped(a: Point2<Pixel>, b: Point2<Pixel>, size: PictureSize) -> Option<(Point2<Pixel>, Point2<Pixel>)> {
    let d = b - a;
    let (mut t0, mut t1) = (0.0f64, 1.0f64);
    let (w, h) = (f64::from(size.width), f64::from(size.height));
    for (p, q) in [(-d.x, a.x), (d.x, w - a.x), (-d.y, a.y), (d.y, h - a.y)] {
        if p.abs() < 1e-12 {
            if q < 0.0 {
                return None;
            }
        } else if p < 0.0 {
            t0 = t0.max(q / p);
        } else {
            t1 = t1.min(q / p);
        }
    }
    (t0 < t1).then(|| (a + d * t0, a + d * t1))
}
