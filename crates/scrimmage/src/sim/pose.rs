//! A jointed body over its feet.

use super::gait::{Feet, FootState};
use super::plane::{P2, P3, V2, V3, ease, mix};
use super::throwing::ThrowMotion;
use super::track::Track;
use crate::stage::Joint;
use geometry::Point3;
use geometry::frame::Play;

/// What the arms do.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs, reason = "plain words")]
pub enum Arms {
    Loose,
    Swing,
    Ready,
    Knees,
    /// Right hand on the ground.
    Ground,
    /// Both hands on the ball on the ground.
    Center,
    Block,
    /// Ball before the chest in both hands.
    Hold,
    /// Ball under the arm.
    Tuck,
    /// Both hands to a place.
    Reach(P3),
    /// Both arms straight up.
    Raised,
}

/// How a body holds itself from an instant on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cue {
    /// When, s.
    pub at: f64,
    /// Time to get there, s.
    pub over: f64,
    /// 0 upright, 1 thighs level.
    pub crouch: f64,
    /// Trunk forward, rad.
    pub lean: f64,
    /// Arms.
    pub arms: Arms,
}

/// Somebody's body through time.
#[derive(Clone, Debug)]
pub struct Figure {
    /// Stature, yd.
    pub stature: f64,
    /// Where the hips are.
    pub track: Track,
    /// Where the feet are.
    pub feet: Feet,
    /// Posture, in order of time, at least one.
    pub cues: Vec<Cue>,
    /// A throw.
    pub throw: Option<ThrowMotion>,
    /// A jump: leaves the ground (s), rises (yd).
    pub jump: Option<(f64, f64)>,
}

/// Joints in the play frame.
pub type Joints = [Point3<Play>; Joint::COUNT];

fn up(p: P2, z: f64) -> P3 {
    P3::new(p.x, p.y, z)
}
fn flat(v: V2, z: f64) -> V3 {
    V3::new(v.x, v.y, z)
}
fn cross(a: V3, b: V3) -> V3 {
    V3::new(a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x)
}

/// The joint between two bones from `root` to `tip`, bent toward `pole`, and the tip that can be reached.
fn two_bones(root: P3, tip: P3, a: f64, b: f64, pole: V3, stretch: bool) -> (P3, P3) {
    let d = tip - root;
    let full = d.norm().max(1e-6);
    let u = d * (1.0 / full);
    let n = if stretch { full } else { full.min((a + b) * 0.999) }.max((a - b).abs() + 1e-3);
    let along = ((a * a - b * b + n * n) / (2.0 * n)).clamp(-a, a);
    let out = (a * a - along * along).max(0.0).sqrt();
    let side = (pole - u * pole.dot(u)).unit().unwrap_or(V3::new(0.0, 0.0, 1.0));
    let along = if n > a + b { n * a / (a + b) } else { along };
    (root + u * along + side * out, if stretch { tip } else { root + u * n })
}

impl Figure {
    /// Duration of a jump of its height, s.
    fn airborne(&self, t: f64) -> f64 {
        let Some((start, rise)) = self.jump else { return 0.0 };
        let g = units::GRAVITY_YDPS2;
        let v = (2.0 * g * rise).sqrt();
        let s = t - start;
        if s < 0.0 { 0.0 } else { (v * s - 0.5 * g * s * s).max(0.0) }
    }

    /// Something of the postures at `t`: each cue takes over from whatever the ones before it had come to, so that a cue that comes
    /// early never makes a jump.
    fn posture<T>(&self, t: f64, of: impl Fn(&Cue) -> T, blend: impl Fn(T, T, f64) -> T) -> T {
        let begun = self.cues.partition_point(|c| c.at <= t).max(1);
        let done = (0..begun).rev().find(|&k| t >= self.cues[k].at + self.cues[k].over).unwrap_or(0);
        self.cues[done + 1..begun]
            .iter()
            .fold(of(&self.cues[done]), |was, c| blend(was, of(c), ease((t - c.at) / c.over.max(1e-3))))
    }

    /// Foot `side` at `t`, lifted by a jump.
    pub fn foot(&self, side: usize, t: f64) -> FootState {
        let mut f = self.feet.at(side, t);
        let air = self.airborne(t);
        if air > 0.0 {
            let (a, b) = (self.jump.map_or(t, |j| j.0), self.track.at(t));
            f.at = f.at + (b.at - self.track.at(a).at) * f64::from(u8::from(f.planted));
            f.lift += air * 0.9;
            f.pitch += 0.5;
            f.planted = false;
        }
        f
    }

    fn hip_height(&self, t: f64) -> f64 {
        let h = self.stature;
        let b = self.track.at(t);
        let crouch = self.posture(t, |c| c.crouch, mix);
        let running = ease(b.speed() / 5.0);
        let mut z = h * (0.520 - 0.030 * running - 0.19 * crouch);
        let hip = |side: usize| {
            b.at + V2::from_angle(b.facing + std::f64::consts::FRAC_PI_2)
                * (0.05 * h * if side == 0 { 1.0 } else { -1.0 })
        };
        for side in 0..2 {
            let f = self.feet.at(side, t);
            if f.planted {
                let reach = 0.489 * h;
                let ankle = (0.039 + 0.10 * f.pitch.sin()) * h;
                let d = hip(side).distance(f.at);
                z = z.min(ankle + (reach * reach - d * d).max(0.12 * h * h * 0.25).sqrt());
            }
        }
        z
    }

    /// The body at `t`, play frame.
    pub fn joints(&self, t: f64) -> Joints {
        let h = self.stature;
        let b = self.track.at(t);
        let (crouch, lean) = (self.posture(t, |c| c.crouch, mix), self.posture(t, |c| c.lean, mix));
        // A mean over a few neighbours: hips do not jump when a foot lands.
        let z = [-0.05, -0.025, 0.0, 0.025, 0.05].iter().map(|d| self.hip_height(t + d)).sum::<f64>() / 5.0
            + self.airborne(t);
        let throw = self.throw.as_ref().and_then(|m| m.at(t, h));
        let (pelvis_yaw, chest_yaw) = match &throw {
            Some(k) => (
                b.facing + units::wrap_angle(k.pelvis - b.facing) * k.weight,
                b.facing + units::wrap_angle(k.chest - b.facing) * k.weight,
            ),
            None => (b.facing, b.facing),
        };
        let quarter = std::f64::consts::FRAC_PI_2;
        let ahead = V2::from_angle(pelvis_yaw);
        let left = V2::from_angle(pelvis_yaw + quarter);
        // Hips sit back when the trunk leans, so the weight stays over the feet.
        let hips = up(b.at + ahead * (-0.16 * h * lean.sin() * (0.4 + crouch)), z);
        let speed = b.speed();
        let run_lean = 0.16 * ease(speed / 6.0) * b.velocity.dot(ahead).signum().max(0.0);
        let around = self.track.at(t + 0.12).velocity - self.track.at(t - 0.12).velocity;
        let pull = around * (1.0 / 0.24);
        // Bodies lean into acceleration.
        let tip = V2::new(ahead.x, ahead.y) * (lean + run_lean).sin()
            + super::plane::limited(pull * (0.5 / units::GRAVITY_YDPS2), 0.28);
        // Nobody stands like a post.
        let phase = 40.0 * h + 3.0 * self.track.samples[0].at.y;
        let idle = 0.02 * (1.0 - ease(speed / 2.0));
        let tip = tip + V2::new((1.3 * t + phase).sin(), (0.9 * t + 1.7 * phase).sin()) * idle;
        let trunk = flat(tip, (1.0 - tip.dot(tip).min(0.98)).sqrt());
        let shoulders = hips + trunk * (0.288 * h);
        let feet: [FootState; 2] = [self.foot(0, t), self.foot(1, t)];
        // Shoulders turn against the hips as legs swing.
        let stride = [0, 1].map(|i| (feet[i].at - b.at).dot(ahead) / h);
        let counter = if throw.is_some() {
            0.0
        } else {
            (stride[1] - stride[0]).clamp(-0.5, 0.5) * 0.5 * ease(speed / 3.0)
        };
        let chest_left = V2::from_angle(chest_yaw + quarter + counter);
        let chest_ahead = V2::from_angle(chest_yaw + counter);

        let mut j = [P3::new(0.0, 0.0, 0.0); Joint::COUNT];
        let mut set = |k: Joint, p: P3| j[k as usize] = p;
        set(Joint::Neck, shoulders + trunk * (0.045 * h));
        set(
            Joint::Head,
            shoulders
                + (trunk * 0.55 + V3::new(0.0, 0.0, 0.45)) * (0.115 * h)
                + flat(chest_ahead, 0.0) * (0.02 * h),
        );
        for side in 0..2 {
            let s = if side == 0 { 1.0 } else { -1.0 };
            let pick = |l: Joint, r: Joint| if side == 0 { l } else { r };
            let hip = hips + flat(left, 0.0) * (0.055 * h * s);
            set(pick(Joint::HipLeft, Joint::HipRight), hip);
            let f = feet[side];
            let toe_way = V2::from_angle(f.heading);
            let toe = up(f.at + toe_way * (0.076 * h), 0.008 * h + f.lift);
            let long = 0.152 * h;
            let heel = toe + flat(toe_way * -f.pitch.cos(), f.pitch.sin()) * long;
            let ankle = heel
                + flat(toe_way * (0.25 * f.pitch.cos()), -0.25 * f.pitch.sin()) * long
                + V3::new(0.0, 0.0, 0.031 * h);
            set(pick(Joint::ToeLeft, Joint::ToeRight), toe);
            set(pick(Joint::HeelLeft, Joint::HeelRight), heel);
            set(pick(Joint::AnkleLeft, Joint::AnkleRight), ankle);
            let knee_way = flat(ahead + toe_way * 0.4 + left * (0.25 * s * crouch), 0.05);
            let (knee, _) = two_bones(hip, ankle, 0.245 * h, 0.246 * h, knee_way, true);
            set(pick(Joint::KneeLeft, Joint::KneeRight), knee);

            let shoulder = shoulders + flat(chest_left, 0.0) * (0.125 * h * s);
            set(pick(Joint::ShoulderLeft, Joint::ShoulderRight), shoulder);
            let want = |arms: Arms| {
                let body = |x: f64, y: f64, z: f64| {
                    shoulders
                        + flat(chest_ahead, 0.0) * (x * h)
                        + flat(chest_left, 0.0) * (y * s * h)
                        + trunk * (z * h)
                };
                match arms {
                    Arms::Loose => body(0.05, 0.155, -0.30),
                    Arms::Swing => {
                        // The hand goes with the other leg, elbows bent.
                        let go = (stride[1 - side] * 1.7).clamp(-0.75, 0.75) * ease(speed / 2.5);
                        let bent = 0.35 + 0.65 * ease(speed / 4.0);
                        let x = 0.05 + 0.19 * go + 0.07 * bent;
                        body(x, 0.15 - 0.05 * go.max(0.0), -0.30 + 0.11 * bent + 0.10 * go.max(0.0) * bent)
                    }
                    Arms::Ready => body(0.15, 0.11, -0.19),
                    Arms::Knees => {
                        hips + flat(ahead, 0.0) * (0.20 * h)
                            + flat(left, 0.0) * (0.09 * s * h)
                            + V3::new(0.0, 0.0, -0.10 * h)
                    }
                    Arms::Ground if side == 1 => up(b.at + ahead * (0.34 * h) - left * (0.06 * h), 0.03 * h),
                    Arms::Ground => {
                        hips + flat(ahead, 0.0) * (0.17 * h)
                            + flat(left, 0.0) * (0.09 * h)
                            + V3::new(0.0, 0.0, -0.03 * h)
                    }
                    Arms::Center => up(b.at + ahead * (0.53 - 0.03 * s) + left * (0.05 * s), 0.12),
                    Arms::Block => body(0.24, 0.075, -0.03),
                    Arms::Hold => body(0.14, 0.035, -0.10) - flat(chest_left, 0.0) * (0.05 * h),
                    Arms::Tuck if side == 1 => body(0.09, 0.10, -0.15),
                    Arms::Tuck => {
                        let go = (stride[1] * 1.7).clamp(-0.75, 0.75) * ease(speed / 2.5);
                        body(0.11 + 0.19 * go, 0.15, -0.20 + 0.08 * go.max(0.0))
                    }
                    Arms::Reach(p) => p + flat(chest_left, 0.0) * (0.06 * s) - flat(chest_ahead, 0.0) * 0.05,
                    Arms::Raised => body(0.03, 0.12, 0.32),
                }
            };
            let mut wrist = self.posture(t, |c| want(c.arms), P3::lerp);
            if let Some(k) = &throw {
                wrist = wrist.lerp(if side == 0 { k.left } else { k.right }, k.weight);
            }
            let down_back = flat(chest_ahead * -0.6 + chest_left * (0.5 * s), -0.7);
            let pole = match &throw {
                // The throwing elbow stays out and level with the shoulder.
                Some(k) if side == 1 => {
                    down_back * (1.0 - k.weight)
                        + (flat(chest_left * -1.0 - chest_ahead * 0.1, -0.15)) * k.weight
                }
                _ => down_back,
            };
            let (elbow, wrist) = two_bones(shoulder, wrist, 0.186 * h, 0.160 * h, pole, false);
            set(pick(Joint::ElbowLeft, Joint::ElbowRight), elbow);
            set(pick(Joint::WristLeft, Joint::WristRight), wrist);
        }
        j
    }

    /// Where the ball is while this body has it, and the way its long axis points.
    pub fn held_ball(&self, t: f64) -> (P3, V3) {
        let j = self.joints(t);
        let (l, r) = (j[Joint::WristLeft as usize], j[Joint::WristRight as usize]);
        let b = self.track.at(t);
        let ahead = flat(V2::from_angle(b.facing), 0.0);
        let at = |arms: Arms| match arms {
            Arms::Tuck => (r + ahead * 0.10 + V3::new(0.0, 0.0, -0.02), V3::new(ahead.x, ahead.y, 0.3)),
            Arms::Reach(p) => (p, ahead),
            _ => (l.lerp(r, 0.5) + ahead * 0.06, cross(ahead, V3::new(0.0, 0.0, 1.0)) + ahead * 0.4),
        };
        let (mut p, mut axis) =
            self.posture(t, |c| at(c.arms), |a, b, u| (a.0.lerp(b.0, u), a.1 * (1.0 - u) + b.1 * u));
        if let Some(m) = &self.throw
            && let Some(k) = m.at(t, self.stature)
        {
            let in_hand = r + k.palm;
            let one = m.one_handed(t);
            p = p.lerp(in_hand, one);
            axis = axis * (1.0 - one) + k.axis * one;
        }
        (p, axis.unit().unwrap_or(V3::new(1.0, 0.0, 0.0)))
    }
}
