//! The field without people, learned from frames in which they stand elsewhere.

use crate::Film;
use crate::chart::{Area, Chart, Lattice};
use camera::FieldCamera;
use picture::RgbView;

/// The empty field, gathered from a few dozen frames spread over a clip.
pub struct EmptyFieldBuilder {
    film: Film,
    chart: Chart,
    samples: Vec<Sample>,
    frames: Vec<(Vec<u8>, FieldCamera)>,
}

/// One frame as it lies on the sheet.
struct Sample {
    area: Area,
    /// Three bytes a cell; all zero where the frame shows nothing.
    rgb: Vec<u8>,
    /// Light of this frame relative to the first.
    gain: f32,
}

/// The field without people: per cell the range of colours of its neighbourhood.
#[derive(Clone, Debug)]
pub struct EmptyField {
    pub(crate) chart: Chart,
    /// Darkest of a cell's neighbourhood, three bytes a cell.
    pub(crate) low: Vec<u8>,
    /// Brightest.
    pub(crate) high: Vec<u8>,
    /// The cell itself.
    pub(crate) middle: Vec<u8>,
    /// How much the cell changes without people (crowds, flags), levels.
    pub(crate) unrest: Vec<u8>,
    /// Grass, as against paint and everything else.
    pub(crate) grass: Vec<bool>,
    /// Somebody may be standing in the picture of the cell itself.
    pub(crate) doubtful: Vec<bool>,
    /// Every second frame that it was learned from, three bytes a working pixel, and its camera.
    pub(crate) frames: Vec<(Vec<u8>, FieldCamera)>,
}

/// Most frames that a builder keeps; a median of two dozen is steady, and memory stays under 80 MB at 960 px across.
const MOST_SAMPLES: usize = 24;
/// Offset that keeps logarithms of dark pixels steady, levels.
const DARK: f32 = 8.0;

/// Colour as logarithms of red and blue over green: what light of one colour leaves alone.
pub(crate) fn hue(p: [f32; 3]) -> [f32; 2] {
    [((p[0] + DARK) / (p[1] + DARK)).ln(), ((p[2] + DARK) / (p[1] + DARK)).ln()]
}

impl EmptyFieldBuilder {
    /// For a clip's film; `cameras` are those of its frames, in order. `None` without any.
    pub fn new(film: Film, cameras: &[FieldCamera]) -> Option<Self> {
        let chart = Chart::new(cameras, film.size, film.scale())?;
        Some(Self { film, chart, samples: Vec::new(), frames: Vec::new() })
    }
    /// Which of `count` frames to hand to [`Self::add`]: evenly spread.
    pub fn wanted(count: usize) -> Vec<usize> {
        let n = count.min(MOST_SAMPLES);
        (0..n).map(|k| (2 * k + 1) * count / (2 * n)).collect()
    }
    /// Adds a frame (of the working size) and its camera. Frames beyond the wanted number are ignored.
    pub fn add(&mut self, frame: RgbView<'_>, camera: &FieldCamera) {
        let scale = self.film.scale();
        if self.samples.len() >= MOST_SAMPLES {
            return;
        }
        let Some(area) = self.chart.area(camera, self.film.size, scale) else { return };
        let (w, h) = (frame.width() as usize, frame.height() as usize);
        let lattice = Lattice::new(area.width, area.height, |x, y| {
            let p = self.chart.pixel(camera, [area.left as f64 + x, area.top as f64 + y], scale)?;
            Some([p.x * scale, p.y * scale])
        });
        let data = frame.data();
        let mut rgb = vec![0u8; 3 * area.width * area.height];
        for y in 0..area.height {
            let row = &mut rgb[3 * y * area.width..3 * (y + 1) * area.width];
            lattice.row(y, area.width, |x, p| {
                let (px, py) = (p[0] - 0.5, p[1] - 0.5);
                if px < 0.0 || py < 0.0 || px >= (w - 1) as f32 || py >= (h - 1) as f32 {
                    return;
                }
                let (ix, iy) = (px as usize, py as usize);
                let (fx, fy) = (px - ix as f32, py - iy as f32);
                let at = 3 * (iy * w + ix);
                for c in 0..3 {
                    let v = |k: usize| f32::from(data[at + k + c]);
                    let (top, below) = (v(0) + (v(3) - v(0)) * fx, v(3 * w) + (v(3 * w + 3) - v(3 * w)) * fx);
                    row[3 * x + c] = ((top + (below - top) * fy) + 0.5).max(1.0) as u8;
                }
            });
        }
        let mut sample = Sample { area, rgb, gain: 1.0 };
        sample.gain = self.samples.last().map_or(1.0, |before| before.gain * ratio(&sample, before));
        self.samples.push(sample);
        if self.samples.len() % 2 == 1 && (frame.width(), frame.height()) == self.film.working {
            self.frames.push((data.to_vec(), *camera));
        }
    }
    /// The empty field; `None` when fewer than three frames were added.
    pub fn finish(self) -> Option<EmptyField> {
        if self.samples.len() < 3 {
            return None;
        }
        let (w, h) = (self.chart.width, self.chart.height);
        let turf = turf_hue(&self.samples);
        let mut middle = vec![0u8; 3 * w * h];
        let mut unrest = vec![0u8; w * h];
        let mut grass = vec![false; w * h];
        let mut doubtful = vec![false; w * h];
        let mut open: Vec<usize> = Vec::new();
        let mut around = Around::new(w, h);
        let mut put = |cell: usize, mid: [f32; 3], spread: f32| {
            unrest[cell] = (1.48 * spread).min(120.0) as u8;
            for c in 0..3 {
                middle[3 * cell + c] = (mid[c] + 0.5).clamp(1.0, 255.0) as u8;
            }
        };
        let mut seen: Vec<[f32; 3]> = Vec::with_capacity(MOST_SAMPLES);
        let mut green: Vec<[f32; 3]> = Vec::with_capacity(MOST_SAMPLES);
        for y in 0..h {
            for x in 0..w {
                seen.clear();
                green.clear();
                for s in &self.samples {
                    let Some(p) = s.at(x, y) else { continue };
                    let u = hue(p);
                    if (u[0] - turf[0]).abs() < GRASS_WIDTH && (u[1] - turf[1]).abs() < GRASS_WIDTH {
                        green.push(p);
                    }
                    seen.push(p);
                }
                if seen.is_empty() {
                    continue;
                }
                // Whoever stood here hid the grass; nothing on the field looks like grass but grass.
                let is_grass = green.len() >= 2 && 12 * green.len() >= seen.len();
                let chosen = if is_grass { &mut green } else { &mut seen };
                let cell = y * w + x;
                grass[cell] = is_grass;
                let (mid, spread) = middle_of(chosen);
                put(cell, mid, spread);
                if is_grass || alike(chosen, mid) >= SURE * chosen.len() as f32 {
                    around.note(x, y, mid, is_grass);
                } else {
                    open.push(cell);
                }
            }
        }
        // Where somebody stood for long, what lies there is what else lies around it.
        for cell in open {
            let (x, y) = (cell % w, cell / w);
            seen.clear();
            seen.extend(self.samples.iter().filter_map(|s| s.at(x, y)));
            let mut kinds = kinds(&seen);
            for k in &mut kinds {
                k.around = around.share(x, y, k.middle);
                k.worth = (k.members.len() as f32 / seen.len() as f32) * (k.around + RARE);
            }
            kinds.sort_by(|a, b| b.worth.total_cmp(&a.worth));
            let best = &kinds[0];
            // Nothing that was ever seen here lies around: people stood here in turn all the time.
            if best.around < NOWHERE
                && let Some(ground) = around.grass_near(x, y)
            {
                put(cell, ground, 0.0);
                continue;
            }
            let (mid, spread) = middle_of(&best.members);
            put(cell, mid, spread);
            doubtful[cell] = kinds.get(1).is_some_and(|k| 4.0 * k.worth > best.worth);
        }
        let (low, high) = ranges(&middle, w, h);
        Some(EmptyField {
            chart: self.chart,
            low,
            high,
            middle,
            unrest,
            grass,
            doubtful,
            frames: self.frames,
        })
    }
}

/// Share of a cell's samples that must look alike for the cell to be known without its surroundings.
const SURE: f32 = 0.8;
/// Levels per channel within which samples of a cell look alike: noise and compression stay within.
const ALIKE: f32 = 18.0;
/// Share of the surroundings granted to what is nowhere else around.
const RARE: f32 = 0.02;

/// Channelwise middle of some colours, and the middle distance of their luma from it.
fn middle_of(of: &[[f32; 3]]) -> ([f32; 3], f32) {
    let mid: [f32; 3] = std::array::from_fn(|c| median(of.iter().map(|p| p[c])));
    (mid, median(of.iter().map(|p| (luma(*p) - luma(mid)).abs())))
}

fn near(a: [f32; 3], b: [f32; 3]) -> bool {
    a.iter().zip(b).all(|(a, b)| (a - b).abs() < ALIKE)
}

/// How many of some colours are like `mid`.
fn alike(of: &[[f32; 3]], mid: [f32; 3]) -> f32 {
    of.iter().filter(|p| near(**p, mid)).count() as f32
}

/// A colour that a cell had in several samples.
struct Kind {
    middle: [f32; 3],
    members: Vec<[f32; 3]>,
    /// Share of the known cells around that have the colour.
    around: f32,
    worth: f32,
}

/// Groups of like colours, the largest first.
fn kinds(of: &[[f32; 3]]) -> Vec<Kind> {
    let mut left: Vec<[f32; 3]> = of.to_vec();
    let mut out: Vec<Kind> = Vec::new();
    while let Some(seed) = left.iter().max_by_key(|p| left.iter().filter(|q| near(**p, **q)).count()).copied()
    {
        let (members, rest): (Vec<_>, Vec<_>) = left.into_iter().partition(|p| near(*p, seed));
        out.push(Kind { middle: middle_of(&members).0, members, around: 0.0, worth: 0.0 });
        left = rest;
    }
    out
}

/// Colours of the cells that are known, by blocks.
struct Around {
    across: usize,
    blocks: Vec<Vec<[f32; 3]>>,
    /// Sum of the colours of each block's grass, and how many.
    grass: Vec<([f32; 3], f32)>,
}

/// Side of a block, cells: narrower than a player.
const BLOCK: usize = 8;
/// Blocks on each side that are around a cell: two to three yards.
const REACH: usize = 3;
/// Blocks on each side within which grass tells what grass a cell would show.
const FAR: usize = 6;
/// Share of the surroundings below which a colour is nowhere else around.
const NOWHERE: f32 = 0.005;

impl Around {
    fn new(w: usize, h: usize) -> Self {
        let across = w.div_ceil(BLOCK);
        let blocks = across * h.div_ceil(BLOCK);
        Self { across, blocks: vec![Vec::new(); blocks], grass: vec![([0.0; 3], 0.0); blocks] }
    }
    /// Every second cell is enough.
    fn note(&mut self, x: usize, y: usize, colour: [f32; 3], is_grass: bool) {
        let block = y / BLOCK * self.across + x / BLOCK;
        if (x + y).is_multiple_of(4) {
            self.blocks[block].push(colour);
        }
        if is_grass {
            let (sum, n) = &mut self.grass[block];
            sum.iter_mut().zip(colour).for_each(|(s, c)| *s += c);
            *n += 1.0;
        }
    }
    /// Mean colour of the grass nearest to a cell; `None` where there is little within [`FAR`] blocks.
    fn grass_near(&self, x: usize, y: usize) -> Option<[f32; 3]> {
        let (i, j) = (x / BLOCK, y / BLOCK);
        let down = self.blocks.len() / self.across;
        for reach in 1..=FAR {
            let (mut sum, mut n) = ([0.0f32; 3], 0.0);
            for b in j.saturating_sub(reach)..(j + reach + 1).min(down) {
                for a in i.saturating_sub(reach)..(i + reach + 1).min(self.across) {
                    let (s, m) = self.grass[b * self.across + a];
                    sum.iter_mut().zip(s).for_each(|(t, c)| *t += c);
                    n += m;
                }
            }
            if n >= (BLOCK * BLOCK) as f32 {
                return Some(sum.map(|s| s / n));
            }
        }
        None
    }
    /// Share of the known cells around that have a colour.
    fn share(&self, x: usize, y: usize, colour: [f32; 3]) -> f32 {
        let (i, j) = (x / BLOCK, y / BLOCK);
        let down = self.blocks.len() / self.across;
        let (mut like, mut all) = (0u32, 0u32);
        for b in j.saturating_sub(REACH)..(j + REACH + 1).min(down) {
            for a in i.saturating_sub(REACH)..(i + REACH + 1).min(self.across) {
                for c in &self.blocks[b * self.across + a] {
                    all += 1;
                    like += u32::from(near(*c, colour));
                }
            }
        }
        like as f32 / all.max(1) as f32
    }
}

/// Half width of the hues that count as the clip's own grass, in logarithms: mown bands, shade and noise stay within.
const GRASS_WIDTH: f32 = 0.22;

impl Sample {
    /// The colour of a cell in the light of the first frame.
    fn at(&self, x: usize, y: usize) -> Option<[f32; 3]> {
        let (x, y) = (x.checked_sub(self.area.left)?, y.checked_sub(self.area.top)?);
        if x >= self.area.width || y >= self.area.height {
            return None;
        }
        let at = 3 * (y * self.area.width + x);
        let p = &self.rgb[at..at + 3];
        (p[1] > 0).then(|| std::array::from_fn(|c| f32::from(p[c]) / self.gain))
    }
}

/// How much brighter `a` is than `b` where both look, as the median over a lattice of cells.
fn ratio(a: &Sample, b: &Sample) -> f32 {
    let mut ratios = Vec::new();
    let raw = |s: &Sample, x, y| s.at(x, y).map(|p| luma(p) * s.gain);
    for y in (a.area.top..a.area.top + a.area.height).step_by(5) {
        for x in (a.area.left..a.area.left + a.area.width).step_by(5) {
            if let (Some(p), Some(q)) = (raw(a, x, y), raw(b, x, y))
                && q > 20.0
            {
                ratios.push(p / q);
            }
        }
    }
    if ratios.len() < 50 { 1.0 } else { median(ratios.into_iter()).clamp(0.5, 2.0) }
}

/// The hue that most of the film has: its grass.
fn turf_hue(samples: &[Sample]) -> [f32; 2] {
    const BIN: f32 = 0.08;
    const SIDE: usize = 48;
    let mut counts = vec![0u32; SIDE * SIDE];
    let bin = |v: f32| (v / BIN + SIDE as f32 / 2.0) as usize;
    let mut all = Vec::new();
    for s in samples {
        for p in s.rgb.chunks_exact(3).step_by(7).filter(|p| p[1] > 20) {
            let u = hue(std::array::from_fn(|c| f32::from(p[c])));
            let (i, j) = (bin(u[0]).min(SIDE - 1), bin(u[1]).min(SIDE - 1));
            counts[j * SIDE + i] += 1;
            all.push(u);
        }
    }
    let best = (0..counts.len()).max_by_key(|&k| counts[k]).unwrap_or(0);
    let centre = |k: usize| (k as f32 + 0.5 - SIDE as f32 / 2.0) * BIN;
    let (r, b) = (centre(best % SIDE), centre(best / SIDE));
    let near = |u: &&[f32; 2]| (u[0] - r).abs() < 1.5 * BIN && (u[1] - b).abs() < 1.5 * BIN;
    let of = |c: usize| median(all.iter().filter(near).map(|u| u[c]));
    [of(0), of(1)]
}

/// Darkest and brightest of each cell's three by three: a camera that is a px off shows one of the neighbours.
fn ranges(middle: &[u8], w: usize, h: usize) -> (Vec<u8>, Vec<u8>) {
    let sweep = |from: &[u8], step: usize, along: usize, better: fn(u8, u8) -> u8| {
        let mut out = from.to_vec();
        for cell in 0..w * h {
            let k = if along == 0 { cell % w } else { cell / w };
            let last = if along == 0 { w } else { h };
            for c in 0..3 {
                let at = 3 * cell + c;
                let mut v = from[at];
                // A cell that no frame saw says nothing about its neighbours.
                if k > 0 && from[at - 3 * step] > 0 {
                    v = better(v, from[at - 3 * step]);
                }
                if k + 1 < last && from[at + 3 * step] > 0 {
                    v = better(v, from[at + 3 * step]);
                }
                out[at] = v;
            }
        }
        out
    };
    let low = sweep(&sweep(middle, 1, 0, u8::min), w, 1, u8::min);
    let high = sweep(&sweep(middle, 1, 0, u8::max), w, 1, u8::max);
    (low, high)
}

pub(crate) fn luma(p: [f32; 3]) -> f32 {
    0.2126 * p[0] + 0.7152 * p[1] + 0.0722 * p[2]
}

/// The middle value; 0 of none.
pub(crate) fn median(values: impl Iterator<Item = f32>) -> f32 {
    let mut v: Vec<f32> = values.collect();
    if v.is_empty() {
        return 0.0;
    }
    let k = v.len() / 2;
    *v.select_nth_unstable_by(k, f32::total_cmp).1
}
