//! Files and places that cannot be used: each is refused by a named error that gives value and limit, or taken with a
//! finding, and leaves nothing half-made behind.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

mod common;

use common::{Loaded, rate, run_tool, take_in};
use film::testfilm::{TestFilm, read};
use film::{
    EncodeSettings, Encoder, FilmError, Finding, Monitor, OriginalReader, PixelFormat, ProxyReader,
    VideoTool, ingest, probe,
};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use tempfile::TempDir;

fn folder() -> TempDir {
    tempfile::tempdir().unwrap()
}
fn refused(path: &Path) -> FilmError {
    probe(&VideoTool::on_path(), path).unwrap_err()
}
fn written(dir: &TempDir, name: &str, bytes: &[u8]) -> PathBuf {
    let path = dir.path().join(name);
    fs::write(&path, bytes).unwrap();
    path
}
fn small(dir: &TempDir, name: &str) -> PathBuf {
    let path = dir.path().join(name);
    TestFilm::new(rate(30, 1), 20).write(&VideoTool::on_path(), &path).unwrap();
    path
}
/// Names in a folder, sorted.
fn names(dir: &TempDir) -> Vec<String> {
    let mut names: Vec<_> = fs::read_dir(dir.path())
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn missing_and_folder_and_empty() {
    let dir = folder();
    assert!(matches!(refused(&dir.path().join("no.mp4")), FilmError::Missing { .. }));
    assert!(matches!(refused(dir.path()), FilmError::NotAFile { .. }));
    let e = refused(&written(&dir, "a.mp4", b""));
    assert!(matches!(e, FilmError::Empty { .. }) && e.to_string().ends_with("is empty: 0 bytes"), "{e}");
}

/// A place where nothing can be read or written even by a user whom permissions do not bind.
#[test]
fn unreadable_place() {
    let dir = folder();
    let file = written(&dir, "file", b"x");
    assert!(matches!(refused(&file.join("a.mp4")), FilmError::Io { .. }));
}

#[test]
fn renamed_text_playlist_and_picture() {
    let dir = folder();
    let e =
        refused(&written(&dir, "a.mp4", "Notes on the third quarter\nwind from the left, cold\n".as_bytes()));
    assert!(matches!(&e, FilmError::NotAFilm { reason, .. } if reason == "it is a text file"), "{e}");
    // A playlist could make the tool open files that nobody chose.
    let film = small(&dir, "real.mp4");
    let list = format!("ffconcat version 1.0\nfile '{}'\n", film.file_name().unwrap().to_str().unwrap());
    assert!(matches!(refused(&written(&dir, "list.mp4", list.as_bytes())), FilmError::NotAFilm { .. }));
    let png = dir.path().join("p.png");
    run_tool(&["-f", "lavfi", "-i", "color=s=64x64", "-frames:v", "1", png.to_str().unwrap()]);
    let e = refused(&written(&dir, "p.mp4", &fs::read(png).unwrap()));
    assert!(matches!(e, FilmError::NotAFilm { .. }), "{e}");
}

#[test]
fn truncated_before_its_index() {
    let dir = folder();
    let whole = fs::read(small(&dir, "a.mp4")).unwrap();
    let e = refused(&written(&dir, "cut.mp4", &whole[..whole.len() / 2]));
    assert!(
        matches!(e, FilmError::Truncated { size_bytes, .. } if size_bytes == whole.len() as u64 / 2),
        "{e}"
    );
}

/// The index came first and the pictures stop half-way: what can be decoded is taken, what is lost is said.
#[test]
fn truncated_after_its_index() {
    let dir = folder();
    let path = dir.path().join("a.mp4");
    let mut film = TestFilm::new(rate(30, 1), 90);
    film.extra = ["-movflags", "+faststart"].map(Into::into).into();
    film.write(&VideoTool::on_path(), &path).unwrap();
    let whole = fs::read(&path).unwrap();
    let cut = written(&dir, "cut.mp4", &whole[..whole.len() / 2]);
    let loaded = Loaded::file(dir, cut);
    let n = loaded.ingested.clock.table.len();
    assert!((15..75).contains(&n), "{n} frames");
    let f = &loaded.ingested.findings;
    assert!(
        f.iter().any(|f| matches!(f, Finding::Short { declared_seconds, .. } if *declared_seconds == 3.0)),
        "{f:?}"
    );
    assert!(f.iter().any(|f| matches!(f, Finding::Damage { .. })), "{f:?}");
    // The last picture may be damaged; those before it are whole.
    for (i, picture) in
        loaded.original.frames(0..n - 4, PixelFormat::Gray8, None).unwrap().map(Result::unwrap)
    {
        assert_eq!(read(&picture), Some(i));
    }
}

#[test]
fn sound_only_and_zero_length() {
    let dir = folder();
    let sound = dir.path().join("s.mp4");
    run_tool(&["-f", "lavfi", "-i", "sine=d=1", "-c:a", "aac", sound.to_str().unwrap()]);
    assert!(matches!(refused(&sound), FilmError::NoPicture { .. }));
    for (name, reason) in [
        ("z.mp4", "holds 0 frames of picture"),
        ("z.avi", "holds 0 frames of picture"),
        ("z.mkv", "it ends before its first frame"),
    ] {
        let zero = dir.path().join(name);
        run_tool(&["-f", "lavfi", "-i", "testsrc2=d=1", "-t", "0", "-c:v", "mpeg4", zero.to_str().unwrap()]);
        let e = take_in(&zero, &dir.path().join("proxy")).unwrap_err();
        assert!(e.to_string().ends_with(reason), "{name}: {e}");
    }
    assert!(!names(&dir).iter().any(|n| n.contains("proxy")));
}

#[test]
fn absurd_pictures() {
    let dir = folder();
    let of = |size: &str| {
        let path = dir.path().join(format!("{size}.mkv"));
        let source = format!("color=s={size}:d=0.2");
        run_tool(&["-f", "lavfi", "-i", &source, "-c:v", "ffv1", path.to_str().unwrap()]);
        refused(&path)
    };
    let e = of("10000x10");
    assert!(matches!(e, FilmError::PictureSize { width: 10_000, height: 10, .. }), "{e}");
    assert!(e.to_string().contains("10000 x 10 pixels") && e.to_string().contains("16 to 8192"), "{e}");
    assert!(matches!(of("8x64"), FilmError::PictureSize { .. }));
    let e = of("1024x64");
    assert!(
        matches!(e, FilmError::PictureAspect { .. }) && e.to_string().contains("16.0 to 1; the limit is 8"),
        "{e}"
    );
}

/// Bytes of an AVI whose picture header gives `rate / scale` frames per second (AVI RIFF file reference,
/// AVISTREAMHEADER: dwScale at 20, dwRate at 24).
fn avi_with_rate(dir: &TempDir, frames_per_second: u32) -> PathBuf {
    let path = dir.path().join("made.avi");
    let mut film = TestFilm::new(rate(25, 1), 20);
    (film.codec, film.b_frames) = ("mpeg4".into(), false);
    film.write(&VideoTool::on_path(), &path).unwrap();
    let mut bytes = fs::read(path).unwrap();
    let header = bytes.windows(4).position(|w| w == b"strh").unwrap() + 8;
    bytes[header + 20..header + 24].copy_from_slice(&1u32.to_le_bytes());
    bytes[header + 24..header + 28].copy_from_slice(&frames_per_second.to_le_bytes());
    written(dir, "patched.avi", &bytes)
}

#[test]
fn header_of_0_frames_per_second() {
    let dir = folder();
    let path = avi_with_rate(&dir, 0);
    let loaded = Loaded::file(dir, path);
    assert_eq!(loaded.probe.nominal_rate, None);
    let said = loaded
        .ingested
        .findings
        .iter()
        .find(|f| matches!(f, Finding::HeaderRate { .. }))
        .unwrap()
        .to_string();
    assert!(said.contains("0/1") && said.contains("1 to 240"), "{said}");
    assert_eq!(loaded.ingested.clock.table.len(), 20);
}

#[test]
fn header_of_500_frames_per_second_borne_out_by_the_frames() {
    let dir = folder();
    let path = avi_with_rate(&dir, 500);
    let about = probe(&VideoTool::on_path(), &path).unwrap();
    assert_eq!(about.nominal_rate, None);
    let e = take_in(&path, &dir.path().join("proxy")).unwrap_err();
    assert!(matches!(e, FilmError::Rate { per_second, .. } if (per_second - 500.0).abs() < 1e-9), "{e}");
    assert!(e.to_string().contains("500.000 frames per second") && e.to_string().contains("1 to 240"), "{e}");
    assert_eq!(names(&dir), ["made.avi", "patched.avi"]);
}

/// The header lies, the frames' own times do not (Matroska, RFC 9559: DefaultDuration 0x23E383, nanoseconds).
#[test]
fn header_of_500_frames_per_second_denied_by_the_frames() {
    let dir = folder();
    let path = small(&dir, "a.mkv");
    let mut bytes = fs::read(path).unwrap();
    let at = bytes.windows(4).position(|w| w == [0x23, 0xe3, 0x83, 0x84]).unwrap() + 4;
    bytes[at..at + 4].copy_from_slice(&2_000_000u32.to_be_bytes());
    let path = written(&dir, "lies.mkv", &bytes);
    let loaded = Loaded::file(dir, path);
    assert_eq!(loaded.probe.nominal_rate, None);
    assert!(
        loaded
            .ingested
            .findings
            .iter()
            .any(|f| matches!(f, Finding::HeaderRate { header } if header == "500/1"))
    );
    // Matroska's milliseconds are all that is left of the rate.
    assert!((loaded.ingested.rate.per_second() - 30.0).abs() < 0.5, "{}", loaded.ingested.rate);
}

#[test]
fn film_and_proxy_gone_or_changed_after_import() {
    let loaded = Loaded::film(&TestFilm::new(rate(30, 1), 20), "a.mp4");
    let tool = VideoTool::on_path();
    let e = loaded.original.frame(20, PixelFormat::Gray8).unwrap_err();
    assert!(matches!(e, FilmError::FrameRange { first: 20, frames: 20, .. }), "{e}");
    assert!(matches!(loaded.proxy.frames(5..5, PixelFormat::Gray8, None), Err(FilmError::FrameRange { .. })));

    fs::write(&loaded.proxy_path, b"short").unwrap();
    let reopened = ProxyReader::open(&tool, &loaded.proxy_path, &loaded.ingested.proxy);
    assert!(matches!(reopened, Err(FilmError::Changed { is_bytes: 5, .. })));
    fs::write(&loaded.path, b"another film").unwrap();
    assert!(matches!(
        loaded.original.frame(3, PixelFormat::Gray8),
        Err(FilmError::Changed { is_bytes: 12, .. })
    ));

    fs::remove_file(&loaded.path).unwrap();
    fs::remove_file(&loaded.proxy_path).unwrap();
    assert!(matches!(loaded.original.frame(3, PixelFormat::Gray8), Err(FilmError::Missing { .. })));
    assert!(matches!(loaded.proxy.frame(3, PixelFormat::Gray8), Err(FilmError::Missing { .. })));
    let again = OriginalReader::open(&tool, &loaded.path, &loaded.probe, &loaded.ingested.clock);
    assert!(matches!(again, Err(FilmError::Missing { .. })));
}

/// The system's always-full device stands in for a full disk, under the name that is written to first.
#[cfg(target_os = "linux")]
#[test]
fn full_disk() {
    let dir = folder();
    let path = small(&dir, "a.mp4");
    for name in ["p.h264", "out.mp4"] {
        std::os::unix::fs::symlink("/dev/full", dir.path().join(format!(".{name}.part"))).unwrap();
    }
    let e = take_in(&path, &dir.path().join("p.h264")).unwrap_err();
    assert!(matches!(e, FilmError::DiskFull { .. }) && e.to_string().contains("nothing was kept"), "{e}");

    let settings = encode_settings();
    let mut encoder = Encoder::create(&VideoTool::on_path(), &dir.path().join("out.mp4"), &settings).unwrap();
    let frame = film::testfilm::draw(1, settings.width, settings.height).data;
    let e = (0..300).find_map(|_| encoder.write(&frame).err()).or_else(|| encoder.finish().err()).unwrap();
    assert!(matches!(e, FilmError::DiskFull { .. }), "{e}");
    assert_eq!(names(&dir), ["a.mp4"]);
}

fn encode_settings() -> EncodeSettings {
    EncodeSettings {
        width: 320,
        height: 180,
        format: PixelFormat::Rgb24,
        rate: rate(30, 1),
        quality: 18,
        fast: true,
    }
}

#[test]
fn folder_that_cannot_be_written_to() {
    let dir = folder();
    let path = small(&dir, "a.mp4");
    let inside = path.join("p.h264");
    assert!(matches!(take_in(&path, &inside), Err(FilmError::Io { .. })));
    assert!(matches!(
        Encoder::create(&VideoTool::on_path(), &inside, &encode_settings()),
        Err(FilmError::Io { .. })
    ));
    let nowhere = dir.path().join("no/p.h264");
    assert!(matches!(take_in(&path, &nowhere), Err(FilmError::Io { .. })));
    assert_eq!(names(&dir), ["a.mp4"]);
}

/// Names that are no text, or look like options, protocols or number patterns to the tool.
#[test]
fn names_that_are_not_plain() {
    let mut odd: Vec<std::ffi::OsString> = vec!["-y.mp4".into(), "a b'c#%03d.mp4".into()];
    #[cfg(unix)]
    {
        use std::os::unix::ffi::OsStringExt;
        odd.push(std::ffi::OsString::from_vec(b"caf\xe9 http:x.mp4".to_vec()));
    }
    for name in odd {
        let dir = folder();
        let path = dir.path().join(&name);
        fs::rename(small(&dir, "plain.mp4"), &path).unwrap();
        let loaded = Loaded::file(dir, path);
        assert_eq!(
            read(&loaded.original.frame(11, PixelFormat::Gray8).unwrap()),
            Some(11),
            "{}",
            name.display()
        );
    }
}

#[test]
fn stopped_work_leaves_nothing_and_can_be_done_again() {
    let dir = folder();
    let path = dir.path().join("a.mp4");
    let mut film = TestFilm::new(rate(30, 1), 300);
    (film.width, film.height) = (640, 360);
    film.write(&VideoTool::on_path(), &path).unwrap();
    let tool = VideoTool::on_path();
    let about = probe(&tool, &path).unwrap();
    let proxy = dir.path().join("p.h264");
    // What a killed run leaves behind is replaced.
    fs::write(dir.path().join(".p.h264.part"), b"half").unwrap();
    let stop = AtomicBool::new(false);
    let mut reports = 0;
    let mut stop_soon = |_| {
        reports += 1;
        stop.store(true, Ordering::Relaxed);
    };
    let result = ingest(&tool, &path, &about, &proxy, &mut Monitor::new(&stop, &mut stop_soon));
    assert!(matches!(result, Err(FilmError::Cancelled)));
    assert_eq!((reports, names(&dir)), (1, vec!["a.mp4".to_owned()]));

    let mut last = None;
    stop.store(false, Ordering::Relaxed);
    let done =
        ingest(&tool, &path, &about, &proxy, &mut Monitor::new(&stop, &mut |p| last = Some(p))).unwrap();
    let last = last.unwrap();
    assert_eq!((done.clock.table.len(), last.done, last.total), (300, 300, Some(300)));
    assert_eq!(last.seconds_left, Some(0.0));
    assert_eq!(names(&dir), ["a.mp4", "p.h264"]);
}

/// An unfinished encoding is removed when it is dropped, and a request that makes no film is refused.
#[test]
fn unfinished_encoding() {
    let dir = folder();
    let (tool, path) = (VideoTool::on_path(), dir.path().join("out.mp4"));
    let mut encoder = Encoder::create(&tool, &path, &encode_settings()).unwrap();
    encoder.write(&film::testfilm::draw(0, 320, 180).data).unwrap();
    assert!(matches!(encoder.write(&[0; 10]), Err(FilmError::Request { .. })));
    drop(encoder);
    assert!(matches!(
        Encoder::create(&tool, &path, &encode_settings()).unwrap().finish(),
        Err(FilmError::Request { .. })
    ));
    let odd = EncodeSettings { width: 321, ..encode_settings() };
    assert!(matches!(Encoder::create(&tool, &path, &odd), Err(FilmError::Request { .. })));
    assert!(names(&dir).is_empty());
}
