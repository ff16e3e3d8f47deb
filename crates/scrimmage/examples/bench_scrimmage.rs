//! Speed of the film generator on one thread, as JSON lines `{name, value, unit, goal, better, holds, note}`.

use scrimmage::render::{Exposure, Look, Scratch, Venue, ViewSetup, expose};
use scrimmage::sim::{game::GameScript, staged::StagedPlay, teams};
use serde_json::json;
use std::time::Instant;
use units::Rate;

/// Every fifth frame of a play, in both views.
const STEP: usize = 5;

#[allow(clippy::print_stdout, reason = "a benchmark's figures are its output")]
fn main() -> anyhow::Result<()> {
    let game = GameScript::with_plays(7, 1);
    let stage = StagedPlay::new(&game.plays[0].script, &teams::kits(&game.teams[0], &game.teams[1]));
    let look = Look::college_day(7);
    let venue = Venue::new(&look);
    let rate = Rate::new(30, 1)?;
    let views = [
        ViewSetup::sideline(1280, 720, rate, 3),
        ViewSetup::end_zone(look.rule_book, false, 1280, 720, rate, 3),
    ];
    for view in views {
        let follow = view.follow(&stage);
        let mut scratch = Scratch::default();
        let mut each = Vec::new();
        for (i, &t) in view.times(&stage).iter().enumerate().step_by(STEP) {
            let began = Instant::now();
            expose(&venue, &stage, &Exposure::following(&follow, t, view.shutter_s, i), &mut scratch);
            each.push(began.elapsed().as_secs_f64());
        }
        each.sort_by(f64::total_cmp);
        let fps = (10.0 / each[each.len() / 2]).round() / 10.0;
        let name = format!("film.scrimmage_720p_{}", view.name.replace('-', "_"));
        let note = format!("median of {} frames drawn on one thread, encoding excluded", each.len());
        println!(
            "{}",
            json!({"name": name, "value": fps, "unit": "frames/s", "goal": 30.0, "better": "higher", "holds": fps >= 30.0, "note": note})
        );
    }
    Ok(())
}
