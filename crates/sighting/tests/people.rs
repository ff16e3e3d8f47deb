//! Men on a field whose ground is drawn: who stands still for most of a clip is found where he stands, a shadow is nobody.
#![allow(clippy::unwrap_used)]

use camera::{Aim, FieldCamera, Pinhole, Station};
use field::{Crown, RuleBook};
use geometry::frame::Ground;
use geometry::{Point2, Vector2};
use picture::{RgbImage, RgbView};
use sighting::{EmptyFieldBuilder, Film, Finder};

const WIDTH: u32 = 640;
const HEIGHT: u32 = 360;
const FRAMES: usize = 24;
/// Frames in which the waiting man stands on one place: six in ten.
const WAITS: usize = 14;
/// Half a yard across an upright man's outline is a foot's breadth; a template of rectangles places him no better.
const NEAR: f64 = 0.5;

fn camera() -> Pinhole {
    let station =
        Station { centre: geometry::Point3::new(50.0, -40.0, 20.0), k1: 0.0, width: WIDTH, height: HEIGHT };
    let aim = Aim { pan: std::f64::consts::FRAC_PI_2, tilt: 0.33, roll: 0.0, focal: 900.0 };
    Pinhole { station, aim }
}

/// Waits on painted ground, then runs.
fn waiting(k: usize) -> Point2<Ground> {
    Point2::new(50.0 + 1.1 * k.saturating_sub(WAITS) as f64, 22.0)
}

fn running(k: usize) -> Point2<Ground> {
    Point2::new(36.0 + 0.8 * k as f64, 12.0)
}

fn frame(k: usize) -> RgbImage {
    let c = camera();
    let men = [waiting(k), running(k)].map(|g| {
        let [foot, head] = [0.0, 1.85].map(|z| c.pixel_from_field(g.at_height(z)).unwrap());
        (foot, foot.y - head.y)
    });
    let mut data = Vec::with_capacity((3 * WIDTH * HEIGHT) as usize);
    for y in 0..HEIGHT {
        for x in 0..WIDTH {
            let p = Point2::new(f64::from(x) + 0.5, f64::from(y) + 0.5);
            let g = c.ground_from_pixel(p, 0.0).unwrap();
            // A painted emblem under the waiting man, grass elsewhere.
            let painted = ((g.x - 50.0) / 6.0).hypot((g.y - 22.0) / 4.0) < 1.0;
            let grain = f64::from((x * 7 + y * 13) % 5);
            let mut rgb =
                if painted { [150.0, 60.0, 70.0] } else { [70.0, 112.0, 60.0] }.map(|v: f64| v + grain);
            // The running man's shadow lies beside him on the grass.
            let shade: Vector2<Ground> = g - running(k);
            if shade.x > 0.3 && shade.x < 2.6 && shade.y.abs() < 0.5 {
                rgb = rgb.map(|v| 0.55 * v);
            }
            let on = |(foot, tall): &(Point2<geometry::frame::Pixel>, f64)| {
                (p.x - foot.x).abs() < 0.1 * tall && p.y < foot.y && p.y > foot.y - tall
            };
            if men.iter().any(on) {
                rgb = [225.0 + grain, 225.0, 220.0];
            }
            data.extend(rgb.map(|v| v as u8));
        }
    }
    RgbImage::new(WIDTH, HEIGHT, data).unwrap()
}

#[test]
fn who_waits_most_of_the_clip_is_found_and_shadows_are_not() {
    let size = (WIDTH, HEIGHT);
    let film = Film { size, working: size, rule_book: RuleBook::College, crown: Crown { height: 0.0 } };
    let c = FieldCamera::Pinhole(camera());
    let mut builder = EmptyFieldBuilder::new(film, &[c; FRAMES]).unwrap();
    for k in EmptyFieldBuilder::wanted(FRAMES) {
        let picture = frame(k);
        let view: RgbView<'_> = picture.view();
        builder.add(view, &c);
    }
    let finder = Finder::new(film, builder.finish().unwrap());
    for k in [2, WAITS - 1, FRAMES - 2] {
        let picture = frame(k);
        let seen: Vec<Point2<Ground>> = finder
            .find(picture.view(), &c)
            .iter()
            .map(|b| c.ground_from_pixel(b.foot, 0.0).unwrap())
            .collect();
        for man in [waiting(k), running(k)] {
            assert!(seen.iter().any(|g| g.distance(man) < NEAR), "frame {k}: nobody at {man:?} but {seen:?}");
        }
        assert_eq!(seen.len(), 2, "frame {k}: {seen:?}");
    }
}
