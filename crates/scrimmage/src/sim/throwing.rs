//! The motion of a throw: where hands, hips and chest are around the release.

use super::plane::{P2, P3, V2, V3, ease, mix};
use super::track::Track;

/// A throw by a right-handed passer.
#[derive(Clone, Debug)]
pub struct ThrowMotion {
    /// When the ball leaves, s.
    pub release: f64,
    /// Direction of the throw over the ground, rad.
    pub heading: f64,
    /// Unit vector the ball leaves along.
    pub axis: V3,
    /// Where the hips are (copied from the passer's track around the throw).
    pub hips: Track,
}

/// Hands and turns at an instant of a throw.
#[derive(Clone, Copy, Debug)]
pub struct ThrowPose {
    /// How far the throw has taken over from the ordinary posture, 0 to 1.
    pub weight: f64,
    /// Heading of the hips, rad.
    pub pelvis: f64,
    /// Heading of the chest, rad.
    pub chest: f64,
    /// Left wrist.
    pub left: P3,
    /// Right wrist.
    pub right: P3,
    /// From the right wrist to the ball's centre, yd.
    pub palm: V3,
    /// The ball's long axis.
    pub axis: V3,
}

/// Keys: seconds from release; right wrist ahead, left, up; left wrist the same (in statures, from the point under the hips along
/// the throw); chest and hips from the throw's heading, degrees. Timing after the phases of Kelly et al. 2002 (docs/sources.md).
const KEYS: [(f64, [f64; 3], [f64; 3], f64, f64); 8] = [
    (-0.55, [0.02, -0.12, 0.70], [0.06, -0.05, 0.70], -72.0, -75.0),
    (-0.40, [-0.03, -0.14, 0.72], [0.05, -0.08, 0.71], -82.0, -80.0),
    (-0.24, [-0.20, -0.13, 0.80], [0.24, 0.02, 0.80], -92.0, -72.0),
    (-0.11, [-0.17, -0.15, 0.96], [0.18, 0.12, 0.74], -58.0, -25.0),
    (0.0, [0.13, -0.115, 1.025], [0.05, 0.17, 0.66], 6.0, 8.0),
    (0.10, [0.27, 0.02, 0.80], [0.00, 0.20, 0.62], 26.0, 18.0),
    (0.26, [0.19, 0.14, 0.52], [-0.02, 0.20, 0.58], 34.0, 24.0),
    (0.60, [0.08, -0.04, 0.52], [0.05, 0.16, 0.54], 12.0, 10.0),
];

/// The ball's centre from the right wrist in the hand, in statures: along the throw and up.
const PALM: [f64; 2] = [0.03, 0.045];

/// Where the ball leaves the hand of a passer whose hips are over `hips`, throwing along `heading`.
pub fn release_point(hips: P2, heading: f64, stature: f64) -> P3 {
    let k = KEYS[4].1;
    let (a, l) = (V2::from_angle(heading), V2::from_angle(heading + std::f64::consts::FRAC_PI_2));
    let p = hips + a * ((k[0] + PALM[0]) * stature) + l * (k[1] * stature);
    P3::new(p.x, p.y, (k[2] + PALM[1]) * stature)
}

impl ThrowMotion {
    /// Share of the ball that the throwing hand alone carries, 0 to 1.
    pub fn one_handed(&self, t: f64) -> f64 {
        ease((t - self.release + 0.40) / 0.14)
    }
    /// Hands and turns at `t`; `None` away from the throw.
    pub fn at(&self, t: f64, stature: f64) -> Option<ThrowPose> {
        let s = t - self.release;
        if !(-0.55..0.60).contains(&s) {
            return None;
        }
        let weight = ease((s + 0.55) / 0.15) * (1.0 - ease((s - 0.32) / 0.28));
        let i = KEYS.partition_point(|k| k.0 <= s).clamp(1, KEYS.len() - 1) - 1;
        let value = |f: &dyn Fn(usize) -> f64| {
            // Catmull-Rom with the keys' own spacing.
            let (a, b) = (KEYS[i], KEYS[i + 1]);
            let span = b.0 - a.0;
            let slope = |k: usize| {
                let (lo, hi) = (k.saturating_sub(1), (k + 1).min(KEYS.len() - 1));
                (f(hi) - f(lo)) / (KEYS[hi].0 - KEYS[lo].0)
            };
            let u = (s - a.0) / span;
            let (u2, u3) = (u * u, u * u * u);
            f(i) * (2.0 * u3 - 3.0 * u2 + 1.0)
                + f(i + 1) * (3.0 * u2 - 2.0 * u3)
                + span * (slope(i) * (u3 - 2.0 * u2 + u) + slope(i + 1) * (u3 - u2))
        };
        let hips = self.hips.at(t).at;
        let (a, l) =
            (V2::from_angle(self.heading), V2::from_angle(self.heading + std::f64::consts::FRAC_PI_2));
        let hand = |right: bool| {
            let part = |n: usize| value(&|k| if right { KEYS[k].1[n] } else { KEYS[k].2[n] });
            let p = hips + a * (part(0) * stature) + l * (part(1) * stature);
            P3::new(p.x, p.y, part(2) * stature)
        };
        let near = ease((s + 0.24) / 0.2);
        let palm_ahead = mix(0.02, PALM[0], near) * stature;
        Some(ThrowPose {
            weight,
            pelvis: self.heading + value(&|k| KEYS[k].4).to_radians(),
            chest: self.heading + value(&|k| KEYS[k].3).to_radians(),
            left: hand(false),
            right: hand(true),
            palm: V3::new(a.x * palm_ahead, a.y * palm_ahead, PALM[1] * stature),
            axis: self.axis * near + V3::new(a.x * 0.6, a.y * 0.6, 0.5) * (1.0 - near),
        })
    }
}
