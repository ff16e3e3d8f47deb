//! Starts without a click on simple pictures whose lettering is nobody's font (seven segments), in grey only.

mod support;

use camera::Pinhole;
use field::{Crown, RuleBook};
use geometry::{Point2, Point3};
use picture::GrayImage;
use play::View;
use register::{BallSpot, FieldModel, FrameView, KnownAboutClip, KnownStation, StartCandidate, find_field};
use support::film::{DAY, Painted, figures, frame};
use support::*;

fn view(picture: &GrayImage) -> FrameView<'_> {
    FrameView { index: 0, luma: picture.view(), colour: None }
}

/// Largest error of the field shown over a raster of the picture's lower half, yd.
fn worst(c: &StartCandidate, truth: &Pinhole, book: RuleBook) -> f64 {
    let mut worst: f64 = 0.0;
    for (x, y) in
        [(200.0, 420.0), (640.0, 420.0), (1080.0, 420.0), (200.0, 680.0), (640.0, 680.0), (1080.0, 680.0)]
    {
        let p = Point2::new(x, y);
        let Some(g) = truth.ground_from_pixel(p, 0.0).filter(|g| book.holds(*g)) else { continue };
        worst = worst.max(c.camera.camera.ground_from_pixel(p, 0.0).map_or(99.0, |m| m.distance(g)));
    }
    worst
}

fn picture(c: &Pinhole, book: RuleBook, seed: u64) -> GrayImage {
    let mut r = rng(seed);
    let people = figures(45.0, &mut r);
    frame(c, &Painted::new(book, 0.01, Crown::default(), seed), &people, 0.0, DAY, &mut r)
}

#[test]
fn a_sideline_view_names_its_yard_lines_by_itself() {
    for (book, x) in [(RuleBook::College, 40.0), (RuleBook::Professional, 68.0), (RuleBook::HighSchool, 33.0)]
    {
        let truth = sideline(x);
        let p = picture(&truth, book, 5);
        let known = KnownAboutClip { view: Some(View::Sideline), ..KnownAboutClip::default() };
        let (found, findings) = find_field(&[view(&p)], SIZE, &FieldModel::flat(book), &known);
        let first = found.first().unwrap_or_else(|| panic!("{book:?}: {findings:?}"));
        let off = worst(first, &truth, book);
        assert!(off < 0.5, "{book:?}: off by {off:.2} yd, {:.3}, {:?}", first.probability, first.grounds);
        assert!(
            first.grounds.yard_line.as_ref().is_some_and(|w| w.contains("numbers")),
            "{:?}",
            first.grounds
        );
        let total: f64 = found.iter().map(|c| c.probability).sum();
        assert!(total < 1.0 + 1e-9 && found.windows(2).all(|w| w[0].probability >= w[1].probability));
    }
}

/// Behind an end zone the two half turns look the same (rule books paint both ends alike): both are given, and neither is sure; the
/// ball's spot tells them apart.
#[test]
fn an_end_zone_view_gives_both_ends_until_something_tells() {
    let book = RuleBook::College;
    let truth = end_zone();
    let p = picture(&truth, book, 6);
    let field = FieldModel::flat(book);
    let known = KnownAboutClip { view: Some(View::EndZone), ..KnownAboutClip::default() };
    let (found, findings) = find_field(&[view(&p)], SIZE, &field, &known);
    assert!(found.len() >= 2, "{findings:?}");
    assert!((found[0].probability - found[1].probability).abs() < 1e-6 && !found[0].camera.quality.trusted);
    assert!(found[..2].iter().any(|c| worst(c, &truth, book) < 0.5));
    assert!(findings.iter().any(|f| f.code == "start-open"));
    let spot = KnownAboutClip { spot: Some(BallSpot { x: 25.0, sd: 1.0 }), ..known };
    let (found, _) = find_field(&[view(&p)], SIZE, &field, &spot);
    assert!(worst(&found[0], &truth, book) < 0.5 && found[0].probability > 0.5, "{:?}", found[0]);
    // So does the station, known from the game's other clips.
    let mut covariance = [0.0; 16];
    (covariance[0], covariance[5], covariance[10], covariance[15]) = (0.09, 0.09, 0.09, 1e-4);
    let station = KnownStation { station: truth.station, covariance };
    let placed = KnownAboutClip { spot: None, station: Some(station), ..spot };
    let (found, _) = find_field(&[view(&p)], SIZE, &field, &placed);
    assert!(worst(&found[0], &truth, book) < 0.5 && found[0].probability > 0.9, "{:?}", found[0]);
}

/// A camera beyond the far sideline is the half turn of one before the near sideline.
#[test]
fn a_camera_beyond_the_far_sideline_is_placed_there() {
    let book = RuleBook::College;
    let near = sideline(40.0);
    let p = picture(&near, book, 7);
    let known =
        KnownAboutClip { view: Some(View::Sideline), beyond: Some(true), ..KnownAboutClip::default() };
    let (found, _) = find_field(&[view(&p)], SIZE, &FieldModel::flat(book), &known);
    let c = found[0].camera.camera.pinhole().expect("a station").station.centre;
    let n = near.station.centre;
    assert!(c.distance(Point3::new(100.0 - n.x, book.width() - n.y, n.z)) < 1.5, "{c:?}");
}

#[test]
fn pictures_without_a_field_say_so() {
    let known = KnownAboutClip::default();
    let field = FieldModel::flat(RuleBook::College);
    let blank = GrayImage::filled(1280, 720, 90);
    let (found, findings) = find_field(&[view(&blank)], SIZE, &field, &known);
    assert!(found.is_empty() && findings[0].code == "no-field");
    let small = GrayImage::filled(320, 180, 90);
    let (found, findings) = find_field(&[view(&small)], SIZE, &field, &known);
    assert!(found.is_empty());
    assert_eq!(findings[0].message, "frame 0 is 320 x 180 px; the clip is 1280 x 720 px");
}
