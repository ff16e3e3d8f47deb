//! Shows what a start without clicks sees in one picture: `show_start IN.png OUT.png BOOK [sideline|end-zone] [crowned] [station=X,Y,Z]`. Green: the field's colour;
//! white: strokes of chalk; red, yellow: the best candidate's lines across and along the field. Prints the candidates.
#![allow(clippy::print_stdout, reason = "an example speaks to whoever ran it")]

use camera::Station;
use field::RuleBook;
use geometry::{Point2, Point3};
use picture::{GroundMask, RgbImage, RidgeSettings, ridges, strokes};
use play::View;
use register::{
    FieldModel, FrameView, KnownAboutClip, KnownStation, PictureSize, find_field, grid_polylines,
};

fn main() {
    let args: Vec<String> = std::env::args().collect();
    let [_, input, out, book, rest @ ..] = &args[..] else {
        eprintln!(
            "arguments: IN.png OUT.png professional|college|high-school|canadian [sideline|end-zone] [crowned] [station=X,Y,Z]"
        );
        std::process::exit(2);
    };
    let book = match book.as_str() {
        "professional" => RuleBook::Professional,
        "college" => RuleBook::College,
        "high-school" => RuleBook::HighSchool,
        "canadian" => RuleBook::Canadian,
        other => panic!("no rule book {other:?}"),
    };
    let view = rest.first().map(|v| if v == "sideline" { View::Sideline } else { View::EndZone });
    let picture = image::open(input).expect("a picture").to_rgb8();
    let (w, h) = picture.dimensions();
    let rgb = RgbImage::new(w, h, picture.into_raw()).expect("three bytes a pixel");
    let luma = rgb.view().luma();
    let size = PictureSize { width: w, height: h };
    let crowned = rest.iter().any(|r| r == "crowned");
    let field = FieldModel {
        crown: field::Crown { height: if crowned { 4.0 / 36.0 } else { 0.0 } },
        ..FieldModel::flat(book)
    };
    // As a game's other clips tell it: to a foot or so.
    let station = rest.iter().find_map(|r| r.strip_prefix("station=")).map(|told| {
        let at: Vec<f64> = told.split(',').map(|v| v.parse().expect("yards")).collect();
        let station = Station { centre: Point3::new(at[0], at[1], at[2]), k1: 0.0, width: w, height: h };
        let sd: [f64; 4] = [0.3, 0.3, 0.2, 0.03];
        KnownStation {
            station,
            covariance: std::array::from_fn(|k| if k % 5 == 0 { sd[k / 5].powi(2) } else { 0.0 }),
        }
    });
    let known = KnownAboutClip { view, station, ..KnownAboutClip::default() };
    let frame = FrameView { index: 0, luma: luma.view(), colour: Some(rgb.view()) };
    let begun = std::time::Instant::now();
    let (candidates, findings) = find_field(&[frame], size, &field, &known);
    println!("{:.0} ms", begun.elapsed().as_secs_f64() * 1e3);
    for c in &candidates {
        let middle = Point2::new(0.5 * f64::from(w), 0.75 * f64::from(h));
        let here = c.camera.camera.ground_from_pixel(middle, 0.0);
        println!(
            "{:.3} low in the middle {here:?}, {:?}\n      {:?} {:?}",
            c.probability, c.grounds, c.camera.camera, c.camera.quality
        );
    }
    for f in findings {
        println!("{f:?}");
    }
    let mut shown: Vec<u8> = rgb.view().data().iter().map(|v| v / 2 + v / 4).collect();
    let mut dot = |x: f64, y: f64, c: [u8; 3]| {
        if x >= 0.0 && y >= 0.0 && x < f64::from(w) && y < f64::from(h) {
            let i = (y as usize * w as usize + x as usize) * 3;
            shown[i..i + 3].copy_from_slice(&c);
        }
    };
    let mask = GroundMask::learn(rgb.view());
    for y in (0..h).step_by(6) {
        for x in (0..w).step_by(6) {
            if mask.holds(f64::from(x), f64::from(y)) {
                let bare = mask.is_bare(f64::from(x), f64::from(y));
                dot(f64::from(x), f64::from(y), if bare { [0, 200, 0] } else { [0, 90, 160] });
            }
        }
    }
    let sigma = if w > 900 { 1.5 } else { 1.1 };
    let mut points = ridges(luma.view(), RidgeSettings { sigma, least: 1.0, flatness: 0.5 });
    points.retain(|r| mask.holds(r.at.x, r.at.y));
    let (found, _) = strokes(&points, w as usize, h as usize, 18.0 * f64::from(w) / 1280.0);
    let mut line = |a: (f64, f64), b: (f64, f64), c: [u8; 3]| {
        let n = (a.0 - b.0).hypot(a.1 - b.1).ceil().max(1.0);
        for k in 0..=n as usize {
            let t = k as f64 / n;
            dot(a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t, c);
        }
    };
    for s in &found {
        line((s.a.x, s.a.y), (s.b.x, s.b.y), [255, 255, 255]);
    }
    if let Some(c) = candidates.first() {
        for g in grid_polylines(&c.camera.camera, size, &field, 1.0) {
            let colour = if g.yard_line.is_some() { [255, 60, 40] } else { [255, 220, 0] };
            for p in g.points.windows(2) {
                line((p[0].x, p[0].y), (p[1].x, p[1].y), colour);
            }
        }
    }
    image::save_buffer(out, &shown, w, h, image::ColorType::Rgb8).expect("a picture written");
}
