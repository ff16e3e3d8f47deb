//! The ball: a prolate spheroid met ray by ray, with a white stripe near each tip and laces that turn.

use super::colour::Yuv;
use super::figure::{JITTER, Lamps, Tile};
use super::project::Projector;
use crate::stage::BallPose;
use geometry::Vector3;
use geometry::frame::Field;

/// Half the long axis, yd: 11 to 11 1/4 in long (rule 2, professional; college and high school nearly the same).
const HALF_LONG: f64 = 11.125 / 2.0 / 36.0;
/// Half the short diameter, yd: short circumference 21 to 21 1/4 in.
const HALF_SHORT: f64 = 21.125 / std::f64::consts::TAU / 36.0;
/// Instants of an exposure.
const SAMPLES: usize = 12;

/// Draws it as it moves from `open` to `close` while the shutter is open.
pub fn draw(
    frame: &mut [u32],
    (width, height): (usize, usize),
    tile: &mut Tile,
    [(p0, open), (p1, close)]: [(&Projector, BallPose); 2],
    lamps: &Lamps,
) -> Option<()> {
    let (a, b) = (p0.spot(open.centre)?, p1.spot(close.centre)?);
    let px_per_yd = (p0.focal / f64::from(a.depth)) as f32;
    let r = HALF_LONG as f32 * px_per_yd + 1.0;
    if !tile.open([a.x.min(b.x) - r, a.y.min(b.y) - r, a.x.max(b.x) + r, a.y.max(b.y) + r], width, height) {
        return None;
    }
    let leather = Yuv::from_rgb([122, 72, 44]);
    let white = Yuv::from_rgb([232, 230, 224]);
    for k in 0..SAMPLES {
        let t = (k as f64 + 0.5) / SAMPLES as f64;
        let centre = a.lerp(b, t as f32);
        let axis = (open.axis + (close.axis - open.axis) * t).unit().unwrap_or(open.axis);
        let spin = open.spin + (close.spin - open.spin) * t;
        let [ax, ay, az] = p0.turned(axis);
        let axis = [ax, ay, -az];
        let laces = laces_direction(axis, spin, p0);
        tile.expose_by(JITTER[k % JITTER.len()], |x, y| {
            let (u, v) = ((x - centre.x) / px_per_yd, (y - centre.y) / px_per_yd);
            let (n, along, q) = hit(axis, u, v)?;
            let share = (along / HALF_LONG as f32).abs();
            let face = q[0] * laces[0] + q[1] * laces[1] + q[2] * laces[2];
            let stripe = (0.52..0.66).contains(&share);
            let laced = share < 0.30 && face > 0.93;
            let c = if stripe || laced { white } else { leather };
            Some(c.lit(lamps.on(n)).pack())
        });
    }
    tile.close(frame, width, SAMPLES as u32);
    Some(())
}

/// Where a parallel ray at (u, v) yd from the centre meets the spheroid: normal, yards along the axis, and the unit
/// direction from the axis.
fn hit(axis: [f32; 3], u: f32, v: f32) -> Option<([f32; 3], f32, [f32; 3])> {
    let (a, b) = (HALF_LONG as f32, HALF_SHORT as f32);
    // |p|²/b² + (p·axis)² (1/a² − 1/b²) = 1 with p = (u, v, w).
    let k = 1.0 / (a * a) - 1.0 / (b * b);
    let flat = u * axis[0] + v * axis[1];
    let qa = 1.0 / (b * b) + k * axis[2] * axis[2];
    let qb = 2.0 * k * flat * axis[2];
    let qc = (u * u + v * v) / (b * b) + k * flat * flat - 1.0;
    let d = qb * qb - 4.0 * qa * qc;
    if d < 0.0 {
        return None;
    }
    let w = (-qb + d.sqrt()) / (2.0 * qa);
    let along = flat + w * axis[2];
    let p = [u, v, w];
    let off: [f32; 3] = std::array::from_fn(|i| p[i] - along * axis[i]);
    let n: [f32; 3] = std::array::from_fn(|i| off[i] / (b * b) + along * axis[i] / (a * a));
    let unit = |v: [f32; 3]| {
        let s = 1.0 / (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt().max(1e-6);
        v.map(|c| c * s)
    };
    Some((unit(n), along, unit(off)))
}

/// Direction of the laces from the axis, in the tile's frame: turned by `spin` from the upward side.
fn laces_direction(axis: [f32; 3], spin: f64, p: &Projector) -> [f32; 3] {
    let up = p.turned(Vector3::<Field>::new(0.0, 0.0, 1.0));
    let up = [up[0], up[1], -up[2]];
    let d = axis[0] * up[0] + axis[1] * up[1] + axis[2] * up[2];
    let e: [f32; 3] = std::array::from_fn(|i| up[i] - d * axis[i]);
    let n = (e[0] * e[0] + e[1] * e[1] + e[2] * e[2]).sqrt().max(1e-4);
    let e = e.map(|c| c / n);
    let side =
        [axis[1] * e[2] - axis[2] * e[1], axis[2] * e[0] - axis[0] * e[2], axis[0] * e[1] - axis[1] * e[0]];
    let (s, c) = spin.sin_cos();
    std::array::from_fn(|i| e[i] * c as f32 + side[i] * s as f32)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The rule's long circumference, 28 to 28 1/2 in, follows from its length and short circumference (Ramanujan 1914).
    #[test]
    fn the_spheroid_is_inside_the_rule() {
        let (a, b) = (HALF_LONG * 36.0, HALF_SHORT * 36.0);
        let h = ((a - b) / (a + b)).powi(2);
        let round = std::f64::consts::PI * (a + b) * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
        assert!((28.0..28.5).contains(&round), "{round} in");
    }

    #[test]
    fn seen_from_the_side_it_is_as_long_as_the_rule() {
        assert!(hit([1.0, 0.0, 0.0], HALF_LONG as f32 * 0.99, 0.0).is_some());
        assert!(hit([1.0, 0.0, 0.0], HALF_LONG as f32 * 1.01, 0.0).is_none());
        assert!(hit([1.0, 0.0, 0.0], 0.0, HALF_SHORT as f32 * 1.01).is_none());
        assert!(hit([0.0, 0.0, 1.0], HALF_SHORT as f32 * 1.01, 0.0).is_none());
    }
}
