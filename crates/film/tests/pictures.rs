//! What the pictures look like: turned, squeezed, odd-sided, coloured; the proxy's form; scene cuts; cut-ups.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

mod common;

use common::{Loaded, rate, run_tool};
use film::testfilm::{TestFilm, draw, read};
use film::{
    CutRules, Cutup, EncodeSettings, Encoder, FrameSource, Hold, KEYFRAME_INTERVAL, Monitor, Overlay,
    Picture, PixelFormat, Segment, SpokenNote, VideoTool, cuts, make_cutup, proxy_size,
};
use std::fs;
use std::sync::atomic::AtomicBool;

const RED: [i32; 3] = [180, 40, 40];

#[test]
fn layouts_of_memory_agree() {
    let loaded = Loaded::film(&TestFilm::new(rate(30, 1), 20), "a.mp4");
    for format in [PixelFormat::Gray8, PixelFormat::Rgb24, PixelFormat::Yuv420p] {
        let (o, p) = (loaded.original.frame(7, format).unwrap(), loaded.proxy.frame(17, format).unwrap());
        assert_eq!((read(&o), read(&p)), (Some(7), Some(17)), "{format:?}");
        assert_eq!(o.data.len(), format.bytes(320, 180));
    }
    // Dropping a stream early ends it; the reader goes on.
    let mut stream = loaded.original.frames(0..20, PixelFormat::Rgb24, None).unwrap();
    assert_eq!(stream.next().unwrap().unwrap().0, 0);
    drop(stream);
    assert_eq!(read(&loaded.original.frame(3, PixelFormat::Rgb24).unwrap()), Some(3));
}

/// A session gives the frames asked for in any order, the same pictures as a decoder started for each.
#[test]
fn session_gives_any_frame() {
    let loaded = Loaded::film(&TestFilm::new(rate(30, 1), 50), "a.mp4");
    let mut session = loaded.proxy.session(PixelFormat::Rgb24, None).unwrap();
    let asked = (0..50).chain((0..50).rev()).chain((0..50).map(|k| k * 17 % 50));
    for i in asked {
        assert_eq!(read(&session.frame(i).unwrap()), Some(i));
        assert!(session.is_kept_running(), "frame {i} was held back");
    }
    assert_eq!(session.frame(20).unwrap(), loaded.proxy.frame(20, PixelFormat::Rgb24).unwrap());
    assert!(matches!(session.frame(50), Err(film::FilmError::FrameRange { .. })));
}

/// A phone held upright: the track header's matrix turns the picture by a quarter clockwise (ISO/IEC 14496-12, tkhd).
#[test]
fn turned_film_is_shown_upright() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.mp4");
    TestFilm::new(rate(30, 1), 40).write(&VideoTool::on_path(), &path).unwrap();
    let mut bytes = fs::read(&path).unwrap();
    let matrix = bytes.windows(4).position(|w| w == b"tkhd").unwrap() + 4 + 40;
    for (k, v) in [0i32, 0x1_0000, 0, -0x1_0000, 0, 0, 0, 0, 0x4000_0000].iter().enumerate() {
        bytes[matrix + 4 * k..matrix + 4 * k + 4].copy_from_slice(&v.to_be_bytes());
    }
    fs::write(&path, bytes).unwrap();
    let loaded = Loaded::file(dir, path);
    let p = &loaded.probe;
    assert_eq!((p.coded_width, p.coded_height, p.display_width, p.display_height), (320, 180, 180, 320));
    assert_eq!(p.rotation_degrees, 270);
    for shown in [
        loaded.original.frame(38, PixelFormat::Gray8).unwrap(),
        loaded.proxy.frame(38, PixelFormat::Gray8).unwrap(),
    ] {
        assert_eq!((shown.width, shown.height), (180, 320));
        let mut back = Picture::black(320, 180, PixelFormat::Gray8);
        for y in 0..180 {
            for x in 0..320 {
                back.data[y * 320 + x] = shown.data[x * 180 + (179 - y)];
            }
        }
        assert_eq!(read(&back), Some(38));
    }
}

#[test]
fn squeezed_odd_and_large_films_get_square_even_proxies_never_enlarged() {
    let mut film = TestFilm::new(rate(25, 1), 34);
    film.width = 240;
    film.extra = ["-vf", "setsar=4/3"].map(Into::into).into();
    let squeezed = Loaded::film(&film, "a.mp4");
    assert_eq!((squeezed.original.size(), squeezed.proxy.size()), ((320, 180), (320, 180)));
    squeezed.prove_every_frame(0);

    (film.width, film.height) = (321, 181);
    film.extra = ["-pix_fmt", "yuv444p"].map(Into::into).into();
    let odd = Loaded::film(&film, "a.mkv");
    assert_eq!((odd.original.size(), odd.proxy.size()), ((321, 181), (320, 180)));
    odd.prove_every_frame(0);

    (film.width, film.height, film.frames) = (1920, 1080, 33);
    film.extra.clear();
    let large = Loaded::film(&film, "b.mp4");
    assert_eq!(large.proxy.size(), (1280, 720));
    assert_eq!(read(&large.proxy.frame(31, PixelFormat::Gray8).unwrap()), Some(31));
    // A wide band is limited by its width, an upright one by its height.
    let mut p = large.probe.clone();
    (p.display_width, p.display_height) = (3840, 1600);
    assert_eq!(proxy_size(&p), (1280, 532));
    (p.display_width, p.display_height) = (1080, 1920);
    assert_eq!(proxy_size(&p), (404, 720));
}

/// The drawn colours come back from tagged and untagged films. A step of 8-bit chroma moves a colour by up to 2.1
/// levels (ITU-R BT.601 and BT.709, 255/224 x 1.856): half a step each for coding, proxy and reading, and as much
/// again for a quantiser at its finest, is 6.
#[test]
fn colours_survive_by_the_films_own_matrix() {
    let tagged = "scale=out_color_matrix=bt709:out_range=tv:flags=accurate_rnd";
    for (size, extra) in [
        ((320, 180), vec!["-crf", "4"]),
        ((320, 180), vec!["-crf", "4", "-vf", tagged, "-colorspace", "bt709", "-color_range", "tv"]),
        ((1280, 720), vec!["-crf", "4", "-vf", tagged]),
    ] {
        let mut film = TestFilm::new(rate(30, 1), 3);
        (film.width, film.height) = size;
        film.extra = extra.iter().map(ToString::to_string).collect();
        let loaded = Loaded::film(&film, "a.mp4");
        let truth = draw(0, size.0, size.1);
        // The middle of the first coloured bar.
        let at = ((size.1 * 3 / 4 * size.0 + size.0 / 8) * 3) as usize;
        assert_eq!(truth.data[at..at + 3].iter().map(|&c| i32::from(c)).collect::<Vec<_>>(), RED);
        for (name, seen) in [
            ("original", loaded.original.frame(0, PixelFormat::Rgb24).unwrap()),
            ("proxy", loaded.proxy.frame(0, PixelFormat::Rgb24).unwrap()),
        ] {
            let got = &seen.data[at..at + 3];
            let close = got.iter().zip(RED).all(|(&g, drawn)| (i32::from(g) - drawn).abs() <= 6);
            assert!(close, "{name} {size:?} {extra:?}: {got:?}");
        }
    }
}

/// Full-range film keeps its white and black.
#[test]
fn full_range_film_is_not_clipped() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.mp4");
    let source = "color=white:s=64x64:d=0.2,format=rgb24,scale=out_range=pc,format=yuvj420p";
    run_tool(&["-f", "lavfi", "-i", source, "-color_range", "pc", path.to_str().unwrap()]);
    let loaded = Loaded::file(dir, path);
    for p in [
        loaded.original.frame(1, PixelFormat::Gray8).unwrap(),
        loaded.proxy.frame(1, PixelFormat::Gray8).unwrap(),
    ] {
        assert!(p.data.iter().all(|&v| v >= 253), "{:?}", &p.data[..4]);
    }
}

/// What a browser's decoder is promised: every frame one access unit, parameters before every keyframe, keyframes
/// exactly every 15 frames, nothing reordered. NAL unit types by ITU-T H.264 table 7-1.
#[test]
fn proxy_keeps_its_promises() {
    let mut film = TestFilm::new(rate(60_000, 1001), 50);
    film.variable = true;
    let loaded = Loaded::film(&film, "a.mp4");
    let index = &loaded.ingested.proxy;
    assert!(index.codec.starts_with("avc1.6400"), "{}", index.codec);
    for i in 0..50 {
        let unit = loaded.proxy.bytes(i..i + 1).unwrap();
        let kinds: Vec<u8> = unit.windows(4).filter(|w| w[..3] == [0, 0, 1]).map(|w| w[3] & 0x1f).collect();
        assert_eq!(kinds[0], 9, "frame {i} begins with a delimiter");
        let key = i % KEYFRAME_INTERVAL == 0;
        assert_eq!(index.is_key(i), key);
        for kind in [7, 8, 5] {
            assert_eq!(kinds.contains(&kind), key, "unit type {kind} in frame {i}: {kinds:?}");
        }
        assert_eq!(kinds.contains(&1), !key, "frame {i}");
    }
    // The proxy read as a film in its own right has the same frames in the same order.
    let dir = tempfile::tempdir().unwrap();
    let copy = dir.path().join("copy.h264");
    fs::copy(&loaded.proxy_path, &copy).unwrap();
    let again = Loaded::file(dir, copy);
    assert!(!again.probe.reordered);
    again.prove_every_frame(0);
    // What is stored about a film reads back as it was.
    let json = serde_json::to_string(&loaded.ingested).unwrap();
    assert_eq!(serde_json::from_str::<film::Ingested>(&json).unwrap(), loaded.ingested);
}

#[test]
fn long_film_is_cut_where_the_scene_changes() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.mp4");
    let graph = "testsrc2=s=320x180:r=30:d=1.1[a];color=0xd0d0d0:s=320x180:r=30:d=1[b];\
                 testsrc=s=320x180:r=30:d=1,setsar=1[c];[a][b][c]concat=n=3";
    run_tool(&["-filter_complex", graph, "-pix_fmt", "yuv420p", path.to_str().unwrap()]);
    let loaded = Loaded::file(dir, path);
    assert_eq!(cuts(&loaded.ingested.scores, CutRules::default()), [0..33, 33..63, 63..93]);
}

/// Two films of different size and rate joined, with half speed, a pause and a drawing: every frame of the result is
/// the one it should be.
#[test]
fn cutup_joins_films() {
    let mut film = TestFilm::new(rate(60, 1), 50);
    let quick = Loaded::film(&film, "quick.mp4");
    (film.rate, film.width, film.height) = (rate(30, 1), 240, 240);
    let square = Loaded::film(&film, "square.mp4");
    let mut png = Vec::new();
    let mark =
        image::RgbaImage::from_fn(320, 180, |_, y| image::Rgba([0, 0, 255, if y >= 170 { 255 } else { 0 }]));
    mark.write_to(&mut std::io::Cursor::new(&mut png), image::ImageFormat::Png).unwrap();
    let overlay = Overlay::from_png(&png).unwrap();
    let mut draw_on_12 = |i: usize| Ok((i == 12).then(|| overlay.clone()));
    let dir = tempfile::tempdir().unwrap();
    let spoken = dir.path().join("note.wav");
    run_tool(&["-f", "lavfi", "-i", "sine=f=400:d=0.1", spoken.to_str().unwrap()]);
    let cutup = Cutup {
        width: 320,
        height: 180,
        rate: rate(30, 1),
        quality: 18,
        segments: vec![
            // 60 frames per second shown at 30: every other frame.
            Segment {
                source: FrameSource::Original(&quick.original),
                table: &quick.ingested.clock.table,
                range: 20..28,
                speed: 1.0,
                holds: Vec::new(),
                overlay: None,
            },
            // Half speed: every frame twice; frame 12 stays 0.1 s longer.
            Segment {
                source: FrameSource::Proxy(&square.proxy),
                table: &square.ingested.clock.table,
                range: 10..14,
                speed: 0.5,
                holds: vec![Hold { frame: 12, seconds: 0.1 }],
                overlay: Some(&mut draw_on_12),
            },
        ],
        notes: vec![SpokenNote { path: spoken, at_seconds: 0.2 }],
    };
    let path = dir.path().join("cutup.mp4");
    let go = AtomicBool::new(false);
    let n = make_cutup(&VideoTool::on_path(), cutup, &path, &mut Monitor::new(&go, &mut |_| {})).unwrap();
    let expected = [20, 22, 24, 26, 10, 10, 11, 11, 12, 12, 12, 12, 12, 13, 13];
    assert_eq!(n, expected.len());
    let made = Loaded::file(dir, path);
    assert_eq!(made.ingested.rate, rate(30, 1));
    check_sound(&made);
    for (i, frame) in made.original.frames(0..n, PixelFormat::Rgb24, None).unwrap().map(Result::unwrap) {
        // The second film is square: 180 x 180 in the middle, black beside it.
        let seen = if i < 4 { frame.clone() } else { middle(&frame) };
        assert_eq!(read(&seen), Some(expected[i]), "frame {i}");
        let foot = &frame.data[(176 * 320 + 160) * 3..][..3];
        let blue = foot[2] > 200 && foot[0] < 60;
        assert_eq!(blue, expected[i] == 12, "drawing on frame {i}: {foot:?}");
    }
}

/// A tone from 0.2 to 0.3 s of half a second, silence elsewhere. The coder smears a tone over its frame of 1024
/// samples, 23 ms, on either side.
fn check_sound(made: &Loaded) {
    let raw = made.dir.path().join("sound.raw");
    let (from, to) = (made.path.to_str().unwrap(), raw.to_str().unwrap());
    run_tool(&["-i", from, "-vn", "-ac", "1", "-ar", "1000", "-f", "s16le", to]);
    let bytes = fs::read(raw).unwrap();
    let loudest = |ms: std::ops::Range<usize>| {
        let samples = bytes[ms.start * 2..ms.end * 2].chunks_exact(2);
        samples.map(|b| i32::from(i16::from_le_bytes([b[0], b[1]])).abs()).max().unwrap()
    };
    assert!(bytes.len() / 2 >= 480, "{} ms of sound", bytes.len() / 2);
    let (before, during, after) = (loudest(0..170), loudest(225..275), loudest(330..480));
    assert!(during > 1000 && before < during / 50 && after < during / 50, "{before} {during} {after}");
}

fn middle(frame: &Picture) -> Picture {
    let mut out = Picture::black(180, 180, PixelFormat::Rgb24);
    for y in 0..180 {
        let from = (y * 320 + 70) * 3;
        out.data[y * 540..(y + 1) * 540].copy_from_slice(&frame.data[from..from + 540]);
    }
    out
}

#[test]
fn encoder_writes_what_it_is_given() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("out.mp4");
    let settings = EncodeSettings {
        width: 320,
        height: 180,
        format: PixelFormat::Rgb24,
        rate: rate(30_000, 1001),
        quality: 18,
        fast: true,
    };
    let mut encoder = Encoder::create(&VideoTool::on_path(), &path, &settings).unwrap();
    for i in 0..36 {
        encoder.write(&draw(i, 320, 180).data).unwrap();
    }
    encoder.finish().unwrap();
    let loaded = Loaded::file(dir, path);
    assert_eq!(loaded.ingested.rate, rate(30_000, 1001));
    assert_eq!(loaded.probe.colour_matrix.as_deref(), Some("bt709"));
    loaded.prove_every_frame(0);
}
