//! A scripted evaluator's hands: what a careful person would click and write for each clip, made from truth with human error by
//! seed. The end-to-end test and the demonstration drive the product with these; they are not truth.
//!
//! One JSON file per play, `<out>/hands/<stem>.json`, holding a [`PlayHands`]. Pixels are of the film's own size, corner (0, 0), first pixel's
//! centre (0.5, 0.5); frames count from 0 within a view's file; landmarks are in the serde form of [`field::Landmark`].

mod chart;
mod seeing;

pub use chart::{ChartHands, OwnCallHands, RouteHands};

use crate::render::FilmTruth;
use crate::sim::dice::Dice;
use crate::sim::game::GamePlay;
use crate::sim::plane::P3;
use crate::sim::staged::StagedPlay;
use crate::sim::world::{Job, PASSER, World};
use crate::stage::{Joint, Stage};
use crate::truth::PlayTruth;
use field::Landmark;
use geometry::frame::{Field, Pixel};
use geometry::{Point2, Point3};
use seeing::Sight;
use serde::{Deserialize, Serialize};

/// Standard deviation of a careful click, px of the film.
pub const CLICK_SD_PX: f64 = 1.0;

/// A joint this low rests on the ground, yd: the sole's thickness and a little.
pub const TOUCHING_YD: f64 = 0.04;

/// Everything done by hand for one play.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct PlayHands {
    /// Name shared by the play's files.
    pub stem: String,
    /// The two clips: file names in `<out>/film`.
    pub clips: Vec<ClipHands>,
    /// People clicked.
    pub people: Vec<PersonClick>,
    /// The ball's middle in flight.
    pub ball: Vec<BallClick>,
    /// The passer's feet at release, repeated.
    pub feet: Vec<FootClick>,
    /// The middle of the passer's hips at release, repeated.
    pub hips: Vec<HipClick>,
    /// What was written.
    pub chart: ChartHands,
    /// What the evaluator himself makes of the decision.
    pub own_call: OwnCallHands,
}

/// What was done in one clip.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct ClipHands {
    /// `sideline` or `end-zone`.
    pub view: String,
    /// File name.
    pub file: String,
    /// One or two frames with clicked paint.
    pub lined_up: Vec<LinedUp>,
    /// Frames of the moments, nearest whole frame as judged by eye.
    pub moments: MomentFrames,
}

/// Clicked paint in one frame.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct LinedUp {
    /// Frame.
    pub frame: u32,
    /// Clicks.
    pub clicks: Vec<LandmarkClick>,
}

/// A click on paint.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub struct LandmarkClick {
    /// What.
    pub landmark: Landmark,
    /// Where.
    pub pixel: Point2<Pixel>,
}

/// Frames of the moments.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub struct MomentFrames {
    /// The ball starts back.
    pub snap: u32,
    /// The last step of the drop lands.
    pub set: Option<u32>,
    /// The ball leaves the hand.
    pub release: Option<u32>,
    /// The ball reaches a hand or the ground.
    pub arrival: Option<u32>,
    /// A rusher first reaches the passer.
    pub first_contact: Option<u32>,
}

/// Where somebody stands: the ground point between his feet.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct PersonClick {
    /// Label, the same for the same man through the play: `L1`, `B`, `QB`, `CB-left` ...
    pub person: String,
    /// `offense` or `defense`.
    pub unit: String,
    /// Receiver, back, passer, rusher, cover.
    pub position: String,
    /// `left` or `right` of the ball, as the offense sees it at the snap.
    pub side: String,
    /// Shirt number as read.
    pub number: Option<u8>,
    /// View.
    pub view: String,
    /// Frame.
    pub frame: u32,
    /// Where.
    pub pixel: Point2<Pixel>,
}

/// The ball.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct BallClick {
    /// View.
    pub view: String,
    /// Frame.
    pub frame: u32,
    /// Where.
    pub pixel: Point2<Pixel>,
}

/// A foot of the passer.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct FootClick {
    /// `back` or `front`.
    pub foot: String,
    /// `toe` or `heel`.
    pub part: String,
    /// View.
    pub view: String,
    /// Frame.
    pub frame: u32,
    /// Where.
    pub pixel: Point2<Pixel>,
}

/// The passer's hips.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct HipClick {
    /// View.
    pub view: String,
    /// Frame.
    pub frame: u32,
    /// Where.
    pub pixel: Point2<Pixel>,
}

/// Works through a play as an evaluator would.
pub fn work(play: &GamePlay, stage: &StagedPlay, truth: &PlayTruth, seed: u64) -> PlayHands {
    let mut dice = Dice::new(seed.wrapping_add(u64::from(play.number) * 977), 21);
    let clips = truth
        .views
        .iter()
        .map(|v| {
            let moments = moments(&v.film, truth, &mut dice);
            let mut frames = vec![frame_near(&v.film, -0.25)];
            // A second frame where the camera has moved on.
            let later = truth.moments.arrival.or(truth.moments.release).unwrap_or(2.0);
            let second = frame_near(&v.film, later);
            if second > frames[0] + 20 {
                frames.push(second);
            }
            let lined_up = frames
                .into_iter()
                .map(|f| seeing::line_up(stage, &v.film, f, truth.rule_book, &mut dice))
                .filter(|l| l.clicks.len() >= 4)
                .collect();
            ClipHands { view: v.film.view.clone(), file: v.file.clone(), lined_up, moments }
        })
        .collect();
    let mut out = PlayHands {
        stem: truth.stem.clone(),
        clips,
        people: Vec::new(),
        ball: Vec::new(),
        feet: Vec::new(),
        hips: Vec::new(),
        chart: chart::fill(play, truth, &mut dice),
        own_call: chart::own_call(truth, &mut dice),
    };
    for v in &truth.views {
        people(stage, &v.film, truth, &mut dice, &mut out);
        ball(stage, &v.film, truth, &mut dice, &mut out);
        feet(stage, &v.film, truth, &mut dice, &mut out);
    }
    out
}

/// The frame shown nearest to an instant.
fn frame_near(film: &FilmTruth, t: f64) -> u32 {
    let k = film.frames.partition_point(|f| f.time_s < t);
    let better =
        k > 0 && (k == film.frames.len() || t - film.frames[k - 1].time_s < film.frames[k].time_s - t);
    (if better { k - 1 } else { k }) as u32
}

fn moments(film: &FilmTruth, truth: &PlayTruth, dice: &mut Dice) -> MomentFrames {
    let step = 1.0 / film.rate.per_second();
    // Judged by eye to a quarter of a frame, then taken to the nearest whole one.
    let mut judged = |t: f64| frame_near(film, t + dice.normal(0.25 * step).clamp(-0.5 * step, 0.5 * step));
    let m = &truth.moments;
    MomentFrames {
        snap: judged(m.snap),
        set: m.set.map(&mut judged),
        release: m.release.map(&mut judged),
        arrival: m.arrival.map(&mut judged),
        first_contact: m.first_contact.map(&mut judged),
    }
}

/// A click at `p`, or none when it is out of the picture.
fn click(film: &FilmTruth, frame: u32, p: Point3<Field>, sd: f64, dice: &mut Dice) -> Option<Point2<Pixel>> {
    let q = film.pixel(frame as usize, p)?;
    let station = film.frames.first()?.pinhole.station;
    let c = Point2::new(q.x + dice.normal(sd), q.y + dice.normal(sd));
    let inside = c.x > 2.0
        && c.y > 2.0
        && c.x < f64::from(station.width) - 2.0
        && c.y < f64::from(station.height) - 2.0;
    inside.then_some(c)
}

/// Whom an evaluator follows: the passer, the receivers, the defenders who come nearest to them, the rushers.
fn followed(stage: &StagedPlay, truth: &PlayTruth) -> Vec<(usize, &'static str)> {
    let men = &stage.world.men;
    let mut out = vec![(PASSER, "passer")];
    let receivers: Vec<usize> = (0..11).filter(|&i| matches!(men[i].job, Job::Run { .. })).collect();
    out.extend(receivers.iter().map(|&i| (i, if men[i].id == "off-b" { "back" } else { "receiver" })));
    let end = truth.moments.arrival.unwrap_or(truth.moments.dead);
    for t in [0.0, truth.moments.release.unwrap_or(end), end] {
        for &r in &receivers {
            let at = |i: usize| stage.figures[i].track.at(t).at;
            let near = (11..22).min_by(|&a, &b| at(a).distance(at(r)).total_cmp(&at(b).distance(at(r))));
            if let Some(d) = near
                && !out.iter().any(|o| o.0 == d)
            {
                out.push((d, "cover"));
            }
        }
    }
    for (i, m) in men.iter().enumerate().skip(11) {
        let rushes = matches!(m.job, Job::Defend(crate::sim::coverage::Task::Rush { .. }));
        if rushes && !out.iter().any(|o| o.0 == i) {
            out.push((i, "rusher"));
        }
    }
    out
}

/// Instants at which people are clicked: the moments, and every half second between.
fn instants(truth: &PlayTruth) -> Vec<f64> {
    let end = truth.moments.arrival.unwrap_or(truth.moments.dead);
    let mut at = vec![-0.05];
    at.extend(truth.moments.release);
    at.push(end);
    let mut t = 0.5;
    while t < end - 0.2 {
        if at.iter().all(|a| (a - t).abs() > 0.18) {
            at.push(t);
        }
        t += 0.5;
    }
    at.sort_by(f64::total_cmp);
    at
}

fn people(stage: &StagedPlay, film: &FilmTruth, truth: &PlayTruth, dice: &mut Dice, out: &mut PlayHands) {
    let who = followed(stage, truth);
    for t in instants(truth) {
        let frame = frame_near(film, t);
        let Some(shown) = film.frames.get(frame as usize).map(|f| f.time_s) else { continue };
        let sight = Sight::new(stage, film, frame, shown);
        for &(i, position) in &who {
            // The end-zone view is for the pocket; routes are followed from the side.
            if film.view != "sideline" && !matches!(position, "passer" | "rusher") {
                continue;
            }
            let f = &stage.figures[i];
            let g = f.foot(0, shown).at.lerp(f.foot(1, shown).at, 0.5);
            let p = stage.field(P3::new(g.x, g.y, 0.0));
            let hidden = sight.hides(p, Some(i));
            if dice.chance(if hidden { 0.5 } else { 0.02 }) {
                continue;
            }
            let Some(pixel) = click(film, frame, p, CLICK_SD_PX * if hidden { 2.5 } else { 1.0 }, dice)
            else {
                continue;
            };
            let m = &stage.world.men[i];
            out.people.push(PersonClick {
                person: label(&stage.world, i, stage.script.strong),
                unit: if World::defends(i) { "defense" } else { "offense" }.into(),
                position: position.into(),
                side: if m.track.at(-0.05).at.y >= 0.0 { "left" } else { "right" }.into(),
                number: stage.actors()[i].number,
                view: film.view.clone(),
                frame,
                pixel,
            });
        }
    }
}

/// `L1`, `B`, `QB`, `CB-left`, `LDE` ...
pub fn label(world: &World, i: usize, strong: f64) -> String {
    let m = &world.men[i];
    match m.who {
        Some(w) => w.slot(strong),
        None if i == PASSER => "QB".into(),
        None => {
            let id = m.id.trim_start_matches("def-").trim_start_matches("off-");
            let (head, tail) = id.split_once('-').map_or((id, None), |(a, b)| (a, Some(b)));
            let word = match head {
                "mike" | "will" | "nickel" => {
                    let mut c = head.chars();
                    c.next().map_or(String::new(), |f| f.to_uppercase().chain(c).collect())
                }
                h => h.to_uppercase(),
            };
            tail.map_or(word.clone(), |t| format!("{word}-{t}"))
        }
    }
}

fn ball(stage: &StagedPlay, film: &FilmTruth, truth: &PlayTruth, dice: &mut Dice, out: &mut PlayHands) {
    let (Some(from), Some(to)) = (truth.moments.release, truth.moments.arrival) else { return };
    let mut k = frame_near(film, from + 0.04);
    while let Some(f) = film.frames.get(k as usize).filter(|f| f.time_s < to - 0.01) {
        let (p, ..) = stage.ball_in_play(f.time_s);
        let sight = Sight::new(stage, film, k, f.time_s);
        let p = stage.field(p);
        if f.time_s > from
            && !sight.hides(p, None)
            && !dice.chance(0.04)
            && let Some(pixel) = click(film, k, p, CLICK_SD_PX, dice)
        {
            out.ball.push(BallClick { view: film.view.clone(), frame: k, pixel });
        }
        // A short flight has few frames: every one, or every other.
        k += u32::from(dice.chance(0.5)) + if to - from < 0.6 { 1 } else { 2 };
    }
}

fn feet(stage: &StagedPlay, film: &FilmTruth, truth: &PlayTruth, dice: &mut Dice, out: &mut PlayHands) {
    let Some(release) = truth.moments.release else { return };
    let frame = frame_near(film, release);
    let Some(shown) = film.frames.get(frame as usize).map(|f| f.time_s) else { return };
    let j = stage.pose(PASSER, shown).joints;
    let sight = Sight::new(stage, film, frame, shown);
    let parts = [
        ("back", "toe", Joint::ToeRight),
        ("back", "heel", Joint::HeelRight),
        ("front", "toe", Joint::ToeLeft),
        ("front", "heel", Joint::HeelLeft),
    ];
    for (foot, part, joint) in parts {
        let p = j[joint as usize];
        // A lifted heel touches nothing: its place on the picture says nothing of a place on the ground.
        if p.z > TOUCHING_YD || sight.hides(p, Some(PASSER)) {
            continue;
        }
        for _ in 0..5 {
            if let Some(pixel) = click(film, frame, p, CLICK_SD_PX, dice) {
                out.feet.push(FootClick {
                    foot: foot.into(),
                    part: part.into(),
                    view: film.view.clone(),
                    frame,
                    pixel,
                });
            }
        }
    }
    let hips = j[Joint::HipLeft as usize].lerp(j[Joint::HipRight as usize], 0.5);
    for _ in 0..2 {
        if let Some(pixel) = click(film, frame, hips, 1.5 * CLICK_SD_PX, dice) {
            out.hips.push(HipClick { view: film.view.clone(), frame, pixel });
        }
    }
}
