//! Starts invented clips without a click and compares with their truth; prints one JSON object a line:
//! {name, value, unit, goal, better, holds, note}. `dev SEED VENUES EACH [DIR]` prints every clip of another seed instead, and
//! writes the pictures of those that fail into DIR.
#![allow(clippy::print_stdout, reason = "an example speaks to whoever ran it")]

mod start_support;

use camera::{CameraEstimate, Pinhole};
use geometry::{Point2, Point3};
use play::View;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use register::{
    BallSpot, FieldModel, FrameView, KnownAboutClip, KnownStation, PictureSize, SETTLED, StartCandidate,
    find_field, ground_on_surface,
};
use start_support::{Case, cases};

/// Seed of the reported clips; not used while the start was made.
const SEED: u64 = 137;

#[derive(Default)]
struct Tally {
    clips: usize,
    right: usize,
    settled: usize,
    wrong: usize,
    listed: usize,
    square: f64,
    n: f64,
    inside: f64,
    claims: f64,
    ms: Vec<f64>,
    overlap: Vec<f64>,
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let number = |k: usize, or: u64| args.get(k).and_then(|v| v.parse().ok()).unwrap_or(or);
    let dev = args.first().is_some_and(|a| a == "dev");
    let (seed, venues, each) =
        if dev { (number(1, 1), number(2, 5) as usize, number(3, 5) as usize) } else { (SEED, 25, 8) };
    let dir = args.get(4).cloned();
    let mut by_view = [Tally::default(), Tally::default()];
    let mut k = 0u64;
    cases(seed, venues, each, |c| {
        // Half of the clips have a play list's spot and end; the other half nothing but the view.
        let t = &mut by_view[usize::from(c.view == View::EndZone)];
        run(&c, k, t, dev, dir.as_deref());
        k += 1;
    });
    for (t, view) in by_view.iter_mut().zip(["sideline", "endzone"]) {
        report(t, view);
    }
}

fn run(c: &Case, k: u64, t: &mut Tally, dev: bool, dir: Option<&str>) {
    let size = PictureSize { width: c.size.0, height: c.size.1 };
    let field = FieldModel { rule_book: c.look.rule_book, crown: c.look.crown() };
    // A third of the clips have a play list's spot, a third the station that the game's other clips gave, a third nothing but the view.
    let spot = k.is_multiple_of(3).then_some(BallSpot { x: c.line_x, sd: 1.0 });
    let station = (k % 3 == 1).then(|| station(&c.frames[0].truth, k));
    let beyond = (c.view == View::Sideline || k % 3 < 2).then_some(c.beyond);
    let known = KnownAboutClip { view: Some(c.view), beyond, spot, station, ..KnownAboutClip::default() };
    let frames: Vec<FrameView<'_>> = c
        .frames
        .iter()
        .enumerate()
        .map(|(i, f)| FrameView { index: i as u32, luma: f.luma.view(), colour: Some(f.rgb.view()) })
        .collect();
    let begun = std::time::Instant::now();
    let (candidates, findings) = find_field(&frames, size, &field, &known);
    let ms = begun.elapsed().as_secs_f64() * 1e3 / frames.len() as f64;
    t.ms.push(ms);
    t.clips += 1;
    let off = |s: &StartCandidate| error(&s.camera, &c.frames[s.frame as usize].truth, size, &field);
    let first = candidates.first();
    let miss = first.map_or(f64::INFINITY, off);
    let twin = beyond.is_none();
    let rank = candidates.iter().position(|s| off(s) < 1.0);
    let sure = first.is_some_and(|s| s.probability >= SETTLED);
    // With nothing known of its end an end-zone view and its half turn are the same picture: either of the two comes first.
    let right = if twin { rank.is_some_and(|r| r < 2) } else { rank == Some(0) };
    t.right += usize::from(right);
    t.settled += usize::from(right && sure);
    t.wrong += usize::from(sure && rank != Some(0));
    t.listed += usize::from(rank.is_some());
    // Errors are told of starts that would be used: sure ones, and of half turns those that are sure but for the turn.
    let used =
        rank.filter(|r| right && candidates[*r].probability >= if twin { 0.5 * SETTLED } else { SETTLED });
    if let Some(r) = used {
        let s = &candidates[r];
        let (square, n, inside, claims) = compare(&s.camera, &c.frames[s.frame as usize].truth, size, &field);
        t.square += square;
        t.n += n;
        t.inside += inside;
        t.claims += claims;
        t.overlap.push(overlap(&s.camera, &c.frames[s.frame as usize].truth, size, &field));
    }
    if dev {
        let word = if right && sure {
            "ok  "
        } else if right {
            "soft"
        } else if sure {
            "WRONG"
        } else {
            "miss"
        };
        eprintln!(
            "{word} {} {:?} known {} | p {:.4} off {miss:.2} rank {rank:?} of {} | {ms:.0} ms | {:?}",
            c.name,
            c.look.rule_book,
            k % 3,
            first.map_or(0.0, |s| s.probability),
            candidates.len(),
            first
                .map(|s| (s.grounds.yard_line.clone(), s.camera.quality.rms_px, s.frame))
                .unwrap_or_default(),
        );
        if first.is_none() {
            eprintln!("      {findings:?}");
        }
        if !(right && sure) {
            for f in &c.frames {
                let (s, a) = (&f.truth.station, &f.truth.aim);
                eprintln!(
                    "      true: at {:.1}, {:.1}, {:.1} k1 {:.3} | pan {:.4} tilt {:.4} roll {:.4} focal {:.0}",
                    s.centre.x, s.centre.y, s.centre.z, s.k1, a.pan, a.tilt, a.roll, a.focal
                );
            }
        }
        if let (Some(dir), false) = (dir, right && sure) {
            for (i, f) in c.frames.iter().enumerate() {
                let name = format!("{dir}/{:03}_{word}_{i}.png", k);
                image::save_buffer(name, f.rgb.view().data(), c.size.0, c.size.1, image::ColorType::Rgb8)
                    .expect("a picture written");
            }
        }
    }
}

/// A station known to a third of a yard, off by as much.
fn station(truth: &Pinhole, k: u64) -> KnownStation {
    const SD: f64 = 0.3;
    let mut r = ChaCha8Rng::seed_from_u64(k);
    let mut off = || SD * 1.7 * r.random_range(-1.0..1.0f64);
    let mut station = truth.station;
    let c = station.centre;
    station.centre = Point3::new(c.x + off(), c.y + off(), c.z + off());
    let mut covariance = [0.0; 16];
    for i in 0..3 {
        covariance[5 * i] = SD * SD;
    }
    covariance[15] = 0.01 * 0.01;
    KnownStation { station, covariance }
}

/// Places of the picture that show the field where a pixel spans less than half a yard, and the ground there.
fn field_pixels(
    truth: &Pinhole,
    size: PictureSize,
    field: &FieldModel,
) -> Vec<(Point2<geometry::frame::Pixel>, Point2<geometry::frame::Ground>)> {
    let (w, h) = (f64::from(size.width), f64::from(size.height));
    let mut out = Vec::new();
    for j in 0..6 {
        for i in 0..9 {
            let p = Point2::new((f64::from(i) + 0.5) * w / 9.0, (f64::from(j) + 0.5) * h / 6.0);
            let on = |p| truth.surface_from_pixel(p, |g| field.crown.at(g, field.rule_book));
            let Some(g) = on(p) else { continue };
            let near = on(Point2::new(p.x, p.y + 1.0)).is_some_and(|q| q.distance(g) < 0.5);
            if field.rule_book.holds(g) && near {
                out.push((p, g));
            }
        }
    }
    out
}

/// Median ground error over the field in view, yd.
fn error(e: &CameraEstimate, truth: &Pinhole, size: PictureSize, field: &FieldModel) -> f64 {
    let mut d: Vec<f64> = field_pixels(truth, size, field)
        .into_iter()
        .map(|(p, g)| ground_on_surface(e, size, field, p, 0.0).map_or(99.0, |(m, _)| m.distance(g)))
        .collect();
    d.sort_by(f64::total_cmp);
    d.get(d.len() / 2).copied().unwrap_or(f64::INFINITY)
}

fn compare(
    e: &CameraEstimate,
    truth: &Pinhole,
    size: PictureSize,
    field: &FieldModel,
) -> (f64, f64, f64, f64) {
    let (mut square, mut n, mut inside, mut claims) = (0.0, 0.0, 0.0, 0.0);
    for (p, g) in field_pixels(truth, size, field) {
        let Some((m, c)) = ground_on_surface(e, size, field, p, 0.0) else { continue };
        square += m.distance(g).powi(2);
        n += 1.0;
        for (d, v) in [(m.x - g.x, c.xx), (m.y - g.y, c.yy)] {
            claims += 1.0;
            inside += f64::from(u8::from(d.abs() <= 1.6449 * v.sqrt()));
        }
    }
    (square, n, inside, claims)
}

/// Intersection over union of the part of the field in view, on the ground, counted on a half-yard raster ("IoU part" of Homayounfar,
/// Fidler & Urtasun 2017, CVPR, and of Chen & Little 2019, CVPR workshops).
fn overlap(e: &CameraEstimate, truth: &Pinhole, size: PictureSize, field: &FieldModel) -> f64 {
    let book = field.rule_book;
    let (w, h) = (f64::from(size.width), f64::from(size.height));
    let shows = |q: Option<Point2<geometry::frame::Pixel>>| {
        q.is_some_and(|q| q.x >= 0.0 && q.y >= 0.0 && q.x < w && q.y < h)
    };
    let (mut both, mut either) = (0.0, 0.0);
    let (nx, ny) = ((2.0 * (book.length() + 2.0 * book.end_zone())) as i32, (2.0 * book.width()) as i32);
    for i in 0..nx {
        for j in 0..ny {
            let g = Point2::new(0.5 * f64::from(i) - book.end_zone() + 0.25, 0.5 * f64::from(j) + 0.25);
            let p = g.at_height(field.crown.at(g, book));
            let (a, b) = (shows(e.camera.pixel_from_field(p)), shows(truth.pixel_from_field(p)));
            both += f64::from(u8::from(a && b));
            either += f64::from(u8::from(a || b));
        }
    }
    both / f64::max(either, 1.0)
}

fn report(t: &mut Tally, view: &str) {
    let n = t.clips.max(1) as f64;
    let note = format!(
        "{} invented clips, three frames each, a third with a play list's spot, a third with the station known, a third with nothing; seed not used in development",
        t.clips
    );
    let print = |name: &str, value: f64, unit: &str, goal: f64, better: &str, holds: bool, note: &str| {
        println!(
            "{{\"name\":\"register.start_{name}.{view}\",\"value\":{value:.4},\"unit\":\"{unit}\",\"goal\":{goal},\"better\":\"{better}\",\"holds\":{holds},\"note\":\"{note}\"}}"
        );
    };
    let found = t.right as f64 / n;
    print("found", found, "share", 0.95, "higher", found >= 0.95, &note);
    let settled = t.settled as f64 / n;
    print(
        "settled",
        settled,
        "share",
        0.95,
        "higher",
        settled >= 0.95,
        "right and sure enough to be taken without asking",
    );
    print(
        "listed",
        t.listed as f64 / n,
        "share",
        0.98,
        "higher",
        t.listed as f64 / n >= 0.98,
        "the truth is among the candidates",
    );
    print(
        "wrong",
        t.wrong as f64,
        "clips",
        0.0,
        "lower",
        t.wrong == 0,
        "another yard line or side, not flagged",
    );
    let rms = (t.square / t.n.max(1.0)).sqrt();
    let goal = if view == "sideline" { 0.05 } else { 0.08 };
    print(
        "rms_yd",
        rms,
        "yd",
        goal,
        "lower",
        rms <= goal,
        "over the field in view, of starts sure enough to be used",
    );
    let cover = t.inside / t.claims.max(1.0);
    print("cover90", cover, "share", 0.9, "higher", (0.85..=0.95).contains(&cover), "held from .85 to .95");
    t.ms.sort_by(f64::total_cmp);
    let ms = t.ms.get(t.ms.len() / 2).copied().unwrap_or(0.0);
    print("frame_ms", ms, "ms", 100.0, "lower", ms <= 100.0, "median, one core");
    t.overlap.sort_by(f64::total_cmp);
    let iou = t.overlap.get(t.overlap.len() / 2).copied().unwrap_or(0.0);
    print(
        "iou_part",
        iou,
        "share",
        0.95,
        "higher",
        iou >= 0.95,
        "median overlap of the field in view (IoU part)",
    );
}
