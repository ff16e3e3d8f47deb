use super::STRIPS;
use super::planes::Planes;
use super::turn::Turn;
use camera::FieldCamera;
use field::RuleBook;
use geometry::Point2;
use geometry::frame::Pixel;
use picture::Plane;

/// Difference that noise and compression make, levels; common practice, no source.
const NOISE: i16 = 6;
/// A change counts as something that moved from here on, levels beyond the noise.
const MOVED: f32 = 14.0;

/// How much each pixel differs from the frames before and after.
pub(super) struct Change {
    /// Least difference of the same sign from both, summed over the channels, levels.
    pub(super) both: Plane,
    /// Difference from the frame before, levels.
    before: Plane,
}

/// Signed distance of `v` from the levels around (x, y) of a plane, beyond the noise: a camera that is a pixel off shows
/// a neighbour.
#[inline]
fn beyond(v: u8, plane: &[u8], width: usize, ix: usize, iy: usize) -> i16 {
    let (mut low, mut high) = (u8::MAX, u8::MIN);
    for y in iy - 1..=iy + 1 {
        for &p in &plane[y * width + ix - 1..=y * width + ix + 1] {
            low = low.min(p);
            high = high.max(p);
        }
    }
    let (v, low, high) = (i16::from(v), i16::from(low) - NOISE, i16::from(high) + NOISE);
    (v - high).max(0) + (v - low).min(0)
}

pub(super) fn change(now: &Planes, others: [(&Planes, &Turn); 2]) -> Change {
    let (w, h) = (now.width, now.height);
    let blank = || Plane { width: w, height: h, data: vec![0.0; w * h] };
    let mut change = Change { both: blank(), before: blank() };
    let mut row = vec![[0i16; 2]; w];
    for y in 0..h {
        row.fill([0; 2]);
        let inside = |x: f32, y: f32| x >= 1.0 && y >= 1.0 && x < (w - 1) as f32 && y < (h - 1) as f32;
        let (before, turn) = others[0];
        turn.row(y, w, |x, u, v| {
            if !inside(u, v) {
                return;
            }
            for c in 0..2 {
                row[x][c] =
                    beyond(now.channels[c][y * w + x], &before.channels[c], w, u as usize, v as usize);
            }
            change.before.data[y * w + x] = f32::from(row[x][0].abs() + row[x][1].abs());
        });
        let (after, turn) = others[1];
        turn.row(y, w, |x, u, v| {
            if row[x] == [0; 2] || !inside(u, v) {
                return;
            }
            let mut sum = 0;
            for c in 0..2 {
                let a = row[x][c];
                if a == 0 {
                    continue;
                }
                let b = beyond(now.channels[c][y * w + x], &after.channels[c], w, u as usize, v as usize);
                if (a > 0) == (b > 0) {
                    sum += a.abs().min(b.abs());
                }
            }
            change.both.data[y * w + x] = f32::from(sum);
        });
    }
    change
}

/// Changed area of the field by strips of 5 yd, from every fourth pixel in each direction.
pub(super) fn stir(change: &Change, camera: &FieldCamera, scale: f64, book: RuleBook) -> [f32; STRIPS] {
    const STEP: usize = 4;
    let mut strips = [0.0; STRIPS];
    let before = &change.before;
    for y in (STEP..before.height - STEP).step_by(STEP) {
        for x in (STEP..before.width - STEP).step_by(STEP) {
            if before.at(x, y) < MOVED {
                continue;
            }
            let p = |x: usize, y: usize| {
                camera.ground_from_pixel(
                    Point2::<Pixel>::new((x as f64 + 0.5) / scale, (y as f64 + 0.5) / scale),
                    0.0,
                )
            };
            let (Some(g), Some(gx), Some(gy)) = (p(x, y), p(x + STEP, y), p(x, y + STEP)) else { continue };
            if g.y < -2.0 || g.y > book.width() + 2.0 || !(-10.0..110.0).contains(&g.x) {
                continue;
            }
            let area = (gx - g).cross(gy - g).abs();
            strips[((g.x + 10.0) / 5.0) as usize] += area.min(1.0) as f32;
        }
    }
    strips
}
