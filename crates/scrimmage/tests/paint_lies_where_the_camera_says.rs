//! The film's one promise to its users: what is painted appears where `camera::Pinhole` projects it. Lines are measured in
//! the rendered pictures by the centroid of their brightness, with no part of the renderer.

mod stages;

use camera::{Pinhole, Station};
use field::{Markings, RuleBook, Side, Stripe, StripeKind};
use geometry::frame::{Ground, Pixel};
use geometry::{Point2, Point3};
use scrimmage::render::{Exposure, Frame, Look, Operator, Scratch, Venue, ViewSetup, expose, render_frame};
use stages::Sparse;
use units::Rate;

/// Luma between pixel centres, which lie at .5 (docs/frames.md).
fn luma(f: &Frame, x: f64, y: f64) -> Option<f64> {
    let (u, v) = (x - 0.5, y - 0.5);
    if u < 0.0 || v < 0.0 || u >= f.width as f64 - 1.0 || v >= f.height as f64 - 1.0 {
        return None;
    }
    let (i, j) = (u as usize, v as usize);
    let (a, b) = (u.fract(), v.fract());
    let l = |dx: usize, dy: usize| f64::from(f.luma(i + dx, j + dy));
    Some((l(0, 0) * (1.0 - a) + l(1, 0) * a) * (1.0 - b) + (l(0, 1) * (1.0 - a) + l(1, 1) * a) * b)
}

/// How far the bright ridge through `at` lies from it along the unit vector `across`, px.
fn offset(f: &Frame, at: Point2<Pixel>, across: (f64, f64), reach: f64) -> Option<f64> {
    let n = (reach * 10.0) as i32;
    let profile: Option<Vec<(f64, f64)>> = (-n..=n)
        .map(|k| {
            let s = f64::from(k) * 0.1;
            Some((s, luma(f, at.x + s * across.0, at.y + s * across.1)?))
        })
        .collect();
    let p = profile?;
    let ends = |r: &[(f64, f64)]| r.iter().map(|q| q.1).sum::<f64>() / r.len() as f64;
    let tail = p.len() / 5;
    let (low, high) = (ends(&p[..tail]), ends(&p[p.len() - tail..]));
    let (mut m, mut total) = (0.0, 0.0);
    for &(s, v) in &p[tail..p.len() - tail] {
        let over = v - low - (high - low) * (s + reach) / (2.0 * reach);
        m += over * s;
        total += over;
    }
    (total > 60.0).then_some(m / total)
}

/// Mean offset of a stripe's paint from its projection and its standard error, px, from points 0.25 yd apart.
fn stripe_offset(f: &Frame, c: &Pinhole, look: &Look, s: &Stripe, reach: f64) -> Option<(f64, f64)> {
    let pixel = |p: Point2<Ground>| c.pixel_from_field(look.on_crown(p.at_height(0.0)));
    let (long, along) = (s.a.distance(s.b), (s.b - s.a).unit()?);
    let mut found = Vec::new();
    let mut d = 0.5;
    while d < long - 0.5 {
        let p = s.a + along * d;
        d += 0.25;
        let (Some(q), Some(next)) = (pixel(p), pixel(p + along * 0.05)) else { continue };
        let t = next - q;
        let n = t.norm();
        // Other paint within reach would pull: keep clear of crossings.
        let crossing = s.kind == StripeKind::YardLine
            && ((p.y - look.rule_book.hash_from_sideline()).abs() < 2.0
                || (p.y - look.rule_book.far_hash()).abs() < 2.0
                || p.y < 2.0
                || p.y > look.rule_book.width() - 2.0);
        if crossing || (s.kind == StripeKind::Sideline && p.x.rem_euclid(1.0) > 0.7) {
            continue;
        }
        found.extend(offset(f, q, (-t.y / n, t.x / n), reach));
    }
    let k = found.len() as f64;
    if k < 12.0 {
        return None;
    }
    let mean = found.iter().sum::<f64>() / k;
    let sd = (found.iter().map(|o| (o - mean).powi(2)).sum::<f64>() / (k - 1.0)).sqrt();
    Some((mean, sd / k.sqrt()))
}

fn lined(book: RuleBook) -> Look {
    Look { numbers: false, arrows: false, ..Look::exact(book, 3) }
}

fn sideline(k1: f64, x: f64) -> Pinhole {
    let station = Station { centre: Point3::new(50.0, -40.46, 21.87), k1, width: 1280, height: 720 };
    let mut c = Pinhole::looking_at(station, Point3::new(x, 24.0, 0.0), 2300.0);
    c.aim.roll = 0.01;
    c
}
fn end_zone(k1: f64) -> Pinhole {
    let station = Station { centre: Point3::new(-31.87, 26.0, 13.12), k1, width: 1280, height: 720 };
    Pinhole::looking_at(station, Point3::new(32.0, 25.0, 0.0), 2600.0)
}

/// Every full line in view, in both views, flat and crowned, with and without distortion: mean offset under 0.02 px and no
/// line off by a tenth. The sharpest widths are two pixels, so a half-pixel slip of any convention would show as 0.5.
#[test]
fn lines_are_centred_on_their_projection() {
    for (book, crown_yd, k1) in [
        (RuleBook::College, 0.0, 0.0),
        (RuleBook::HighSchool, 0.30, -0.05),
        (RuleBook::Professional, 0.2, 0.03),
    ] {
        let look = Look { crown_yd, ..lined(book) };
        let venue = Venue::new(&look);
        for (camera, reach) in [(sideline(k1, 38.0), 7.0), (sideline(k1, 62.0), 7.0), (end_zone(k1), 6.0)] {
            let f = render_frame(&venue, &Sparse::empty(Point3::new(50.0, 26.0, 0.0), 38.0), &camera, 0.0);
            let mut offsets = Vec::new();
            for s in Markings::of(book).stripes.iter().filter(|s| s.kind == StripeKind::YardLine) {
                if let Some((mean, se)) = stripe_offset(&f, &camera, &look, s, reach) {
                    assert!(
                        mean.abs() < 0.10 && se < 0.05,
                        "{book:?} line x = {} off by {mean:.3} ± {se:.3} px",
                        s.a.x
                    );
                    offsets.push(mean);
                }
            }
            assert!(offsets.len() >= 5, "only {} lines in view", offsets.len());
            let mean = offsets.iter().sum::<f64>() / offsets.len() as f64;
            assert!(
                mean.abs() < 0.02,
                "{book:?} from {:?}: {mean:.3} px over {} lines",
                camera.station.centre,
                offsets.len()
            );
        }
    }
}

/// The lens's softness, the sensor's noise and a panning shutter are symmetric: they widen lines but do not move them.
#[test]
fn blur_noise_and_panning_do_not_move_lines() {
    let look = Look { soft_focus_px: 1.2, noise: 3.0, flicker: 0.02, ..lined(RuleBook::College) };
    let venue = Venue::new(&look);
    let stage = Sparse { pan_speed: 14.0, ..Sparse::empty(Point3::new(45.0, 26.0, 0.0), 38.0) };
    let mut view = ViewSetup::sideline(1280, 720, Rate::new(30, 1).unwrap(), 5);
    view.shutter_s = 1.0 / 60.0;
    let follow = view.follow(&stage);
    let e = Exposure::following(&follow, 0.5, view.shutter_s, 3);
    let slide = (e.cameras[2].aim.pan - e.cameras[0].aim.pan).abs() * e.cameras[1].aim.focal;
    assert!(slide > 3.0, "the picture should slide while the shutter is open, not {slide:.1} px");
    let f = expose(&venue, &stage, &e, &mut Scratch::default());
    let mut offsets = Vec::new();
    for s in Markings::of(RuleBook::College).stripes.iter().filter(|s| s.kind == StripeKind::YardLine) {
        if let Some((mean, se)) = stripe_offset(&f, &e.cameras[1], &look, s, 11.0) {
            assert!(mean.abs() < 0.10 + 3.0 * se, "line x = {} off by {mean:.3} ± {se:.3} px", s.a.x);
            offsets.push(mean);
        }
    }
    let mean = offsets.iter().sum::<f64>() / offsets.len() as f64;
    assert!(offsets.len() >= 4 && mean.abs() < 0.06, "{mean:.3} px over {} lines", offsets.len());
}

/// Paint error is real: the stripes the venue reports are where the picture has them, not where the book does.
#[test]
fn misplaced_paint_is_where_the_venue_says() {
    let look = Look { paint_error_in: 2.0, ..lined(RuleBook::College) };
    let venue = Venue::new(&look);
    let camera = sideline(0.0, 50.0);
    let f = render_frame(&venue, &Sparse::empty(Point3::new(50.0, 26.0, 0.0), 38.0), &camera, 0.0);
    let mut moved = 0.0f64;
    for (as_is, by_book) in venue.stripes_as_painted().iter().zip(Markings::of(RuleBook::College).stripes) {
        if as_is.kind != StripeKind::YardLine {
            continue;
        }
        if let Some((mean, se)) = stripe_offset(&f, &camera, &look, as_is, 7.0) {
            assert!(mean.abs() < 0.12 + 2.0 * se, "line x = {} off by {mean:.3} px", by_book.a.x);
            moved = moved.max(stripe_offset(&f, &camera, &look, &by_book, 7.0).map_or(0.0, |o| o.0.abs()));
        }
    }
    assert!(moved > 0.5, "two inches of error should show, at most {moved:.2} px did");
}

/// Each row of numbers is upright for a reader at its own sideline (rule 1-2-1 of the college book puts their tops 9 yd in):
/// of "20", the 2 has ink in its lower left corner and none in its upper left, and the 0 none in any corner.
#[test]
fn numbers_face_their_own_sideline() {
    let look = Look { numbers: true, ..lined(RuleBook::College) };
    let venue = Venue::new(&look);
    let station = Station { centre: Point3::new(20.0, 20.0, 60.0), k1: 0.0, width: 1280, height: 720 };
    let camera = Pinhole::looking_at(station, Point3::new(20.0, 26.0, 0.0), 700.0);
    let f = render_frame(&venue, &Sparse::empty(Point3::new(20.0, 26.0, 0.0), 38.0), &camera, 0.0);
    for n in Markings::of(RuleBook::College).numbers.iter().filter(|n| (n.x - 20.0).abs() < 1e-9) {
        let inside = |u: f64, v: f64| {
            let p = n.bottom_left + (n.bottom_right - n.bottom_left) * u + (n.top_left - n.bottom_left) * v;
            let q = camera.pixel_from_field(p.at_height(0.0)).unwrap();
            luma(&f, q.x, q.y).unwrap()
        };
        let grass = inside(0.45, 0.25); // in the gap, beside the yard line
        let (two_low, two_high) = (inside(0.05, 0.07), inside(0.015, 0.985));
        let (zero_low, zero_high) = (inside(0.99, 0.01), inside(0.99, 0.99));
        assert!(two_low > grass + 50.0, "{:?}: the 2's foot {two_low} on grass {grass}", n.side);
        for (what, v) in [("2's head", two_high), ("0's foot", zero_low), ("0's head", zero_high)] {
            assert!(v < grass + 45.0, "{:?}: the {what} corner {v} on grass {grass}", n.side);
        }
    }
    // To the sideline camera the near row is upright and the far row upside down.
    let c = sideline(0.0, 20.0);
    for n in Markings::of(RuleBook::College).numbers {
        let px = |p: Point2<Ground>| c.pixel_from_field(p.at_height(0.0)).unwrap();
        let upright = px(n.bottom_left).x < px(n.bottom_right).x && px(n.bottom_left).y > px(n.top_left).y;
        assert_eq!(upright, n.side == Side::Near);
    }
}

#[test]
fn a_still_operator_holds_still_and_a_seed_repeats() {
    let stage = Sparse { pan_speed: 5.0, ..Sparse::empty(Point3::new(45.0, 26.0, 0.0), 38.0) };
    let rate = Rate::new(30_000, 1001).unwrap();
    let mut view = ViewSetup::end_zone(RuleBook::College, true, 640, 360, rate, 9);
    let a = view.follow(&stage);
    let b = view.follow(&stage);
    assert_eq!(a.at(0.7), b.at(0.7));
    assert_ne!(a.at(0.7).aim, a.at(1.7).aim);
    view.operator = Operator::still();
    let c = view.follow(&stage);
    assert_eq!(c.at(-1.0), c.at(2.0));
    let look = Look { texels_per_yard: 12, ..Look::college_day(4) };
    let (one, two) = (Venue::new(&look), Venue::new(&look));
    let (f, g) = (render_frame(&one, &stage, &c.at(0.0), 0.3), render_frame(&two, &stage, &c.at(0.0), 0.3));
    assert!(f == g, "the same seed gives the same picture");
    let other = Venue::new(&Look { seed: 5, ..look });
    assert!(render_frame(&other, &stage, &c.at(0.0), 0.3) != f, "another seed gives another picture");
}
