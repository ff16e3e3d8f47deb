//! From a filmed play to tracks as the product would make them, and their comparison with the truth.

use super::film::{Clip, Filmed};
use super::tracking::{Instant as Shown, identities};
use field::RuleBook;
use geometry::Point2;
use motion::found::{
    Proposal, PropositionInput, Side, SightErrors, SpottedView, follow, propose, sides, spots,
};
use motion::tracks::{Running, smooth};
use motion::{Turf, ViewInput};
use picture::RgbView;
use play::{PersonId, Role, SightedFrame, Situation, Track, Unit, ViewClock};
use sighting::{EmptyFieldBuilder, Film, Finder, working_size};
use std::time::Instant;
use units::{FrameTable, Rate};

/// Everybody in every frame of a clip, and the seconds that one core took to learn the empty field and to find them.
pub fn sightings(clip: &Clip) -> (Vec<SightedFrame>, f64) {
    let mut busy = 0.0;
    let working = working_size(clip.size);
    let film = Film { size: clip.size, working, rule_book: clip.book, crown: clip.crown };
    let trusted: Vec<usize> = (0..clip.cameras.len()).filter(|&k| clip.cameras[k].quality.trusted).collect();
    let cameras: Vec<_> = trusted.iter().map(|&k| clip.cameras[k].camera).collect();
    let Some(mut builder) = EmptyFieldBuilder::new(film, &cameras) else { return (Vec::new(), busy) };
    for k in EmptyFieldBuilder::wanted(trusted.len()) {
        let p = clip.picture(trusted[k], working);
        let start = Instant::now();
        builder.add(RgbView::new(working.0, working.1, &p).expect("a working picture"), &cameras[k]);
        busy += start.elapsed().as_secs_f64();
    }
    let start = Instant::now();
    let Some(empty) = builder.finish() else { return (Vec::new(), busy) };
    let finder = Finder::new(film, empty);
    busy += start.elapsed().as_secs_f64();
    let found = trusted
        .iter()
        .map(|&k| {
            let p = clip.picture(k, working);
            let frame = RgbView::new(working.0, working.1, &p).expect("a working picture");
            let start = Instant::now();
            let bodies = finder.find(frame, &clip.cameras[k].camera);
            busy += start.elapsed().as_secs_f64();
            SightedFrame { frame: k as u32, bodies }
        })
        .collect();
    (found, busy)
}

/// What was made of a play.
pub struct Made {
    pub views: Vec<SpottedView>,
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
            let seen = t.observations();
            let (a, b) = (seen.first()?.t_s, seen.last()?.t_s);
            // The clock's seconds and the film's differ by rounding.
            let (a, b) = (a - 1e-4, b + 1e-4);
            let inside: Vec<f64> = times.iter().copied().filter(|t| (a..=b).contains(t)).collect();
            smooth(&PersonId(t.id.0.clone()), &seen, &inside, &Running::default())
        })
        .collect();
    Made { views, found, sides, proposals, tracks }
}

fn table(c: &Clip) -> FrameTable {
    FrameTable::new(Rate::new(30_000, 1001).expect("positive"), (0..c.times.len() as i64).collect())
        .expect("rising ticks")
}

/// The fractional frame at which the clock reads 0.
fn snap_frame(c: &Clip) -> f64 {
    -c.times[0] / (c.times[1] - c.times[0])
}

/// Truth and tracks at every third frame time of a clip, for players that its picture shows; tracks of teams only, or all.
pub fn instants(f: &Filmed, clip: &Clip, made: &Made, all: bool) -> Vec<Shown> {
    (0..clip.times.len())
        .step_by(3)
        .map(|k| {
            let t = clip.times[k];
            let shown = |p: Point2<geometry::frame::Ground>| {
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
                .filter(|(k, _)| all || matches!(made.sides[*k], Side::Team(..)))
                .filter_map(|(k, track)| {
                    let p = track.as_ref()?.at(t)?.position;
                    shown(p).then_some((k, [p.x, p.y]))
                })
                .collect();
            Shown { truth, tracks }
        })
        .collect()
}

/// What became of the player-seconds that were not correctly followed, as counts of instants.
#[derive(Default, Clone, Copy, Debug)]
pub struct Lost {
    /// Another player's track is there.
    pub swapped: usize,
    /// A track is there that was taken for nobody of a team.
    pub nobody: usize,
    /// His own track is there and more than [`REACH`] off.
    pub astray: usize,
    /// No track is there.
    pub unseen: usize,
    /// Of all these, those with another player within an arm's length.
    pub in_piles: usize,
}

/// Why instants were lost. `everybody` are the places of all tracks, as [`instants`] without the choice of teams.
pub fn lost(instants: &[Shown], everybody: &[Shown]) -> Lost {
    let own = identities(instants, REACH);
    let apart = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
    let mut out = Lost::default();
    for (i, all) in instants.iter().zip(everybody) {
        for (g, p) in &i.truth {
            let his = own.get(g).and_then(|k| i.tracks.iter().find(|t| t.0 == *k));
            if his.is_some_and(|t| apart(t.1, *p) < REACH) {
                continue;
            }
            out.in_piles += usize::from(i.truth.iter().any(|o| o.0 != *g && apart(o.1, *p) < 1.2));
            if i.tracks.iter().any(|t| apart(t.1, *p) < REACH) {
                out.swapped += 1;
            } else if all.tracks.iter().any(|t| apart(t.1, *p) < REACH) {
                out.nobody += 1;
            } else if his.is_some() {
                out.astray += 1;
            } else {
                out.unseen += 1;
            }
        }
    }
    out
}

/// Distances between where trusted cameras and the true ones place the middle of the picture on the ground, yd.
pub fn camera_misses(clip: &Clip) -> Vec<f64> {
    let middle = Point2::new(f64::from(clip.size.0) / 2.0, f64::from(clip.size.1) / 2.0);
    let both = clip.cameras.iter().zip(&clip.truth).filter(|(c, _)| c.quality.trusted);
    both.filter_map(|(c, truth)| {
        let (a, b) = (c.camera.ground_from_pixel(middle, 0.0)?, truth.ground_from_pixel(middle, 0.0)?);
        Some(a.distance(b))
    })
    .collect()
}

/// How many of the players of `instants` single frames of the clip show, each within [`REACH`] of a sighting of his own.
pub fn sighted(clip: &Clip, made: &Made, instants: &[Shown]) -> usize {
    let Some(view) = made.views.iter().find(|v| v.view == clip.view) else { return 0 };
    let half_frame = 0.5 * (clip.times[1] - clip.times[0]);
    let mut out = 0;
    for (n, i) in instants.iter().enumerate() {
        let t = clip.times[3 * n];
        let Some((_, seen)) = view.frames.iter().find(|f| (f.0 - t).abs() < half_frame) else { continue };
        let costs: Vec<Vec<f64>> = i
            .truth
            .iter()
            .map(|(_, p)| {
                seen.iter().map(|s| (s.at.position.x - p[0]).hypot(s.at.position.y - p[1])).collect()
            })
            .collect();
        out += motion::assign(&costs, REACH).iter().flatten().count();
    }
    out
}

/// Errors of places and speeds of correctly followed men.
#[derive(Default, Clone, Debug)]
pub struct Errors {
    pub place2: f64,
    pub speed2: f64,
    pub n: f64,
    pub n_speed: f64,
    /// Distances from the truth, yd, and misses of the speed, yd/s.
    pub places: Vec<f64>,
    pub speeds: Vec<f64>,
    pub inside: f64,
    pub claims: f64,
    /// Sum of errors along x and y, yd.
    pub sum: [f64; 2],
    pub square: [f64; 2],
    /// Mean claimed variance, yd².
    pub claimed2: f64,
}

impl Errors {
    pub fn place(&self) -> f64 {
        (self.place2 / self.n).sqrt()
    }
    pub fn speed(&self) -> f64 {
        (self.speed2 / self.n_speed).sqrt()
    }
    /// The middle value; NaN of none.
    pub fn median(of: &[f64]) -> f64 {
        let mut v = of.to_vec();
        v.sort_by(f64::total_cmp);
        v.get(v.len() / 2).copied().unwrap_or(f64::NAN)
    }
    pub fn coverage(&self) -> f64 {
        100.0 * self.inside / self.claims
    }
}

/// Distance within which a track is at a man, yd: half his height.
pub const REACH: f64 = 1.0;

pub fn errors(f: &Filmed, clip: &Clip, made: &Made, instants: &[Shown], e: &mut Errors) {
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
            e.places.push(d.norm());
            e.n += 1.0;
            for (k, miss) in [d.x, d.y].into_iter().enumerate() {
                e.sum[k] += miss;
                e.square[k] += miss * miss;
            }
            for (miss, var) in [(d.x, p.position_covariance.xx), (d.y, p.position_covariance.yy)] {
                e.claims += 1.0;
                e.claimed2 += var;
                e.inside += f64::from(miss.abs() <= 1.645 * var.sqrt());
            }
            // Away from cuts: where the velocity hardly changes within a quarter of a second.
            let (before, after) = (f.stood(*g, t - 0.25).velocity, f.stood(*g, t + 0.25).velocity);
            if (after - before).norm() < 1.5 {
                let miss = p.velocity.norm() - truth.velocity.norm();
                e.speed2 += miss * miss;
                e.speeds.push(miss.abs());
                e.n_speed += 1.0;
            }
        }
    }
}

/// Which of the sides and roles were right, of the players who stood in the picture at the snap.
#[derive(Default, Clone, Copy, Debug)]
pub struct Named {
    pub asked: usize,
    pub side: usize,
    pub role: usize,
    /// Per kind of role: right, asked.
    pub passer: [usize; 2],
    pub receivers: [usize; 2],
    pub rushers: [usize; 2],
    pub deep: [usize; 2],
}

/// Compares proposals with who they were.
pub fn named(f: &Filmed, clip: &Clip, made: &Made, instants: &[Shown], n: &mut Named) {
    let own = identities(instants, REACH);
    let snap = (0..instants.len()).min_by(|a, b| clip.times[3 * a].abs().total_cmp(&clip.times[3 * b].abs()));
    let Some(snap) = snap.map(|k| &instants[k]) else { return };
    for (g, _) in &snap.truth {
        let proposal = own.get(g).and_then(|k| made.proposals.iter().find(|p| p.track == made.found[*k].id));
        let truth = f.role(*g);
        let side = proposal.is_some_and(|p| (p.person.unit == Unit::Offense) == (*g < 11));
        let role = proposal.is_some_and(|p| side && p.person.role == truth);
        n.asked += 1;
        n.side += usize::from(side);
        n.role += usize::from(role);
        let kind = match truth {
            Role::Passer => &mut n.passer,
            Role::Receiver { .. } => &mut n.receivers,
            Role::Rusher => &mut n.rushers,
            _ => continue,
        };
        kind[0] += usize::from(role);
        kind[1] += 1;
    }
    // Deep at the snap: more than nine yards beyond the line, as the proposal says it.
    for (g, place) in snap.truth.iter().filter(|t| t.0 >= 11) {
        let deep = f.direction.sign() * (place[0] - f.line_x) > 9.0;
        let said = own
            .get(g)
            .and_then(|k| made.proposals.iter().find(|p| p.track == made.found[*k].id))
            .is_some_and(|p| p.person.name == "deep");
        if deep {
            n.deep[0] += usize::from(said);
            n.deep[1] += 1;
        }
    }
}
