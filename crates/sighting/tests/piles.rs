//! Men of two teams on drawn ground: who stands half behind somebody of the other team, and who stands where somebody always
//! stands.
#![allow(clippy::unwrap_used)]

use camera::{Aim, FieldCamera, Pinhole, Station};
use field::{Crown, RuleBook};
use geometry::Point2;
use geometry::frame::{Ground, Pixel};
use picture::RgbImage;
use sighting::{EmptyFieldBuilder, Film, Finder};

const WIDTH: u32 = 640;
const HEIGHT: u32 = 360;
const FRAMES: usize = 24;
/// Half a yard across an upright man's outline is a foot's breadth; a template of rectangles places him no better.
const NEAR: f64 = 0.5;
/// A man whose legs nobody sees is placed by an outline of one of a few heights, a fifth of a yard from his own: seen at 20
/// degrees below the horizon that is half a yard along the ground beside [`NEAR`].
const NEAR_HIDDEN: f64 = 1.0;

const LIGHT: [[f64; 3]; 2] = [[225.0, 222.0, 220.0], [150.0, 30.0, 40.0]];
const DARK: [[f64; 3]; 2] = [[30.0, 40.0, 130.0], [200.0, 160.0, 30.0]];

/// Where somebody stands, and his shirt and trousers.
type Man = (Point2<Ground>, [[f64; 3]; 2]);

fn camera() -> Pinhole {
    let station =
        Station { centre: geometry::Point3::new(50.0, -40.0, 20.0), k1: 0.0, width: WIDTH, height: HEIGHT };
    let aim = Aim { pan: std::f64::consts::FRAC_PI_2, tilt: 0.33, roll: 0.0, focal: 900.0 };
    Pinhole { station, aim }
}

fn draw(men: &[Man]) -> RgbImage {
    let c = camera();
    // The nearest last: he hides whom he stands before.
    let mut men: Vec<Man> = men.to_vec();
    men.sort_by(|a, b| b.0.y.total_cmp(&a.0.y));
    let placed: Vec<_> = men
        .iter()
        .map(|(g, kit)| {
            let [foot, head] = [0.0, 1.85].map(|z| c.pixel_from_field(g.at_height(z)).unwrap());
            (foot, foot.y - head.y, *kit)
        })
        .collect();
    let mut data = Vec::with_capacity((3 * WIDTH * HEIGHT) as usize);
    for y in 0..HEIGHT {
        for x in 0..WIDTH {
            let p = Point2::<Pixel>::new(f64::from(x) + 0.5, f64::from(y) + 0.5);
            let grain = f64::from((x * 7 + y * 13) % 5);
            let mut rgb = [70.0, 112.0, 60.0];
            for (foot, tall, kit) in &placed {
                let up = (foot.y - p.y) / tall;
                if (p.x - foot.x).abs() < 0.1 * tall && (0.0..1.0).contains(&up) {
                    rgb = kit[usize::from(up < 0.48)];
                }
            }
            data.extend(rgb.map(|v| (v + grain) as u8));
        }
    }
    RgbImage::new(WIDTH, HEIGHT, data).unwrap()
}

/// What is found in frame `k` of a film of `men`.
fn found(men: impl Fn(usize) -> Vec<Man>, k: usize) -> Vec<Point2<Ground>> {
    let size = (WIDTH, HEIGHT);
    let film = Film { size, working: size, rule_book: RuleBook::College, crown: Crown { height: 0.0 } };
    let c = FieldCamera::Pinhole(camera());
    let mut builder = EmptyFieldBuilder::new(film, &[c; FRAMES]).unwrap();
    for k in EmptyFieldBuilder::wanted(FRAMES) {
        builder.add(draw(&men(k)).view(), &c);
    }
    let finder = Finder::new(film, builder.finish().unwrap());
    let picture = draw(&men(k));
    let bodies = finder.find(picture.view(), &c);
    bodies.iter().map(|b| c.ground_from_pixel(b.foot, 0.0).unwrap()).collect()
}

/// Two of each team who walk about in the open.
fn walkers(k: usize) -> Vec<Man> {
    let x = 0.7 * k as f64;
    [(36.0 + x, 12.0, LIGHT), (40.0 + x, 30.0, LIGHT), (38.0 + x, 16.0, DARK), (44.0 + x, 34.0, DARK)]
        .map(|(x, y, kit)| (Point2::new(x, y), kit))
        .to_vec()
}

#[test]
fn who_stands_half_behind_the_other_team_is_found_by_his_colours() {
    let men = |k: usize| {
        let mut men = walkers(k);
        // They meet late, so that the ground under them is known.
        let y = 22.0 + 0.6 * 23usize.saturating_sub(k) as f64;
        men.push((Point2::new(50.0, y), LIGHT));
        men.push((Point2::new(50.25, y + 1.2), DARK));
        men
    };
    let seen = found(men, FRAMES - 1);
    let at = |x: f64, y: f64, near: f64| seen.iter().any(|g| g.distance(Point2::new(x, y)) < near);
    assert!(at(50.0, 22.0, NEAR), "the man in front: {seen:?}");
    assert!(at(50.25, 23.2, NEAR_HIDDEN), "the man behind: {seen:?}");
    assert_eq!(seen.len(), 6, "{seen:?}");
}

#[test]
fn where_somebody_always_stands_the_ground_is_what_lies_around() {
    // Men of both teams stand on one place in turn; nobody ever sees the grass there.
    let at = Point2::new(50.0, 24.0);
    let men = |k: usize| {
        let mut men = walkers(k);
        men.push((at, if k.is_multiple_of(2) { LIGHT } else { DARK }));
        men
    };
    for k in [4, 7, 12] {
        let seen = found(men, k);
        assert!(seen.iter().any(|g| g.distance(at) < NEAR), "frame {k}: {seen:?}");
        assert_eq!(seen.len(), 5, "frame {k}: {seen:?}");
    }
}
