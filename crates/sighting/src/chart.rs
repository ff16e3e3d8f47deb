//! Where the directions of a clip's frames lie on one sheet.

use camera::{FieldCamera, Pinhole};
use geometry::frame::Pixel;
use geometry::{Point2, Point3};

/// Distance between the nodes at which a mapping is computed exactly, cells or px; bilinear between, off by less than .05.
const STEP: usize = 16;
/// Most cells of a sheet; a wider sweep is kept at less resolution.
const MOST_CELLS: f64 = 1.6e6;

/// A sheet on which every frame of a fixed camera lies at the same place: a cylinder about the camera's vertical. For a
/// camera that moves, the picture that its reference frame would give of the ground.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Chart {
    kind: Kind,
    origin: [f64; 2],
    /// Cells per px of the reference picture.
    zoom: f64,
    pub width: usize,
    pub height: usize,
}

#[derive(Clone, Debug, PartialEq)]
enum Kind {
    /// About the vertical through the centre; `pan` is the middle, `radius` cells per radian at zoom 1.
    Cylinder {
        pan: f64,
        radius: f64,
        reference: Pinhole,
    },
    Ground {
        reference: FieldCamera,
    },
}

/// A rectangle of cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Area {
    pub left: usize,
    pub top: usize,
    pub width: usize,
    pub height: usize,
}

impl Chart {
    /// A sheet for frames of `size` px (of the film) seen at `scale` working px per film px; `None` without frames.
    pub fn new(cameras: &[FieldCamera], size: (u32, u32), scale: f64) -> Option<Self> {
        let middle = cameras.get(cameras.len() / 2)?;
        let kind = match middle {
            FieldCamera::Pinhole(p) => {
                let mut focal: Vec<f64> =
                    cameras.iter().filter_map(|c| c.pinhole()).map(|c| c.aim.focal).collect();
                focal.sort_by(f64::total_cmp);
                Kind::Cylinder { pan: p.aim.pan, radius: focal.get(focal.len() / 2)? * scale, reference: *p }
            }
            FieldCamera::Plane { .. } => Kind::Ground { reference: *middle },
        };
        let mut chart = Self { kind, origin: [0.0, 0.0], zoom: 1.0, width: 0, height: 0 };
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        let (w, h) = (f64::from(size.0), f64::from(size.1));
        for camera in cameras {
            for p in border(w, h) {
                let Some(q) = chart.cell(camera, p, scale) else { continue };
                for k in 0..2 {
                    low[k] = low[k].min(q[k]);
                    high[k] = high[k].max(q[k]);
                }
            }
        }
        let (across, down) = (high[0] - low[0] + 4.0, high[1] - low[1] + 4.0);
        if !(across.is_finite() && down.is_finite()) {
            return None;
        }
        // A reference picture may reach the horizon, where a moving camera's ground runs away.
        let bound = |v: f64, side: f64| v.clamp(-4.0 * side * scale, 5.0 * side * scale);
        if matches!(chart.kind, Kind::Ground { .. }) {
            low = [bound(low[0], w), bound(low[1], h)];
            high = [bound(high[0], w), bound(high[1], h)];
        }
        let (across, down) =
            (across.min(high[0] - low[0] + 4.0).max(8.0), down.min(high[1] - low[1] + 4.0).max(8.0));
        chart.zoom = (MOST_CELLS / (across * down)).sqrt().min(1.0);
        chart.origin = [low[0] - 2.0, low[1] - 2.0];
        chart.width = (across * chart.zoom).ceil() as usize;
        chart.height = (down * chart.zoom).ceil() as usize;
        Some(chart)
    }

    /// The cell that film pixel `p` of `camera` shows.
    pub fn cell(&self, camera: &FieldCamera, p: Point2<Pixel>, scale: f64) -> Option<[f64; 2]> {
        let at = match (&self.kind, camera) {
            (Kind::Cylinder { pan, radius, .. }, FieldCamera::Pinhole(c)) => {
                let d = c.ray(p);
                let flat = d.x.hypot(d.y);
                if flat < 1e-6 {
                    return None;
                }
                [units_wrap(d.y.atan2(d.x) - pan) * -radius, -d.z / flat * radius]
            }
            (Kind::Ground { reference }, c) => {
                let g = c.ground_from_pixel(p, 0.0)?;
                let q = reference.pixel_from_field(g.at_height(0.0))?;
                [q.x * scale, q.y * scale]
            }
            _ => return None,
        };
        Some([(at[0] - self.origin[0]) * self.zoom, (at[1] - self.origin[1]) * self.zoom])
    }

    /// The film pixel of `camera` that shows a cell.
    pub fn pixel(&self, camera: &FieldCamera, cell: [f64; 2], scale: f64) -> Option<Point2<Pixel>> {
        let at = [cell[0] / self.zoom + self.origin[0], cell[1] / self.zoom + self.origin[1]];
        match (&self.kind, camera) {
            (Kind::Cylinder { pan, radius, .. }, FieldCamera::Pinhole(c)) => {
                let a = pan - at[0] / radius;
                let o = c.station.centre;
                let far = 100.0;
                c.pixel_from_field(Point3::new(
                    o.x + far * a.cos(),
                    o.y + far * a.sin(),
                    o.z - far * at[1] / radius,
                ))
            }
            (Kind::Ground { reference }, c) => {
                let g = reference.ground_from_pixel(Point2::new(at[0] / scale, at[1] / scale), 0.0)?;
                c.pixel_from_field(g.at_height(0.0))
            }
            _ => None,
        }
    }

    /// The cells that a frame of `size` film px covers.
    pub fn area(&self, camera: &FieldCamera, size: (u32, u32), scale: f64) -> Option<Area> {
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for p in border(f64::from(size.0), f64::from(size.1)) {
            let Some(q) = self.cell(camera, p, scale) else { continue };
            for k in 0..2 {
                low[k] = low[k].min(q[k]);
                high[k] = high[k].max(q[k]);
            }
        }
        let left = low[0].max(0.0).floor();
        let top = low[1].max(0.0).floor();
        let right = high[0].min(self.width as f64);
        let bottom = high[1].min(self.height as f64);
        (right > left + 1.0 && bottom > top + 1.0).then_some(Area {
            left: left as usize,
            top: top as usize,
            width: (right - left) as usize,
            height: (bottom - top) as usize,
        })
    }
}

/// Points along a picture's border, px.
fn border(w: f64, h: f64) -> impl Iterator<Item = Point2<Pixel>> {
    (0..=8).flat_map(move |k| {
        let (x, y) = (w * f64::from(k) / 8.0, h * f64::from(k) / 8.0);
        [Point2::new(x, 0.0), Point2::new(x, h), Point2::new(0.0, y), Point2::new(w, y)]
    })
}

/// An angle between −π and π.
fn units_wrap(a: f64) -> f64 {
    let t = std::f64::consts::TAU;
    a - t * (a / t).round()
}

/// A smooth map from a rectangle of pixels to places, exact at nodes and bilinear between.
pub(crate) struct Lattice {
    across: usize,
    nodes: Vec<Option<[f32; 2]>>,
}

impl Lattice {
    /// Over `width` × `height` pixels; `exact` maps the middle-based place (x, y) px.
    pub fn new(width: usize, height: usize, exact: impl Fn(f64, f64) -> Option<[f64; 2]>) -> Self {
        let (across, down) = (width.div_ceil(STEP) + 1, height.div_ceil(STEP) + 1);
        let nodes = (0..across * down)
            .map(|k| {
                let at = exact((k % across * STEP) as f64, (k / across * STEP) as f64)?;
                Some([at[0] as f32, at[1] as f32])
            })
            .collect();
        Self { across, nodes }
    }
    /// Calls `each` with (x, mapped) for every pixel centre of row `y` that maps somewhere.
    pub fn row(&self, y: usize, width: usize, mut each: impl FnMut(usize, [f32; 2])) {
        let fy = (y % STEP) as f32 / STEP as f32 + 0.5 / STEP as f32;
        let base = y / STEP * self.across;
        for i in 0..width.div_ceil(STEP) {
            let corner = |dx: usize, dy: usize| self.nodes[base + dy * self.across + i + dx];
            let (Some(a), Some(b), Some(c), Some(d)) =
                (corner(0, 0), corner(1, 0), corner(0, 1), corner(1, 1))
            else {
                continue;
            };
            let left = [a[0] + (c[0] - a[0]) * fy, a[1] + (c[1] - a[1]) * fy];
            let right = [b[0] + (d[0] - b[0]) * fy, b[1] + (d[1] - b[1]) * fy];
            let step = [(right[0] - left[0]) / STEP as f32, (right[1] - left[1]) / STEP as f32];
            for k in 0..STEP.min(width - i * STEP) {
                let f = k as f32 + 0.5;
                each(i * STEP + k, [left[0] + step[0] * f, left[1] + step[1] * f]);
            }
        }
    }
    /// The map at a place, px.
    pub fn at(&self, x: f64, y: f64) -> Option<[f64; 2]> {
        let (gx, gy) = (x.max(0.0) / STEP as f64, y.max(0.0) / STEP as f64);
        let down = self.nodes.len() / self.across;
        let (i, j) = ((gx as usize).min(self.across - 2), (gy as usize).min(down - 2));
        let (fx, fy) = (gx - i as f64, gy - j as f64);
        let node = |dx: usize, dy: usize| self.nodes[(j + dy) * self.across + i + dx];
        let (a, b, c, d) = (node(0, 0)?, node(1, 0)?, node(0, 1)?, node(1, 1)?);
        Some(std::array::from_fn(|k| {
            let v = |n: [f32; 2]| f64::from(n[k]);
            let (top, low) = (v(a) + (v(b) - v(a)) * fx, v(c) + (v(d) - v(c)) * fx);
            top + (low - top) * fy
        }))
    }
}
