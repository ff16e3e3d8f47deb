//! A place ready to be filmed: its ground painted once, then read by every frame.

use super::backdrop::Backdrop;
use super::colour::{Yuv, mix_packed};
use super::font;
use super::light;
use super::look::Look;
use super::noise::gaussian_table;
use super::paint::{self, Layer, Raster, StripeCover};
use super::props::Props;
use super::texture::Texture;
use super::turf::{Turf, extent};
use field::Stripe;
use geometry::{Point2, frame::Ground};
use rayon::prelude::*;

/// A painted field with its surroundings.
pub struct Venue {
    /// What it was made from.
    pub look: Look,
    pub(super) ground: Texture,
    pub(super) ground_turned: Texture,
    pub(super) raster: Raster,
    pub(super) backdrop: Backdrop,
    pub(super) props: Props,
    pub(super) digits: [Vec<u8>; 10],
    pub(super) grain: Vec<i8>,
}

impl Venue {
    /// Paints it: about a second, once for all films of a game.
    pub fn new(look: &Look) -> Self {
        let density = f64::from(look.texels_per_yard);
        let [x0, y0, x1, y1] = extent(look.rule_book);
        let raster = Raster {
            x0,
            y0,
            density,
            width: ((x1 - x0) * density) as usize,
            height: ((y1 - y0) * density) as usize,
        };
        let ground = painted(look, &raster);
        Self {
            ground_turned: ground.transposed(),
            ground,
            raster,
            backdrop: Backdrop::new(look),
            props: Props::new(look),
            digits: font::shirt_digits(),
            grain: gaussian_table(look.seed, 1 << 17),
            look: look.clone(),
        }
    }
    /// The stripes where they were really painted, in the order of [`field::Markings::stripes`].
    pub fn stripes_as_painted(&self) -> Vec<Stripe> {
        paint::stripes_as_painted(&self.look)
    }
}

fn painted(look: &Look, raster: &Raster) -> Texture {
    let turf = Turf::new(look);
    let (w, h) = (raster.width, raster.height);
    let mut texels = vec![0u32; w * h];
    // The spare byte carries how well paint holds until all layers are on.
    let place = |ix: usize, iy: usize| {
        (raster.x0 + (ix as f64 + 0.5) / raster.density, raster.y0 + (iy as f64 + 0.5) / raster.density)
    };
    texels.par_chunks_mut(w).enumerate().for_each(|(iy, row)| {
        for (ix, t) in row.iter_mut().enumerate() {
            let (x, y) = place(ix, iy);
            let g = turf.at(ix as i32, iy as i32, x as f32, y as f32, false);
            *t = g.colour.pack() | ((g.paint_holds * 255.0) as u32) << 24;
        }
    });
    if look.snow.is_some_and(|s| s.lines_swept) {
        sweep(look, raster, &turf, &mut texels);
    }
    let brush = |texel: &mut u32, share: f32, colour: u32| {
        let weight = share * (*texel >> 24) as f32 * (256.0 / 255.0);
        *texel = mix_packed(*texel & 0x00ff_ffff, colour, (weight + 0.5) as u32) | (*texel & 0xff00_0000);
    };
    for layer in paint::layers(look, raster) {
        match layer {
            Layer::Stripe { stripe, colour, cover } => {
                let Some((shape, [c0, r0, c1, r1])) = StripeCover::new(&stripe, raster) else { continue };
                let colour = colour.pack();
                texels.par_chunks_mut(w).enumerate().skip(r0).take(r1.saturating_sub(r0)).for_each(
                    |(iy, row)| {
                        for (ix, t) in row.iter_mut().enumerate().take(c1).skip(c0) {
                            let share = shape.at(ix as f32 + 0.5, iy as f32 + 0.5);
                            if share > 0.0 {
                                brush(t, share * cover, colour);
                            }
                        }
                    },
                );
            }
            Layer::Shape { column, row: first, mask, colour, cover } => {
                let (mw, mh) = (mask.width() as usize, mask.height() as usize);
                let colour = colour.pack();
                texels.par_chunks_mut(w).skip(first).take(mh).zip(mask.data().par_chunks(mw)).for_each(
                    |(row, m)| {
                        for (t, &c) in row[column..column + mw].iter_mut().zip(m) {
                            if c > 0 {
                                brush(t, f32::from(c) / 255.0 * cover, colour);
                            }
                        }
                    },
                );
            }
        }
    }
    texels.par_chunks_mut(w).enumerate().for_each(|(iy, row)| {
        // Light changes over yards: every eighth texel is enough.
        for (block, part) in row.chunks_mut(8).enumerate() {
            let (x, y) = place(block * 8 + 4, iy);
            let k = light::on_ground(look, Point2::<Ground>::new(x, y));
            for t in part {
                let lit = Yuv::unpack(*t).lit(k);
                // Shade is bluer than sun.
                let cool = Yuv { u: lit.u + 6.0 * (1.0 - k), ..lit };
                *t = cool.pack();
            }
        }
    });
    Texture::new(w, h, texels)
}

/// Brushes the snow off the lines and half a yard to either side.
fn sweep(look: &Look, raster: &Raster, turf: &Turf, texels: &mut [u32]) {
    for stripe in paint::stripes_as_painted(look) {
        let path = Stripe { width: stripe.width + 0.9, ..stripe };
        let Some((shape, [c0, r0, c1, r1])) = StripeCover::new(&path, raster) else { continue };
        texels.par_chunks_mut(raster.width).enumerate().skip(r0).take(r1.saturating_sub(r0)).for_each(
            |(iy, row)| {
                for (ix, t) in row.iter_mut().enumerate().take(c1).skip(c0) {
                    let (cx, cy) = (ix as f32 + 0.5, iy as f32 + 0.5);
                    if shape.at(cx, cy) > 0.5 {
                        let (x, y) = (
                            raster.x0 as f32 + cx / raster.density as f32,
                            raster.y0 as f32 + cy / raster.density as f32,
                        );
                        let g = turf.at(ix as i32, iy as i32, x, y, true);
                        *t = g.colour.pack() | ((g.paint_holds * 255.0) as u32) << 24;
                    }
                }
            },
        );
    }
}
