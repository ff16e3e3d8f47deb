//! The frame given is the frame asked for: the index drawn into each frame is read back from originals, proxies and
//! streams, for every coding, container and rate that films come in.

mod common;

use common::{Loaded, rate};
use film::testfilm::TestFilm;
use film::{Finding, KEYFRAME_INTERVAL, VideoTool};

/// 25, 29.97, 30, 50, 59.94 and 60 frames per second.
const RATES: [(u32, u32); 6] = [(25, 1), (30_000, 1001), (30, 1), (50, 1), (60_000, 1001), (60, 1)];
const FRAMES: usize = 56;

fn prove(codec: &str, ending: &str, variable: bool, rates: &[(u32, u32)]) {
    for (k, &(n, d)) in rates.iter().enumerate() {
        let mut film = TestFilm::new(rate(n, d), FRAMES);
        film.codec = codec.into();
        film.variable = variable;
        film.audio = k % 2 == 0;
        let loaded = Loaded::film(&film, &format!("{codec}-{n}-{d}.{ending}"));
        let what = loaded.path.display();
        assert_eq!(loaded.probe.has_audio, film.audio, "{what}");
        check_times(&loaded, &film);
        loaded.prove_every_frame(0);
    }
}

fn check_times(loaded: &Loaded, film: &TestFilm) {
    let (clock, what) = (&loaded.ingested.clock, loaded.path.display());
    assert_eq!(clock.table.len(), film.frames, "{what}");
    assert!(clock.from_file, "{what}: {:?}", loaded.ingested.findings);
    assert_eq!(clock.constant, !film.variable, "{what}");
    assert_eq!(loaded.ingested.proxy.frames(), film.frames, "{what}");
    assert_eq!(loaded.ingested.proxy.keys.len(), film.frames.div_ceil(KEYFRAME_INTERVAL));
    // A container stores times to its own tick: nothing finer can be asked of it.
    let tick = 1.0 / clock.table.rate().per_second();
    for i in 0..film.frames {
        let off = clock.table.seconds(i) - film.seconds(i);
        // Exact where the rate divides the tick; else the rounding of this frame's time and of the first's.
        assert!(off.abs() <= tick, "{what}: frame {i} is {off} s off, a tick is {tick} s");
    }
    if film.variable {
        assert!(matches!(loaded.ingested.findings[..], [Finding::VariableRate { .. }]), "{what}");
    } else {
        assert_eq!(loaded.ingested.rate, film.rate, "{what}");
        assert!(
            !loaded.ingested.findings.iter().any(|f| matches!(f, Finding::VariableRate { .. })),
            "{what}"
        );
    }
}

#[test]
fn h264_in_mp4() {
    prove("h264", "mp4", false, &RATES);
}
#[test]
fn h264_in_mov() {
    prove("h264", "mov", false, &RATES);
}
#[test]
fn hevc_in_mp4() {
    prove("hevc", "mp4", false, &RATES);
}
#[test]
fn mpeg4_in_avi() {
    prove("mpeg4", "avi", false, &RATES);
}
#[test]
fn variable_rate_in_mp4_and_mov() {
    prove("h264", "mp4", true, &[(25, 1), (30_000, 1001), (60_000, 1001)]);
    prove("h264", "mov", true, &[(30, 1)]);
}
#[test]
fn variable_and_constant_rate_in_matroska() {
    prove("hevc", "mkv", true, &[(30, 1)]);
    prove("h264", "mkv", false, &[(30_000, 1001), (60, 1)]);
}

/// 30000/1001 is kept as a fraction: the last frame's time in ticks is exact.
#[test]
fn ntsc_times_are_exact_fractions() {
    let film = TestFilm::new(rate(30_000, 1001), 40);
    let loaded = Loaded::film(&film, "a.mp4");
    let expected = units::MediaTime::new(39, rate(30_000, 1001));
    assert_eq!(loaded.ingested.clock.table.time(39), Some(expected));
}

/// An edit list that hides the first frames, a start other than zero, open groups of pictures, no reordering at
/// all, and a transport stream, which cannot be jumped into exactly.
#[test]
fn odd_containers_keep_the_index() {
    let tool = VideoTool::on_path();
    let mut film = TestFilm::new(rate(30_000, 1001), FRAMES);
    film.extra = ["-output_ts_offset", "5"].map(Into::into).into();
    let late = Loaded::film(&film, "late.mp4");
    assert_eq!(late.ingested.clock.table.seconds(0), 0.0);
    assert!(late.ingested.clock.origin_tick > 0);
    late.prove_every_frame(0);
    Loaded::film(&film, "late.mkv").prove_every_frame(0);

    film.extra = ["-x264-params", "open-gop=1:keyint=12:bframes=4:b-pyramid=normal"].map(Into::into).into();
    film.audio = true;
    Loaded::film(&film, "open.mp4").prove_every_frame(0);
    film.extra = Vec::new();
    Loaded::film(&film, "a.ts").prove_every_frame(0);

    film.b_frames = false;
    film.codec = "mpeg4".into();
    Loaded::film(&film, "plain.avi").prove_every_frame(0);

    // Ten frames cut from the front without coding again: the container hides what comes before the cut.
    let dir = tempfile::tempdir().unwrap();
    let (whole, cut) = (dir.path().join("whole.mp4"), dir.path().join("cut.mp4"));
    let film = TestFilm::new(rate(25, 1), FRAMES + 10);
    film.write(&tool, &whole).unwrap();
    common::run_tool(&["-ss", "0.4", "-i", whole.to_str().unwrap(), "-c", "copy", cut.to_str().unwrap()]);
    let loaded = Loaded::file(dir, cut);
    assert_eq!(loaded.ingested.clock.table.len(), FRAMES);
    loaded.prove_every_frame(10);
}
