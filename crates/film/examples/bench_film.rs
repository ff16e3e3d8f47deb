//! Speed of the way in and of single frames, as JSON lines `{name, value, unit, goal, better, holds, note}`.
//!
//! The film is made on the spot: 1280 x 720 with noise in every frame, which asks much of a coder; real film asks less.

use film::testfilm::TestFilm;
use film::{Monitor, OriginalReader, PixelFormat, ProxyReader, VideoTool, ingest, probe};
use serde_json::json;
use std::error::Error;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use std::time::Instant;
use units::Rate;

const FRAMES: usize = 600;

#[allow(clippy::print_stdout, reason = "a benchmark's figures are its output")]
fn figure(name: &str, value: f64, unit: &str, goal: f64, better: &str, note: &str) {
    let holds = if better == "lower" { value <= goal } else { value >= goal };
    let value = (value * 1000.0).round() / 1000.0;
    println!(
        "{}",
        json!({"name": name, "value": value, "unit": unit, "goal": goal, "better": better, "holds": holds, "note": note})
    );
}

/// Median of `n` runs, ms.
fn median_ms(
    n: usize,
    mut run: impl FnMut(usize) -> Result<(), film::FilmError>,
) -> Result<f64, film::FilmError> {
    let mut times = Vec::new();
    for k in 0..n {
        let begin = Instant::now();
        run(k)?;
        times.push(begin.elapsed().as_secs_f64() * 1000.0);
    }
    times.sort_by(f64::total_cmp);
    Ok(times[n / 2])
}

#[allow(clippy::disallowed_methods, reason = "the yardstick is the tool run bare")]
fn bare_decode_seconds(path: &Path) -> Result<f64, Box<dyn Error>> {
    let begin = Instant::now();
    let status = std::process::Command::new("ffmpeg")
        .args(["-nostdin", "-v", "error", "-i"])
        .arg(path)
        .args(["-f", "null", "-"])
        .status()?;
    if status.success() { Ok(begin.elapsed().as_secs_f64()) } else { Err("the bare decode failed".into()) }
}

fn main() -> Result<(), Box<dyn Error>> {
    let dir = tempfile::tempdir()?;
    let (path, proxy_path) = (dir.path().join("a.mp4"), dir.path().join("a.h264"));
    let tool = VideoTool::on_path();
    let mut film = TestFilm::new(Rate::new(60_000, 1001)?, FRAMES);
    (film.width, film.height, film.audio) = (1280, 720, true);
    film.extra = ["-vf", "noise=alls=12:allf=t"].map(Into::into).into();
    film.write(&tool, &path)?;

    let go = AtomicBool::new(false);
    let about = probe(&tool, &path)?;
    let bare = bare_decode_seconds(&path)?;
    let begin = Instant::now();
    let taken = ingest(&tool, &path, &about, &proxy_path, &mut Monitor::new(&go, &mut |_| {}))?;
    let seconds = begin.elapsed().as_secs_f64();
    let bare = bare.midpoint(bare_decode_seconds(&path)?);
    let note = format!("720p60, {FRAMES} frames in {seconds:.1} s; the bare decode took {bare:.1} s");
    figure("film.ingest_over_bare_decode", seconds / bare, "ratio", 6.0, "lower", &note);
    figure(
        "film.ingest_rate",
        FRAMES as f64 / seconds,
        "frames/s",
        60.0,
        "higher",
        "720p; as fast as it plays at 60",
    );

    let original = OriginalReader::open(&tool, &path, &about, &taken.clock)?;
    let proxy = ProxyReader::open(&tool, &proxy_path, &taken.proxy)?;
    // A stride without a common factor visits every place in a group of pictures.
    let place = |k: usize| (k * 97 + 14) % FRAMES;
    let note = "any frame, a new decoder process each time, median of 25";
    let ms = median_ms(25, |k| proxy.frame(place(k), PixelFormat::Rgb24).map(drop))?;
    figure("film.proxy_frame", ms, "ms", 150.0, "lower", note);
    let mut session = proxy.session(PixelFormat::Rgb24, None)?;
    let ms = median_ms(101, |k| session.frame(place(k)).map(drop))?;
    figure(
        "film.proxy_seek",
        ms,
        "ms",
        50.0,
        "lower",
        "any frame, decoder kept running, median of 101; a step's budget",
    );
    let ms = median_ms(25, |k| original.frame(place(k), PixelFormat::Rgb24).map(drop))?;
    figure("film.original_frame", ms, "ms", 500.0, "lower", note);

    for (name, format, goal) in [
        ("film.proxy_stream_gray", PixelFormat::Gray8, 300.0),
        ("film.proxy_stream_rgb", PixelFormat::Rgb24, 120.0),
    ] {
        let begin = Instant::now();
        let n = proxy.frames(0..FRAMES, format, None)?.filter(Result::is_ok).count();
        figure(name, n as f64 / begin.elapsed().as_secs_f64(), "frames/s", goal, "higher", "720p, in order");
    }
    let begin = Instant::now();
    let n = original.frames(0..FRAMES, PixelFormat::Gray8, Some((640, 360)))?.filter(Result::is_ok).count();
    let value = n as f64 / begin.elapsed().as_secs_f64();
    figure(
        "film.original_stream_gray_half",
        value,
        "frames/s",
        120.0,
        "higher",
        "720p scaled to 640 x 360, in order",
    );
    Ok(())
}
