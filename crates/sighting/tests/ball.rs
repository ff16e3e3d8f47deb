//! A pattern that the camera pans across: nothing is seen where nothing moves.
#![allow(clippy::unwrap_used)]

use camera::{Aim, FieldCamera, Pinhole, Station};
use field::RuleBook;
use geometry::{Point2, Point3};
use picture::{RgbImage, RgbView};
use sighting::ball::{Watch, Watched};

const WIDTH: u32 = 640;
const HEIGHT: u32 = 360;

fn camera(k: usize) -> Pinhole {
    let station = Station { centre: Point3::new(50.0, -40.0, 20.0), k1: 0.0, width: WIDTH, height: HEIGHT };
    let pan = std::f64::consts::FRAC_PI_2 - 0.004 * k as f64;
    Pinhole { station, aim: Aim { pan, tilt: 0.35, roll: 0.0, focal: 900.0 } }
}

/// Brown ball `k` frames into its flight, if it flies.
fn ball(k: usize) -> Point3<geometry::frame::Field> {
    Point3::new(40.0 + 0.7 * k as f64, 25.0, 2.5)
}

fn frame(k: usize, flies: bool) -> RgbImage {
    let c = camera(k);
    let mut data = Vec::with_capacity((3 * WIDTH * HEIGHT) as usize);
    let middle = c.pixel_from_field(ball(k)).unwrap();
    for y in 0..HEIGHT {
        for x in 0..WIDTH {
            let p = Point2::new(f64::from(x) + 0.5, f64::from(y) + 0.5);
            // Grass in bands of 5 yd, so that a pan that is not undone shows.
            let band = c.ground_from_pixel(p, 0.0).map_or(0.0, |g| (g.x / 1.6).sin() * 14.0);
            let near = ((p.x - middle.x) / 4.0).hypot((p.y - middle.y) / 2.6) < 1.0;
            let rgb = if flies && near { [128.0, 74.0, 44.0] } else { [70.0, 112.0 + band, 60.0] };
            data.extend(rgb.map(|v: f64| v as u8));
        }
    }
    RgbImage::new(WIDTH, HEIGHT, data).unwrap()
}

fn watched(flies: bool) -> Vec<Watched> {
    let mut watch = Watch::new(WIDTH, WIDTH, RuleBook::College);
    (0..9)
        .filter_map(|k| {
            let picture = frame(k, flies);
            let view: RgbView<'_> = picture.view();
            watch.next(k as u32, view, Some(&FieldCamera::Pinhole(camera(k))))
        })
        .collect()
}

#[test]
fn a_pan_over_a_still_field_moves_nothing() {
    for w in watched(false) {
        assert!(w.glimpses.is_empty() && w.stir.iter().sum::<f32>() < 0.5, "{w:?}");
    }
}

#[test]
fn a_frame_without_a_camera_breaks_the_row() {
    let mut watch = Watch::new(WIDTH, WIDTH, RuleBook::College);
    let mut said = 0;
    for k in 0..8 {
        let c = FieldCamera::Pinhole(camera(k));
        let picture = frame(k, true);
        said += usize::from(watch.next(k as u32, picture.view(), (k != 4).then_some(&c)).is_some());
    }
    assert_eq!(said, 0, "four frames before the gap and three after it: five in a row are needed");
}
