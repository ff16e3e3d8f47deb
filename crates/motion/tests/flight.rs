//! The flight fit against invented throws filmed by invented cameras.

#![allow(clippy::unwrap_used)]

mod support;

use motion::flight_fit::{FlightPriors, fit};
use play::{Seen, View};
use stats::Estimate;
use support::Dice;
use support::cameras::Shoot;
use support::score::Score;
use support::throws::{Truth, mark, with_inputs};

#[derive(Default)]
struct Scores {
    speed: Score,
    x: Score,
    y: Score,
    height: Score,
    launch: Score,
    apex: Score,
    time: Score,
    landing: Score,
    away: Vec<f64>,
    not_seen: usize,
}

fn run(views: &[View], catcher: bool, throws: u64, first_seed: u64) -> Scores {
    let mut s = Scores::default();
    for seed in first_seed..first_seed + throws {
        let mut dice = Dice::new(seed);
        let truth = Truth::draw(&mut dice);
        let filmed: Vec<_> = views.iter().map(|v| truth.film(*v, &Shoot::default(), &mut dice)).collect();
        let marks = mark(&truth, &filmed, 1.0, &mut dice);
        let got =
            with_inputs(&truth, &filmed, &marks, catcher, &mut dice, |i| fit(i, &FlightPriors::default()))
                .unwrap();
        let Seen::Seen(f) = got else {
            s.not_seen += 1;
            continue;
        };
        let t = &f.throw;
        if let Seen::Seen(e) = t.speed_mph {
            s.speed.add(e, truth.speed_mph())
        } else {
            s.not_seen += 1
        }
        if let Seen::Seen(e) = t.launch_deg {
            s.launch.add(e, truth.launch_deg())
        }
        if let Seen::Seen(e) = t.apex_ft {
            s.apex.add(e, truth.apex_yd * 3.0)
        }
        if let Seen::Seen(e) = t.arrival_height_ft {
            s.height.add(e, truth.arrival.z * 3.0)
        } else {
            s.not_seen += 1
        }
        s.time.add(t.flight_s, truth.flight_s);
        let c = t.arrival_covariance;
        s.x.add(Estimate::new(t.arrival.x, c.xx.sqrt()), truth.arrival.x);
        s.y.add(Estimate::new(t.arrival.y, c.yy.sqrt()), truth.arrival.y);
        s.away.push(t.arrival.ground().distance(truth.arrival.ground()));
        if let Seen::Seen(l) = f.landing {
            s.landing.add(Estimate::new(l.point.y, l.covariance.yy.sqrt()), truth.arrival.y);
        }
    }
    for (n, sc) in [
        ("speed", &s.speed),
        ("launch", &s.launch),
        ("apex", &s.apex),
        ("x", &s.x),
        ("y", &s.y),
        ("height", &s.height),
        ("time", &s.time),
        ("landing y", &s.landing),
    ] {
        eprintln!("  {}", sc.line(n));
    }
    let rms = (s.away.iter().map(|e| e * e).sum::<f64>() / s.away.len() as f64).sqrt();
    eprintln!("  arrival rms {rms:.3} yd, not seen {}", s.not_seen);
    s
}

#[test]
fn spread() {
    for (name, views, catcher) in [
        ("both", &View::ALL[..], true),
        ("sideline", &[View::Sideline][..], true),
        ("end zone", &[View::EndZone][..], true),
        ("sideline no catcher", &[View::Sideline][..], false),
        ("end zone no catcher", &[View::EndZone][..], false),
    ] {
        eprintln!("{name}");
        run(views, catcher, 200, 1);
    }
}
