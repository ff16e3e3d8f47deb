//! Writes a film whose frames carry their own index.
//!
//! `make_test_film CODEC RATE FRAMES OUT [audio] [variable]`, with CODEC one of h264, hevc, mpeg4 and RATE such as
//! 30000/1001; the container follows the name's ending (mp4, mov, mkv, avi).

use film::VideoTool;
use film::testfilm::TestFilm;
use std::path::Path;
use std::process::ExitCode;
use units::Rate;

fn run(args: &[String]) -> Result<(), Box<dyn std::error::Error>> {
    let [codec, rate, frames, out, options @ ..] = args else {
        return Err("usage: make_test_film CODEC RATE FRAMES OUT [audio] [variable]".into());
    };
    let (n, d) = rate.split_once('/').unwrap_or((rate, "1"));
    let mut film = TestFilm::new(Rate::new(n.parse()?, d.parse()?)?, frames.parse()?);
    film.codec.clone_from(codec);
    film.audio = options.iter().any(|o| o == "audio");
    film.variable = options.iter().any(|o| o == "variable");
    film.write(&VideoTool::on_path(), Path::new(out))?;
    Ok(())
}

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    match run(&args) {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("{e}");
            ExitCode::FAILURE
        }
    }
}
