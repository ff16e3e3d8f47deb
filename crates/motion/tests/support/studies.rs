//! The same simulated studies for tests and for the accuracy figures, by seed.

use super::Dice;
use super::cameras::{Filmed, Shoot};
use super::feet::Stance;
use super::runner::Runner;
use super::score::Score;
use super::throws::{Truth, mark, with_inputs};
use geometry::{Point2, Point3};
use motion::Turf;
use motion::feet::{FeetErrors, feet};
use motion::flight_fit::{FlightPriors, fit};
use motion::tracks::{MarkErrors, Running, observe, smooth};
use play::{FootPart, PersonMark, Seen, View};
use stats::Estimate;
use std::ops::Range;

#[derive(Default)]
pub struct FlightScores {
    pub speed: Score,
    pub launch: Score,
    pub apex: Score,
    pub x: Score,
    pub y: Score,
    pub height: Score,
    pub time: Score,
    pub landing: Score,
    squares: f64,
    pub thrown: usize,
    pub not_seen: usize,
}

impl FlightScores {
    /// RMS distance of the arrival on the ground, yd.
    pub fn arrival_rms(&self) -> f64 {
        (self.squares / self.x.n().max(1) as f64).sqrt()
    }
    pub fn all(&self) -> [(&'static str, &Score); 8] {
        [
            ("speed mph", &self.speed),
            ("launch deg", &self.launch),
            ("apex ft", &self.apex),
            ("arrival x yd", &self.x),
            ("arrival y yd", &self.y),
            ("arrival height ft", &self.height),
            ("flight s", &self.time),
            ("landing y yd", &self.landing),
        ]
    }
}

/// How a throw is marked: click error, px, and share of its frames.
#[derive(Clone, Copy)]
pub struct Clicks {
    pub px: f64,
    pub share: f64,
}

pub const CAREFUL: Clicks = Clicks { px: 1.0, share: 0.9 };

pub fn flights(views: &[View], catcher: bool, clicks: Clicks, seeds: Range<u64>) -> FlightScores {
    let mut s = FlightScores::default();
    for seed in seeds {
        let mut dice = Dice::new(seed);
        let truth = Truth::draw(&mut dice);
        let filmed: Vec<_> = views.iter().map(|v| truth.film(*v, &Shoot::default(), &mut dice)).collect();
        let marks = mark(&truth, &filmed, clicks.px, clicks.share, &mut dice);
        let got =
            with_inputs(&truth, &filmed, &marks, catcher, &mut dice, |i| fit(i, &FlightPriors::default()));
        s.thrown += 1;
        let Seen::Seen(f) = got.unwrap() else {
            s.not_seen += 1;
            continue;
        };
        let t = &f.throw;
        s.not_seen += usize::from(t.speed_mph.get().is_none());
        for (score, seen, true_value) in [
            (&mut s.speed, &t.speed_mph, truth.speed_mph()),
            (&mut s.launch, &t.launch_deg, truth.launch_deg()),
            (&mut s.apex, &t.apex_ft, truth.apex_yd * 3.0),
            (&mut s.height, &t.arrival_height_ft, truth.arrival.z * 3.0),
        ] {
            if let Seen::Seen(e) = seen {
                score.add(*e, true_value);
            }
        }
        s.time.add(t.flight_s, truth.flight_s);
        let c = t.arrival_covariance;
        s.x.add(Estimate::new(t.arrival.x, c.xx.sqrt()), truth.arrival.x);
        s.y.add(Estimate::new(t.arrival.y, c.yy.sqrt()), truth.arrival.y);
        s.squares += t.arrival.ground().distance(truth.arrival.ground()).powi(2);
        if let Seen::Seen(l) = f.landing {
            s.landing.add(Estimate::new(l.point.y, l.covariance.yy.sqrt()), truth.arrival.y);
        }
    }
    s
}

#[derive(Default)]
pub struct TrackScores {
    pub x: Score,
    pub y: Score,
    pub vx: Score,
    pub vy: Score,
    squares: f64,
    steady: (f64, f64),
}

impl TrackScores {
    pub fn foot_rms(&self) -> f64 {
        (self.squares / self.x.n().max(1) as f64).sqrt()
    }
    /// RMS error of the speed away from cuts, yd/s.
    pub fn steady_speed_rms(&self) -> f64 {
        (self.steady.0 / self.steady.1.max(1.0)).sqrt()
    }
    pub fn all(&self) -> [(&'static str, &Score); 4] {
        [("x yd", &self.x), ("y yd", &self.y), ("vx yd/s", &self.vx), ("vy yd/s", &self.vy)]
    }
}

/// Runners marked every `every` frames in each of `views`.
pub fn tracks(views: &[View], every: usize, seeds: Range<u64>) -> TrackScores {
    let mut s = TrackScores::default();
    for seed in seeds {
        let mut dice = Dice::new(900_000 + seed);
        let from = Point2::new(dice.between(30.0, 36.0), dice.between(12.0, 40.0));
        let runner = Runner::draw(from, 4.0, &mut dice);
        let shoot = Shoot { snap_sd_s: 0.0, ..Shoot::default() };
        let filmed: Vec<_> = views
            .iter()
            .map(|v| {
                let look = |t: f64| {
                    let p = runner.at(t.max(0.0)).0;
                    Point3::new(p.x, if *v == View::Sideline { 24.0 } else { p.y }, 0.0)
                };
                Filmed::new(*v, look, 4.0, &shoot, &mut dice)
            })
            .collect();
        let mut marks = Vec::new();
        for f in &filmed {
            for frame in (0..f.frames()).step_by(every).filter(|k| (0.0..=4.0).contains(&f.time(*k))) {
                let feet = runner.feet(f.time(frame)).at_height(0.0);
                if let Some(pixel) = f.click(frame, feet, 1.0, &mut dice) {
                    let (id, person, frame) = ("m".into(), "R1".into(), frame as u32);
                    marks.push(PersonMark { id, person, view: f.view, frame, pixel });
                }
            }
        }
        let inputs: Vec<_> = filmed.iter().map(Filmed::input).collect();
        let turf = Turf::new(field::RuleBook::College, 0.0);
        let (people, _) = observe(&marks, &inputs, &turf, &MarkErrors::default());
        let times: Vec<f64> = (0..=120).map(|k| f64::from(k) / 30.0).collect();
        let path =
            people.get(&"R1".into()).and_then(|o| smooth(&"R1".into(), o, &times, &Running::default()));
        for p in path.iter().flat_map(|t| &t.points) {
            let (q, v) = runner.at(p.t_s);
            let (c, d) = (p.position_covariance, p.velocity_covariance);
            s.x.add(Estimate::new(p.position.x, c.xx.sqrt()), q.x);
            s.y.add(Estimate::new(p.position.y, c.yy.sqrt()), q.y);
            s.vx.add(Estimate::new(p.velocity.x, d.xx.sqrt()), v.x);
            s.vy.add(Estimate::new(p.velocity.y, d.yy.sqrt()), v.y);
            s.squares += p.position.distance(q).powi(2);
            if !runner.near_cut(p.t_s) {
                s.steady.0 += (p.velocity.norm() - v.norm()).powi(2);
                s.steady.1 += 1.0;
            }
        }
    }
    s
}

#[derive(Default)]
pub struct FeetScores {
    pub error: Score,
    pub base: Score,
    pub step: Score,
    pub weight: Score,
    pub not_seen: usize,
}

/// Feet marked `repeats` times in each of `views`; `scale` 2 for 720 lines, 3 for 1080.
pub fn stances(
    views: &[View],
    parts: &[FootPart],
    repeats: usize,
    scale: u32,
    base: f64,
    seeds: Range<u64>,
) -> FeetScores {
    let mut s = FeetScores::default();
    for seed in seeds {
        let mut dice = Dice::new(500_000 + seed);
        let truth = Stance::draw(base, &mut dice);
        let marked = truth.mark(views, parts, repeats, scale, &mut dice);
        let (seen, _) = marked.with_inputs(|i| feet(i, &FeetErrors::default()));
        let Seen::Seen(f) = seen else {
            s.not_seen += 1;
            continue;
        };
        for (score, e, true_value) in [
            (&mut s.error, &f.error_deg, truth.error_deg()),
            (&mut s.base, &f.base_yd, truth.base()),
            (&mut s.step, &f.step_yd, truth.step()),
            (&mut s.weight, &f.weight, truth.weight),
        ] {
            if let Seen::Seen(e) = e {
                score.add(*e, true_value);
            }
        }
        s.not_seen += usize::from(f.error_deg.get().is_none());
    }
    s
}
