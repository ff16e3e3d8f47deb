//! How well snap, release, arrival and the flight are found in film without a mark, on plays that nobody developed on,
//! as JSON lines. Number of plays as an argument, else six.
#![allow(clippy::print_stdout, clippy::unwrap_used, dead_code)]

#[path = "people/film.rs"]
mod filmed;

use filmed::{Clip, Order, film};
use geometry::Vector2;
use motion::flight_find::{Candidate, FindInputs, FoundFlight, Nobody, find};
use motion::flight_fit::FlightPriors;
use motion::{Turf, ViewInput, moments};
use picture::RgbView;
use play::{Air, View, ViewClock};
use scrimmage::sim::staged::StagedPlay;
use serde_json::json;
use sighting::ball::{Watch, Watched};
use stats::Estimate;
use units::{FrameTable, Rate};

/// First seed; those used in development were 900 to 905.
const UNSEEN: u64 = 71_000;
const LOOKS: [&str; 4] = ["day", "worn", "school", "night"];

/// Squared errors, and whether claimed intervals held.
#[derive(Default)]
struct Score {
    squares: Vec<f64>,
    held: Vec<bool>,
}

impl Score {
    fn add(&mut self, error: f64, se: f64) {
        self.squares.push(error * error);
        self.held.push(error.abs() <= 1.645 * se);
    }
    fn rms(&self) -> f64 {
        (self.squares.iter().sum::<f64>() / self.squares.len().max(1) as f64).sqrt()
    }
    fn median(&self) -> f64 {
        let mut v = self.squares.clone();
        v.sort_by(f64::total_cmp);
        v.get(v.len() / 2).map_or(f64::NAN, |s| s.sqrt())
    }
    fn note(&self) -> String {
        let held = self.held.iter().filter(|h| **h).count();
        format!("{} found, median {:.2}, claimed 90% held {held}", self.squares.len(), self.median())
    }
}

#[derive(Default)]
struct Tally {
    asked: usize,
    found: usize,
    speed: Score,
    arrival: Score,
    height: Score,
    release_frames: Vec<f64>,
    arrival_frames: Vec<f64>,
    release: Score,
    arrives: Score,
}

struct Truth {
    release_s: f64,
    arrival_s: f64,
    speed_mph: f64,
    /// Field frame over flat ground, yd.
    arrival: [f64; 3],
}

fn truth(stage: &StagedPlay) -> Option<Truth> {
    let flight = stage.world.flight.as_ref()?;
    let ending = stage.world.ending.as_ref()?;
    let at = stage.field(ending.arrival_at?);
    Some(Truth {
        release_s: flight.release,
        arrival_s: ending.arrival?,
        speed_mph: units::mph_from_yards_per_second(flight.path.samples[0].1.norm()),
        arrival: [at.x, at.y, at.z],
    })
}

fn watch(c: &Clip) -> Vec<Watched> {
    let mut watch = Watch::new(c.size.0, c.size.0, c.book);
    (0..c.frames.len())
        .filter_map(|k| {
            let p = c.picture(k, c.size);
            let camera = &c.cameras[k];
            let trusted = camera.quality.trusted.then_some(&camera.camera);
            watch.next(k as u32, RgbView::new(c.size.0, c.size.1, &p).unwrap(), trusted)
        })
        .collect()
}

fn snap_of(w: &[Watched], line_x: f64) -> Option<Estimate> {
    let k = ((line_x + 10.0) / 5.0) as usize;
    let near = k.saturating_sub(2)..(k + 3).min(sighting::ball::STRIPS);
    let stir: Vec<f64> = w.iter().map(|w| w.stir[near.clone()].iter().map(|s| f64::from(*s)).sum()).collect();
    moments::onset(w.first()?.frame, &stir)
}

fn look(clips: &[(&Clip, &[Watched], f64)], downfield: f64) -> (Option<FoundFlight>, f64) {
    let rate = Rate::new(30_000, 1001).unwrap();
    let tables: Vec<FrameTable> = clips
        .iter()
        .map(|(c, ..)| FrameTable::new(rate, (0..c.times.len() as i64).collect()).unwrap())
        .collect();
    let cameras: Vec<Vec<_>> =
        clips.iter().map(|(c, ..)| c.cameras.iter().cloned().map(Some).collect()).collect();
    let views: Vec<ViewInput<'_>> = clips
        .iter()
        .zip(tables.iter().zip(&cameras))
        .map(|((c, _, snap), (t, cameras))| ViewInput {
            view: c.view,
            clock: ViewClock::new(t, *snap).unwrap(),
            cameras,
            first_frame: 0,
        })
        .collect();
    let candidates: Vec<Vec<Candidate>> = clips
        .iter()
        .map(|(_, w, _)| {
            let of = |w: &Watched| {
                let frame = w.frame;
                let one = move |g: &sighting::ball::Glimpse| Candidate {
                    frame,
                    pixel: g.pixel,
                    half_px: g.half_px.into(),
                };
                w.glimpses.iter().map(one).collect::<Vec<_>>()
            };
            w.iter().flat_map(of).collect()
        })
        .collect();
    let first = clips[0].0;
    let found = find(
        &FindInputs {
            air: &Air::default(),
            turf: Turf::new(first.book, first.crown.height),
            downfield: Vector2::new(downfield, 0.0),
            views: &views,
            candidates: &candidates,
            marks: &[],
            release: &[],
            arrival: &[],
            priors: &FlightPriors::default(),
        },
        &Nobody,
    );
    (found, first.times[0])
}

fn add(t: &mut Tally, found: Option<FoundFlight>, truth: &Truth, snap_s: f64) {
    t.asked += 1;
    let Some(f) = found else { return };
    t.found += 1;
    let rate = 30_000.0 / 1001.0;
    // Times are from the proposed snap; the frame counts, not the clock.
    let late = f.release_s.value + snap_s - truth.release_s;
    t.release_frames.push(late * rate);
    t.release.add(late, f.release_s.se);
    if let Some(e) = f.fit.throw.speed_mph.get() {
        t.speed.add(e.value - truth.speed_mph, e.se);
    }
    let Some(arrival) = f.arrival_s.get() else { return };
    let late = arrival.value + snap_s - truth.arrival_s;
    t.arrival_frames.push(late * rate);
    t.arrives.add(late, arrival.se);
    let at = f.fit.throw.arrival;
    let off = (at.x - truth.arrival[0]).hypot(at.y - truth.arrival[1]);
    t.arrival.add(off, f.fit.throw.arrival_covariance.ellipse().0);
    if let Some(e) = f.fit.throw.arrival_height_ft.get() {
        t.height.add(e.value - 3.0 * truth.arrival[2], e.se);
    }
}

fn say(name: &str, value: f64, unit: &str, goal: f64, higher: bool, note: &str) {
    let holds = if higher { value >= goal } else { value <= goal };
    let better = if higher { "higher" } else { "lower" };
    println!(
        "{}",
        json!({"name": name, "value": value, "unit": unit, "goal": goal, "better": better, "holds": holds, "note": note})
    );
}

fn within_one(frames: &[f64], asked: usize) -> f64 {
    100.0 * frames.iter().filter(|f| f.abs() <= 1.0).count() as f64 / asked.max(1) as f64
}

fn main() {
    let plays: usize = std::env::args().nth(1).and_then(|a| a.parse().ok()).unwrap_or(6);
    let mut snaps: Vec<f64> = Vec::new();
    let (mut clips_asked, mut thrown) = (0, 0);
    let mut tallies: [Tally; 3] = Default::default();
    for k in 0..plays {
        let order = Order {
            seed: UNSEEN + k as u64,
            play: 3 + 5 * k,
            look: LOOKS[k % LOOKS.len()],
            height: 720,
            quality: 70,
            keep: false,
        };
        let f = film(&order, &View::ALL);
        let watched: Vec<Vec<Watched>> = f.clips.iter().map(watch).collect();
        let mut usable = Vec::new();
        for (c, w) in f.clips.iter().zip(&watched) {
            let rate = 30_000.0 / 1001.0;
            clips_asked += 1;
            let Some(snap) = snap_of(w, f.line_x) else { continue };
            snaps.push(snap.value + c.times[0] * rate);
            usable.push((c, w.as_slice(), snap.value));
        }
        let Some(truth) = truth(&f.stage) else { continue };
        thrown += 1;
        let picks: [Vec<_>; 3] = [
            usable.clone(),
            usable.iter().filter(|u| u.0.view == View::Sideline).copied().collect(),
            usable.iter().filter(|u| u.0.view == View::EndZone).copied().collect(),
        ];
        for (n, (t, pick)) in tallies.iter_mut().zip(&picks).enumerate() {
            if pick.is_empty() || (n == 0 && pick.len() < 2) {
                continue;
            }
            let (found, first_s) = look(pick, f.direction.sign());
            let rate = 30_000.0 / 1001.0;
            add(t, found, &truth, first_s + pick[0].2 / rate);
        }
    }
    let note = format!(
        "{clips_asked} clips of {plays} plays, 720p29.97, cameras followed from clicks, no mark on the film; snaps off by {}",
        snaps.iter().map(|s| format!("{s:+.1}")).collect::<Vec<_>>().join(" ")
    );
    say("motion.snap.within_one_frame", within_one(&snaps, clips_asked), "%", 90.0, true, &note);
    for (t, word) in tallies.iter().zip(["both", "sideline", "end_zone"]) {
        let (speed, arrival, height) = if word == "both" { (0.5, 0.15, 0.25) } else { (2.0, 0.5, 0.5) };
        let said = |frames: &[f64]| {
            let all: Vec<String> = frames.iter().map(|f| format!("{f:+.1}")).collect();
            format!("{} of {} flights found ({thrown} thrown); off by {}", t.found, t.asked, all.join(" "))
        };
        let name = |what: &str| format!("flight.found.{what}.{word}");
        let (r, a) = (&t.release_frames, &t.arrival_frames);
        say(&name("release_within_one"), within_one(r, t.asked), "%", 90.0, true, &said(r));
        say(&name("arrival_within_one"), within_one(a, t.asked), "%", 90.0, true, &said(a));
        say(&name("release_speed"), t.speed.rms(), "mph", speed, false, &format!("RMS; {}", t.speed.note()));
        let note = format!("RMS on the ground, catcher unknown; {}", t.arrival.note());
        say(&name("arrival"), t.arrival.rms(), "yd", arrival, false, &note);
        say(
            &name("arrival_height"),
            t.height.rms(),
            "ft",
            height,
            false,
            &format!("RMS; {}", t.height.note()),
        );
        let held: Vec<bool> = [&t.speed, &t.height, &t.release, &t.arrives]
            .iter()
            .flat_map(|s| s.held.iter().copied())
            .collect();
        let share = 100.0 * held.iter().filter(|h| **h).count() as f64 / held.len().max(1) as f64;
        let note = format!("holds from 85; {} values: speed, height, release, arrival", held.len());
        say(&name("coverage"), share, "%", 85.0, true, &note);
    }
}
