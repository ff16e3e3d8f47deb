//! A frame and its camera to the people in it.

use crate::Film;
use crate::bodies::{Body, Search};
use crate::chart::Lattice;
use crate::cloth::dress;
use crate::differ::{Difference, differ};
use crate::empty::EmptyField;
use crate::kits::{Kits, samples};
use camera::FieldCamera;
use geometry::frame::Pixel;
use geometry::{Covariance2, Point2};
use picture::RgbView;
use play::Sighted;

/// Finds people in the frames of one clip.
#[derive(Clone, Debug)]
pub struct Finder {
    film: Film,
    empty: EmptyField,
    kits: Option<Kits>,
}

/// What a frame was taken apart into, to look at.
#[derive(Clone, Debug)]
pub struct Layers {
    /// −1 the empty field, +1 something else, per working pixel, before bodies were found.
    pub evidence: Vec<f32>,
    /// The people.
    pub bodies: Vec<Sighted>,
}

/// How far beyond the field's lines somebody is looked for, yd: a receiver steps out, the bench stands farther off.
const BEYOND: f64 = 4.0;

impl Finder {
    /// With the clip's empty field; what the teams wear is learned from some of the frames that it was learned from.
    pub fn new(film: Film, mut empty: EmptyField) -> Self {
        let frames = std::mem::take(&mut empty.frames);
        let mut out = Self { film, empty, kits: None };
        let mut seen = Vec::new();
        for (data, camera) in &frames {
            let (w, h) = film.working;
            if let Ok(frame) = RgbView::new(w, h, data) {
                let (d, bodies, owner) = out.search(frame, camera);
                seen.extend(samples(data, w as usize, &d.ground, &owner, &bodies));
            }
        }
        out.kits = Kits::learn(&seen);
        out
    }
    /// The people in a frame of the working size, seen by `camera`: upright bodies on or beside the field.
    pub fn find(&self, frame: RgbView<'_>, camera: &FieldCamera) -> Vec<Sighted> {
        self.layers(frame, camera).bodies
    }
    /// The same with what it was found from.
    pub fn layers(&self, frame: RgbView<'_>, camera: &FieldCamera) -> Layers {
        let w = frame.width() as usize;
        let scale = self.film.scale();
        let on_film = |x: f64, y: f64| Point2::<Pixel>::new(x / scale, y / scale);
        let (difference, bodies, owner) = self.search(frame, camera);
        let bodies = bodies
            .iter()
            .enumerate()
            .map(|(k, b)| {
                let light = light_at(&difference.ground, w, b);
                let [shirt, trousers] = dress(frame.data(), w, &owner, k as u8 + 1, b, light);
                Sighted {
                    foot: on_film(f64::from(b.x), f64::from(b.y)),
                    foot_covariance: spread(b, scale),
                    height_px: (f64::from(b.tall) / scale) as f32,
                    seen: b.seen,
                    filled: b.filled,
                    shirt,
                    trousers,
                }
            })
            .collect();
        Layers { evidence: difference.evidence, bodies }
    }
    /// What differs, the bodies that explain it, and whose each pixel is (index plus one).
    fn search(&self, frame: RgbView<'_>, camera: &FieldCamera) -> (Difference, Vec<Body>, Vec<u8>) {
        let (w, h) = (frame.width() as usize, frame.height() as usize);
        let scale = self.film.scale();
        let on_film = |x: f64, y: f64| Point2::<Pixel>::new(x / scale, y / scale);
        let place = Lattice::new(w, h, |x, y| self.empty.chart.cell(camera, on_film(x, y), scale));
        let difference = differ(frame.data(), w, h, &place, &self.empty);
        // Height of a yard and lean of the upright, where somebody may stand.
        let upright = Lattice::new(w, h, |x, y| self.upright(camera, on_film(x, y), scale));
        let ground = Lattice::new(w, h, |x, y| {
            let g = camera.ground_from_pixel(on_film(x, y), 0.0)?;
            Some([g.x, g.y])
        });
        let width = self.film.rule_book.width();
        let standing = |x: f32, y: f32| {
            let (x, y) = (f64::from(x), f64::from(y));
            let [gx, gy] = ground.at(x, y)?;
            let inside =
                (-10.0 - BEYOND..=110.0 + BEYOND).contains(&gx) && (-BEYOND..=width + BEYOND).contains(&gy);
            if !inside {
                return None;
            }
            let [yard, lean] = upright.at(x, y)?;
            Some((yard as f32, lean as f32))
        };
        let maps = match &self.kits {
            Some(k) => k.part(frame.data(), &difference.evidence, &difference.ground).into(),
            None => vec![difference.evidence.clone()],
        };
        let (bodies, owner) = Search { maps, w, h, standing: &standing }.run();
        (difference, bodies, owner)
    }
    /// Working px of a yard of height, and px sideways per px up, for somebody who stands at film pixel `p`.
    fn upright(&self, camera: &FieldCamera, p: Point2<Pixel>, scale: f64) -> Option<[f64; 2]> {
        const TALL: f64 = 1.85;
        let g = camera.ground_from_pixel(p, 0.0)?;
        match camera {
            FieldCamera::Pinhole(c) => {
                let head = c.pixel_from_field(g.at_height(TALL))?;
                let up = p.y - head.y;
                (up > 0.5).then(|| [up * scale / TALL, (head.x - p.x) / up])
            }
            FieldCamera::Plane { .. } => {
                // A camera that knows only the ground: a yard up looks like a yard across, a little foreshortened.
                let (_, j) = camera.ground_jacobians(g)?;
                let (across, down) = (j.row(0).norm(), j.row(1).norm());
                let share = (1.0 - (down / across).min(1.0).powi(2)).sqrt();
                Some([across * share.max(0.3) * scale, 0.0])
            }
        }
    }
}

/// Standard deviation of the foot point from the picture, in heights of the body, across and along the upright, for a
/// body that nobody hides; from errors on invented film that was not used for any figure.
const FOOT_SD: (f64, f64) = (0.05, 0.05);

fn spread(b: &Body, scale: f64) -> Covariance2 {
    let tall = f64::from(b.upright) / scale;
    // What somebody hides is guessed from the rest.
    let worse = f64::from(b.seen).clamp(0.2, 1.0).recip();
    let (across, down) = (FOOT_SD.0 * tall * worse, FOOT_SD.1 * tall * worse);
    Covariance2 { xx: across * across, xy: 0.0, yy: down * down }
}

/// Luma of the ground at a body's feet; of a middling ground where none is known.
pub(crate) fn light_at(ground: &[f32], w: usize, b: &Body) -> f32 {
    let h = ground.len() / w;
    let (x, y) = (b.x.max(0.0) as usize, b.y.max(0.0) as usize);
    let mut v: Vec<f32> = Vec::new();
    for dy in 0..5usize {
        for dx in 0..9usize {
            let (px, py) = ((x + 2 * dx).saturating_sub(8), (y + dy).saturating_sub(2));
            if px < w && py < h && ground[py * w + px] > 0.0 {
                v.push(ground[py * w + px]);
            }
        }
    }
    if v.is_empty() { 90.0 } else { crate::empty::median(v.into_iter()) }
}
