//! The flight fit against invented throws filmed by invented cameras: errors, claimed intervals, bad marks.
#![allow(clippy::unwrap_used)]

mod support;

use camera::{CameraEstimate, FieldCamera};
use geometry::{Homography, Point2};
use motion::flight_fit::{BallObservation, FlightFit, FlightInputs, FlightPriors, Stand, fit};
use play::{Seen, View};
use stats::Estimate;
use support::Dice;
use support::cameras::{Filmed, Shoot};
use support::studies::{CAREFUL, Clicks, flights};
use support::throws::{Marks, Truth, mark, with_inputs};

/// models.md section 3: release speed 2 mph in one view and .5 in both; arrival .5 yd and .5 ft in one view with the
/// catcher's feet, .15 yd and .25 ft in both; claimed 90% intervals cover 85 to 95%. Clicks of 1 px, line-ups by half-pixel
/// landmarks, sync a third of a frame, drag and wind unknown to the fit.
#[test]
fn throws_meet_the_goals_and_intervals_cover() {
    for (name, views, speed, arrival, height) in [
        ("both", &View::ALL[..], 0.5, 0.15, 0.25),
        ("sideline", &[View::Sideline][..], 2.0, 0.5, 0.5),
        ("end zone", &[View::EndZone][..], 2.0, 0.5, 0.5),
    ] {
        let s = flights(views, true, CAREFUL, 0..240);
        eprintln!("{name}: arrival {:.3} yd, not seen {} of {}", s.arrival_rms(), s.not_seen, s.thrown);
        let (mut covered, mut n) = (0.0, 0.0);
        for (what, score) in s.all() {
            eprintln!("  {}", score.line(what));
            // 240 throws show a share to 1.9 points.
            assert!((83.0..=98.0).contains(&score.coverage()), "{name}, {what}: {}%", score.coverage());
            covered += score.coverage() * score.n() as f64;
            n += score.n() as f64;
        }
        assert!((85.0..=95.0).contains(&(covered / n)), "{name}: {}%", covered / n);
        assert!(s.speed.rms() < speed && s.arrival_rms() < arrival && s.height.rms() < height, "{name}");
        assert_eq!(s.not_seen, 0, "{name}");
    }
}

#[test]
fn without_the_catchers_feet_the_claim_is_wider_and_still_covers() {
    for views in [&[View::Sideline][..], &[View::EndZone][..]] {
        let s = flights(views, false, CAREFUL, 0..120);
        for (what, score) in s.all() {
            eprintln!("  {}", score.line(what));
            assert!((81.0..=98.5).contains(&score.coverage()), "{what}: {}%", score.coverage());
        }
    }
}

/// A few rough clicks: nearly nothing is left of them, and the claim says so.
#[test]
fn few_and_rough_marks_are_claimed_as_such() {
    for (name, views, clicks) in [
        ("both, few", &View::ALL[..], Clicks { px: 1.0, share: 0.12 }),
        ("both, rough", &View::ALL[..], Clicks { px: 2.5, share: 0.9 }),
        ("sideline, few", &[View::Sideline][..], Clicks { px: 1.0, share: 0.2 }),
    ] {
        let s = flights(views, true, clicks, 3000..3120);
        eprintln!("{name}: arrival {:.3} yd, not seen {} of {}", s.arrival_rms(), s.not_seen, s.thrown);
        let (mut covered, mut n) = (0.0, 0.0);
        for (what, score) in s.all() {
            eprintln!("  {}", score.line(what));
            covered += score.coverage() * score.n() as f64;
            n += score.n() as f64;
        }
        assert!((84.0..=97.0).contains(&(covered / n)), "{name}: {}%", covered / n);
    }
}

struct Scene {
    truth: Truth,
    filmed: Vec<Filmed>,
    marks: Marks,
    dice: Dice,
}

fn scene(seed: u64, views: &[View], shoot: &Shoot, px: f64) -> Scene {
    let mut dice = Dice::new(seed);
    let truth = Truth::draw(&mut dice);
    let filmed: Vec<_> = views.iter().map(|v| truth.film(*v, shoot, &mut dice)).collect();
    let marks = mark(&truth, &filmed, px, 0.9, &mut dice);
    Scene { truth, filmed, marks, dice }
}

impl Scene {
    fn fit(&mut self, priors: &FlightPriors, change: impl FnOnce(&mut FlightInputs<'_>)) -> Seen<FlightFit> {
        with_inputs(&self.truth, &self.filmed, &self.marks, true, &mut self.dice, |i| {
            let mut i = i.clone();
            change(&mut i);
            fit(&i, priors).unwrap()
        })
    }
}

fn value(s: &Seen<Estimate>) -> f64 {
    s.get().unwrap().value
}

#[test]
fn exact_marks_recover_the_throw() {
    let exact = Shoot { landmark_px: 0.0, snap_sd_s: 0.0, ..Shoot::default() };
    let priors = FlightPriors { ball_px: 1e-3, ..FlightPriors::default() };
    for seed in 0..10 {
        let mut s = scene(seed, &View::ALL, &exact, 0.0);
        let got = s.fit(&priors, |_| ());
        let throw = &got.get().unwrap().throw;
        // The truth's path is kept every millisecond and joined by chords, at most g dt²/8 = 1e-6 yd off.
        let miss = value(&throw.speed_mph) - s.truth.speed_mph();
        // The path is known, but not where on it the hand let go: the marks of that are still half a frame wide.
        assert!(miss.abs() < 3.3 * throw.speed_mph.get().unwrap().se, "{seed}: {miss} mph");
        assert!(throw.rms_px < 0.01, "{seed}: {} px", throw.rms_px);
        let mid = throw.path[throw.path.len() / 2];
        assert!(mid.1.distance(s.truth.ball(mid.0).unwrap()) < 0.01, "{seed}");
    }
}

#[test]
fn marks_of_something_else_are_left_out_and_said() {
    for seed in 20..30 {
        let mut s = scene(seed, &View::ALL, &Shoot::default(), 1.0);
        let clean = value(&s.fit(&FlightPriors::default(), |_| ()).get().unwrap().throw.speed_mph);
        let n = s.marks.balls.len();
        let wrong = [n / 5, n / 2, 4 * n / 5];
        for k in wrong {
            s.marks.balls[k].2 = s.marks.balls[k].2 + geometry::Vector2::new(35.0, -22.0);
        }
        let got = s.fit(&FlightPriors::default(), |_| ());
        let f = got.get().unwrap();
        assert!(wrong.iter().all(|k| f.rejected.contains(k)), "{seed}: {:?}", f.rejected);
        // Of some seventy good marks one in 3000 is four standard deviations off by chance.
        assert!(f.rejected.len() <= wrong.len() + 1, "{seed}: {:?}", f.rejected);
        assert!(f.findings.iter().any(|x| x.code == "ball-marks-rejected"));
        assert!((value(&f.throw.speed_mph) - clean).abs() < 0.5, "{seed}");
    }
}

#[test]
fn rough_clicks_widen_the_claim() {
    let se = |px: f64| {
        let mut s = scene(40, &[View::Sideline], &Shoot::default(), px);
        let got = s.fit(&FlightPriors::default(), |_| ());
        got.get().unwrap().landing.get().unwrap().covariance.rms()
    };
    let (fine, rough) = (se(1.0), se(4.0));
    assert!(rough > 1.5 * fine, "{fine} {rough}");
}

fn plane(c: &CameraEstimate) -> CameraEstimate {
    let pinhole = c.camera.pinhole().unwrap();
    let corners = [(300.0, 650.0), (1000.0, 650.0), (1000.0, 420.0), (300.0, 420.0)];
    let pairs: Vec<_> = corners
        .iter()
        .map(|&(x, y)| {
            let q = Point2::new(x, y);
            (pinhole.ground_from_pixel(q, 0.0).unwrap(), q)
        })
        .collect();
    CameraEstimate { camera: FieldCamera::plane(Homography::from_pairs(&pairs).unwrap()), ..c.clone() }
}

#[test]
fn a_camera_that_knows_only_the_ground_sees_no_heights() {
    let mut s = scene(50, &[View::Sideline], &Shoot::default(), 1.0);
    let truth = s.truth.speed_mph();
    let got = s.fit(&FlightPriors::default(), |i| {
        let flat: Vec<CameraEstimate> = i.balls.iter().map(|b| plane(b.camera)).collect();
        let balls: Vec<BallObservation<'_>> =
            i.balls.iter().zip(&flat).map(|(b, camera)| BallObservation { camera, ..*b }).collect();
        let mut flattened = i.clone();
        flattened.balls = &balls;
        let got = fit(&flattened, &FlightPriors::default()).unwrap();
        let f = got.get().unwrap();
        assert!(f.throw.arrival_height_ft.get().is_none() && f.throw.apex_ft.get().is_none());
        assert!(f.landing.get().is_none());
        assert!(f.findings.iter().any(|x| x.code == "ball-marks-without-height"));
        // Speed follows from distance and time alone, and says how well.
        let e = *f.throw.speed_mph.get().unwrap();
        assert!((e.value - truth).abs() < 3.0 * e.se && e.se > 0.3);
        flattened.passer = None;
        let Seen::NotSeen(why) = fit(&flattened, &FlightPriors::default()).unwrap() else {
            panic!("from nothing")
        };
        assert!(why.starts_with("0 ball marks where heights can be measured"), "{why}");
    });
    assert!(got.get().is_some());
}

#[test]
fn a_ball_far_from_its_receiver_is_not_drawn_to_him() {
    let mut s = scene(60, &View::ALL, &Shoot::default(), 1.0);
    let truth = s.truth.arrival;
    let got = s.fit(&FlightPriors::default(), |i| {
        let c = i.catcher.unwrap();
        i.catcher = Some(Stand { point: c.point + geometry::Vector2::new(4.0, -3.0), ..c });
    });
    let f = got.get().unwrap();
    assert!(f.findings.iter().any(|x| x.code == "arrival-away-from-receiver"));
    assert!(f.throw.arrival.ground().distance(truth.ground()) < 0.6);
}

#[test]
fn missing_moments_are_named() {
    let mut s = scene(70, &View::ALL, &Shoot::default(), 1.0);
    assert_eq!(s.fit(&FlightPriors::default(), |i| i.release = &[]), Seen::not("no release is marked"));
    let without = s.fit(&FlightPriors::default(), |i| i.arrival = &[]);
    let f = without.get().unwrap();
    assert!(f.findings.iter().any(|x| x.code == "no-arrival"));
    let air = play::Air { altitude_m: 99_000.0, ..play::Air::default() };
    with_inputs(&s.truth, &s.filmed, &s.marks, true, &mut s.dice, |i| {
        let e = fit(&FlightInputs { air: &air, ..i.clone() }, &FlightPriors::default()).unwrap_err();
        assert_eq!(e.to_string(), "altitude is 99000 m, outside -500 to 6000 m");
    });
}
