//! Hard pictures of invented plays with their true cameras, for `accuracy_start` and `show_start`.
#![allow(dead_code)]

use camera::Pinhole;
use field::{Direction, RuleBook};
use picture::{GrayImage, RgbImage};
use play::View;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use scrimmage::render::{Exposure, Light, Look, Scratch, Surround, Venue, ViewSetup, expose};
use scrimmage::sim::game::GameScript;
use scrimmage::sim::staged::StagedPlay;
use scrimmage::sim::teams;
use units::Rate;

/// One clip's frames, what is true of them, and what a play list would say.
pub struct Case {
    pub name: String,
    pub look: Look,
    pub view: View,
    pub size: (u32, u32),
    pub frames: Vec<Shot>,
    /// Line of scrimmage, yd.
    pub line_x: f64,
    pub direction: Direction,
    /// The camera stands behind the high end.
    pub beyond: bool,
}

pub struct Shot {
    pub luma: GrayImage,
    pub rgb: RgbImage,
    pub truth: Pinhole,
}

/// Places and their clips: `venues` places of `each` clips from a seed.
pub fn cases(seed: u64, venues: usize, each: usize, mut take: impl FnMut(Case)) {
    let game = GameScript::demo(seed);
    for v in 0..venues {
        let mut r = ChaCha8Rng::seed_from_u64(seed * 1000 + v as u64);
        let look = look(&mut r, v, seed);
        let venue = Venue::new(&look);
        for k in 0..each {
            take(case(&game, &venue, &look, &mut r, v, k));
        }
    }
}

fn look(r: &mut ChaCha8Rng, v: usize, seed: u64) -> Look {
    let s = seed * 100 + v as u64;
    let base = match v % 5 {
        0 => Look::college_day(s),
        1 => Look::school(s),
        2 => Look::college_night(s),
        3 => Look::professional_worn(s),
        _ => Look {
            rule_book: RuleBook::Canadian,
            ..if r.random_bool(0.5) { Look::college_day(s) } else { Look::school(s) }
        },
    };
    let light = if matches!(base.light, Light::Floodlights) {
        Light::Floodlights
    } else {
        Light::Sun {
            azimuth: r.random_range(-3.1..3.1),
            height: r.random_range(0.3..1.1),
            strength: r.random_range(0.0..0.75),
            stand_shadow: r.random_bool(0.5) && base.surround == Surround::Stadium,
        }
    };
    let dull: [u8; 3] = [r.random_range(20..120), r.random_range(20..110), r.random_range(20..130)];
    let bright: [u8; 3] = [r.random_range(120..235), r.random_range(100..230), r.random_range(60..230)];
    Look {
        // From winter brown to blue-green plastic.
        grass_hue: r.random_range(72.0..150.0),
        grass_saturation: r.random_range(0.22..0.55),
        bands: r.random_range(0.0..0.22),
        wear: r.random_range(0.0..0.85),
        paint_error_in: 1.0,
        crown_yd: if r.random_bool(0.5) { 4.0 / 36.0 } else { 0.0 },
        wide_border: r.random_bool(0.5),
        numbers: r.random_bool(0.95),
        number_weight: r.random_range(0.15..0.34),
        number_width: r.random_range(0.78..1.02),
        arrows: r.random_bool(0.7),
        midfield_emblem: r.random_bool(0.8),
        side_emblems: r.random_bool(0.5),
        end_zone_words: if r.random_bool(0.6) {
            Some(["HOLLOWMERE".into(), "LANTERNS".into()])
        } else {
            None
        },
        other_lines: r.random_bool(0.35),
        colours: [dull, bright],
        light,
        soft_focus_px: r.random_range(0.5..1.3),
        noise: r.random_range(1.0..4.0),
        score_bug: r.random_bool(0.4),
        texels_per_yard: 20,
        ..base
    }
}

fn case(game: &GameScript, venue: &Venue, look: &Look, r: &mut ChaCha8Rng, v: usize, k: usize) -> Case {
    let play = &game.plays[r.random_range(0..game.plays.len())];
    let stage = StagedPlay::new(&play.script, &teams::kits(&game.teams[0], &game.teams[1]));
    let size = [(1280, 720), (1280, 720), (854, 480), (640, 360)][r.random_range(0..4)];
    let rate = Rate::new(30_000, 1001).expect("a positive fraction");
    let sideline = k % 5 < 3;
    let seed = r.random::<u64>();
    let beyond = r.random_bool(0.5);
    let mut setup = if sideline {
        ViewSetup::sideline(size.0, size.1, rate, seed)
    } else {
        ViewSetup::end_zone(look.rule_book, beyond, size.0, size.1, rate, seed)
    };
    stand(&mut setup, look.rule_book, sideline, beyond, r);
    setup.framing *= if sideline { r.random_range(0.62..1.25) } else { r.random_range(0.75..1.4) };
    setup.operator.roll_rad = r.random_range(-0.016..0.016);
    let follow = setup.follow(&stage);
    let times = setup.times(&stage);
    let n = times.len();
    let mut scratch = Scratch::default();
    let harm = Harm {
        bars: if r.random_bool(0.1) { Some(r.random_bool(0.5)) } else { None },
        quality: if r.random_bool(0.7) { Some(r.random_range(25.0..80.0)) } else { None },
        interlaced: r.random_bool(0.25),
        gain: if r.random_bool(0.25) { r.random_range(1.15..1.5) } else { r.random_range(0.75..1.1) },
    };
    let frames = [n / 12, n / 2, n * 9 / 10]
        .into_iter()
        .map(|i| {
            let e = Exposure::following(&follow, times[i], setup.shutter_s, i);
            let mut f = expose(venue, &stage, &e, &mut scratch);
            harm.apply(&mut f.planes, f.width, f.height);
            let rgb = RgbImage::new(size.0, size.1, f.to_rgb()).expect("a whole picture");
            Shot { luma: rgb.view().luma(), rgb, truth: follow.at(times[i]) }
        })
        .collect();
    Case {
        name: format!("{v}.{k} {} {}x{}", setup.name, size.0, size.1),
        look: look.clone(),
        view: if sideline { View::Sideline } else { View::EndZone },
        size,
        frames,
        line_x: play.scene.line_x(),
        direction: play.scene.direction,
        beyond: !sideline && beyond,
    }
}

/// Stands the camera in a press box or on a school's low bleachers, off midfield; behind an end line on a mast close by or in the
/// seats far back.
fn stand(setup: &mut ViewSetup, book: RuleBook, sideline: bool, beyond: bool, r: &mut ChaCha8Rng) {
    let c = &mut setup.station.centre;
    let low = r.random_bool(0.3);
    if sideline {
        c.x = book.length() / 2.0 + if low { r.random_range(-22.0..22.0) } else { r.random_range(-9.0..9.0) };
        c.y = if low { r.random_range(-35.0..-16.0) } else { r.random_range(-55.0..-28.0) };
        c.z = if low { r.random_range(7.0..13.0) } else { r.random_range(13.0..28.0) };
    } else {
        let back = book.end_zone() + if low { r.random_range(7.0..20.0) } else { r.random_range(17.0..45.0) };
        c.x = if beyond { book.length() + back } else { -back };
        c.y = book.width() / 2.0 + r.random_range(-9.0..9.0);
        c.z = if low { r.random_range(6.0..11.0) } else { r.random_range(10.0..22.0) };
    }
    setup.station.k1 = r.random_range(-0.08..0.02);
}

/// What recorders and web copies do to a picture.
struct Harm {
    /// Black bars beside the picture (true) or above and below it, a tenth of it each.
    bars: Option<bool>,
    /// Quality of block compression, 0 to 100, as in the JPEG library's scale.
    quality: Option<f64>,
    /// Every row is softened with its neighbours.
    interlaced: bool,
    /// Exposure; over one washes out.
    gain: f64,
}

/// Luma quantisation of JPEG's annex K (ITU-T T.81, table K.1).
const TABLE: [f64; 64] = [
    16., 11., 10., 16., 24., 40., 51., 61., 12., 12., 14., 19., 26., 58., 60., 55., 14., 13., 16., 24., 40.,
    57., 69., 56., 14., 17., 22., 29., 51., 87., 80., 62., 18., 22., 37., 56., 68., 109., 103., 77., 24.,
    35., 55., 64., 81., 104., 113., 92., 49., 64., 78., 87., 103., 121., 120., 101., 72., 92., 95., 98.,
    112., 100., 103., 99.,
];

impl Harm {
    fn apply(&self, planes: &mut [u8], w: usize, h: usize) {
        let (luma, _) = planes.split_at_mut(w * h);
        if (self.gain - 1.0).abs() > 0.01 {
            luma.iter_mut()
                .for_each(|v| *v = (16.0 + (f64::from(*v) - 16.0) * self.gain).clamp(16.0, 235.0) as u8);
        }
        if self.interlaced {
            let from = luma.to_vec();
            for y in 1..h - 1 {
                for x in 0..w {
                    let at = |j: usize| u16::from(from[j * w + x]);
                    luma[y * w + x] = ((at(y - 1) + 2 * at(y) + at(y + 1) + 2) / 4) as u8;
                }
            }
        }
        if let Some(beside) = self.bars {
            for y in 0..h {
                for x in 0..w {
                    let (at, of) = if beside { (x, w) } else { (y, h) };
                    if at < of / 10 || at >= of - of / 10 {
                        planes[y * w + x] = 16;
                        let c = y / 2 * (w / 2) + x / 2;
                        planes[w * h + c] = 128;
                        planes[w * h + w * h / 4 + c] = 128;
                    }
                }
            }
        }
        let (luma, _) = planes.split_at_mut(w * h);
        if let Some(q) = self.quality {
            let scale = if q < 50.0 { 50.0 / q } else { 2.0 - q / 50.0 };
            block_compress(luma, w, h, scale);
        }
    }
}

fn block_compress(luma: &mut [u8], w: usize, h: usize, scale: f64) {
    let mut basis = [[0.0f64; 8]; 8];
    for (u, row) in basis.iter_mut().enumerate() {
        for (x, b) in row.iter_mut().enumerate() {
            let c = if u == 0 { (0.125f64).sqrt() } else { 0.5 };
            *b = c * ((2.0 * x as f64 + 1.0) * u as f64 * std::f64::consts::PI / 16.0).cos();
        }
    }
    for by in 0..h / 8 {
        for bx in 0..w / 8 {
            let mut p = [[0.0f64; 8]; 8];
            for (y, row) in p.iter_mut().enumerate() {
                for (x, v) in row.iter_mut().enumerate() {
                    *v = f64::from(luma[(by * 8 + y) * w + bx * 8 + x]) - 128.0;
                }
            }
            let rows = p.map(|r| basis.map(|b| (0..8).map(|k| b[k] * r[k]).sum::<f64>()));
            let mut q = [[0.0f64; 8]; 8];
            for (u, row) in q.iter_mut().enumerate() {
                for (v, out) in row.iter_mut().enumerate() {
                    let c: f64 = (0..8).map(|y| basis[u][y] * rows[y][v]).sum();
                    let step = (TABLE[u * 8 + v] * scale).max(1.0);
                    *out = (c / step).round() * step;
                }
            }
            let back: Vec<[f64; 8]> = (0..8)
                .map(|y| std::array::from_fn(|v| (0..8).map(|u| basis[u][y] * q[u][v]).sum::<f64>()))
                .collect();
            for y in 0..8 {
                for x in 0..8 {
                    let s: f64 = (0..8).map(|v| basis[v][x] * back[y][v]).sum();
                    luma[(by * 8 + y) * w + bx * 8 + x] = (s + 128.5).clamp(0.0, 255.0) as u8;
                }
            }
        }
    }
}
