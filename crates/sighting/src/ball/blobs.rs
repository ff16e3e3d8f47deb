use camera::FieldCamera;
use geometry::Point2;
use geometry::frame::Pixel;
use picture::Plane;

/// Half the mean of the ball's length and width (11 1/8 in and 6 3/4 in by the rule books), yd.
const HALF_BALL_YD: f64 = 0.124;
/// Height at which the ball's distance is judged, yd: hands and flights are around it.
const FLIES_AT_YD: f64 = 2.5;
/// Distance taken where a ray does not meet that height, yd: stands are there.
const STANDS_YD: f64 = 90.0;
/// Weakest response kept, levels beyond the noise.
const WEAKEST: f32 = 5.0;
/// Most candidates kept of a frame.
const MOST: usize = 60;
/// Working px between the places at which the ball's size is computed.
const BLOCK: usize = 16;

/// Something of the ball's size that moves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Glimpse {
    /// Its middle, px of the film.
    pub pixel: Point2<Pixel>,
    /// How much it differs from the frames before and after more than its surroundings do, levels.
    pub strength: f32,
    /// Half of the size that a ball has there, px of the film.
    pub half_px: f32,
}

/// Local maxima of change inside a ball's size against change around it.
pub(super) fn glimpses(change: &Plane, camera: &FieldCamera, scale: f64) -> Vec<Glimpse> {
    let (w, h) = (change.width, change.height);
    let sums = Sums::of(change);
    let mut response = vec![0f32; w * h];
    let across = w.div_ceil(BLOCK);
    let halves: Vec<f64> = (0..across * h.div_ceil(BLOCK))
        .map(|k| {
            let (x, y) = ((k % across * BLOCK + BLOCK / 2) as f64, (k / across * BLOCK + BLOCK / 2) as f64);
            half_px(camera, Point2::new(x / scale, y / scale)) * scale
        })
        .collect();
    for by in 0..h.div_ceil(BLOCK) {
        for bx in 0..across {
            let r = halves[by * across + bx].round().clamp(1.0, 12.0) as usize;
            let (outer, area) = (2 * r + 1, ((2 * r + 1) * (2 * r + 1)) as f32);
            let ring = ((2 * outer + 1) * (2 * outer + 1)) as f32 - area;
            for y in (by * BLOCK).max(outer + 1)..((by + 1) * BLOCK).min(h - outer - 1) {
                for x in (bx * BLOCK).max(outer + 1)..((bx + 1) * BLOCK).min(w - outer - 1) {
                    if change.at(x, y) == 0.0 {
                        continue;
                    }
                    let inner = sums.square(x, y, r);
                    let around = (sums.square(x, y, outer) - inner) / ring;
                    response[y * w + x] = inner / area - 1.5 * around;
                }
            }
        }
    }
    let mut found: Vec<Glimpse> = Vec::new();
    for y in 1..h - 1 {
        for x in 1..w - 1 {
            let v = response[y * w + x];
            if v < WEAKEST {
                continue;
            }
            let half = halves[y / BLOCK * across + x / BLOCK];
            let reach = half.round().clamp(1.0, 12.0) as usize;
            if is_top(&response, w, h, x, y, reach) {
                let at = centroid(change, x, y, half);
                found.push(Glimpse {
                    pixel: Point2::new(at[0] / scale, at[1] / scale),
                    strength: v,
                    half_px: (half / scale) as f32,
                });
            }
        }
    }
    found.sort_by(|a, b| b.strength.total_cmp(&a.strength));
    found.truncate(MOST);
    found
}

/// Half of the size of a ball at a pixel, px of the film.
fn half_px(camera: &FieldCamera, p: Point2<Pixel>) -> f64 {
    let Some(c) = camera.pinhole() else {
        // A camera that only knows the ground: the length of a yard of ground there.
        let (Some(a), Some(b)) =
            (camera.ground_from_pixel(p, 0.0), camera.ground_from_pixel(Point2::new(p.x + 1.0, p.y), 0.0))
        else {
            return 1.0;
        };
        return HALF_BALL_YD / a.distance(b).max(1e-3);
    };
    let o = c.station.centre;
    let far = c
        .ground_from_pixel(p, FLIES_AT_YD)
        .map_or(STANDS_YD, |g| (g.at_height(FLIES_AT_YD) - o).norm().min(STANDS_YD));
    HALF_BALL_YD * c.aim.focal / far
}

fn is_top(response: &[f32], w: usize, h: usize, x: usize, y: usize, reach: usize) -> bool {
    let v = response[y * w + x];
    for j in y.saturating_sub(reach)..=(y + reach).min(h - 1) {
        for i in x.saturating_sub(reach)..=(x + reach).min(w - 1) {
            let other = response[j * w + i];
            if other > v || (other == v && (j, i) < (y, x)) {
                return false;
            }
        }
    }
    true
}

/// Mean place of the change within a ball's length of (x, y), moved there twice.
fn centroid(change: &Plane, x: usize, y: usize, half: f64) -> [f64; 2] {
    let mut at = [x as f64 + 0.5, y as f64 + 0.5];
    let reach = 1.6 * half + 0.5;
    for _ in 0..2 {
        let (mut sum, mut sx, mut sy) = (0.0, 0.0, 0.0);
        let first = |c: f64| (c - reach).floor().max(0.0) as usize;
        for j in first(at[1])..=((at[1] + reach) as usize).min(change.height - 1) {
            for i in first(at[0])..=((at[0] + reach) as usize).min(change.width - 1) {
                let (px, py) = (i as f64 + 0.5, j as f64 + 0.5);
                if (px - at[0]).hypot(py - at[1]) > reach {
                    continue;
                }
                let v = f64::from(change.at(i, j));
                sum += v;
                sx += v * px;
                sy += v * py;
            }
        }
        if sum > 0.0 {
            at = [sx / sum, sy / sum];
        }
    }
    at
}

/// Sums over rectangles in four reads.
struct Sums {
    width: usize,
    data: Vec<u32>,
}

impl Sums {
    fn of(p: &Plane) -> Self {
        let width = p.width + 1;
        let mut data = vec![0u32; width * (p.height + 1)];
        for y in 0..p.height {
            let mut row = 0;
            for x in 0..p.width {
                // Changes are whole levels.
                row += p.at(x, y) as u32;
                data[(y + 1) * width + x + 1] = data[y * width + x + 1] + row;
            }
        }
        Self { width, data }
    }
    /// Over the square of 2 r + 1 px about (x, y), which must lie inside.
    fn square(&self, x: usize, y: usize, r: usize) -> f32 {
        let at = |x: usize, y: usize| self.data[y * self.width + x];
        (at(x + r + 1, y + r + 1) + at(x - r, y - r) - at(x - r, y + r + 1) - at(x + r + 1, y - r)) as f32
    }
}
