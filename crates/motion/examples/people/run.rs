//! From a filmed play to tracks as the product would make them, and their comparison with the truth.

use super::film::{Clip, Filmed};
use super::tracking::{Instant, identities};
use field::RuleBook;
use motion::found::{
    Proposal, PropositionInput, Side, SightErrors, SpottedView, follow, propose, sides, spots,
};
use motion::tracks::{Running, smooth};
use motion::{Turf, ViewInput};
use picture::RgbView;
use play::{PersonId, SightedFrame, Situation, Track, View, ViewClock};
use sighting::{EmptyFieldBuilder, Film, Finder, working_size};
use units::{FrameTable, Rate};

/// Everybody in every frame of a clip.
pub fn sightings(clip: &Clip) -> Vec<SightedFrame> {
    let working = working_size(clip.size);
    let film = Film { size: clip.size, working, rule_book: clip.book, crown: clip.crown };
    let trusted: Vec<usize> = (0..clip.cameras.len()).filter(|&k| clip.cameras[k].quality.trusted).collect();
    let cameras: Vec<_> = trusted.iter().map(|&k| clip.cameras[k].camera).collect();
    let Some(mut builder) = EmptyFieldBuilder::new(film, &cameras) else { return Vec::new() };
    for k in EmptyFieldBuilder::wanted(trusted.len()) {
        let p = clip.picture(trusted[k], working);
        builder.add(RgbView::new(working.0, working.1, &p).expect("a working picture"), &cameras[k]);
    }
    let Some(empty) = builder.finish() else { return Vec::new() };
    let finder = Finder::new(film, empty);
    trusted
        .iter()
        .map(|&k| {
            let p = clip.picture(k, working);
            let frame = RgbView::new(working.0, working.1, &p).expect("a working picture");
            SightedFrame { frame: k as u32, bodies: finder.find(frame, &clip.cameras[k].camera) }
        })
        .collect()
}

/// What was made of a play.
pub struct Made {
    pub found: Vec<motion::found::FoundTrack>,
    pub sides: Vec<Side>,
    pub proposals: Vec<Proposal>,
    /// One per found track, at the frame times of the first clip.
    pub tracks: Vec<Option<Track>>,
}

pub fn make(clips: &[(&Clip, &[SightedFrame])], situation: &Situation, book: RuleBook) -> Made {
    let tables: Vec<FrameTable> = clips.iter().map(|(c, _)| table(c)).collect();
    let cameras: Vec<Vec<_>> =
        clips.iter().map(|(c, _)| c.cameras.iter().cloned().map(Some).collect()).collect();
    let inputs: Vec<ViewInput<'_>> = clips
        .iter()
        .zip(tables.iter().zip(&cameras))
        .map(|((c, _), (t, cameras))| ViewInput {
            view: c.view,
            clock: ViewClock::new(t, snap_frame(c)).expect("the snap is filmed"),
            cameras,
            first_frame: 0,
        })
        .collect();
    let views: Vec<SpottedView> = clips
        .iter()
        .zip(&inputs)
        .map(|((c, s), v)| spots(s, v, &Turf::new(c.book, c.crown.height), &SightErrors::default()))
        .collect();
    let found = follow(&views);
    let sides = sides(&found);
    let proposals = propose(&PropositionInput { tracks: &found, sides: &sides, situation, book });
    let times = &clips[0].0.times;
    let tracks = found
        .iter()
        .map(|t| {
            let (a, b) = t.span()?;
            let inside: Vec<f64> = times.iter().copied().filter(|t| (a..=b).contains(t)).collect();
            smooth(&PersonId(t.id.0.clone()), &t.observations(), &inside, &Running::default())
        })
        .collect();
    Made { found, sides, proposals, tracks }
}

fn table(c: &Clip) -> FrameTable {
    FrameTable::new(Rate::new(30_000, 1001).expect("positive"), (0..c.times.len() as i64).collect())
        .expect("rising ticks")
}

/// The fractional frame at which the clock reads 0.
fn snap_frame(c: &Clip) -> f64 {
    -c.times[0] / (c.times[1] - c.times[0])
}

/// Truth and tracks at the frame times of clip 0, for players that its picture shows.
pub fn instants(f: &Filmed, clip: &Clip, made: &Made) -> Vec<Instant> {
    (0..clip.times.len())
        .step_by(3)
        .map(|k| {
            let t = clip.times[k];
            let shown = |p: geometry::Point2<geometry::frame::Ground>| {
                clip.truth[k].pixel_from_field(p.at_height(clip.crown.at(p, clip.book) + 0.9)).is_some_and(
                    |q| {
                        q.x > 8.0
                            && q.y > 8.0
                            && q.x < f64::from(clip.size.0) - 8.0
                            && q.y < f64::from(clip.size.1) - 8.0
                    },
                )
            };
            let truth = (0..f.players())
                .map(|i| (i, f.stood(i, t).hips))
                .filter(|(_, p)| shown(*p))
                .map(|(i, p)| (i, [p.x, p.y]))
                .collect();
            let tracks = made
                .tracks
                .iter()
                .enumerate()
                .filter(|(k, _)| matches!(made.sides[*k], Side::Team(..)))
                .filter_map(|(k, track)| {
                    let p = track.as_ref()?.at(t)?.position;
                    shown(p).then_some((k, [p.x, p.y]))
                })
                .collect();
            Instant { truth, tracks }
        })
        .collect()
}

/// Errors of places and speeds of correctly followed men.
#[derive(Default, Clone)]
pub struct Errors {
    pub place2: f64,
    pub speed2: f64,
    pub n: f64,
    pub n_speed: f64,
    pub inside: f64,
    pub claims: f64,
    /// Mean error, yd.
    pub bias: [f64; 2],
    pub along: [f64; 2],
}

/// Distance within which a track is at a man, yd: half his height.
pub const REACH: f64 = 1.0;

pub fn errors(f: &Filmed, clip: &Clip, made: &Made, instants: &[Instant], e: &mut Errors) {
    let own = identities(instants, REACH);
    for (n, i) in instants.iter().enumerate() {
        let t = clip.times[3 * n];
        for (g, _) in &i.truth {
            let Some(p) = own.get(g).and_then(|k| made.tracks[*k].as_ref()?.at(t)) else { continue };
            let truth = f.stood(*g, t);
            let d = p.position - truth.hips;
            if d.norm() > REACH {
                continue;
            }
            e.place2 += d.dot(d);
            e.n += 1.0;
            e.bias[0] += d.x;
            e.bias[1] += d.y;
            e.along[0] += d.x * d.x;
            e.along[1] += d.y * d.y;
            for (miss, var) in [(d.x, p.position_covariance.xx), (d.y, p.position_covariance.yy)] {
                e.claims += 1.0;
                e.inside += f64::from(miss.abs() <= 1.645 * var.sqrt());
            }
            // Away from cuts: where the velocity hardly changes within a quarter of a second.
            let (before, after) = (f.stood(*g, t - 0.25).velocity, f.stood(*g, t + 0.25).velocity);
            if (after - before).norm() < 1.5 {
                let v = p.velocity - truth.velocity;
                e.speed2 += (p.velocity.norm() - truth.velocity.norm()).powi(2);
                let _ = v;
                e.n_speed += 1.0;
            }
        }
    }
}

/// Which way the views look, for tables.
pub fn word(view: View) -> &'static str {
    match view {
        View::Sideline => "sideline",
        View::EndZone => "end_zone",
    }
}
