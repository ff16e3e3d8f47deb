//! Cameras, clicks and noise with known truth.
#![allow(clippy::unwrap_used, reason = "a test may fail")]
#![allow(dead_code)]

pub mod film;

use camera::{Aim, Pinhole, Station};
use field::{Landmark, LandmarkShape, RuleBook, Side};
use geometry::frame::{Ground, Pixel};
use geometry::{Point2, Point3};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use register::{Click, PictureSize};

pub const SIZE: PictureSize = PictureSize { width: 1280, height: 720 };

/// models.md: sideline camera 37 m back and 20 m up, framing 38 yards of the field's middle.
pub fn sideline(pan_to_x: f64) -> Pinhole {
    framing(
        Point3::new(50.0, 26.7 - 37.0 / 0.9144 - 26.7 + 0.0, 20.0 / 0.9144),
        Point3::new(pan_to_x, 24.0, 0.0),
        38.0,
    )
}

/// models.md: end-zone camera 20 m behind the end line and 12 m up, framing 27 yards.
pub fn end_zone() -> Pinhole {
    framing(Point3::new(-10.0 - 20.0 / 0.9144, 26.7, 12.0 / 0.9144), Point3::new(25.0, 26.7, 0.0), 27.0)
}

fn framing(
    centre: Point3<geometry::frame::Field>,
    target: Point3<geometry::frame::Field>,
    yards: f64,
) -> Pinhole {
    let station = Station { centre, k1: 0.0, width: SIZE.width, height: SIZE.height };
    Pinhole::looking_at(station, target, f64::from(SIZE.width) * centre.distance(target) / yards)
}

pub fn shape_point(l: Landmark, book: RuleBook) -> Point2<Ground> {
    match l.shape(book).unwrap() {
        LandmarkShape::Point(p) => p,
        LandmarkShape::Line { through, .. } => through,
    }
}

pub fn rng(seed: u64) -> ChaCha8Rng {
    ChaCha8Rng::seed_from_u64(seed)
}

/// Standard normal by Box & Muller.
pub fn normal(rng: &mut ChaCha8Rng) -> f64 {
    let u: f64 = 1.0 - rng.random::<f64>();
    let v: f64 = rng.random();
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

/// A click on a point landmark, with Gaussian error.
pub fn click(c: &Pinhole, landmark: Landmark, book: RuleBook, sd: f64, rng: &mut ChaCha8Rng) -> Click {
    let q = c.pixel_from_field(shape_point(landmark, book).at_height(0.0)).expect("in front");
    Click {
        landmark,
        pixel: Point2::new(q.x + sd * normal(rng), q.y + sd * normal(rng)),
        sd_px: if sd > 0.0 { sd } else { 1.0 },
    }
}

/// A click at a ground point of a line landmark.
pub fn click_on(c: &Pinhole, landmark: Landmark, at: Point2<Ground>, sd: f64, rng: &mut ChaCha8Rng) -> Click {
    let q = c.pixel_from_field(at.at_height(0.0)).expect("in front");
    Click {
        landmark,
        pixel: Point2::new(q.x + sd * normal(rng), q.y + sd * normal(rng)),
        sd_px: if sd > 0.0 { sd } else { 1.0 },
    }
}

/// Crossings of every yard line with sidelines and hash rows.
pub fn every_crossing() -> Vec<Landmark> {
    (0..=20i16)
        .flat_map(|k| [Side::Near, Side::Far].map(|side| (5 * k, side)))
        .flat_map(|(x, side)| [Landmark::LineAtSideline { x, side }, Landmark::LineAtHash { x, side }])
        .collect()
}

/// Crossings that the camera shows.
pub fn visible_crossings(c: &Pinhole, book: RuleBook) -> Vec<Landmark> {
    let shows = |l: &Landmark| {
        c.pixel_from_field(shape_point(*l, book).at_height(0.0)).is_some_and(|q| inside(q, 4.0))
    };
    every_crossing().into_iter().filter(shows).collect()
}

pub fn inside(q: Point2<Pixel>, margin: f64) -> bool {
    q.x > margin
        && q.y > margin
        && q.x < f64::from(SIZE.width) - margin
        && q.y < f64::from(SIZE.height) - margin
}

/// Ground points on a yard grid of the field that the camera shows.
pub fn visible_ground(c: &Pinhole, step: f64) -> Vec<Point2<Ground>> {
    let mut out = Vec::new();
    let mut x = -10.0;
    while x <= 110.0 {
        let mut y = 0.0;
        while y <= 53.4 {
            let g = Point2::new(x, y);
            if c.pixel_from_field(g.at_height(0.0)).is_some_and(|q| inside(q, 0.0)) {
                out.push(g);
            }
            y += step;
        }
        x += step;
    }
    out
}

pub fn aim(pan: f64, tilt: f64, roll: f64, focal: f64) -> Aim {
    Aim { pan, tilt, roll, focal }
}
