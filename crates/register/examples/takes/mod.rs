//! Hard takes of invented film: whip pans, zooms by two, cuts, views of the crowd, score bugs, other sports' lines, low contrast, coarse
//! coding and small pictures, each with its true cameras.
#![allow(dead_code)]

use camera::Pinhole;
use field::{Crown, Direction};
use picture::GrayImage;
use rand::RngExt;
use register::{FieldModel, PictureSize};
use scrimmage::render::{Exposure, Follow, Light, Look, Scratch, Snow, Venue, ViewSetup, expose};
use scrimmage::sim::game::GameScript;
use scrimmage::sim::staged::StagedPlay;
use scrimmage::sim::teams;
use units::Rate;

/// What the operator does beside following the play.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hand {
    /// Only follows.
    Steady,
    /// Swings by `pan` rad in `seconds` and zooms by `zoom` (ln) meanwhile.
    Swing { at: f64, seconds: f64, pan: f64, zoom: f64 },
    /// Swings away from the field to the crowd and back.
    Away { at: f64, seconds: f64 },
    /// The film is cut: from then on it shows another part of the field.
    Cut { at: f64, pan: f64, zoom: f64 },
}

/// One take.
pub struct Take {
    pub name: String,
    pub look: Look,
    pub sideline: bool,
    pub size: PictureSize,
    pub hand: Hand,
    pub shutter_s: f64,
    pub play: usize,
    pub seed: u64,
    /// Seeds of the game and of the operator's hand.
    pub game: u64,
    pub operator: u64,
    pub frames: usize,
    /// Step of the coder's quantiser, grey levels; 0 for none.
    pub coarse: f32,
}

impl Take {
    /// Varied by seed: looks, books, sizes and hands by turns, their strengths by chance.
    pub fn varied(seed: u64, frames: usize) -> Self {
        let mut r = super::support::rng(seed ^ 0x7a6e);
        let mut look = match seed % 4 {
            0 => Look::college_day(seed),
            1 => Look::college_night(seed),
            2 => Look::professional_worn(seed),
            _ => Look::school(seed),
        };
        look.score_bug = r.random::<f64>() < 0.4;
        look.paint_error_in = r.random_range(0.2..1.0);
        look.crown_yd = if r.random::<f64>() < 0.4 { 4.0 / 36.0 } else { 0.0 };
        if r.random::<f64>() < 0.1 {
            look.snow = Some(Snow { cover: 0.4, lines_swept: true });
        }
        if r.random::<f64>() < 0.15 {
            look.light = Light::Sun { azimuth: -1.2, height: 0.25, strength: 0.3, stand_shadow: true };
        }
        let (width, height) = [(1280, 720), (640, 360), (960, 540)][(seed / 4 % 3) as usize];
        let sign = if r.random::<f64>() < 0.5 { -1.0 } else { 1.0 };
        let middle = frames as f64 / 30.0 * 0.35;
        let hand = match seed % 5 {
            0 => Hand::Steady,
            1 => Hand::Swing { at: middle, seconds: 0.5, pan: sign * r.random_range(0.15..0.4), zoom: 0.0 },
            2 => Hand::Swing {
                at: middle,
                seconds: 1.0,
                pan: sign * 0.15,
                zoom: if r.random::<f64>() < 0.5 { 0.69 } else { -0.5 },
            },
            3 => Hand::Away { at: middle, seconds: 0.3 },
            _ => Hand::Cut {
                at: middle,
                pan: sign * r.random_range(0.1..0.3),
                zoom: r.random_range(-0.3..0.3),
            },
        };
        Self {
            name: format!("{seed}"),
            look,
            sideline: (seed / 2).is_multiple_of(2),
            size: PictureSize { width, height },
            hand,
            shutter_s: 1.0 / r.random_range(50.0..250.0),
            play: (seed as usize * 5 + 2) % 26,
            seed,
            game: seed / 8,
            operator: seed,
            frames,
            coarse: r.random_range(0.0..14.0),
        }
    }
    pub fn field(&self) -> FieldModel {
        FieldModel { rule_book: self.look.rule_book, crown: Crown { height: self.look.crown_yd } }
    }
    /// Renders every frame in order: picture, camera as its exposure's middle.
    pub fn shoot(&self, mut each: impl FnMut(usize, GrayImage, Pinhole)) {
        let game = GameScript::demo(self.game);
        let play = &game.plays[self.play];
        let stage = StagedPlay::new(&play.script, &teams::kits(&game.teams[0], &game.teams[1]));
        let rate = Rate::new(30_000, 1001).expect("a positive fraction");
        let (w, h) = (self.size.width, self.size.height);
        let high = play.scene.direction == Direction::Down;
        let mut setup = if self.sideline {
            ViewSetup::sideline(w, h, rate, self.seed)
        } else {
            ViewSetup::end_zone(self.look.rule_book, high, w, h, rate, self.seed)
        };
        setup.framing = if self.sideline { 1.0 } else { 27.0 / 38.0 };
        setup.operator.seed = self.operator;
        let venue = Venue::new(&self.look);
        let follow = setup.follow(&stage);
        let times = setup.times(&stage);
        let mut scratch = Scratch::default();
        // Begin a second before the snap, when the picture rests.
        let skip = times.iter().position(|t| *t > -1.0).unwrap_or(0);
        for (k, &time) in times[skip..].iter().take(self.frames).enumerate() {
            let cameras =
                [-0.5, 0.0, 0.5].map(|s| self.camera(&follow, time + s * self.shutter_s, times[skip], time));
            let f = expose(
                &venue,
                &stage,
                &Exposure { time_s: time, shutter_s: self.shutter_s, index: k, cameras },
                &mut scratch,
            );
            let mut luma = f.planes[..f.width * f.height].to_vec();
            if self.coarse > 0.0 {
                coarsen(&mut luma, f.width, f.height, self.coarse);
            }
            each(k, GrayImage::new(w, h, luma).expect("a luma plane"), cameras[1]);
        }
    }
    fn camera(&self, follow: &Follow, t: f64, start: f64, frame: f64) -> Pinhole {
        let mut c = follow.at(t);
        let since = |at: f64| t - start - at;
        let ease = |u: f64| {
            let u = u.clamp(0.0, 1.0);
            u * u * (3.0 - 2.0 * u)
        };
        match self.hand {
            Hand::Steady => {}
            Hand::Swing { at, seconds, pan, zoom } => {
                let s = ease(since(at) / seconds);
                c.aim.pan += pan * s;
                c.aim.focal *= (zoom * s).exp();
            }
            Hand::Away { at, seconds } => {
                let s = ease(since(at) / seconds) - ease((since(at) - seconds - 0.3) / seconds);
                c.aim.tilt -= 0.5 * s;
            }
            Hand::Cut { at, pan, zoom } => {
                // The shutter does not see the cut: which side is told by the frame's own time.
                if frame - start > at {
                    c.aim.pan += pan;
                    c.aim.focal *= f64::exp(zoom);
                }
            }
        }
        c
    }
}

/// What block coding leaves: the 8 x 8 discrete cosine transform (Ahmed, Natarajan & Rao 1974) with its coefficients rounded to steps
/// that grow with frequency.
pub fn coarsen(luma: &mut [u8], width: usize, height: usize, step: f32) {
    let basis: [[f32; 8]; 8] = std::array::from_fn(|k| {
        std::array::from_fn(|n| {
            let scale = if k == 0 { (0.125f32).sqrt() } else { 0.5 };
            scale * (std::f32::consts::PI * (n as f32 + 0.5) * k as f32 / 8.0).cos()
        })
    });
    let turn = |m: &[[f32; 8]; 8], forward: bool| -> [[f32; 8]; 8] {
        std::array::from_fn(|r| {
            std::array::from_fn(|c| {
                (0..8).map(|n| m[r][n] * if forward { basis[c][n] } else { basis[n][c] }).sum()
            })
        })
    };
    let flip =
        |m: [[f32; 8]; 8]| -> [[f32; 8]; 8] { std::array::from_fn(|r| std::array::from_fn(|c| m[c][r])) };
    for y in (0..height - height % 8).step_by(8) {
        for x in (0..width - width % 8).step_by(8) {
            let block =
                std::array::from_fn(|r| std::array::from_fn(|c| f32::from(luma[(y + r) * width + x + c])));
            let mut f = turn(&flip(turn(&block, true)), true);
            for (r, row) in f.iter_mut().enumerate() {
                for (c, v) in row.iter_mut().enumerate() {
                    let q = step * (1.0 + 0.35 * (r + c) as f32);
                    *v = (*v / q).round() * q;
                }
            }
            let back = turn(&flip(turn(&f, false)), false);
            for r in 0..8 {
                for c in 0..8 {
                    luma[(y + r) * width + x + c] = back[r][c].round().clamp(0.0, 255.0) as u8;
                }
            }
        }
    }
}
