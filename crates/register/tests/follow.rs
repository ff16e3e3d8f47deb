//! Following the chalk through clips with known cameras.
#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a test may fail, and shows its frames when asked"
)]

mod support;

use camera::{CameraEstimate, Pinhole};
use field::{Crown, Landmark, RuleBook};
use geometry::Point2;
use register::{FieldModel, FollowSettings, Follower, PictureSize, StationPrior, solve_frame};
use support::film::{Conditions, DAY, Painted, figures, frame};
use support::*;

/// The same view on a picture of another size.
fn resized(c: Pinhole, width: u32, height: u32) -> Pinhole {
    let mut c = c;
    c.aim.focal *= f64::from(width) / f64::from(c.station.width);
    (c.station.width, c.station.height) = (width, height);
    c
}

/// Pan and zoom as operators do: at rest, a swing, at rest.
fn swing(c: Pinhole, t: f64, pan: f64, tilt: f64, zoom: f64) -> Pinhole {
    let s = t.clamp(0.0, 1.0);
    let s = s * s * (3.0 - 2.0 * s);
    let mut n = c;
    n.aim.pan += pan * s;
    n.aim.tilt += tilt * s;
    n.aim.focal *= (zoom * s).exp();
    n.aim.roll += 0.004 * (6.0 * t).sin();
    n
}

fn clicks_at(c: &Pinhole, book: RuleBook, seed: u64) -> Vec<register::Click> {
    let mut r = rng(seed);
    let all: Vec<Landmark> = visible_crossings_in(c, book);
    let step = (all.len() / 8).max(1);
    all.iter().step_by(step).map(|l| click(c, *l, book, 1.0, &mut r)).collect()
}

fn visible_crossings_in(c: &Pinhole, book: RuleBook) -> Vec<Landmark> {
    visible_crossings(c, book)
        .into_iter()
        .filter(|l| {
            c.pixel_from_field(shape_point(*l, book).at_height(0.0)).is_some_and(|q| {
                q.x < f64::from(c.station.width) - 4.0 && q.y < f64::from(c.station.height) - 4.0
            })
        })
        .collect()
}

#[derive(Default, Debug, Clone, Copy)]
struct Tally {
    square: f64,
    n: f64,
    covered: f64,
    claims: f64,
    worst: f64,
    x2: f64,
    y2: f64,
    vx: f64,
    vy: f64,
}

impl Tally {
    fn add(&mut self, e: &CameraEstimate, truth: &Pinhole, crown: Crown, book: RuleBook) {
        let (w, h) = (f64::from(truth.station.width), f64::from(truth.station.height));
        for j in 0..5 {
            for i in 0..8 {
                let p = Point2::new((f64::from(i) + 0.5) * w / 8.0, (f64::from(j) + 0.5) * h / 5.0);
                let Some(g) = truth.surface_from_pixel(p, |g| crown.at(g, book)) else { continue };
                if !(0.0..=100.0).contains(&g.x) || !(0.0..=53.3).contains(&g.y) {
                    continue;
                }
                let Some((m, c)) = e.ground_with_covariance(p, 0.0) else { continue };
                let d = m.distance(g);
                self.square += d * d;
                self.x2 += (m.x - g.x).powi(2);
                self.y2 += (m.y - g.y).powi(2);
                self.vx += c.xx;
                self.vy += c.yy;
                self.n += 1.0;
                self.worst = self.worst.max(d);
                for (d, v) in [(m.x - g.x, c.xx), (m.y - g.y, c.yy)] {
                    self.claims += 1.0;
                    self.covered += f64::from(u8::from(d.abs() <= 1.6449 * v.sqrt()));
                }
            }
        }
    }
    fn rms(&self) -> f64 {
        (self.square / self.n).sqrt()
    }
    fn coverage(&self) -> f64 {
        self.covered / self.claims
    }
}

struct Clip {
    truth: Vec<Pinhole>,
    paint: f64,
    how: Conditions,
    seed: u64,
    book: RuleBook,
}

/// Follows a clip from clicks on its first frame; tallies trusted frames after the first few.
fn run(clip: &Clip, moving: bool) -> (Tally, usize, usize) {
    let first = &clip.truth[0];
    let size = PictureSize { width: first.station.width, height: first.station.height };
    let field = FieldModel::flat(clip.book);
    let painted = Painted::new(clip.book, clip.paint, Crown::default(), clip.seed);
    let prior = if moving { StationPrior::Moving } else { StationPrior::Unknown };
    let start = solve_frame(&clicks_at(first, clip.book, clip.seed), size, &field, &prior).unwrap();
    let mut follower = Follower::new(&start, size, &field, &FollowSettings::default());
    let mut r = rng(clip.seed + 77);
    let people = figures(
        first
            .ground_from_pixel(Point2::new(f64::from(size.width) / 2.0, f64::from(size.height) / 2.0), 0.0)
            .unwrap()
            .x,
        &mut r,
    );
    let mut tally = Tally::default();
    let (mut trusted, mut wrong) = (0, 0);
    for (k, truth) in clip.truth.iter().enumerate() {
        let picture = frame(truth, &painted, &people, k as f64 / 30.0, clip.how, &mut r);
        let e = follower.next(picture.view());
        let mut one = Tally::default();
        one.add(&e, truth, Crown::default(), clip.book);
        if std::env::var_os("SHOW").is_some() {
            println!(
                "frame {k}: rms {:.3} worst {:.3} cover {:.2} x {:.3}/{:.3} y {:.3}/{:.3} {:?}",
                one.rms(),
                one.worst,
                one.coverage(),
                (one.x2 / one.n).sqrt(),
                (one.vx / one.n).sqrt(),
                (one.y2 / one.n).sqrt(),
                (one.vy / one.n).sqrt(),
                e.quality
            );
        }
        if e.quality.trusted {
            trusted += 1;
            wrong += usize::from(one.rms() > 1.0);
            tally.add(&e, truth, Crown::default(), clip.book);
        }
    }
    (tally, trusted, wrong)
}

fn panning(base: Pinhole, frames: usize, pan: f64, zoom: f64) -> Vec<Pinhole> {
    (0..frames).map(|k| swing(base, k as f64 / (frames as f64 - 1.0), pan, 0.01, zoom)).collect()
}

#[test]
fn a_sideline_clip_is_followed() {
    let base = resized(sideline(45.0), 640, 360);
    let clip =
        Clip { truth: panning(base, 40, -0.25, 0.2), paint: 0.0, how: DAY, seed: 1, book: RuleBook::College };
    let (t, trusted, wrong) = run(&clip, false);
    println!(
        "sideline: {:.4} yd RMS, cover {:.3}, worst {:.3}, trusted {trusted}/40, wrong {wrong}",
        t.rms(),
        t.coverage(),
        t.worst
    );
    assert!(trusted >= 38 && wrong == 0);
    assert!(t.rms() < 0.05, "{}", t.rms());
}

#[test]
fn an_end_zone_clip_is_followed() {
    let base = resized(end_zone(), 640, 360);
    let clip = Clip {
        truth: panning(base, 40, 0.12, -0.15),
        paint: 0.0,
        how: DAY,
        seed: 2,
        book: RuleBook::College,
    };
    let (t, trusted, wrong) = run(&clip, false);
    println!(
        "end zone: {:.4} yd RMS, cover {:.3}, worst {:.3}, trusted {trusted}/40, wrong {wrong}",
        t.rms(),
        t.coverage(),
        t.worst
    );
    assert!(trusted >= 38 && wrong == 0);
    assert!(t.rms() < 0.08, "{}", t.rms());
}
