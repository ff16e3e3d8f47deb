//! The scripted evaluator's hands err as careful hands do, and truth is what it says.
#![allow(clippy::unwrap_used, reason = "tests")]

use field::{Landmark, LandmarkShape};
use geometry::Point3;
use scrimmage::hands::{self, CLICK_SD_PX, PlayHands};
use scrimmage::render::{FilmTruth, FrameTruth, ViewSetup};
use scrimmage::sim::game::GameScript;
use scrimmage::sim::staged::StagedPlay;
use scrimmage::sim::teams;
use scrimmage::truth::{self, PlayTruth, ViewTruth};
use units::Rate;

/// Truth of a film that was never rendered: the cameras alone.
fn unfilmed(view: &ViewSetup, stage: &StagedPlay) -> FilmTruth {
    let follow = view.follow(stage);
    let frames = view
        .times(stage)
        .into_iter()
        .enumerate()
        .map(|(i, t)| FrameTruth { time_s: t, tick: i as i64, pinhole: follow.at(t) })
        .collect();
    FilmTruth {
        view: view.name.clone(),
        rule_book: stage.script.place.book,
        crown_yd: 0.0,
        rate: view.rate,
        shutter_s: view.shutter_s,
        frames,
    }
}

fn worked(plays: usize) -> Vec<(PlayTruth, PlayHands)> {
    let game = GameScript::with_plays(7, plays);
    let rate = Rate::new(30_000, 1001).unwrap();
    game.plays
        .iter()
        .map(|p| {
            let stage = StagedPlay::new(&p.script, &teams::kits(&game.teams[0], &game.teams[1]));
            let high = p.scene.direction == field::Direction::Down;
            let mut side = ViewSetup::sideline(1280, 720, rate, 7);
            let mut end = ViewSetup::end_zone(game.book, high, 1280, 720, rate, 7);
            side.starts_before_snap_s = 1.5;
            end.starts_before_snap_s = 1.2;
            let views = [side, end]
                .iter()
                .map(|v| ViewTruth { file: format!("{}.mp4", v.name), film: unfilmed(v, &stage) })
                .collect();
            let t = truth::of_play(p, &stage, views);
            let h = hands::work(p, &stage, &t, 7);
            (t, h)
        })
        .collect()
}

#[test]
fn landmark_clicks_err_by_the_stated_pixel() {
    let (mut sum, mut n) = (0.0, 0);
    for (t, h) in worked(8) {
        assert_eq!(h.clips.len(), 2);
        for (clip, view) in h.clips.iter().zip(&t.views) {
            assert!(!clip.lined_up.is_empty(), "{} {}", h.stem, clip.view);
            for l in &clip.lined_up {
                assert!((4..=10).contains(&l.clicks.len()));
                for c in &l.clicks {
                    let LandmarkShape::Point(p) = c.landmark.shape(t.rule_book).unwrap() else {
                        panic!("points only")
                    };
                    assert!(!matches!(c.landmark, Landmark::OnYardLine { .. }));
                    let q = view.film.pixel(l.frame as usize, Point3::new(p.x, p.y, 0.0)).unwrap();
                    sum += (q.x - c.pixel.x).powi(2) + (q.y - c.pixel.y).powi(2);
                    n += 2;
                }
            }
        }
    }
    let sd = (sum / f64::from(n)).sqrt();
    // Four standard errors of a standard deviation.
    assert!((sd / CLICK_SD_PX - 1.0).abs() < 4.0 / (2.0 * f64::from(n)).sqrt(), "{sd} px over {n}");
}

#[test]
fn moments_are_the_frames_nearest_by_eye() {
    for (t, h) in worked(6) {
        for (clip, view) in h.clips.iter().zip(&t.views) {
            let step = 1.0 / view.film.rate.per_second();
            let near = |frame: Option<u32>, at: Option<f64>| {
                if let (Some(f), Some(a)) = (frame, at) {
                    let shown = view.film.frames[f as usize].time_s;
                    assert!(
                        (shown - a).abs() <= 1.01 * step,
                        "{} {}: frame at {shown}, moment {a}",
                        h.stem,
                        clip.view
                    );
                }
            };
            near(Some(clip.moments.snap), Some(0.0));
            near(clip.moments.release, t.moments.release);
            near(clip.moments.arrival, t.moments.arrival);
        }
    }
}

#[test]
fn every_play_has_people_ball_and_feet_to_work_with() {
    for (t, h) in worked(8) {
        let receivers = t.labels.routes.iter().filter(|r| r.route != "block").count();
        let labels: std::collections::BTreeSet<&str> = h.people.iter().map(|p| p.person.as_str()).collect();
        assert!(labels.contains("QB"));
        let followed = t.labels.routes.iter().filter(|r| labels.contains(r.slot.as_str())).count();
        assert!(followed >= receivers, "{}: {followed} of {receivers}", t.stem);
        if t.ball.is_some() {
            // A ball batted down at the line is in few frames; of a real flight a third of the frames of one view at least.
            let frames = (t.moments.arrival.unwrap() - t.moments.release.unwrap()) * 29.97;
            assert!(
                h.ball.len() as f64 >= (frames / 3.0).floor(),
                "{}: {} ball clicks in {frames:.0} frames",
                t.stem,
                h.ball.len()
            );
            assert!(h.feet.len() >= 10, "{}: {} foot clicks", t.stem, h.feet.len());
            let words = &h.chart;
            assert_eq!(words.coverage_after, t.labels.coverage_after);
        }
    }
}

#[test]
fn truth_agrees_with_itself() {
    for (t, _) in worked(8) {
        let Some(b) = &t.ball else { continue };
        assert!((b.path[0].1.distance(b.release)) < 1e-9);
        assert!(b.path.last().unwrap().1.distance(b.arrival) < 1e-6);
        assert!((units::mph_from_yards_per_second(b.velocity.norm()) - b.speed_mph).abs() < 1e-9);
        let f = t.feet.unwrap();
        let qb = t.people.iter().find(|p| p.id == "off-qb").unwrap();
        let k = ((t.moments.release.unwrap() - t.tracks_from_s) * truth::TRACK_RATE).round() as usize;
        assert!(qb.hips[k].distance(f.hips) < 0.12);
        assert!((0.3..1.6).contains(&f.base_yd), "base {}", f.base_yd);
        assert!(f.error_deg.abs() < 60.0);
        // JSON keeps it.
        let again: PlayTruth = serde_json::from_str(&serde_json::to_string(&t).unwrap()).unwrap();
        assert_eq!(again.people.len(), 22);
    }
}
