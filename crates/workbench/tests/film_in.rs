//! Films in: whole folders with bad files among them, copies, kills, cancels, files that go and come back.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use film::testfilm::{self, TestFilm};
use film::{Picture, PixelFormat, VideoTool};
use play::{GameId, Study, Team, View};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use units::Rate;
use workbench::{FilmState, GameEdit, ImportRequest, Job, JobStanding, Outside, WorkError, Workbench};

fn outside() -> Outside {
    Outside { tool: VideoTool::on_path(), now: Arc::new(|| 1_764_028_800_000) }
}

fn write_film(path: &Path, frames: usize) {
    TestFilm::new(Rate::new(30, 1).unwrap(), frames).write(&VideoTool::on_path(), path).unwrap();
}

struct Room {
    dir: tempfile::TempDir,
    bench: Workbench,
    game: GameId,
}

impl Room {
    async fn new() -> Self {
        let dir = tempfile::tempdir().unwrap();
        let study = Study {
            name: "Test".into(),
            passer: String::new(),
            right_handed: true,
            evaluator: String::new(),
        };
        let bench = Workbench::create(&dir.path().join("a.tape"), &study, outside()).await.unwrap();
        let team = |name: &str| Team { name: name.into(), shirt: None };
        let game = GameEdit {
            name: "Game".into(),
            rule_book: field::RuleBook::College,
            offense: team("A"),
            defense: team("B"),
            air: play::Air::default(),
            crown: None,
        };
        let game = bench.add_game(game).await.unwrap().id;
        std::fs::create_dir(dir.path().join("film")).unwrap();
        let room = Self { dir, bench, game };
        room.bench.name_folder(&room.folder()).await.unwrap();
        room
    }
    fn folder(&self) -> PathBuf {
        self.dir.path().join("film")
    }
    fn study(&self) -> PathBuf {
        self.dir.path().join("a.tape")
    }
    fn request(&self, copy: bool) -> ImportRequest {
        let folder = Some(self.folder().to_str().unwrap().to_owned());
        ImportRequest { paths: vec![], folder, game: self.game.clone(), copy }
    }
    async fn import(&self, copy: bool) -> Job {
        let job = self.bench.import(self.request(copy)).await.unwrap();
        self.bench.wait(job.id).await.unwrap()
    }
}

fn counter(png: &[u8]) -> Option<usize> {
    let rgb = image::load_from_memory(png).unwrap().to_rgb8();
    let (width, height) = rgb.dimensions();
    testfilm::read(&Picture { width, height, format: PixelFormat::Rgb24, data: rgb.into_raw() })
}

#[tokio::test]
async fn a_folder_with_bad_files_among_good_ones() {
    let room = Room::new().await;
    let at = |name: &str| room.folder().join(name);
    // Under twice the shortest clip: the counter's flicker is not taken for scene cuts.
    write_film(&at("play 2 sideline.mp4"), 26);
    write_film(&at("play 10 sideline.mp4"), 27);
    write_film(&at("play 2 ez.mov"), 28);
    write_film(&at("play 10 ez.avi"), 29);
    std::fs::write(at("empty.mp4"), b"").unwrap();
    std::fs::write(at("notes.mp4"), b"renamed text, no film\n").unwrap();
    let whole = std::fs::read(at("play 2 sideline.mp4")).unwrap();
    std::fs::write(at("cut off.mp4"), &whole[..whole.len() / 2]).unwrap();
    std::fs::write(at("readme.txt"), b"not offered as film").unwrap();
    let job = room.import(false).await;
    assert_eq!(
        (job.state, job.message.as_str()),
        (JobStanding::Done, "4 imported, 0 known already, 3 refused")
    );
    let refused: Vec<_> =
        job.findings.iter().filter(|f| f.code == "film-refused").map(|f| f.message.clone()).collect();
    for (name, why) in [("empty.mp4", "0 bytes"), ("notes.mp4", "text"), ("cut off.mp4", "cut off")] {
        assert!(refused.iter().any(|m| m.contains(name) && m.contains(why)), "{name}: {refused:?}");
    }
    let films = room.bench.films().await.unwrap();
    let names: Vec<&str> = films.iter().map(|f| f.name.as_str()).collect();
    assert_eq!(names, ["play 2 ez.mov", "play 2 sideline.mp4", "play 10 ez.avi", "play 10 sideline.mp4"]);
    assert!(films.iter().all(|f| f.state == FilmState::Ready && f.frames >= 26));

    // Exactly the frame asked for.
    for index in [0, 17, 25] {
        let png = room.bench.exact_frame_png(&films[1].id, index).await.unwrap();
        assert_eq!(counter(&png), Some(index));
    }
    let e = room.bench.exact_frame_png(&films[1].id, 26).await.unwrap_err();
    assert!(e.to_string().contains("26"), "{e}");

    let paired = room.bench.pair(&room.game).await.unwrap();
    assert_eq!(paired.plays.len(), 2);
    assert!(paired.findings.is_empty(), "{:?}", paired.findings);
    let clips = room.bench.clips().await.unwrap();
    for (play, number) in [(&paired.plays[0], "2"), (&paired.plays[1], "10")] {
        for view in View::ALL {
            let clip =
                clips.iter().find(|c| c.clip.play.as_ref() == Some(&play.id) && c.clip.view == Some(view));
            let word = if view == View::Sideline { "sideline" } else { "ez" };
            let name = &clip.unwrap().film_name;
            assert!(name.starts_with(&format!("play {number} {word}")), "{name}");
        }
    }
    // The same folder again: nothing is imported twice.
    let again = room.import(false).await;
    assert_eq!(again.state, JobStanding::Done);
    assert!(again.message.starts_with("0 imported, 4 known"), "{}", again.message);
    assert_eq!(room.bench.films().await.unwrap().len(), 4);
}

#[tokio::test]
async fn a_copy_outlives_its_source_and_a_reference_says_that_it_is_gone() {
    let room = Room::new().await;
    let source = room.folder().join("a.mp4");
    write_film(&source, 30);
    room.import(true).await;
    let kept = std::fs::read(&source).unwrap();
    std::fs::remove_file(&source).unwrap();
    let film = room.bench.films().await.unwrap().remove(0);
    assert_eq!(film.state, FilmState::Ready);
    assert_eq!(counter(&room.bench.exact_frame_png(&film.id, 12).await.unwrap()), Some(12));
    // A study folder may be moved with its copies.
    let moved = room.dir.path().join("moved.tape");
    room.bench.clone().close().await;
    std::fs::rename(room.study(), &moved).unwrap();
    let bench = Workbench::open(&moved, outside()).await.unwrap();
    assert_eq!(counter(&bench.exact_frame_png(&film.id, 29).await.unwrap()), Some(29));
    bench.close().await;

    let room = Room::new().await;
    let source = room.folder().join("a.mp4");
    std::fs::write(&source, &kept).unwrap();
    room.import(false).await;
    let elsewhere = room.folder().join("b.mp4");
    std::fs::rename(&source, &elsewhere).unwrap();
    let film = room.bench.films().await.unwrap().remove(0);
    assert_eq!(film.state, FilmState::Missing);
    assert!(film.findings.iter().any(|f| f.code == "film-missing"));
    let e = room.bench.exact_frame_png(&film.id, 3).await.unwrap_err();
    assert!(matches!(e, WorkError::Film(film::FilmError::Missing { .. })), "{e}");
    assert!(room.bench.proxy_file(&film.id).await.unwrap().exists());
    // Found again under another name: the same film, its new place.
    let job = room.import(false).await;
    assert!(job.message.starts_with("0 imported, 1 known"), "{}", job.message);
    let film = room.bench.films().await.unwrap().remove(0);
    assert_eq!(film.state, FilmState::Ready);
    assert_eq!(counter(&room.bench.exact_frame_png(&film.id, 3).await.unwrap()), Some(3));
}

#[tokio::test]
async fn a_cancelled_import_leaves_nothing_half_made() {
    let room = Room::new().await;
    for n in 0..3 {
        write_film(&room.folder().join(format!("{n}.mp4")), 300 + n);
    }
    let job = room.bench.import(room.request(true)).await.unwrap();
    while room.bench.job(job.id).await.unwrap().done == 0 {
        tokio::time::sleep(std::time::Duration::from_millis(5)).await;
    }
    room.bench.cancel(job.id).await.unwrap();
    let ended = room.bench.wait(job.id).await.unwrap();
    assert_eq!(ended.state, JobStanding::Cancelled);
    let films = room.bench.films().await.unwrap().len();
    for folder in ["proxies", "film"] {
        let files: Vec<_> =
            std::fs::read_dir(room.study().join(folder)).unwrap().map(|e| e.unwrap().file_name()).collect();
        assert_eq!(files.len(), films, "{folder}: {files:?}");
    }
    let again = room.import(true).await;
    assert_eq!(again.state, JobStanding::Done);
    assert_eq!(room.bench.films().await.unwrap().len(), 3);
}

#[test]
fn an_import_cut_short_by_a_kill_goes_on_at_the_next_opening() {
    let rt = || tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().unwrap();
    let first = rt();
    let (room, job) = first.block_on(async {
        let room = Room::new().await;
        for n in 0..4 {
            write_film(&room.folder().join(format!("{n}.mp4")), 240 + n);
        }
        let job = room.bench.import(room.request(false)).await.unwrap();
        while room.bench.films().await.unwrap().is_empty() {
            tokio::time::sleep(std::time::Duration::from_millis(5)).await;
        }
        (room, job)
    });
    // Tasks are dropped where they stand, as by a kill; nothing is told to the study.
    first.shutdown_background();
    rt().block_on(async {
        let bench = Workbench::open(&room.study(), outside()).await.unwrap();
        let before = bench.films().await.unwrap().len();
        assert!((1..4).contains(&before), "{before}");
        let resumed = bench.resume().await.unwrap();
        assert_eq!(resumed.iter().map(|j| j.id).collect::<Vec<_>>(), [job.id]);
        let ended = bench.wait(job.id).await.unwrap();
        assert_eq!(ended.state, JobStanding::Done, "{}", ended.message);
        let films = bench.films().await.unwrap();
        assert_eq!(films.len(), 4);
        // Every film is cut into clips once.
        let clips = bench.clips().await.unwrap();
        for film in &films {
            let of = || clips.iter().filter(|c| c.clip.film.as_str() == film.id);
            assert_eq!(of().map(|c| c.clip.end - c.clip.first).sum::<u32>(), film.frames, "{}", film.name);
        }
        assert!(bench.resume().await.unwrap().is_empty());
        bench.close().await;
    });
}

#[cfg(unix)]
#[tokio::test]
async fn a_name_that_is_no_text_is_imported_and_shown_as_well_as_can_be() {
    use std::os::unix::ffi::OsStrExt;
    let room = Room::new().await;
    let plain = room.folder().join("a.mp4");
    write_film(&plain, 20);
    std::fs::rename(&plain, room.folder().join(std::ffi::OsStr::from_bytes(b"week \xff 3.mp4"))).unwrap();
    let listing = room.bench.list_folder(room.folder().to_str().unwrap()).await.unwrap();
    let request = ImportRequest {
        paths: vec![listing.files[0].path.clone()],
        folder: None,
        game: room.game.clone(),
        copy: false,
    };
    let job = room.bench.import(request).await.unwrap();
    assert_eq!(room.bench.wait(job.id).await.unwrap().state, JobStanding::Done);
    let film = room.bench.films().await.unwrap().remove(0);
    assert_eq!(film.name, "week \u{fffd} 3.mp4");
    assert_eq!(counter(&room.bench.exact_frame_png(&film.id, 7).await.unwrap()), Some(7));
}
