//! Moments and the ball, proposed from what moves in the film and confirmed by the evaluator.

mod look;
mod take;
mod watch;

pub use look::{ProposalState, Proposals, ProposedBall, ProposedFlight, ProposedMoment};
pub use take::TakeProposals;

use geometry::Point2;
use motion::flight_find::Candidate;
use serde::{Deserialize, Serialize};
use sighting::ball::{STRIPS, Watched};

/// Kind among computed things: what moves in every frame of a clip.
const WATCHED: &str = "watched";
/// Kind among computed things: a play's proposals.
const PROPOSALS: &str = "proposals";
/// Changes when watching or proposing changes, so that an older program's answers are made again.
const WATCHING: u32 = 1;

/// What was watched of a clip, as kept: numbers rounded to what they mean.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
struct Kept {
    frames: Vec<KeptFrame>,
}

/// Frame; changed area by strips, yd²; candidates: x, y, half size, px of the film.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct KeptFrame(u32, [f32; STRIPS], Vec<[f32; 3]>);

impl Kept {
    fn add(&mut self, w: &Watched) {
        let round = |v: f64, parts: f64| ((v * parts).round() / parts) as f32;
        let glimpses = w
            .glimpses
            .iter()
            .map(|g| [round(g.pixel.x, 100.0), round(g.pixel.y, 100.0), round(f64::from(g.half_px), 100.0)]);
        self.frames.push(KeptFrame(w.frame, w.stir.map(|s| round(s.into(), 100.0)), glimpses.collect()));
    }
    fn candidates(&self) -> Vec<Candidate> {
        let of = |f: &KeptFrame| {
            let frame = f.0;
            let one = move |g: &[f32; 3]| Candidate {
                frame,
                pixel: Point2::new(g[0].into(), g[1].into()),
                half_px: g[2].into(),
            };
            f.2.iter().map(one).collect::<Vec<_>>()
        };
        self.frames.iter().flat_map(of).collect()
    }
    /// Changed area of each frame within two strips of `x`, or all over the field.
    fn stir(&self, x: Option<f64>) -> Vec<f64> {
        let near = match x {
            Some(x) => {
                let k = ((x + 10.0) / 5.0).clamp(0.0, (STRIPS - 1) as f64) as usize;
                k.saturating_sub(2)..(k + 3).min(STRIPS)
            }
            None => 0..STRIPS,
        };
        self.frames.iter().map(|f| f.1[near.clone()].iter().map(|s| f64::from(*s)).sum()).collect()
    }
}
