//! Paths of invented runners, marked by hand in invented film: errors and claimed intervals.
#![allow(clippy::unwrap_used)]

mod support;

use geometry::{Point2, Point3};
use motion::Turf;
use motion::tracks::{GroundObservation, MarkErrors, Running, observe, smooth};
use play::{PersonMark, View};
use stats::Estimate;
use support::Dice;
use support::cameras::{Filmed, Shoot};
use support::runner::Runner;
use support::score::Score;

#[derive(Default)]
struct Scores {
    x: Score,
    y: Score,
    vx: Score,
    vy: Score,
    speed_steady: Score,
    foot: f64,
    n: f64,
}

/// Marks every `every` frames in each of `views`.
fn run(views: &[View], every: usize, runners: u64) -> Scores {
    let mut s = Scores::default();
    for seed in 0..runners {
        let mut dice = Dice::new(9_000 + seed);
        let from = Point2::new(dice.between(30.0, 36.0), dice.between(12.0, 40.0));
        let runner = Runner::draw(from, 4.0, &mut dice);
        let look = |v: View| {
            let r = &runner;
            move |t: f64| {
                let p = r.at(t.max(0.0)).0;
                match v {
                    View::Sideline => Point3::new(p.x, 24.0, 0.0),
                    View::EndZone => Point3::new(p.x, p.y, 0.0),
                }
            }
        };
        let shoot = Shoot { snap_sd_s: 0.0, ..Shoot::default() };
        let filmed: Vec<_> =
            views.iter().map(|v| Filmed::new(*v, look(*v), 4.0, &shoot, &mut dice)).collect();
        let mut marks = Vec::new();
        for f in &filmed {
            for frame in (0..f.frames()).step_by(every) {
                let t = f.time(frame);
                if !(0.0..=4.0).contains(&t) {
                    continue;
                }
                if let Some(pixel) = f.click(frame, runner.feet(t).at_height(0.0), 1.0, &mut dice) {
                    marks.push(PersonMark {
                        id: "m".into(),
                        person: "R1".into(),
                        view: f.view,
                        frame: frame as u32,
                        pixel,
                    });
                }
            }
        }
        let inputs: Vec<_> = filmed.iter().map(Filmed::input).collect();
        let turf = Turf::new(field::RuleBook::College, 0.0);
        let (people, findings) = observe(&marks, &inputs, &turf, &MarkErrors::default());
        assert!(findings.is_empty());
        let Some(seen) = people.get(&"R1".into()) else { continue };
        let times: Vec<f64> = (0..=120).map(|k| f64::from(k) / 30.0).collect();
        let Some(track) = smooth(&"R1".into(), seen, &times, &Running::default()) else { continue };
        for p in &track.points {
            let (q, v) = runner.at(p.t_s);
            s.x.add(Estimate::new(p.position.x, p.position_covariance.xx.sqrt()), q.x);
            s.y.add(Estimate::new(p.position.y, p.position_covariance.yy.sqrt()), q.y);
            s.vx.add(Estimate::new(p.velocity.x, p.velocity_covariance.xx.sqrt()), v.x);
            s.vy.add(Estimate::new(p.velocity.y, p.velocity_covariance.yy.sqrt()), v.y);
            s.foot += p.position.distance(q).powi(2);
            s.n += 1.0;
            if !runner.near_cut(p.t_s) {
                s.speed_steady.add(Estimate::new(p.velocity.norm(), 0.3), v.norm());
            }
        }
    }
    for (n, sc) in [("x", &s.x), ("y", &s.y), ("vx", &s.vx), ("vy", &s.vy), ("steady speed", &s.speed_steady)]
    {
        eprintln!("  {}", sc.line(n));
    }
    eprintln!("  foot rms {:.3} yd", (s.foot / s.n).sqrt());
    s
}

#[test]
fn spread() {
    for (name, views) in
        [("sideline", &[View::Sideline][..]), ("end zone", &[View::EndZone][..]), ("both", &View::ALL[..])]
    {
        for every in [1, 3, 6, 15] {
            eprintln!("{name} every {every}");
            run(views, every, 60);
        }
    }
    let _: Option<GroundObservation> = None;
}
