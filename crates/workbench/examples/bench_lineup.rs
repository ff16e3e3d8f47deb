//! The whole pass that lines up a game, decoding and all, beside the same tool decoding the same films, as JSON lines.
#![allow(clippy::print_stdout, reason = "an example speaks to whoever ran it")]
#![allow(clippy::disallowed_methods, reason = "the decoder alone is the peer, run as a program")]

#[path = "support/filmed.rs"]
mod filmed;

use filmed::{BOOK, filmed};
use scrimmage::render::{Encode, Look, Venue, ViewSetup, shoot};
use scrimmage::sim::game::GameScript;
use scrimmage::sim::staged::StagedPlay;
use scrimmage::sim::teams;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;
use units::Rate;

const SEED: u64 = 91;
const PLAYS: usize = 6;

fn say(name: &str, value: f64, unit: &str, goal: f64, note: &str) {
    println!(
        "{{\"name\": \"register.{name}\", \"value\": {value:.3}, \"unit\": \"{unit}\", \"goal\": {goal}, \"better\": \"lower\", \"holds\": {}, \"note\": \"{note}\"}}",
        value <= goal
    );
}

fn film(folder: &Path) -> usize {
    let game = GameScript::demo(SEED);
    let venue = Venue::new(&Look::college_day(SEED));
    let rate = Rate::new(30_000, 1001).expect("a positive fraction");
    let mut frames = 0;
    for p in game.plays.iter().take(PLAYS) {
        let stage = StagedPlay::new(&p.script, &teams::kits(&game.teams[0], &game.teams[1]));
        let high = p.scene.direction == field::Direction::Down;
        let views = [
            ("sideline", ViewSetup::sideline(1280, 720, rate, SEED)),
            ("endzone", ViewSetup::end_zone(BOOK, high, 1280, 720, rate, SEED)),
        ];
        for (name, view) in views {
            let out = folder.join(format!("{:02} {name}.mp4", p.number));
            frames += shoot(&venue, &stage, &view, &out, &Encode::default()).expect("a film").frames.len();
        }
    }
    frames
}

/// Decodes every film as the pass does, as many at a time as it, and throws the frames away.
fn decode(folder: &Path, at_once: usize) {
    let mut films: Vec<_> =
        std::fs::read_dir(folder).expect("films").map(|f| f.expect("a film").path()).collect();
    films.sort();
    let next = std::sync::Mutex::new(films.into_iter());
    std::thread::scope(|s| {
        for _ in 0..at_once {
            s.spawn(|| {
                loop {
                    let Some(f) = next.lock().expect("a list").next() else { return };
                    let mut child = Command::new("ffmpeg")
                        .args(["-v", "error", "-i"])
                        .arg(f)
                        .args(["-f", "rawvideo", "-pix_fmt", "yuv420p", "-"])
                        .stdout(Stdio::piped())
                        .spawn()
                        .expect("the video tool");
                    let mut out = child.stdout.take().expect("a pipe");
                    std::io::copy(&mut out, &mut std::io::sink()).expect("frames");
                    assert!(child.wait().expect("an end").success(), "the decoder failed");
                }
            });
        }
    });
}

/// Most memory this process held so far, MB; only where the system tells it in the form of Linux.
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    Some(line.split_whitespace().nth(1)?.parse::<f64>().ok()? / 1024.0)
}

#[tokio::main]
async fn main() {
    // Filmed by a process of its own, so that the memory told at the end is the pass's.
    if let Some(folder) = std::env::args().nth(1) {
        println!("{}", film(Path::new(&folder)));
        return;
    }
    let room = tempfile::tempdir().expect("a folder");
    let films = room.path().join("film");
    std::fs::create_dir(&films).expect("a folder");
    let made = Command::new(std::env::current_exe().expect("this program")).arg(&films).output();
    let frames: usize =
        String::from_utf8_lossy(&made.expect("films").stdout).trim().parse().expect("a number of frames");
    let (bench, game) = filmed(room.path(), &films, None).await;

    let at_once = std::thread::available_parallelism().map_or(2, usize::from).clamp(1, 4);
    // Twice, the second counts: the films are in the system's cache for both sides.
    decode(&films, at_once);
    let began = Instant::now();
    decode(&films, at_once);
    let alone = began.elapsed().as_secs_f64();
    let began = Instant::now();
    let job = bench.line_up_game(&game, false).await.expect("a job");
    bench.wait(job.id).await.expect("a job");
    let pass = began.elapsed().as_secs_f64();
    let standing = bench.game_line_up(&game).await.expect("an overview");
    let sound = standing.clips.iter().filter(|c| c.standing == workbench::Standing::Sound).count();
    let note = format!(
        "{frames} frames of 720 lines in {} clips, {sound} sound; {pass:.1} s against {alone:.1} s of decoding alone, {at_once} at a time",
        standing.clips.len()
    );
    say("pass_ratio_to_decoding", pass / alone, "ratio", 1.3, &note);
    say("pass_ms_per_frame", 1e3 * pass / frames as f64, "ms", 5.0, "wall, decoding and starts within");
    if let Some(mb) = peak_mb() {
        say(
            "pass_memory_mb",
            mb,
            "MB",
            1500.0,
            "most the process held; grows with what is decoded at once, not with the number of clips; decoders are processes of their own",
        );
    }
    bench.close().await;
}
