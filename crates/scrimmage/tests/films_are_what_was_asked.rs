//! The files that come out: each frame in its place at its time in every codec and container, and bodies and ball where the
//! truth says.

mod stages;

use camera::{Pinhole, Station};
use geometry::{Point3, Vector3};
use scrimmage::render::{
    COUNTER_BITS, Codec, Encode, Exposure, Frame, Look, Scratch, Venue, ViewSetup, counter_square, expose,
    shoot,
};
use scrimmage::stage::{Joint, Stage};
use stages::{Sparse, upright};
use std::path::Path;
use std::process::Command;
use units::Rate;

#[allow(clippy::disallowed_methods, reason = "an independent reader of the files under test")]
fn run(program: &str, args: &[&str], file: &Path) -> Vec<u8> {
    let split = args.iter().position(|a| *a == "FILE").expect("FILE stands where the path goes");
    let out = Command::new(program)
        .args(&args[..split])
        .arg(file)
        .args(&args[split + 1..])
        .output()
        .expect("the video tool is installed (scripts/need.sh ffmpeg ffprobe)");
    assert!(out.status.success(), "{program}: {}", String::from_utf8_lossy(&out.stderr));
    out.stdout
}

/// The burned-in number of a decoded grey frame.
fn counter(grey: &[u8], width: usize, height: usize) -> usize {
    (0..COUNTER_BITS).fold(0, |n, bit| {
        let (x, y, s) = counter_square(bit, height);
        n << 1 | usize::from(grey[(y + s / 2) * width + x + s / 2] > 126)
    })
}

/// Presentation times of a file's video packets, s, in order.
fn times(file: &Path) -> Vec<f64> {
    let text = run(
        "ffprobe",
        &[
            "-v",
            "error",
            "-select_streams",
            "v:0",
            "-show_entries",
            "frame=best_effort_timestamp_time",
            "-of",
            "csv=p=0",
            "FILE",
        ],
        file,
    );
    String::from_utf8(text)
        .expect("ffprobe writes numbers")
        .lines()
        .filter_map(|l| l.trim_matches(',').parse().ok())
        .collect()
}

#[test]
fn every_codec_and_rate_keeps_every_frame_at_its_time() {
    let dir = tempfile::tempdir().unwrap();
    let look = Look { counter: true, score_bug: true, texels_per_yard: 12, ..Look::college_day(2) };
    let venue = Venue::new(&look);
    let stage = Sparse { pan_speed: 4.0, ..Sparse::empty(Point3::new(45.0, 26.0, 0.0), 38.0) };
    let plain = Encode { threads: Some(1), ..Encode::default() };
    for (file, rate, encode) in [
        ("a.mp4", (30_000, 1001), plain),
        ("b.mov", (60_000, 1001), Encode { sound: true, ..plain }),
        ("c.mp4", (25, 1), Encode { codec: Codec::Hevc, ..plain }),
        ("d.avi", (50, 1), Encode { codec: Codec::Mpeg4, ..plain }),
        ("e.mp4", (30, 1), Encode { variable_rate: true, ..plain }),
    ] {
        let rate = Rate::new(rate.0, rate.1).unwrap();
        let mut view = ViewSetup::sideline(320, 180, rate, 3);
        (view.starts_before_snap_s, view.ends_after_snap_s) = (0.4, 0.4);
        let out = dir.path().join(file);
        let truth = shoot(&venue, &stage, &view, &out, &encode).unwrap();
        let (w, h) = (320, 180);
        let grey = run(
            "ffmpeg",
            &[
                "-v",
                "error",
                "-i",
                "FILE",
                "-map",
                "0:v",
                "-f",
                "rawvideo",
                "-pix_fmt",
                "gray",
                "-fps_mode",
                "passthrough",
                "-",
            ],
            &out,
        );
        let seen: Vec<usize> = grey.chunks(w * h).map(|f| counter(f, w, h)).collect();
        assert_eq!(seen, (0..truth.frames.len()).collect::<Vec<_>>(), "{file}");
        let shown = times(&out);
        assert_eq!(shown.len(), truth.frames.len(), "{file}");
        let step = f64::from(rate.denominator()) / f64::from(rate.numerator());
        for (t, f) in shown.iter().zip(&truth.frames) {
            // Containers round to their own ticks, the coarsest of these to a tenth of a millisecond.
            assert!(
                (t - shown[0] - f.tick as f64 * step).abs() < 2e-4,
                "{file}: frame of tick {} at {t} s",
                f.tick
            );
            assert!(
                (f.time_s + 0.4 - f.tick as f64 * step).abs() < 1e-9,
                "{file}: tick {} on the play's clock {}",
                f.tick,
                f.time_s
            );
        }
        let gaps = truth.frames.windows(2).any(|p| p[1].tick - p[0].tick > 1);
        assert_eq!(gaps, encode.variable_rate, "{file}");
        let sound = run(
            "ffprobe",
            &[
                "-v",
                "error",
                "-select_streams",
                "a",
                "-show_entries",
                "stream=codec_type",
                "-of",
                "csv=p=0",
                "FILE",
            ],
            &out,
        );
        assert_eq!(!sound.is_empty(), encode.sound, "{file}");
    }
}

#[test]
fn a_film_that_cannot_be_is_refused() {
    let venue = Venue::new(&Look { texels_per_yard: 8, ..Look::exact(field::RuleBook::College, 1) });
    let stage = Sparse::empty(Point3::new(50.0, 26.0, 0.0), 38.0);
    let dir = tempfile::tempdir().unwrap();
    let odd = ViewSetup::sideline(321, 180, Rate::new(30, 1).unwrap(), 3);
    let e = shoot(&venue, &stage, &odd, &dir.path().join("x.mp4"), &Encode::default()).unwrap_err();
    assert_eq!(e.to_string(), "a picture of 321 x 180 px: both must be even and at least 64");
    let mut nowhere = ViewSetup::sideline(320, 180, Rate::new(30, 1).unwrap(), 3);
    (nowhere.starts_before_snap_s, nowhere.ends_after_snap_s) = (0.2, 0.2);
    let e = shoot(&venue, &stage, &nowhere, &dir.path().join("no/such/folder.mp4"), &Encode::default())
        .unwrap_err();
    assert!(e.to_string().contains("folder.mp4"), "{e}");
}

/// Middle of what is brighter in `b` than in `a`, px.
fn centre_of_brightening(a: &Frame, b: &Frame) -> (f64, f64) {
    centre(a.width, a.height, 1, |i| f64::from(b.planes[i]) - f64::from(a.planes[i]))
}

/// Middle of what is redder in `b` than in `a` (red-difference plane, half size), px.
fn centre_of_reddening(a: &Frame, b: &Frame) -> (f64, f64) {
    let first = a.width * a.height * 5 / 4;
    centre(a.width / 2, a.height / 2, 2, |i| f64::from(b.planes[first + i]) - f64::from(a.planes[first + i]))
}

fn centre(width: usize, height: usize, size: usize, gain: impl Fn(usize) -> f64) -> (f64, f64) {
    let (mut x, mut y, mut total) = (0.0, 0.0, 0.0);
    for i in 0..width * height {
        let d = gain(i);
        if d > 2.0 {
            x += d * ((i % width) as f64 + 0.5);
            y += d * ((i / width) as f64 + 0.5);
            total += d;
        }
    }
    assert!(total > 100.0, "something should show: {total}");
    (x / total * size as f64, y / total * size as f64)
}

fn close_camera() -> Pinhole {
    let station = Station { centre: Point3::new(50.0, -40.46, 21.87), k1: -0.03, width: 1280, height: 720 };
    Pinhole::looking_at(station, Point3::new(50.0, 24.0, 1.0), 2300.0)
}

/// A ball in flight, smeared by the shutter, is centred on its truth at the middle of the exposure; so is a helmet.
#[test]
fn ball_and_bodies_are_where_the_truth_says() {
    let venue = Venue::new(&Look { numbers: false, ..Look::exact(field::RuleBook::College, 1) });
    let camera = close_camera();
    let e = Exposure::fixed(camera, 0.1, 1.0 / 60.0, 0);
    let mut scratch = Scratch::default();
    let empty = Sparse::empty(Point3::new(50.0, 26.0, 0.0), 38.0);
    let bare = expose(&venue, &empty, &e, &mut scratch);
    // Thrown across the picture at 22 yd/s: 14 px of smear. Brown leather differs from grass in colour whether lit or
    // shaded; the lit side weighs a little more, which may pull the centroid by a fraction of the ball's half width, 3 px.
    let ball = Sparse {
        ball: Some((Point3::new(50.2, 24.0, 6.0), Vector3::new(22.0, 3.0, 2.0))),
        ..Sparse::empty(empty.aim, 38.0)
    };
    let with_ball = expose(&venue, &ball, &e, &mut scratch);
    let truth = camera.pixel_from_field(ball.ball(0.1).unwrap().centre).unwrap();
    let (x, y) = centre_of_reddening(&bare, &with_ball);
    assert!((x - truth.x).abs() < 0.8 && (y - truth.y).abs() < 0.8, "({x:.2}, {y:.2}) against {truth:?}");

    let feet = Point3::new(52.3, 24.0, 0.0);
    let person = Sparse::empty(empty.aim, 38.0).with_person(feet, None);
    let with_person = expose(&venue, &person, &e, &mut scratch);
    let (x, y) = centre_of_brightening(&bare, &with_person);
    let pose = upright(feet, 73.0 / 36.0);
    let px = |j: Joint| camera.pixel_from_field(pose.joints[j as usize]).unwrap();
    let (head, heel) = (px(Joint::Head), px(Joint::HeelLeft).lerp(px(Joint::HeelRight), 0.5));
    // Bright clothes from head to heel: their middle lies on the body's axis, between hips and neck.
    assert!((x - heel.lerp(head, 0.55).x).abs() < 3.0, "{x} against {} to {}", heel.x, head.x);
    assert!(y > head.y && y < heel.y - 0.3 * (heel.y - head.y), "{y} between {} and {}", head.y, heel.y);
}

/// The two films of a play begin at different times, by their own seeds' choice.
#[test]
fn views_start_apart() {
    let rate = Rate::new(30, 1).unwrap();
    let stage = Sparse::empty(Point3::new(50.0, 26.0, 0.0), 38.0);
    let side = ViewSetup::sideline(1280, 720, rate, 8).times(&stage);
    let end = ViewSetup::end_zone(field::RuleBook::College, false, 1280, 720, rate, 8).times(&stage);
    assert!((side[0] - end[0]).abs() > 0.05);
    assert!(stage.span().0 <= side[0] && *side.last().unwrap() <= stage.span().1);
}
