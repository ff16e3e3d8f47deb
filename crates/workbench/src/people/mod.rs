//! People found in film: the job that looks, the tracks that follow, and what the evaluator changes in them.

mod find;
mod paths;
mod repairs;

pub use paths::{
    FoundPath, FoundPeople, FoundState, HandPlace, PathPoint, ProposedPerson, ViewPath, ViewPoint,
};
pub use repairs::TakePeople;

use geometry::Covariance2;
use motion::found::FoundTrack;
use play::{PlayId, SightedFrame};
use std::collections::HashMap;
use std::sync::{Arc, Mutex};

/// Kind among computed things: everybody in every frame of a clip.
pub(crate) const SIGHTINGS: &str = "sightings";
/// Changes when the finding changes, so that an older program's sightings are made again.
const FINDING: u32 = 4;

/// Tracks of this run by play, with the key of what they came from.
#[derive(Default)]
pub(crate) struct FoundCache(Mutex<HashMap<PlayId, (String, Arc<Vec<FoundTrack>>)>>);

/// A clip's sightings as kept: numbers rounded to what they mean, four to a colour.
#[derive(serde::Serialize, serde::Deserialize)]
struct Kept {
    frames: Vec<KeptFrame>,
}

#[derive(serde::Serialize, serde::Deserialize)]
struct KeptFrame(u32, Vec<[f32; 16]>);

impl Kept {
    fn of(frames: &[SightedFrame]) -> Self {
        let round = |v: f64, digits: f64| ((v * digits).round() / digits) as f32;
        let body = |b: &play::Sighted| {
            let c = |c: &play::Cloth| [c.light, c.red, c.blue, c.contrast].map(|v| round(v.into(), 100.0));
            let (s, t) = (c(&b.shirt), c(&b.trousers));
            [
                round(b.foot.x, 100.0),
                round(b.foot.y, 100.0),
                round(b.foot_covariance.xx, 1000.0),
                round(b.foot_covariance.xy, 1000.0),
                round(b.foot_covariance.yy, 1000.0),
                round(b.height_px.into(), 10.0),
                round(b.seen.into(), 100.0),
                round(b.filled.into(), 100.0),
                s[0],
                s[1],
                s[2],
                s[3],
                t[0],
                t[1],
                t[2],
                t[3],
            ]
        };
        let frames = frames.iter().map(|f| KeptFrame(f.frame, f.bodies.iter().map(body).collect())).collect();
        Self { frames }
    }
    fn frames(self) -> Vec<SightedFrame> {
        let cloth = |v: &[f32]| play::Cloth { light: v[0], red: v[1], blue: v[2], contrast: v[3] };
        let body = |v: &[f32; 16]| play::Sighted {
            foot: geometry::Point2::new(v[0].into(), v[1].into()),
            foot_covariance: Covariance2 { xx: v[2].into(), xy: v[3].into(), yy: v[4].into() },
            height_px: v[5],
            seen: v[6],
            filled: v[7],
            shirt: cloth(&v[8..12]),
            trousers: cloth(&v[12..16]),
        };
        let frame = |f: &KeptFrame| SightedFrame { frame: f.0, bodies: f.1.iter().map(body).collect() };
        self.frames.iter().map(frame).collect()
    }
}
