//! The colour of shirts and trousers, comparable over a field in sun and shade.

use crate::bodies::Body;
use crate::empty::{hue, luma};
use play::Cloth;

/// Rows of the body where the shirt shows, in heights from the crown.
const SHIRT: (f32, f32) = (0.2, 0.46);
/// Rows where the trousers show.
const TROUSERS: (f32, f32) = (0.54, 0.72);
/// Columns about the axis, in heights: the middle of the body, where the outline's edge is far.
const HALF: f32 = 0.1;

/// Shirt and trousers of `body`, whose pixels have `id` in `owner`; `light` is the ground's luma under him.
pub(crate) fn dress(data: &[u8], w: usize, owner: &[u8], id: u8, body: &Body, light: f32) -> [Cloth; 2] {
    [SHIRT, TROUSERS].map(|(top, bottom)| {
        let rows = (body.y - body.tall * (1.0 - top), body.y - body.tall * (1.0 - bottom));
        let axis = body.x + body.lean * body.tall * (1.0 - 0.5 * (top + bottom));
        let columns = (axis - HALF * body.tall, axis + HALF * body.tall);
        let mut values: [Vec<f32>; 3] = Default::default();
        let h = owner.len() / w;
        for y in rows.0.max(0.0) as usize..(rows.1.max(0.0).ceil() as usize).min(h) {
            for x in columns.0.max(0.0) as usize..(columns.1.max(0.0).ceil() as usize).min(w) {
                let k = y * w + x;
                if owner[k] == id {
                    let p: [f32; 3] = std::array::from_fn(|c| f32::from(data[3 * k + c]));
                    let u = hue(p);
                    values[0].push(((luma(p) + 4.0) / (light + 4.0)).ln());
                    values[1].push(u[0]);
                    values[2].push(u[1]);
                }
            }
        }
        values.iter_mut().for_each(|v| v.sort_by(f32::total_cmp));
        let quantile = |v: &[f32], q: f32| {
            v.get(((v.len() as f32 * q) as usize).min(v.len().saturating_sub(1))).copied().unwrap_or(0.0)
        };
        Cloth {
            light: quantile(&values[0], 0.5),
            red: quantile(&values[1], 0.5),
            blue: quantile(&values[2], 0.5),
            contrast: quantile(&values[0], 0.75) - quantile(&values[0], 0.25),
        }
    })
}
