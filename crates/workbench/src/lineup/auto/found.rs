use crate::lineup::ClipCameras;
use camera::CameraEstimate;
use field::RuleBook;
use geometry::Point2;
use geometry::frame::{Ground, Pixel};
use play::Finding;
use register::FrameEvidence;
use serde::{Deserialize, Serialize};

/// Which yard line is which, as against how the clip was followed: the same picture so many yards farther along, or from the other end.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub(crate) struct Reading {
    pub yards: i16,
    pub turned: bool,
}

impl Reading {
    /// Where a place as followed lies by this reading: turned first, then along.
    pub fn place(self, g: Point2<Ground>, book: RuleBook) -> Point2<Ground> {
        let g = if self.turned { Point2::new(book.length() - g.x, book.width() - g.y) } else { g };
        Point2::new(g.x + f64::from(self.yards), g.y)
    }
    /// The reading by which `from` comes to lie at `to`, when it does to within `within` yd.
    pub fn between(from: Point2<Ground>, to: Point2<Ground>, book: RuleBook, within: f64) -> Option<Self> {
        [false, true].into_iter().find_map(|turned| {
            let at = Self { yards: 0, turned }.place(from, book);
            let yards = ((to.x - at.x) / 5.0).round() * 5.0;
            let r = Self { yards: yards as i16, turned };
            (yards.abs() <= book.length() + 20.0 && r.place(from, book).distance(to) <= within).then_some(r)
        })
    }
    /// This reading, then `next` on top.
    pub fn then(self, next: Self) -> Self {
        let turned = self.turned != next.turned;
        // Turned after a shift, the shift runs the other way.
        let first = if next.turned { -self.yards } else { self.yards };
        Self { yards: first + next.yards, turned }
    }
    /// A camera as followed, read so.
    pub fn camera(self, e: &CameraEstimate, book: RuleBook) -> CameraEstimate {
        let e = if self.turned { register::turned_round(e, book) } else { e.clone() };
        if self.yards == 0 { e } else { register::shifted_along(&e, f64::from(self.yards)) }
    }
    /// Evidence read so.
    pub fn evidence(self, e: &FrameEvidence, book: RuleBook) -> FrameEvidence {
        let e = if self.turned { e.turned(book) } else { e.clone() };
        e.shifted(self.yards)
    }
}

/// What one look at one frame said of the reading.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(crate) struct Vote {
    pub frame: u32,
    /// Readings with their probabilities; the rest belongs to places that the chalk does not allow.
    pub readings: Vec<(Reading, f64)>,
    /// What settled it, in words.
    pub grounds: Option<String>,
}

/// Probability left for a reading that a look did not name.
const UNNAMED: f64 = 2e-4;

impl Vote {
    /// Log probability of a reading.
    pub fn log(&self, r: Reading) -> f64 {
        let p = self.readings.iter().filter(|v| v.0 == r).map(|v| v.1).sum::<f64>();
        p.max(UNNAMED).ln()
    }
}

/// A clip as it was found and followed by itself.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(crate) struct Found {
    /// Cameras as followed.
    pub cameras: ClipCameras,
    /// What some frames showed, for the game's camera.
    pub evidence: Vec<(u32, FrameEvidence)>,
    pub votes: Vec<Vote>,
    /// The camera moved: its frames are homographies.
    pub moves: bool,
    /// Followed from the evaluator's clicks.
    pub clicked: bool,
    /// The camera's place was known from other clips when this one was looked at.
    pub placed: bool,
    pub findings: Vec<Finding>,
}

/// A pixel low in the picture, where there is ground.
pub(super) fn foot(size: (u32, u32)) -> Point2<Pixel> {
    Point2::new(0.5 * f64::from(size.0), 0.68 * f64::from(size.1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_chain_as_places_do() {
        let book = RuleBook::College;
        let g = Point2::new(31.0, 17.0);
        for a in [Reading { yards: 5, turned: false }, Reading { yards: -10, turned: true }] {
            for b in [Reading { yards: 15, turned: true }, Reading { yards: 5, turned: false }] {
                let there = b.place(a.place(g, book), book);
                assert!(a.then(b).place(g, book).distance(there) < 1e-9, "{a:?} then {b:?}");
                assert_eq!(Reading::between(g, there, book, 0.5), Some(a.then(b)));
            }
        }
        assert_eq!(Reading::between(g, Point2::new(33.0, 17.0), book, 1.0), None);
    }
}
