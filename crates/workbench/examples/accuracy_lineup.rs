//! Lines up whole invented games on worn film of 360 lines without a click and holds every clip's cameras to the truth; prints one JSON
//! object a line: {name, value, unit, goal, better, holds, note}. `dev SEED PLAYS` prints every clip of another season instead.
//!
//! From far behind an end line a shift of a yard line goes with zoom and tilt: what clips say together must not make a wrong name sound.
#![allow(clippy::print_stdout, reason = "an example speaks to whoever ran it")]

#[path = "support/filmed.rs"]
mod filmed;

use filmed::{BOOK, filmed};
use geometry::{Point2, frame::Pixel};
use play::View;
use scrimmage::command::{Command, run};
use scrimmage::render::FrameTruth;
use scrimmage::truth::PlayTruth;
use std::collections::HashMap;
use std::path::Path;
use workbench::{PixelSpot, Standing, Workbench};

/// Season of the reported games; not used while anything was made.
const SEED: u64 = 411;
const PLAYS: usize = 14;
/// A clip whose ground is off by more on the median is under a wrong name, yd: a crown that nobody told moves it by less than half of that.
const WRONG_YD: f64 = 1.0;
/// Frames of a clip that are held to the truth, and places of each, as shares of the picture.
const FRAMES: u32 = 6;
const PLACES: [[f64; 2]; 4] = [[0.5, 0.75], [0.25, 0.6], [0.75, 0.6], [0.5, 0.5]];

#[derive(Default)]
struct Tally {
    clips: usize,
    sound: usize,
    wrong: usize,
}

fn say(name: &str, value: f64, unit: &str, goal: f64, lower: bool, note: &str) {
    let (better, holds) = if lower { ("lower", value <= goal) } else { ("higher", value >= goal) };
    println!(
        "{{\"name\": \"register.games.{name}\", \"value\": {value:.4}, \"unit\": \"{unit}\", \"goal\": {goal}, \"better\": \"{better}\", \"holds\": {holds}, \"note\": \"{note}\"}}"
    );
}

/// Every film's true cameras by its file's name.
fn truths(folder: &Path) -> HashMap<String, Vec<FrameTruth>> {
    let mut out = HashMap::new();
    for file in std::fs::read_dir(folder).expect("truth") {
        let file = file.expect("a file").path();
        if file.file_name().is_some_and(|n| n == "game.json") {
            continue;
        }
        let text = std::fs::read(&file).expect("a file that can be read");
        let play: PlayTruth = serde_json::from_slice(&text).expect("a play's truth");
        out.extend(play.views.into_iter().map(|v| (v.file, v.film.frames)));
    }
    out
}

/// Misses of a clip's ground, yd.
async fn misses(bench: &Workbench, clip: &play::Clip, truth: &[FrameTruth]) -> Vec<f64> {
    let mut out = Vec::new();
    for k in 0..FRAMES {
        let frame = clip.first + (clip.end - clip.first - 1) * k / (FRAMES - 1);
        let Some(camera) = truth.get(frame as usize).map(|t| t.pinhole) else { continue };
        let (w, h) = (f64::from(camera.station.width), f64::from(camera.station.height));
        for [x, y] in PLACES {
            let pixel = Point2::<Pixel>::new(x * w, y * h);
            let on = camera.surface_from_pixel(pixel, |_| 0.0).filter(|p| BOOK.holds(*p));
            if let Some(is) = on
                && let Ok(place) = bench.ground(&clip.id, PixelSpot { frame, pixel }).await
            {
                out.push(place.point.distance(is));
            }
        }
    }
    out
}

async fn game(season: u64, number: u8, plays: usize, dev: bool, tally: &mut [Tally; 2]) {
    let room = tempfile::tempdir().expect("a folder");
    let at = room.path().join("made");
    run(Command::Demo { out: at.clone(), seed: season, game: number, plays, height: 360, only: vec![] })
        .expect("a game on film");
    let list = std::fs::read(at.join("playlist.csv")).expect("a play list");
    let (bench, game) = filmed(room.path(), &at.join("film"), Some(list)).await;
    let job = bench.line_up_game(&game, false).await.expect("a job");
    bench.wait(job.id).await.expect("a job");
    let truth = truths(&at.join("truth"));
    let standing = bench.game_line_up(&game).await.expect("an overview");
    for c in bench.clips().await.expect("clips") {
        let Some(s) = standing.clips.iter().find(|s| s.clip == c.clip.id) else { continue };
        let sound = s.standing == Standing::Sound;
        let t = &mut tally[usize::from(c.clip.view == Some(View::EndZone))];
        let mut off = misses(&bench, &c.clip, &truth[&c.film_name]).await;
        off.sort_by(f64::total_cmp);
        let wrong = off.get(off.len() / 2).is_some_and(|d| *d > WRONG_YD);
        t.clips += 1;
        t.sound += usize::from(sound && !wrong);
        t.wrong += usize::from(sound && wrong);
        if dev {
            let word = match (sound, wrong) {
                (true, false) => "ok   ",
                (true, true) => "WRONG",
                (false, false) => "soft ",
                (false, true) => "miss ",
            };
            let mid = off.get(off.len() / 2).copied().unwrap_or(f64::NAN);
            println!(
                "{word} {number} {} off {mid:.2} | {} | {}",
                c.film_name,
                s.settled_by,
                s.doubts.join("; ")
            );
        }
    }
    bench.close().await;
}

#[tokio::main]
async fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let number = |k: usize, or: u64| args.get(k).and_then(|v| v.parse().ok()).unwrap_or(or);
    let dev = args.first().is_some_and(|a| a == "dev");
    let (season, plays) = if dev { (number(1, 5), number(2, 14) as usize) } else { (SEED, PLAYS) };
    let mut tally = [Tally::default(), Tally::default()];
    for number in [2, 3] {
        game(season, number, plays, dev, &mut tally).await;
    }
    let [side, end] = &tally;
    let note =
        |t: &Tally| format!("{} clips of two games on worn film of 360 lines, season {season}", t.clips);
    let wrong = side.wrong + end.wrong;
    let all = side.clips + end.clips;
    say("wrong_not_flagged", wrong as f64, "clips", 0.0, true, &format!("of {all}, no clicks"));
    for (t, view) in [(side, "sideline"), (end, "endzone")] {
        say(&format!("{view}_sound"), t.sound as f64 / t.clips.max(1) as f64, "share", 0.95, false, &note(t));
    }
}
