//! The flight among clutter: candidates at the true places with half a pixel of error, four in five frames, among forty
//! other things a frame that move, some of which go evenly as runners do.
#![allow(clippy::unwrap_used)]

mod support;

use geometry::{Point2, Vector2};
use motion::Turf;
use motion::flight_find::{Candidate, FindInputs, FoundFlight, Nobody, find};
use motion::flight_fit::FlightPriors;
use play::{Air, BallMark, View};
use support::Dice;
use support::cameras::{FPS, Filmed, HEIGHT, Shoot, WIDTH};
use support::throws::Truth;

struct Shown {
    truth: Truth,
    filmed: Vec<Filmed>,
    candidates: Vec<Vec<Candidate>>,
}

fn show(seed: u64, flies: bool) -> Shown {
    let mut dice = Dice::new(seed);
    let truth = Truth::draw(&mut dice);
    let filmed: Vec<Filmed> =
        View::ALL.iter().map(|v| truth.film(*v, &Shoot::default(), &mut dice)).collect();
    let candidates = filmed
        .iter()
        .map(|f| {
            // Runners' heads: even for as long as they are in the picture, five px a frame at most.
            let runners: Vec<[f64; 4]> = (0..8)
                .map(|_| {
                    let (x, y) = (f64::from(WIDTH), f64::from(HEIGHT));
                    [dice.between(0.0, x), dice.between(0.0, y), dice.about(0.0, 3.0), dice.about(0.0, 2.0)]
                })
                .collect();
            let mut out = Vec::new();
            for frame in 0..f.frames() {
                let mut add = |pixel: Point2<_>| {
                    out.push(Candidate { frame: frame as u32, pixel, half_px: 4.0 });
                };
                if let Some(p) = truth.ball(f.time(frame)).filter(|_| flies && dice.chance(0.8))
                    && let Some(pixel) = f.click(frame, p, 0.5, &mut dice)
                {
                    add(pixel);
                }
                for r in &runners {
                    let (x, y) = (r[0] + r[2] * frame as f64, r[1] + r[3] * frame as f64);
                    add(Point2::new(dice.about(x, 0.7), dice.about(y, 0.7)));
                }
                for _ in 0..32 {
                    let (x, y) = (f64::from(WIDTH), f64::from(HEIGHT));
                    add(Point2::new(dice.between(0.0, x), dice.between(0.0, y)));
                }
            }
            out
        })
        .collect();
    Shown { truth, filmed, candidates }
}

fn look(s: &Shown, marks: &[BallMark]) -> Option<FoundFlight> {
    let views: Vec<_> = s.filmed.iter().map(Filmed::input).collect();
    find(
        &FindInputs {
            air: &Air::default(),
            turf: Turf::new(field::RuleBook::College, 0.0),
            downfield: Vector2::new(1.0, 0.0),
            views: &views,
            candidates: &s.candidates,
            marks,
            release: &[],
            arrival: &[],
            priors: &FlightPriors::default(),
        },
        &Nobody,
    )
}

#[test]
fn the_ball_is_found_and_its_times_and_speed_are_what_they_were() {
    let (mut found, mut right, mut times) = (0, 0, 0);
    const PLAYS: u64 = 8;
    for seed in 0..PLAYS {
        let s = show(4_400 + seed, true);
        let Some(f) = look(&s, &[]) else { continue };
        found += 1;
        let on = f.balls.iter().filter(|b| {
            let v = s.filmed.iter().find(|v| v.view == b.view).unwrap();
            let Some(p) = s.truth.ball(v.time(b.frame as usize)) else { return false };
            v.truth[b.frame as usize].pixel_from_field(p).unwrap().distance(b.pixel) < 4.0
        });
        // Nine in ten of what is proposed is the ball.
        right += u32::from(10 * on.count() >= 9 * f.balls.len());
        let late = f.release_s.value - s.truth.release_s;
        // The clock's own error is in the estimate of neither.
        times += u32::from(late.abs() < 1.645 * f.release_s.se.hypot(0.01) + 0.5 / FPS);
    }
    assert!(found >= 7 && right >= 7 && times >= 6, "found {found}, right {right}, times {times} of {PLAYS}");
}

#[test]
fn nothing_flies_where_nothing_flew() {
    for seed in 0..4 {
        let f = look(&show(5_500 + seed, false), &[]);
        assert!(f.is_none(), "seed {seed}: {:?}", f.map(|f| f.balls.len()));
    }
}

#[test]
fn a_frame_marked_by_hand_is_not_proposed() {
    let s = show(4_400, true);
    let Some(free) = look(&s, &[]) else { panic!("found without a mark") };
    let b = free.balls[free.balls.len() / 2];
    let mark = BallMark { id: "b".into(), view: b.view, frame: b.frame, pixel: b.pixel };
    let held = look(&s, &[mark]).unwrap();
    assert!(!held.balls.iter().any(|k| k.view == b.view && k.frame == b.frame));
    assert!(held.balls.len() + 3 >= free.balls.len());
}
