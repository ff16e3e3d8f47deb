//! Times the hot path; prints one JSON object a line: {name, value, unit, goal, better, holds, note}.

#[path = "../tests/support/mod.rs"]
mod support;

use field::{Crown, RuleBook};
use register::{FieldModel, FollowSettings, Follower, StationPrior, solve_frame};
use std::time::Instant;
use support::film::{DAY, Painted, figures, frame};
use support::*;

fn main() {
    let book = RuleBook::College;
    let field = FieldModel::flat(book);
    let painted = Painted::new(book, 0.0, Crown::default(), 1);
    for (view, base) in [("sideline", sideline(45.0)), ("endzone", end_zone())] {
        let mut r = rng(9);
        let people = figures(45.0, &mut r);
        let truth: Vec<_> = (0..24)
            .map(|k| {
                let mut c = base;
                c.aim.pan -= 0.005 * f64::from(k);
                c.aim.focal *= 1.003f64.powi(k);
                c
            })
            .collect();
        let clicks: Vec<_> = visible_crossings(&truth[0], book)
            .into_iter()
            .step_by(3)
            .map(|l| click(&truth[0], l, book, 1.0, &mut r))
            .collect();
        let begun = Instant::now();
        let start = solve_frame(&clicks, SIZE, &field, &StationPrior::Unknown).expect("good clicks");
        let solved = begun.elapsed().as_secs_f64() * 1e3;
        print(
            &format!("register.clicks_ms.{view}"),
            solved,
            "ms",
            50.0,
            &format!("{} clicks, nothing known of the camera", clicks.len()),
        );
        let pictures: Vec<_> = truth
            .iter()
            .enumerate()
            .map(|(k, c)| frame(c, &painted, &people, k as f64 / 30.0, DAY, &mut r))
            .collect();
        let mut times: Vec<f64> = Vec::new();
        for _ in 0..8 {
            let mut follower = Follower::new(&start, SIZE, &field, &FollowSettings::default());
            for (k, p) in pictures.iter().enumerate() {
                let begun = Instant::now();
                let e = follower.next(p.view());
                if k > 1 {
                    times.push(begun.elapsed().as_secs_f64() * 1e3);
                }
                assert!(e.quality.trusted, "frame {k} of the bench clip is lost");
            }
        }
        times.sort_by(f64::total_cmp);
        let note = format!(
            "median of {} frames of 1280x720, one core, decoding excluded; 90th percentile {:.2}",
            times.len(),
            times[times.len() * 9 / 10]
        );
        print(&format!("register.frame_ms.{view}"), times[times.len() / 2], "ms", 2.0, &note);
    }
}

fn print(name: &str, value: f64, unit: &str, goal: f64, note: &str) {
    println!(
        "{{\"name\":\"{name}\",\"value\":{value:.4},\"unit\":\"{unit}\",\"goal\":{goal},\"better\":\"lower\",\"holds\":{},\"note\":\"{note}\"}}",
        value <= goal
    );
}
