//! Light on bodies and the ground, normalised so that open level ground has brightness 1.

use super::look::{Light, Look};
use geometry::{Point2, frame::Ground};

/// Direct light from one direction.
#[derive(Clone, Copy)]
pub struct Beam {
    /// Unit vector toward the light, field frame.
    pub toward: [f32; 3],
    /// Its share of the light on level ground.
    pub share: f32,
}

/// Where lamp posts stand and how high their heads are, yd.
const LAMPS: [[f64; 3]; 4] =
    [[12.0, -34.0, 36.0], [88.0, -34.0, 36.0], [12.0, 88.0, 36.0], [88.0, 88.0, 36.0]];
/// Rise of the grandstand's shadow-casting rim and its distance outside the sideline, yd.
const RIM: [f64; 2] = [19.0, 30.0];

/// Beams that reach the point, strongest first, and the share of light from all around.
pub fn at(look: &Look, p: Point2<Ground>) -> (Vec<Beam>, f32) {
    match look.light {
        Light::Sun { strength, .. } => {
            let open = sun_reaches(look, p);
            let share = strength as f32 * open;
            // What the stand takes is gone; the sky's share stays.
            (vec![Beam { toward: toward_sun(look), share }], 1.0 - strength as f32)
        }
        Light::Floodlights => {
            let mut beams: Vec<Beam> = LAMPS
                .iter()
                .map(|l| {
                    let d = [l[0] - p.x, l[1] - p.y, l[2]];
                    let n = (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt();
                    Beam { toward: d.map(|c| (c / n) as f32), share: (62.0 / n).powi(2) as f32 }
                })
                .collect();
            let total: f32 = beams.iter().map(|b| b.share).sum();
            for b in &mut beams {
                b.share *= 0.74 / total;
            }
            (beams, 0.26)
        }
    }
}

fn toward_sun(look: &Look) -> [f32; 3] {
    let Light::Sun { azimuth, height, .. } = look.light else { return [0.0, 0.0, 1.0] };
    [(height.cos() * azimuth.cos()) as f32, (height.cos() * azimuth.sin()) as f32, height.sin() as f32]
}

/// 1 in the sun, 0 in the grandstand's shadow, with a penumbra of a yard or so.
fn sun_reaches(look: &Look, p: Point2<Ground>) -> f32 {
    let Light::Sun { stand_shadow: true, .. } = look.light else { return 1.0 };
    let d = toward_sun(look);
    let width = look.rule_book.width();
    let outward = f64::from(d[1]);
    if outward.abs() < 0.05 {
        return 1.0;
    }
    let rim_y = if outward > 0.0 { width + RIM[1] } else { -RIM[1] };
    let run = (rim_y - p.y) / outward;
    let clearance = run * f64::from(d[2]) - RIM[0];
    (clearance / 0.5 + 0.5).clamp(0.0, 1.0) as f32
}

/// Brightness of level ground before anybody stands in the light.
pub fn on_ground(look: &Look, p: Point2<Ground>) -> f32 {
    match look.light {
        Light::Sun { strength, .. } => 1.0 - strength as f32 * 0.92 * (1.0 - sun_reaches(look, p)),
        Light::Floodlights => {
            // Brighter in the middle, falling off toward the corners.
            let (u, v) = ((p.x - 50.0) / 75.0, (p.y - look.rule_book.width() / 2.0) / 50.0);
            (0.93 - 0.22 * (u * u + v * v)).max(0.35) as f32
        }
    }
}
