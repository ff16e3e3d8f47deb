//! Small things that fly: what each frame shows that the frames before and after it, turned to the same direction, do not.
//!
//! A camera that pans and zooms in place shows the same direction at another pixel; laid over each other by that, two
//! frames differ only where something moved. The ball is gone from its place within [`APART`] frames in both directions of
//! time, and is as large as a ball is at its distance. Limbs and hands look like that too: which candidates are the ball
//! is told by the flight that they make together, not here.

mod blobs;
mod change;
mod planes;
mod turn;

pub use blobs::Glimpse;

use camera::FieldCamera;
use field::RuleBook;
use picture::RgbView;
use planes::Planes;
use std::collections::VecDeque;
use turn::Turn;

/// Frames between the pictures compared: at 30 per second a throw of 30 mph has gone a yard, three times the ball's length.
pub const APART: usize = 2;
/// Strips of the field, 5 yd of x each from the back of one end zone to the other, in which [`Watched::stir`] is summed.
pub const STRIPS: usize = 24;

/// What a frame shows in motion.
#[derive(Clone, Debug, PartialEq)]
pub struct Watched {
    /// Film frame.
    pub frame: u32,
    /// Area of the field that changed since [`APART`] frames before, as seen along the rays on the ground, yd² by strip.
    pub stir: [f32; STRIPS],
    /// What might be the ball, strongest first.
    pub glimpses: Vec<Glimpse>,
}

/// Watches a clip frame by frame.
pub struct Watch {
    scale: f64,
    book: RuleBook,
    held: VecDeque<Held>,
}

struct Held {
    frame: u32,
    camera: FieldCamera,
    planes: Planes,
}

impl Watch {
    /// Of a clip whose frames come `working` px wide and whose cameras are those of a film `film` px wide.
    pub fn new(film: u32, working: u32, book: RuleBook) -> Self {
        Self { scale: f64::from(working) / f64::from(film), book, held: VecDeque::new() }
    }
    /// The next frame in order; gives what can be said now of the frame [`APART`] before it. A frame without a camera
    /// breaks the row: what follows begins anew.
    pub fn next(
        &mut self,
        frame: u32,
        picture: RgbView<'_>,
        camera: Option<&FieldCamera>,
    ) -> Option<Watched> {
        let Some(camera) = camera else {
            self.held.clear();
            return None;
        };
        if self.held.back().is_some_and(|h| h.frame + 1 != frame) {
            self.held.clear();
        }
        self.held.push_back(Held { frame, camera: *camera, planes: Planes::of(picture) });
        if self.held.len() <= 2 * APART {
            return None;
        }
        let (before, now, after) = (&self.held[0], &self.held[APART], &self.held[2 * APART]);
        let turns = [before, after].map(|h| Turn::new(&now.camera, &h.camera, &now.planes, self.scale));
        let change = change::change(&now.planes, [(&before.planes, &turns[0]), (&after.planes, &turns[1])]);
        let watched = Watched {
            frame: now.frame,
            stir: change::stir(&change, &now.camera, self.scale, self.book),
            glimpses: blobs::glimpses(&change.both, &now.camera, self.scale),
        };
        self.held.pop_front();
        Some(watched)
    }
}
