//! The bare ground as colour per texel: grass with clumps, blades, mown bands and wear, and what lies around it.

use super::colour::Yuv;
use super::look::{Look, Surround};
use super::noise::{Clouds, hash2, unit};
use field::RuleBook;

/// Ground that is painted, yd: x and y of the low corner and of the high corner.
pub fn extent(book: RuleBook) -> [f64; 4] {
    [-24.0 - book.end_zone(), -18.0, 24.0 + book.length() + book.end_zone(), (18.667 + book.width()).round()]
}

/// Colours and clouds of one ground.
pub struct Turf {
    grass: Yuv,
    earth: Yuv,
    border: Yuv,
    broad: Clouds,
    fine: Clouds,
    seed: u32,
    texture: f32,
    bands: f32,
    wear: f32,
    snow: Option<f32>,
    width: f32,
    /// End line to end line.
    ends: [f32; 2],
    school: bool,
}

/// One texel of ground.
pub struct Ground {
    /// Its colour unpainted.
    pub colour: Yuv,
    /// How much of the paint holds there, 0 to 1.
    pub paint_holds: f32,
}

/// sRGB of a hue in degrees, a saturation and a value.
fn hsv(h: f64, s: f64, v: f64) -> [f32; 3] {
    [5.0, 3.0, 1.0].map(|n| {
        let k = (n + h / 60.0) % 6.0;
        (255.0 * (v - v * s * k.min(4.0 - k).clamp(0.0, 1.0))) as f32
    })
}

impl Turf {
    /// Of a look.
    pub fn new(look: &Look) -> Self {
        let seed = look.seed as u32 ^ 0x51ed;
        let dim = if look.grass_hue > 105.0 { 0.45 } else { 0.48 };
        Self {
            grass: Yuv::from_rgb_f32(hsv(look.grass_hue, look.grass_saturation, dim)),
            earth: Yuv::from_rgb([133, 118, 84]),
            border: match look.surround {
                Surround::Stadium => {
                    Yuv::from_rgb_f32(hsv(look.grass_hue + 6.0, look.grass_saturation, dim * 0.86))
                }
                Surround::SchoolGround => Yuv::from_rgb_f32(hsv(84.0, 0.42, 0.46)),
            },
            broad: Clouds::new(seed, 4),
            fine: Clouds::new(seed ^ 99, 5),
            seed,
            texture: look.grass_texture as f32,
            bands: look.bands as f32,
            wear: look.wear as f32,
            snow: look.snow.map(|s| s.cover as f32),
            width: look.rule_book.width() as f32,
            ends: [-look.rule_book.end_zone(), look.rule_book.length() + look.rule_book.end_zone()]
                .map(|x| x as f32),
            school: look.surround == Surround::SchoolGround,
        }
    }
    /// The texel (ix, iy) around the field point (x, y) yd; `swept` where the snow was brushed off a line.
    pub fn at(&self, ix: i32, iy: i32, x: f32, y: f32, swept: bool) -> Ground {
        // Every cloud is centred on one half, so that no texture leaves an even lawn.
        let uneven = |v: f32| 0.5 + (v - 0.5) * self.texture;
        let cloud = uneven(self.broad.at(x / 61.0, y / 61.0));
        let clump = uneven(self.fine.at(x / 9.7, y / 9.7));
        let tuft = uneven(self.fine.at(y / 1.9 + 0.3, x / 2.3));
        let blade = (unit(hash2(ix, iy, self.seed)) - 0.5) * self.texture;
        let [low, high] = self.ends;
        let middle = 0.5 * (low + high);
        let inside = x > low && x < high && y > 0.0 && y < self.width;
        let mut c = if inside || !self.school { self.grass } else { self.border };
        if !inside && !self.school {
            let out = (low - x).max(x - high).max(-y).max(y - self.width);
            c = c.mix(self.border, (out / 3.0 - 1.0).clamp(0.0, 1.0));
        }
        let mut light =
            1.0 + 0.16 * (cloud - 0.5) + 0.20 * (clump - 0.5) + 0.16 * (tuft - 0.5) + 0.13 * blade;
        if (low - 0.5..high + 0.5).contains(&x) && (-2.5..self.width + 2.5).contains(&y) {
            // Bands of five yards, edges soft as a mower's overlap leaves them.
            let s = (x / 10.0 * std::f32::consts::TAU).sin() * 6.0;
            light *= 1.0 + 0.5 * self.bands * s.clamp(-1.0, 1.0);
        }
        // Yellowish where dry.
        let dry = ((clump - 0.45) * 1.6 + (cloud - 0.5) * 1.8).clamp(0.0, 1.0);
        c = Yuv { y: c.y + 5.0 * dry, u: c.u - 3.0 * dry, v: c.v + 3.5 * dry };
        let mut holds = 1.0;
        if inside {
            let across = 1.0 - ((y - self.width / 2.0).abs() / 13.0).powi(2);
            let along = 1.0 - ((x - middle).abs() / (middle + 2.0)).powi(4);
            let traffic = (across.max(0.0) * along.max(0.0)).clamp(0.0, 1.0);
            let worn = (self.wear * (0.25 + traffic) * 1.25 - (0.9 - clump) - 0.25 * (0.5 - tuft)
                + 0.18 * blade)
                .clamp(0.0, 1.0);
            c = c.mix(self.earth, (worn * 1.5).min(0.62));
            holds = 1.0
                - 0.55 * self.wear * (0.25 + 0.75 * traffic) * (0.5 + 0.8 * clump + 0.7 * (tuft - 0.5))
                - 0.25 * worn;
        }
        holds -= 0.10 * (0.5 + blade) * (1.0 + self.wear);
        if self.school {
            (c, light) = self.track(x, y, c, light, blade);
        }
        if let Some(cover) = self.snow.filter(|_| !swept) {
            let s = ((cover - 0.5) * 1.5 + (clump - 0.5) * 2.4 + (tuft - 0.5) * 1.2 + 0.5).clamp(0.0, 1.0);
            let white = Yuv::from_rgb([222, 226, 232]);
            c = c.mix(white, s);
            light = light + (1.0 - light) * 0.8 * s;
            holds *= 1.0 - 0.85 * s;
        }
        Ground { colour: c.lit(light), paint_holds: holds.clamp(0.0, 1.0) }
    }
    /// The running track: straights 9 yd outside the sidelines (common practice, no source), nine yards wide.
    fn track(&self, x: f32, y: f32, c: Yuv, light: f32, blade: f32) -> (Yuv, f32) {
        let (dx, dy) =
            (((x - 0.5 * (self.ends[0] + self.ends[1])).abs() - 46.0).max(0.0), (y - self.width / 2.0).abs());
        let from_edge = dx.hypot(dy) - (self.width / 2.0 + 7.5);
        if !(0.0..9.0).contains(&from_edge) {
            return (c, light);
        }
        let lane = (from_edge / 1.32).fract();
        let line = !(0.06..=0.985).contains(&lane) && from_edge > 0.04;
        let red = Yuv::from_rgb([150, 82, 66]);
        let c = if line { red.mix(Yuv::from_rgb([225, 218, 210]), 0.75) } else { red };
        (c, 1.0 + 0.06 * blade + 0.12 * (light - 1.0))
    }
}
