//! How well people are found in film and followed without a touch, on plays that nobody developed on, as JSON lines.
//! Arguments: number of plays (else four), first seed (else the unseen one), `keep` to keep rendered film in `target/film`.
#![allow(clippy::print_stdout, clippy::print_stderr, clippy::unwrap_used, dead_code)]

#[path = "people/film.rs"]
mod film;
#[path = "people/run.rs"]
mod run;
#[path = "../tests/support/tracking.rs"]
mod tracking;

use film::{Clip, Filmed, Order};
use play::{SightedFrame, Situation, View};
use run::{Errors, Lost, Named, REACH};
use serde_json::json;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use tracking::{Instant, quality};

/// First seed; those used in development were 900 to 903.
const UNSEEN: u64 = 72_000;
const LOOKS: [&str; 4] = ["day", "worn", "school", "night"];
/// Identities of different plays are kept apart by this.
const APART: usize = 1000;

/// Sums over plays for one choice of views.
#[derive(Default, Clone)]
struct Tally {
    plays: usize,
    instants: Vec<Instant>,
    lost: Lost,
    sighted: usize,
    /// Worst miss of a trusted camera per play, yd.
    cameras: Vec<f64>,
    errors: Errors,
    named: Named,
    followed: Vec<f64>,
}

impl Tally {
    fn add(&mut self, f: &Filmed, clips: &[(&Clip, &[SightedFrame])]) {
        let situation =
            Situation { line_x: Some(f.line_x), direction: Some(f.direction), ..Situation::default() };
        let first = clips[0].0;
        let made = run::make(clips, &situation, first.book);
        let of_teams = run::instants(f, first, &made, false);
        let everybody = run::instants(f, first, &made, true);
        let l = run::lost(&of_teams, &everybody);
        self.lost.swapped += l.swapped;
        self.lost.nobody += l.nobody;
        self.lost.astray += l.astray;
        self.lost.unseen += l.unseen;
        self.lost.in_piles += l.in_piles;
        self.cameras.push(run::camera_misses(first).into_iter().fold(0.0, f64::max));
        self.sighted += run::sighted(first, &made, &of_teams);
        run::errors(f, first, &made, &of_teams, &mut self.errors);
        run::named(f, first, &made, &of_teams, &mut self.named);
        self.followed.push(100.0 * quality(&of_teams, REACH).followed);
        let shift = APART * self.plays;
        self.instants.extend(of_teams.into_iter().map(|i| Instant {
            truth: i.truth.into_iter().map(|(g, p)| (g + shift, p)).collect(),
            tracks: i.tracks.into_iter().map(|(t, p)| (t + shift, p)).collect(),
        }));
        self.plays += 1;
    }

    fn say(&self, word: &str) {
        let q = quality(&self.instants, REACH);
        let name = |what: &str| format!("motion.people.{what}.{word}");
        let share = |n: usize| 100.0 * n as f64 / q.truth.max(1) as f64;
        let each: Vec<String> = self.followed.iter().map(|v| format!("{v:.0}")).collect();
        let note = format!(
            "{} plays ({}%), {:.0} player-seconds; lost: to another's track {:.1}%, to a track of no team {:.1}%, own track over \
             {REACH} yd off {:.1}%, no track {:.1}%; {:.1}% within 1.2 yd of another; {:.2} false tracks a frame",
            self.plays,
            each.join(" "),
            q.truth as f64 / 10.0,
            share(self.lost.swapped),
            share(self.lost.nobody),
            share(self.lost.astray),
            share(self.lost.unseen),
            share(self.lost.in_piles),
            q.false_alarms as f64 / self.instants.len().max(1) as f64,
        );
        say(&name("followed"), 100.0 * q.followed, "%", Goal::AtLeast(90.0), &note);
        let worst: Vec<String> = self.cameras.iter().map(|v| format!("{v:.2}")).collect();
        let note = format!(
            "player-frames with a sighting of his own within 1 yd, before anybody is followed; trusted cameras off by at \
             most {} yd in the picture's middle",
            worst.join(", ")
        );
        say(&name("sighted"), share(self.sighted), "%", Goal::None, &note);
        let note =
            format!("{} switches, {} missed, {} false of {}", q.switches, q.missed, q.false_alarms, q.truth);
        say(&name("mota"), q.mota, "", Goal::None, &note);
        say(&name("idf1"), q.idf1, "", Goal::None, "pairs within 1 yd on the ground");
        say(&name("hota"), q.hota, "", Goal::None, "similarity falls linearly to 0 at 2 yd on the ground");
        let e = &self.errors;
        let mean = |k: usize| e.sum[k] / e.n;
        let note = format!(
            "RMS against the hips' ground point, median {:.3}; mean error {:+.3} along and {:+.3} across the field, RMS {:.3} and {:.3}, claimed {:.3}",
            Errors::median(&e.places),
            mean(0),
            mean(1),
            (e.square[0] / e.n).sqrt(),
            (e.square[1] / e.n).sqrt(),
            (e.claimed2 / e.claims).sqrt(),
        );
        let goal = if word == "end_zone" { 0.12 } else { 0.10 };
        say(&name("place"), e.place(), "yd", Goal::AtMost(goal), &note);
        let note = format!(
            "RMS of the speed where the velocity changes by less than 1.5 yd/s in half a second, median {:.3}",
            Errors::median(&e.speeds)
        );
        say(&name("speed"), e.speed(), "yd/s", Goal::AtMost(0.5), &note);
        say(
            &name("coverage"),
            e.coverage(),
            "%",
            Goal::Within(85.0, 95.0),
            "claimed 90% intervals of places",
        );
        let n = &self.named;
        let part = |of: [usize; 2]| format!("{} of {}", of[0], of[1]);
        let note = format!(
            "of {} players in the picture at the snap, who was not followed counts as wrong",
            n.asked
        );
        say(&name("sides"), 100.0 * n.side as f64 / n.asked as f64, "%", Goal::None, &note);
        let note = format!(
            "passer {}, receivers by number {}, rushers {}, deep {}",
            part(n.passer),
            part(n.receivers),
            part(n.rushers),
            part(n.deep)
        );
        say(&name("roles"), 100.0 * n.role as f64 / n.asked as f64, "%", Goal::None, &note);
    }
}

enum Goal {
    AtLeast(f64),
    AtMost(f64),
    Within(f64, f64),
    None,
}

fn say(name: &str, value: f64, unit: &str, goal: Goal, note: &str) {
    let (goal, better, holds, note) = match goal {
        Goal::AtLeast(g) => (Some(g), "higher", Some(value >= g), note.to_owned()),
        Goal::AtMost(g) => (Some(g), "lower", Some(value <= g), note.to_owned()),
        Goal::Within(a, b) => {
            (Some(a), "higher", Some((a..=b).contains(&value)), format!("holds from {a} to {b}; {note}"))
        }
        Goal::None => (None, "higher", None, note.to_owned()),
    };
    println!(
        "{}",
        json!({"name": name, "value": value, "unit": unit, "goal": goal, "better": better, "holds": holds, "note": note})
    );
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let keep = args.iter().any(|a| a == "keep");
    let numbers: Vec<u64> = args.iter().filter_map(|a| a.parse().ok()).collect();
    let plays = numbers.first().map_or(4, |n| *n as usize);
    let seed = numbers.get(1).copied().unwrap_or(UNSEEN);
    let next = AtomicUsize::new(0);
    let seen: Mutex<Vec<(usize, Filmed, Vec<Vec<SightedFrame>>)>> = Mutex::default();
    let cost: Mutex<(f64, usize)> = Mutex::default();
    let work = || {
        loop {
            let k = next.fetch_add(1, Ordering::Relaxed);
            if k >= plays {
                return;
            }
            let order = Order {
                seed: seed + k as u64,
                play: 3 + 5 * k,
                look: LOOKS[k % LOOKS.len()],
                height: 720,
                quality: 70,
                keep,
            };
            let f = film::film(&order, &View::ALL);
            let mut sighted = Vec::new();
            for clip in &f.clips {
                let (found, busy) = run::sightings(clip);
                let mut sum = cost.lock().unwrap();
                *sum = (sum.0 + busy, sum.1 + found.len());
                sighted.push(found);
            }
            seen.lock().unwrap().push((k, f, sighted));
        }
    };
    std::thread::scope(|s| {
        s.spawn(work);
        work();
    });
    let mut seen = seen.into_inner().unwrap();
    seen.sort_by_key(|s| s.0);
    let (busy, frames) = *cost.lock().unwrap();
    let times = frames as f64 / 30.0 / (busy / 2.0);
    let note = format!(
        "720p at 30 frames a second, two cores, {:.1} ms of one core a frame, decoding excluded, empty field included",
        1e3 * busy / frames.max(1) as f64
    );
    say("motion.people_realtime", times, "x", Goal::AtLeast(1.0), &note);
    let mut tallies: [Tally; 3] = Default::default();
    for (_, f, sighted) in &seen {
        let pairs: Vec<(&Clip, &[SightedFrame])> =
            f.clips.iter().zip(sighted).map(|(c, s)| (c, s.as_slice())).collect();
        for (view, tally) in [View::Sideline, View::EndZone].into_iter().zip(1..) {
            if let Some(p) = pairs.iter().find(|p| p.0.view == view) {
                tallies[tally].add(f, &[*p]);
            }
        }
        if pairs.len() == 2 {
            tallies[0].add(f, &pairs);
        }
    }
    for (tally, word) in tallies.iter().zip(["both", "sideline", "end_zone"]) {
        if tally.plays > 0 {
            tally.say(word);
        }
    }
}
