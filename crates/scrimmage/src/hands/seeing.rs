//! What can be seen in a frame: which paint is in the picture and not behind somebody.

use super::{CLICK_SD_PX, LandmarkClick, LinedUp, click};
use crate::render::FilmTruth;
use crate::sim::dice::Dice;
use crate::sim::staged::StagedPlay;
use crate::stage::Stage;
use field::{HashEnd, Landmark, LandmarkShape, NumberCorner, RuleBook, Side};
use geometry::frame::{Field, Pixel};
use geometry::{Point2, Point3};

/// Boxes of the bodies in a frame.
pub struct Sight<'a> {
    film: &'a FilmTruth,
    frame: usize,
    /// Left, top, right, bottom in px; distance from the camera, yd; which body.
    bodies: Vec<([f64; 4], f64, usize)>,
}

impl<'a> Sight<'a> {
    /// Everybody at the instant a frame shows.
    pub fn new(stage: &StagedPlay, film: &'a FilmTruth, frame: u32, shown: f64) -> Self {
        let frame = frame as usize;
        let centre = film.frames[frame].pinhole.station.centre;
        let bodies = (0..stage.actors().len())
            .filter_map(|i| {
                let joints = stage.pose(i, shown).joints;
                let mut b = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
                for j in joints {
                    let q = film.pixel(frame, j)?;
                    b = [b[0].min(q.x), b[1].min(q.y), b[2].max(q.x), b[3].max(q.y)];
                }
                Some((b, centre.distance(joints[0]), i))
            })
            .collect();
        Self { film, frame, bodies }
    }
    /// Whether a body other than `own` stands before a point.
    pub fn hides(&self, p: Point3<Field>, own: Option<usize>) -> bool {
        let Some(q) = self.film.pixel(self.frame, p) else { return true };
        let far = self.film.frames[self.frame].pinhole.station.centre.distance(p);
        self.bodies.iter().any(|(b, d, i)| {
            Some(*i) != own && *d < far + 0.2 && q.x > b[0] && q.x < b[2] && q.y > b[1] && q.y < b[3]
        })
    }
}

/// Points of paint that a person would click.
fn candidates() -> Vec<Landmark> {
    let mut out = Vec::new();
    for k in 0..=20i16 {
        let x = 5 * k;
        for side in [Side::Near, Side::Far] {
            out.push(Landmark::LineAtHash { x, side });
            out.push(Landmark::LineAtSideline { x, side });
            if x % 10 == 0 && (10..=90).contains(&x) {
                for corner in [
                    NumberCorner::BottomLeft,
                    NumberCorner::BottomRight,
                    NumberCorner::TopLeft,
                    NumberCorner::TopRight,
                ] {
                    out.push(Landmark::Number { x, side, corner });
                }
            }
        }
    }
    for x in 1..100i16 {
        if x % 5 != 0 {
            for side in [Side::Near, Side::Far] {
                out.push(Landmark::HashMark { x, side, end: HashEnd::Inner });
            }
        }
    }
    out
}

/// Six to ten clicks spread over the picture.
pub fn line_up(stage: &StagedPlay, film: &FilmTruth, frame: u32, book: RuleBook, dice: &mut Dice) -> LinedUp {
    let none = LinedUp { frame, clicks: Vec::new() };
    let Some(f) = film.frames.get(frame as usize) else { return none };
    let station = f.pinhole.station;
    let sight = Sight::new(stage, film, frame, f.time_s);
    let margin = 0.02 * f64::from(station.width);
    let seen: Vec<(Landmark, Point3<Field>, Point2<Pixel>)> = candidates()
        .into_iter()
        .filter_map(|l| {
            let LandmarkShape::Point(p) = l.shape(book).ok()? else { return None };
            let p = p.at_height(0.0);
            let q = film.pixel(frame as usize, p)?;
            let inside = q.x > margin
                && q.y > margin
                && q.x < f64::from(station.width) - margin
                && q.y < f64::from(station.height) - margin;
            // Paint too far away to be made out is not clicked.
            let near = film
                .pixel(frame as usize, Point3::new(p.x + 0.3, p.y, 0.0))?
                .distance(q)
                .max(film.pixel(frame as usize, Point3::new(p.x, p.y + 0.3, 0.0))?.distance(q));
            (inside && near > 3.0 && !sight.hides(p, None)).then_some((l, p, q))
        })
        .collect();
    let want = 6 + dice.below(5);
    let mut picked: Vec<usize> = Vec::new();
    while picked.len() < want {
        // The one farthest from those taken; crossings before corners before hash marks.
        let next = (0..seen.len()).filter(|k| !picked.contains(k)).max_by(|&a, &b| {
            let worth = |k: usize| {
                let apart = picked
                    .iter()
                    .map(|&p| seen[p].2.distance(seen[k].2))
                    .fold(f64::from(station.width), f64::min);
                apart
                    * match seen[k].0 {
                        Landmark::LineAtHash { .. } | Landmark::LineAtSideline { .. } => 1.0,
                        Landmark::Number { .. } => 0.8,
                        _ => 0.4,
                    }
            };
            worth(a).total_cmp(&worth(b))
        });
        let Some(k) = next else { break };
        picked.push(k);
    }
    let clicks = picked
        .into_iter()
        .filter_map(|k| {
            Some(LandmarkClick {
                landmark: seen[k].0,
                pixel: click(film, frame, seen[k].1, CLICK_SD_PX, dice)?,
            })
        })
        .collect();
    LinedUp { frame, clicks }
}
