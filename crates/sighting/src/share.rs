//! Whose every differing pixel is, and where that says its owner stands.

use crate::bodies::{Body, UNKNOWN, clip};

/// Gives every differing pixel to the body whose outline it suits best and moves each body to the middle of its own
/// pixels, twice.
pub(crate) fn share_out(maps: &[Vec<f32>], w: usize, h: usize, bodies: &mut [Body], owner: &mut [u8]) {
    for round in 0..2 {
        owner.fill(0);
        let mut nearest = vec![f32::INFINITY; w * h];
        for (k, b) in bodies.iter().enumerate() {
            let evidence = &maps[b.kit];
            let half = 0.3 * b.upright;
            let (x0, x1) = (clip(b.x - half, w), clip(b.x + half, w));
            let (y0, y1) = (clip(b.y - 1.12 * b.tall, h), clip(b.y + 0.1 * b.upright, h));
            for y in y0..y1 {
                let up = b.y - (y as f32 + 0.5);
                let axis = b.x + b.lean * up;
                // Rows beyond the outline count as farther away.
                let beyond = (up - b.tall).max(-up).max(0.0);
                for x in x0..x1 {
                    let at = y * w + x;
                    let claim = evidence[at];
                    if claim <= 0.0 {
                        continue;
                    }
                    let across = (x as f32 + 0.5 - axis).abs();
                    // Of two that reach a pixel the nearer to the camera hides the other.
                    let strange = STRANGE * (1.0 - claim / maps.iter().map(|m| m[at]).fold(claim, f32::max));
                    let far = (across + 1.5 * beyond) / b.upright - 0.05 * b.y / b.upright + strange;
                    if across < half && far < nearest[at] {
                        nearest[at] = far;
                        owner[at] = k as u8 + 1;
                    }
                }
            }
        }
        for (k, b) in bodies.iter_mut().enumerate() {
            let id = k as u8 + 1;
            let half = 0.3 * b.upright;
            let (x0, x1) = (clip(b.x - half, w), clip(b.x + half, w));
            let (y0, y1) = (clip(b.y - 1.12 * b.tall, h), clip(b.y + 0.1 * b.upright, h));
            let (mut sum, mut n) = (0.0f32, 0.0f32);
            let mut rows: Vec<f32> = vec![0.0; y1.saturating_sub(y0)];
            for y in y0..y1 {
                for x in x0..x1 {
                    if owner[y * w + x] == id {
                        // The foot of the upright through the pixel.
                        sum += x as f32 + 0.5 - b.lean * (b.y - (y as f32 + 0.5));
                        n += 1.0;
                        rows[y - y0] += 1.0;
                    }
                }
            }
            if n < 0.03 * b.tall * b.tall {
                continue;
            }
            let quantile = |share: f32| {
                let mut left = share * n;
                for (k, r) in rows.iter().enumerate() {
                    if left <= *r {
                        return (y0 + k) as f32 + if *r > 0.0 { left / r } else { 0.0 };
                    }
                    left -= r;
                }
                y1 as f32
            };
            // Nearly the lowest and nearly the highest of his pixels; a stray one counts for nothing.
            let (top, bottom) = (quantile(0.01), quantile(0.996));
            let middle = sum / n;
            let bands = bands(b, id, owner, w, [x0, x1], [top, bottom]);
            b.x = middle;
            b.feet = feet_known(b, id, &maps[b.kit], owner, w, h);
            if b.feet < FEET {
                // What hides his feet hides how low he reaches: the height of the outline that fitted stays.
                b.tall = (b.y - top).clamp(0.5 * b.upright, 1.1 * b.upright);
            } else if round == 1 || (bottom - b.y).abs() < 0.12 * b.upright {
                let foot = bottom - BELOW * b.upright;
                b.y += (foot - b.y).clamp(-0.12 * b.upright, 0.08 * b.upright);
                b.tall = (b.y - top).clamp(0.5 * b.upright, 1.1 * b.upright);
            }
            if round == 1 {
                let rows = [bottom, top, quantile(0.25), quantile(0.5), quantile(0.75), quantile(0.95)];
                stand(b, bands.map(|m| m.map_or(0.0, |m| m - middle)), rows.map(|r| r - b.y));
            }
        }
    }
}

/// How much farther a pixel of the other team's colours counts, heights: the width of a trunk.
const STRANGE: f32 = 0.2;

/// Bands of rows whose middles tell how somebody leans, from the crown down.
const BANDS: usize = 5;

/// Sideways middle of a body's pixels in each fifth of the rows from `top` to `bottom`, as feet of uprights, px.
fn bands(
    b: &Body,
    id: u8,
    owner: &[u8],
    w: usize,
    [x0, x1]: [usize; 2],
    [top, bottom]: [f32; 2],
) -> [Option<f32>; BANDS] {
    let h = owner.len() / w;
    let row = |k: usize| clip(top + k as f32 / BANDS as f32 * (bottom - top), h);
    std::array::from_fn(|k| {
        let (mut sum, mut n) = (0.0f32, 0.0f32);
        for y in row(k)..row(k + 1) {
            for x in (x0..x1).filter(|x| owner[y * w + x] == id) {
                sum += x as f32 + 0.5 - b.lean * (b.y - (y as f32 + 0.5));
                n += 1.0;
            }
        }
        (n > 0.0).then(|| sum / n)
    })
}

/// Moves a body from the middle and the lowest of its pixels to the ground point of its hips: over the feet, away from where
/// the head leans. `across` are the middles of its fifths from its own middle, px; `down` its lowest row, highest row and
/// the rows above which 25, 50, 75 and 95% of it lie, from its foot, px.
fn stand(b: &mut Body, across: [f32; BANDS], down: [f32; 6]) {
    let sum = |weights: &[f32], of: &[f32]| weights.iter().zip(of).map(|(w, v)| w * v).sum::<f32>();
    let most = 0.15 * b.upright;
    b.x += (ACROSS.0 * b.upright + sum(&ACROSS.1, &across)).clamp(-most, most);
    b.y += (DOWN.0 * b.upright + sum(&DOWN.1, &down)).clamp(-most, most);
}

/// Regression of the hips' ground point on what shows, robustly fitted to invented film that no figure uses, with each play
/// left out in turn: against the middle and the lowest point alone it takes a third off the middle error from the sideline.
const ACROSS: (f32, [f32; BANDS]) = (0.0042, [-0.735, -0.005, 0.556, -0.368, 0.134]);
const DOWN: (f32, [f32; 6]) = (0.0635, [0.436, -0.038, 0.160, 0.052, -0.041, -0.288]);
/// How far the lowest seen point lies below the point between the feet on average, upright heights (a shoe in the grass is
/// often missed).
const BELOW: f32 = -0.012;

/// Least share of the feet's surroundings that must be known for them to say where somebody stands.
const FEET: f32 = 0.6;

/// Share of what lies around a body's feet that is neither another body's nor in doubt.
fn feet_known(b: &Body, id: u8, evidence: &[f32], owner: &[u8], w: usize, h: usize) -> f32 {
    let (x0, x1) = (clip(b.x - 0.1 * b.upright, w), clip(b.x + 0.1 * b.upright, w));
    let (y0, y1) = (clip(b.y - 0.15 * b.upright, h), clip(b.y + 0.03 * b.upright, h));
    let (mut known, mut all) = (0.0f32, 0.0f32);
    for y in y0..y1 {
        for at in y * w + x0..y * w + x1 {
            all += 1.0;
            let open = owner[at] == id || (owner[at] == 0 && evidence[at].abs() > UNKNOWN);
            known += f32::from(u8::from(open));
        }
    }
    known / all.max(1.0)
}
