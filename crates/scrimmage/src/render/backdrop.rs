//! What stands beyond the ground: grandstands with a crowd, or a low stand, trees and sky.

use super::colour::Yuv;
use super::look::{Light, Look, Surround};
use super::noise::{Clouds, hash2, unit};
use super::texture::{Footprint, Texture};

/// Texels per yard of the crowd and of the trees.
const CROWD_DENSITY: f32 = 10.0;
const TREE_DENSITY: f32 = 6.0;
/// Size of the repeating pieces, texels.
const CROWD_SIZE: (usize, usize) = (1024, 384);
const TREE_SIZE: (usize, usize) = (1536, 256);

/// The surroundings of one venue.
pub struct Backdrop {
    surround: Surround,
    walls: [f32; 4],
    crowd: Texture,
    trees: Texture,
    sky: Yuv,
    light: f32,
    banner: [Yuv; 2],
    seed: u32,
}

/// Ground that is seen as ground, yd: low x, low y, high x, high y. Beyond are walls.
pub fn walls(look: &Look) -> [f64; 4] {
    let (end, width) = (look.rule_book.length() + look.rule_book.end_zone(), look.rule_book.width());
    let (behind, beside) = match look.surround {
        Surround::Stadium => (15.0, 13.667),
        Surround::SchoolGround => (23.5, 18.167),
    };
    [-look.rule_book.end_zone() - behind, -17.5, end + behind, width + beside]
}

impl Backdrop {
    /// Of a look.
    pub fn new(look: &Look) -> Self {
        let seed = look.seed as u32 ^ 0xbac4;
        let (sky, light) = match look.light {
            Light::Sun { strength, .. } if strength > 0.3 => (Yuv::from_rgb([176, 198, 222]), 0.86),
            Light::Sun { .. } => (Yuv::from_rgb([206, 210, 214]), 0.8),
            Light::Floodlights => (Yuv::from_rgb([15, 17, 24]), 0.34),
        };
        Self {
            surround: look.surround,
            walls: walls(look).map(|v| v as f32),
            crowd: crowd(
                seed,
                look.colours.map(Yuv::from_rgb),
                if look.surround == Surround::Stadium { 0.82 } else { 0.35 },
            ),
            trees: trees(seed, sky, light),
            sky,
            light,
            banner: look.colours.map(Yuv::from_rgb),
            seed,
        }
    }
    /// What a ray that leaves the ground through a wall meets. `pixel` is the angle of a pixel, rad.
    pub fn colour(&self, from: [f32; 3], ray: [f32; 3], pixel: f32) -> Yuv {
        let w = self.walls;
        // The side through which the ray leaves, and the way along and out of it.
        let gap = |d: f32, near: f32, far: f32| {
            if d > 1e-6 {
                far / d
            } else if d < -1e-6 {
                near / d
            } else {
                f32::MAX
            }
        };
        let tx = gap(ray[0], w[0] - from[0], w[2] - from[0]);
        let ty = gap(ray[1], w[1] - from[1], w[3] - from[1]);
        let (t, along_axis, out) = if tx < ty { (tx, 1, ray[0].abs()) } else { (ty, 0, ray[1].abs()) };
        if t <= 0.0 || t > 5000.0 {
            return self.sky;
        }
        let n = (ray[0] * ray[0] + ray[1] * ray[1] + ray[2] * ray[2]).sqrt();
        let at = |t: f32| (from[along_axis] + t * ray[along_axis], from[2] + t * ray[2]);
        match self.surround {
            Surround::Stadium => self.stand(t, out, ray[2], from[2], n * pixel, at),
            Surround::SchoolGround => self.park(t, out, along_axis == 0, ray[2], from[2], n * pixel, at),
        }
    }
    /// A wall and rows of seats rising behind it.
    fn stand(
        &self,
        t: f32,
        out: f32,
        rise: f32,
        eye: f32,
        pixel: f32,
        at: impl Fn(f32) -> (f32, f32),
    ) -> Yuv {
        let (along, z) = at(t);
        const WALL: f32 = 1.7;
        const SLOPE: f32 = 0.52;
        const DEPTH: f32 = 34.0;
        if z < WALL {
            let panel = (along / 6.0).floor() as i32;
            let tone = 0.9 + 0.2 * unit(hash2(panel, 3, self.seed));
            let c = if z > WALL - 0.22 { Yuv::from_rgb([200, 200, 196]) } else { self.banner[0] };
            return c.lit(self.light * 0.72 * tone);
        }
        // z = WALL + SLOPE * outward distance.
        let k = rise - SLOPE * out;
        let t2 = (WALL - SLOPE * out * t - eye) / k;
        let outward = (t2 - t) * out;
        if k < 0.0 && t2 > t && outward < DEPTH {
            let (along, _) = at(t2);
            let step = t2 * pixel * CROWD_DENSITY;
            let f = self.crowd.footprint((step, 0.0), (0.0, step * 1.6));
            let (w, h) = (CROWD_SIZE.0 as f32, CROWD_SIZE.1 as f32);
            let c = Yuv::unpack(read(
                &self.crowd,
                (along * CROWD_DENSITY).rem_euclid(w),
                (outward * 1.13 * CROWD_DENSITY).min(h - 1.0),
                &f,
            ));
            return c.lit(self.light * (0.82 - 0.008 * outward));
        }
        // The rim, then sky.
        let t3 = t + DEPTH / out;
        let (along, z) = at(t3);
        let top = WALL + SLOPE * DEPTH;
        if z < top + 2.2 {
            let c = if (along / 17.0).rem_euclid(1.0) < 0.5 { self.banner[0] } else { self.banner[1] };
            return c.lit(self.light * 0.7);
        }
        self.sky
    }
    /// Grass, a low stand along the far side, trees and sky.
    fn park(
        &self,
        t: f32,
        out: f32,
        side: bool,
        rise: f32,
        eye: f32,
        pixel: f32,
        at: impl Fn(f32) -> (f32, f32),
    ) -> Yuv {
        const SLOPE: f32 = 0.42;
        if side {
            // A few rows of benches from 3 to 10 yd beyond the track.
            let (front, deep, foot) = (3.0, 7.0, 0.7);
            let t0 = t + front / out;
            let (along, z) = at(t0);
            if (22.0..78.0).contains(&along) && z > 0.0 && z < foot {
                return Yuv::from_rgb([128, 132, 134]).lit(self.light);
            }
            let k = rise - SLOPE * out;
            let t2 = (foot - SLOPE * out * t0 - eye) / k;
            let outward = (t2 - t0) * out;
            let (along2, _) = at(t2);
            if k < 0.0 && z >= foot && outward > 0.0 && outward < deep && (22.0..78.0).contains(&along2) {
                let step = t2 * pixel * CROWD_DENSITY;
                let f = self.crowd.footprint((step, 0.0), (0.0, step * 1.6));
                let x = (along2 * CROWD_DENSITY).rem_euclid(CROWD_SIZE.0 as f32);
                return Yuv::unpack(read(&self.crowd, x, outward * 1.1 * CROWD_DENSITY, &f)).lit(self.light);
            }
        }
        let far = if side { 22.0 } else { 26.0 };
        let t4 = t + far / out;
        let (along, z) = at(t4);
        if z < 0.0 {
            let tg = -eye / rise;
            let (along, _) = at(tg);
            let tone = 0.92 + 0.12 * unit(hash2((along * 0.4) as i32, (tg * out * 0.7) as i32, self.seed));
            return Yuv::from_rgb([92, 108, 60]).lit(tone * self.light);
        }
        let h = TREE_SIZE.1 as f32 / TREE_DENSITY;
        if z < h {
            let step = t4 * pixel * TREE_DENSITY;
            let f = self.trees.footprint((step, 0.0), (0.0, step));
            let x = ((along + if side { 0.0 } else { 90.0 }) * TREE_DENSITY).rem_euclid(TREE_SIZE.0 as f32);
            return Yuv::unpack(read(&self.trees, x, TREE_SIZE.1 as f32 - z * TREE_DENSITY, &f));
        }
        self.sky
    }
}

/// A read at texels of level 0.
fn read(t: &Texture, x: f32, y: f32, f: &Footprint) -> u32 {
    t.sample::<0>((x * 256.0) as i32, (y * 256.0) as i32, f)
}

/// Rows of spectators; row 0 is the front of the stand. `full` is the share of seats taken.
fn crowd(seed: u32, home: [Yuv; 2], full: f32) -> Texture {
    let (w, h) = CROWD_SIZE;
    let clothes: [[u8; 3]; 10] = [
        [54, 56, 62],
        [88, 84, 80],
        [150, 146, 140],
        [196, 194, 188],
        [60, 72, 98],
        [110, 58, 54],
        [72, 88, 74],
        [128, 110, 86],
        [40, 42, 48],
        [172, 160, 140],
    ];
    let skins: [[u8; 3]; 4] = [[196, 152, 124], [164, 118, 90], [112, 78, 58], [214, 176, 148]];
    let bench = Yuv::from_rgb([118, 118, 116]);
    let step_height = 9.0; // texels between rows
    let mut out = vec![0u32; w * h];
    for (i, texel) in out.iter_mut().enumerate() {
        let (x, y) = ((i % w) as f32, (i / w) as f32);
        let row = (y / step_height).floor();
        let down = y - row * step_height; // 0 at the feet, rising
        let aisle = (x / 204.8).fract();
        let mut c = bench.lit(0.62 + 0.3 * (down / step_height));
        if aisle < 0.075 {
            *texel = bench.lit(0.95 - 0.25 * (down / step_height).round()).pack();
            continue;
        }
        let stagger = unit(hash2(row as i32, 7, seed)) * 5.0;
        let seat = ((x + stagger) / 5.4).floor();
        let h0 = hash2(seat as i32, row as i32, seed);
        if unit(h0) < full {
            let (jx, jy) = (unit(hash2(h0 as i32, 1, seed)) - 0.5, unit(hash2(h0 as i32, 2, seed)) - 0.5);
            let dx = (x + stagger) - (seat + 0.5) * 5.4 - jx * 1.2;
            let dy = down - 1.0 - jy;
            let pick = unit(hash2(h0 as i32, 3, seed));
            let shirt = if pick < 0.30 {
                home[0]
            } else if pick < 0.38 {
                home[1]
            } else {
                Yuv::from_rgb(clothes[(h0 >> 7) as usize % 10])
            };
            let skin = Yuv::from_rgb(skins[(h0 >> 13) as usize % 4]);
            let tone = 0.75 + 0.4 * unit(hash2(h0 as i32, 4, seed));
            if dx.abs() < 2.3 && (0.0..5.0).contains(&dy) {
                c = shirt.lit(tone);
            }
            if dx * dx + (dy - 6.2) * (dy - 6.2) < 1.7 {
                c = if pick > 0.6 { skin } else { skin.mix(Yuv::from_rgb([46, 38, 34]), 0.6) }.lit(tone);
            }
        }
        *texel = c.pack();
    }
    Texture::new(w, h, out)
}

/// A row of trees against the sky: crowns of many leafy lumps, lit from above.
fn trees(seed: u32, sky: Yuv, light: f32) -> Texture {
    let (w, h) = TREE_SIZE;
    let clouds = Clouds::new(seed ^ 7, 5);
    let mut out = vec![0u32; w * h];
    let haze = sky.mix(Yuv::from_rgb([120, 136, 120]).lit(light), 0.35);
    for (i, texel) in out.iter_mut().enumerate() {
        let (x, z) = ((i % w) as f32 / TREE_DENSITY, (h - i / w) as f32 / TREE_DENSITY);
        let mut c = sky.mix(haze, (1.0 - z / 45.0).clamp(0.0, 1.0) * 0.4);
        // Three rows, farthest first.
        for row in 0..3i32 {
            let back = 2 - row;
            let pitch = 7.5 + row as f32;
            let cell = (x / pitch).floor() as i32;
            let mut best: Option<f32> = None;
            for k in -1..=1 {
                let id = (cell + k).rem_euclid((w as f32 / TREE_DENSITY / pitch) as i32);
                let hh = hash2(id, row, seed);
                let tall = 8.0 + 6.5 * unit(hh) + 2.5 * back as f32;
                let broad = 4.2 + 2.6 * unit(hash2(id, row + 9, seed));
                let mid = ((cell + k) as f32 + 0.5 + 0.5 * (unit(hash2(id, row + 5, seed)) - 0.5)) * pitch;
                let ragged = (clouds.at(x / 11.0 + id as f32 * 0.13, z / 11.0) - 0.5) * 4.6;
                let u = (x - mid) / (broad + ragged * 0.5);
                let v = (z - tall * 0.56) / (tall * 0.46 + ragged * 0.5);
                let inside = 1.0 - (u * u + v * v);
                if inside > 0.0 || (z < tall * 0.3 && (x - mid).abs() < 0.4) {
                    let shade = 0.62 + 0.3 * v + 0.6 * (clouds.at(x / 6.0, z / 6.0) - 0.5) - 0.1 * u
                        + 0.12 * (unit(hh) - 0.5);
                    best = Some(best.map_or(shade, |b: f32| b.max(shade)));
                }
            }
            if let Some(shade) = best {
                let hue = unit(hash2(cell, row + 20, seed));
                let leaf = Yuv::from_rgb_f32([66.0 + 26.0 * hue, 88.0 + 10.0 * hue, 48.0]);
                c = leaf.lit(shade.clamp(0.25, 1.2) * light * 1.1).mix(haze, 0.12 * back as f32);
            } else if z < 1.6 {
                c = Yuv::from_rgb([58, 72, 44]).lit(light * 0.7);
            }
        }
        *texel = c.pack();
    }
    Texture::new(w, h, out)
}
