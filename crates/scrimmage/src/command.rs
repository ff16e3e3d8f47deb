//! The commands of the `scrimmage` program.

use crate::hands;
use crate::render::{Encode, FilmTruth, Look, Venue, ViewSetup, shoot};
use crate::sim::callsheet::Picture;
use crate::sim::concept::Concept;
use crate::sim::coverage::Coverage;
use crate::sim::game::{GamePlay, GameScript, HashSpot, Scene, gain};
use crate::sim::script::Script;
use crate::sim::season::{GAMES, game_seed};
use crate::sim::staged::StagedPlay;
use crate::sim::teams;
use crate::sim::world::Outcome;
use crate::stage::Stage;
use crate::tables::{self, Style};
use crate::truth::{self, PlayTruth, ViewTruth};
use anyhow::{Context, Result, anyhow, bail};
use clap::Subcommand;
use field::Direction;
use serde::Serialize;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::Instant;
use units::Rate;

/// Seed of the demonstration game.
pub const DEMO_SEED: u64 = 3;

/// What to do.
#[derive(Subcommand)]
pub enum Command {
    /// Film a whole invented game of a season of three: DIR/film, DIR/playlist.csv, DIR/truth, DIR/hands.
    Demo {
        /// Folder to make.
        #[arg(long)]
        out: PathBuf,
        /// Seed of the season.
        #[arg(long, default_value_t = DEMO_SEED)]
        seed: u64,
        /// Which of the season's three games.
        #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=GAMES as i64))]
        game: u8,
        /// How many pass plays.
        #[arg(long, default_value_t = 26)]
        plays: usize,
        /// Lines of picture of the usual clip.
        #[arg(long, default_value_t = 720)]
        height: u32,
        /// Write truth and hands only for these play numbers, and film only them.
        #[arg(long, value_delimiter = ',')]
        only: Vec<u32>,
    },
    /// Invented games as tables instead of film: DIR/positions.csv, DIR/plays.csv, and DIR/truth for tests alone.
    Table {
        /// Folder to make.
        #[arg(long)]
        out: PathBuf,
        /// Seed of the games.
        #[arg(long, default_value_t = DEMO_SEED)]
        seed: u64,
        /// How many pass plays; more than 40 come from several games.
        #[arg(long, default_value_t = 26)]
        plays: usize,
        /// One of the many ways in which such tables come, by seed, with plays that are no passes and faults.
        #[arg(long)]
        wild: bool,
    },
    /// Film one play.
    Play {
        /// Concept, e.g. curl-flat.
        #[arg(long)]
        concept: String,
        /// Coverage, e.g. three-deep.
        #[arg(long)]
        coverage: String,
        /// Seed.
        #[arg(long, default_value_t = 1)]
        seed: u64,
        /// Folder to make.
        #[arg(long)]
        out: PathBuf,
        /// Lines of picture.
        #[arg(long, default_value_t = 720)]
        height: u32,
    },
    /// One picture of a play of the demonstration game.
    Still {
        /// Play number, from 1.
        #[arg(long)]
        play: u32,
        /// sideline or end-zone.
        #[arg(long, default_value = "sideline")]
        view: String,
        /// Seconds from the snap.
        #[arg(long, default_value_t = 0.0, allow_hyphen_values = true)]
        t: f64,
        /// Seed of the game.
        #[arg(long, default_value_t = DEMO_SEED)]
        seed: u64,
        /// PNG to write.
        #[arg(long)]
        out: PathBuf,
        /// Lines of picture.
        #[arg(long, default_value_t = 720)]
        height: u32,
    },
}

/// Does it.
///
/// # Errors
/// When a word is unknown, a folder cannot be written, or filming fails.
pub fn run(command: Command) -> Result<()> {
    match command {
        Command::Demo { out, seed, game, plays, height, only } => {
            demo(&out, seed, usize::from(game) - 1, plays, height, &only)
        }
        Command::Table { out, seed, plays, wild } => table(&out, seed, plays, wild),
        Command::Play { concept, coverage, seed, out, height } => {
            one(&concept, &coverage, seed, &out, height)
        }
        Command::Still { play, view, t, seed, out, height } => still(play, &view, t, seed, &out, height),
    }
}

fn say(line: &str) {
    // Progress belongs to the eyes, not to the program's result: a closed pipe is no failure.
    let _ = writeln!(std::io::stderr(), "{line}");
}

fn ntsc() -> Rate {
    Rate::new(30_000, 1001).expect("a positive fraction")
}

fn width_for(height: u32) -> u32 {
    (height * 16 / 9) & !1
}

/// Cameras of a game: the press box, and one behind each end zone; film of a play uses the one behind the offense.
fn views(game: &GameScript, play: &GamePlay, seed: u64, height: u32) -> [(ViewSetup, &'static str); 2] {
    let n = u64::from(play.number);
    let high_end = play.scene.direction == Direction::Down;
    let heights = match play.number {
        // A few clips come as other people's copies do.
        5 => [360, height],
        9 => [height, 1080],
        _ => [height, height],
    };
    let mut side = ViewSetup::sideline(width_for(heights[0]), heights[0], ntsc(), seed);
    let mut end = ViewSetup::end_zone(
        game.book,
        high_end,
        width_for(heights[1]),
        heights[1],
        ntsc(),
        seed.wrapping_add(u64::from(high_end)),
    );
    side.starts_before_snap_s = 1.05 + 0.06 * (n * 5 % 13) as f64;
    end.starts_before_snap_s = 1.0 + 0.06 * (n * 7 % 13) as f64;
    // The stage's aim already fits the picture to what matters from where the camera stands.
    side.framing = 1.0;
    end.framing = 27.0 / 38.0;
    side.operator.seed = seed.wrapping_mul(31).wrapping_add(2 * n);
    end.operator.seed = seed.wrapping_mul(31).wrapping_add(2 * n + 1);
    [(side, "sideline"), (end, "endzone")]
}

/// A look in the home side's colours and words.
fn look(game: &GameScript, mut l: Look) -> Look {
    let home = &game.teams[0];
    let mut words = home.name.split(' ');
    let word = |w: Option<&str>| w.unwrap_or_default().to_uppercase();
    l.rule_book = game.book;
    l.colours = [home.kit.shirt, home.kit.trousers];
    l.end_zone_words = Some([word(words.next()), word(words.next())]);
    l
}

fn folders(out: &Path) -> Result<()> {
    for f in ["film", "truth", "hands"] {
        fs::create_dir_all(out.join(f)).with_context(|| format!("making {}", out.join(f).display()))?;
    }
    Ok(())
}

fn write_json(path: &Path, value: &impl Serialize) -> Result<()> {
    let text = serde_json::to_vec(value)?;
    fs::write(path, text).with_context(|| format!("writing {}", path.display()))
}

/// Films both views of a play and writes its truth and hands.
fn film(
    venue: &Venue,
    game: &GameScript,
    play: &GamePlay,
    seed: u64,
    height: u32,
    out: &Path,
) -> Result<PlayTruth> {
    let stage = StagedPlay::new(&play.script, &teams::kits(&game.teams[0], &game.teams[1]));
    let stem = truth::stem(play);
    let take = |(view, suffix): (ViewSetup, &str)| -> Result<ViewTruth> {
        let file = format!("{stem}-{suffix}.mp4");
        let film: FilmTruth = shoot(venue, &stage, &view, &out.join("film").join(&file), &Encode::default())?;
        Ok(ViewTruth { file, film })
    };
    // Both views at once: while one waits for its encoder or its last frames, the other has work for the cores.
    let [first, second] = views(game, play, seed, height);
    let (first, second) = std::thread::scope(|scope| {
        let second = scope.spawn(|| take(second));
        let first = take(first);
        (first, second.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
    });
    let films = vec![first?, second?];
    let truth = truth::of_play(play, &stage, films);
    write_json(&out.join("truth").join(format!("{stem}.json")), &truth)?;
    let hands = hands::work(play, &stage, &truth, seed);
    write_json(&out.join("hands").join(format!("{stem}.json")), &hands)?;
    Ok(truth)
}

fn demo(out: &Path, season: u64, number: usize, plays: usize, height: u32, only: &[u32]) -> Result<()> {
    if plays == 0 || !(144..=2160).contains(&height) || height % 2 == 1 {
        bail!(
            "{plays} plays at {height} lines: at least 1 play, and an even number of lines from 144 to 2160"
        );
    }
    let began = Instant::now();
    folders(out)?;
    let (game, seed) = (GameScript::of_season(season, number, plays), game_seed(season, number));
    write_json(&out.join("truth").join("game.json"), &truth::of_game(&game))?;
    fs::write(out.join("playlist.csv"), playlist(&game))
        .with_context(|| format!("writing {}", out.join("playlist.csv").display()))?;
    let venue = Venue::new(&look(&game, Look::of_season(number, seed)));
    let chosen: Vec<&GamePlay> =
        game.plays.iter().filter(|p| only.is_empty() || only.contains(&p.number)).collect();
    for (k, play) in chosen.iter().enumerate() {
        let truth = film(&venue, &game, play, seed, height, out)?;
        let frames: usize = truth.views.iter().map(|v| v.film.frames.len()).sum();
        say(&format!(
            "{:2} of {}  {}  {} against {}: {:?}, {} frames, {:.0} s",
            k + 1,
            chosen.len(),
            truth.stem,
            truth.labels.concept,
            truth.labels.coverage_after,
            truth.result,
            frames,
            began.elapsed().as_secs_f64()
        ));
    }
    Ok(())
}

fn table(out: &Path, seed: u64, plays: usize, wild: bool) -> Result<()> {
    let style = if wild { Style::wild(seed) } else { Style::plain(plays > tables::ONE_GAME) };
    let season = tables::season(seed, plays, &style);
    let written = tables::write(&season, &style, seed);
    let truth = out.join("truth");
    fs::create_dir_all(&truth).with_context(|| format!("making {}", truth.display()))?;
    let write = |path: PathBuf, text: &str| {
        fs::write(&path, text).with_context(|| format!("writing {}", path.display()))
    };
    write(out.join("positions.csv"), &written.positions)?;
    write(out.join("plays.csv"), &written.plays)?;
    write(truth.join("plays.json"), &serde_json::to_string(&tables::facts(&season, &written))?)
}

/// The play list that comes with a game's film.
pub fn playlist(game: &GameScript) -> String {
    let mut out = String::from("quarter,clock,down,distance,ball on,hash,direction,margin,result,gain\n");
    for p in &game.plays {
        let s = &p.scene;
        let clock = s.clock_s.round() as i64;
        let (mine, theirs) = if s.home_ball { (0, 1) } else { (1, 0) };
        let on =
            if s.own <= 50.0 { format!("own {:.0}", s.own) } else { format!("opp {:.0}", 100.0 - s.own) };
        let word = |v: serde_json::Result<String>| v.unwrap_or_default().trim_matches('"').to_owned();
        out.push_str(&format!(
            "{},{}:{:02},{},{:.0},{on},{},{},{},{},{:.0}\n",
            s.quarter,
            clock / 60,
            clock % 60,
            s.down,
            s.distance,
            word(serde_json::to_string(&s.hash)),
            word(serde_json::to_string(&s.direction)),
            s.score[mine] - s.score[theirs],
            word(serde_json::to_string(&p.outcome)),
            p.gain
        ));
    }
    out
}

fn one(concept: &str, coverage: &str, seed: u64, out: &Path, height: u32) -> Result<()> {
    let parse = |s: &str| serde_json::Value::String(s.to_owned());
    let concept: Concept = serde_json::from_value(parse(concept))
        .map_err(|_| anyhow!("no concept {concept:?}; there are {}", names(&Concept::ALL)))?;
    let coverage: Coverage = serde_json::from_value(parse(coverage))
        .map_err(|_| anyhow!("no coverage {coverage:?}; there are {}", names(&Coverage::ALL)))?;
    folders(out)?;
    let (game, play) = single(concept, coverage, seed);
    let venue = Venue::new(&look(&game, Look::college_day(seed)));
    let truth = film(&venue, &game, &play, seed, height, out)?;
    say(&format!("{}: {:?} {}", truth.stem, truth.result, truth.miss));
    Ok(())
}

/// A game of one play.
pub fn single(concept: Concept, coverage: Coverage, seed: u64) -> (GameScript, GamePlay) {
    let script = Script::example(concept, coverage, seed);
    let world = crate::sim::engine::play(&script);
    let book = script.place.book;
    let hash = match script.place.spot.1 {
        y if y < 0.5 * book.width() - 1.0 => HashSpot::Near,
        y if y > 0.5 * book.width() + 1.0 => HashSpot::Far,
        _ => HashSpot::Middle,
    };
    let own = match script.place.direction {
        Direction::Up => script.place.spot.0,
        Direction::Down => 100.0 - script.place.spot.0,
    };
    let scene = Scene {
        quarter: 1,
        clock_s: 900.0,
        down: 1,
        distance: 10.0,
        own,
        hash,
        direction: script.place.direction,
        score: [0, 0],
        home_ball: true,
    };
    let picture = Picture {
        concept,
        set: script.set,
        strong: script.strong,
        gun: script.gun,
        plan: 0,
        call: script.call,
        protection: script.protection,
        fault: script.fault,
        untidy: script.untidy,
        motion: script.motion,
        repeats: None,
    };
    let (outcome, miss) = world.ending.as_ref().map_or((Outcome::Incomplete, ""), |e| (e.result, e.miss));
    let (gained, _) = gain(&world);
    let play = GamePlay {
        game: 1,
        number: 1,
        scene,
        picture,
        script: script.clone(),
        outcome,
        miss,
        gain: gained.round(),
    };
    let game = GameScript {
        teams: [teams::home(), teams::away()],
        book,
        air: script.air,
        downs: Vec::new(),
        plays: vec![play.clone()],
    };
    (game, play)
}

fn names(all: &[impl Serialize]) -> String {
    all.iter()
        .filter_map(|a| serde_json::to_string(a).ok())
        .map(|s| s.trim_matches('"').to_owned())
        .collect::<Vec<_>>()
        .join(", ")
}

fn still(number: u32, view: &str, t: f64, seed: u64, out: &Path, height: u32) -> Result<()> {
    let game = GameScript::demo(seed);
    let play = game
        .plays
        .iter()
        .find(|p| p.number == number)
        .ok_or_else(|| anyhow!("no play {number}: the game has 1 to {}", game.plays.len()))?;
    let stage = StagedPlay::new(&play.script, &teams::kits(&game.teams[0], &game.teams[1]));
    let (setup, _) = views(&game, play, seed, height)
        .into_iter()
        .find(|(v, _)| v.name == view)
        .ok_or_else(|| anyhow!("no view {view:?}: sideline or end-zone"))?;
    let (first, last) = stage.span();
    if !(first..=last).contains(&t) {
        bail!("{t} s is not in the play, which lasts from {first:.2} to {last:.2} s");
    }
    let venue = Venue::new(&look(&game, Look::college_day(seed)));
    let frame = crate::render::render_frame(&venue, &stage, &setup.follow(&stage).at(t), t);
    let (w, h) = (frame.width as u32, frame.height as u32);
    image::RgbImage::from_raw(w, h, frame.to_rgb())
        .context("a picture has three bytes a pixel")?
        .save(out)
        .with_context(|| format!("writing {}", out.display()))?;
    Ok(())
}
