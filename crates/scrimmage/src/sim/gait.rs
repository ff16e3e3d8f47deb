//! Footfalls under a moving body: a foot that is planted stands still.
//!
//! Step frequency and contact time follow speed as in walking and running people (about 2 steps a second and 0.5 s at 1.4 m/s,
//! 4.7 and 0.1 s at 9 m/s; common figures, no source).

use super::plane::{P2, V2, ease};
use super::track::Track;
use units::metres_from_yards;

/// A foot on the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Footfall {
    /// Lands, s.
    pub from: f64,
    /// Leaves, s; infinite while it stays.
    pub to: f64,
    /// Middle of the foot, yd.
    pub at: P2,
    /// Heel to toe, rad from x towards y.
    pub heading: f64,
}

/// Both feet's footfalls in order of time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Feet {
    /// Left foot.
    pub left: Vec<Footfall>,
    /// Right foot.
    pub right: Vec<Footfall>,
}

/// A foot at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FootState {
    /// Middle of the foot over the ground, yd.
    pub at: P2,
    /// Height of the toe, yd.
    pub lift: f64,
    /// Heel to toe, rad.
    pub heading: f64,
    /// Heel raised over the toe, rad.
    pub pitch: f64,
    /// On the ground.
    pub planted: bool,
}

impl Feet {
    /// One foot's footfalls: the left's for 0.
    pub fn side(&self, side: usize) -> &Vec<Footfall> {
        if side == 0 { &self.left } else { &self.right }
    }
    fn side_mut(&mut self, side: usize) -> &mut Vec<Footfall> {
        if side == 0 { &mut self.left } else { &mut self.right }
    }
    /// Standing, the left foot `stagger` yd ahead of the right, `width` yd apart.
    pub fn standing(at: P2, facing: f64, width: f64, stagger: f64) -> Self {
        let (ahead, left) = (V2::from_angle(facing), V2::from_angle(facing + std::f64::consts::FRAC_PI_2));
        let fall = |s: f64| Footfall {
            from: f64::NEG_INFINITY,
            to: f64::INFINITY,
            at: at + left * (0.5 * width * s) + ahead * (0.5 * stagger * s),
            heading: facing + 0.12 * s,
        };
        Self { left: vec![fall(1.0)], right: vec![fall(-1.0)] }
    }
    /// Moves a foot: it leaves at `lift` and stands at `at` from `land` on.
    pub fn step(&mut self, side: usize, lift: f64, land: f64, at: P2, heading: f64) {
        let falls = self.side_mut(side);
        if let Some(last) = falls.last_mut() {
            last.to = last.to.min(lift).max(last.from + 0.02);
        }
        falls.push(Footfall { from: land, to: f64::INFINITY, at, heading });
    }
    /// Where a foot last stood or stands.
    pub fn last(&self, side: usize) -> Footfall {
        *self.side(side).last().expect("a figure starts with both feet on the ground")
    }
    /// A foot at `t`.
    pub fn at(&self, side: usize, t: f64) -> FootState {
        let falls = self.side(side);
        let next = falls.partition_point(|f| f.from <= t);
        let now = falls[next.saturating_sub(1)];
        if t <= now.to || next >= falls.len() {
            // The heel rises before the toe leaves.
            let length = now.to - now.from.max(now.to - 0.6);
            let pitch = if now.to.is_finite() {
                0.75 * ease((t - (now.to - 0.4 * length)) / (0.4 * length))
            } else {
                0.0
            };
            return FootState { at: now.at, lift: 0.0, heading: now.heading, pitch, planted: t <= now.to };
        }
        let then = falls[next];
        let span = then.from - now.to;
        let u = (t - now.to) / span;
        let far = then.at.distance(now.at);
        // A running foot folds up behind before it comes through; a shuffling one skims.
        let fold = (far / 3.6).min(1.0);
        let rise = 0.05 + 0.36 * fold;
        Self::swing(now, then, u, rise)
    }
    fn swing(now: Footfall, then: Footfall, u: f64, rise: f64) -> FootState {
        let w = u * u * (3.0 - 2.0 * u);
        let up = (std::f64::consts::PI * u.powf(0.75)).sin().max(0.0);
        FootState {
            at: now.at.lerp(then.at, w),
            lift: rise * up,
            heading: now.heading + units::wrap_angle(then.heading - now.heading) * w,
            pitch: 0.75 * (1.0 - ease(u * 1.15)) + 1.1 * (rise - 0.05) * up,
            planted: false,
        }
    }
}

/// Farthest that a foot stands from under the hips, yd.
const STRIDE: f64 = 0.60;

/// Steps a second at `v` m/s.
fn cadence(v: f64) -> f64 {
    (1.55 + 0.35 * v).clamp(2.0, 4.7)
}
/// Time a foot is on the ground at `v` m/s, s.
fn contact(v: f64) -> f64 {
    (0.9 / (v + 0.35)).clamp(0.095, 0.6)
}

/// Feet that carry `track` on from `from`, after the footfalls in `feet` (both open); `width` between standing feet, yd.
pub fn plan(track: &Track, mut feet: Feet, from: f64, width: f64) -> Feet {
    let end = track.end() + 0.6;
    let mut t = from;
    while t < end {
        let (l, r) = (feet.last(0), feet.last(1));
        let b = track.at(t);
        let off = b.at - l.at.lerp(r.at, 0.5);
        let mean = l.heading + 0.5 * units::wrap_angle(r.heading - l.heading);
        let turned = units::wrap_angle(b.facing - mean).abs();
        let ready = l.from <= t && r.from <= t;
        let soon = track.at(t + 0.25);
        let moves = b.speed() > 0.35 && soon.at.distance(b.at) > 0.12;
        if ready && (off.norm() > 0.16 || turned > 0.55 || moves) {
            t = train(track, &mut feet, t, width, end);
        } else {
            t += 1.0 / 120.0;
        }
    }
    feet
}

/// A run of steps from `t` until the body stands; returns when it stands.
fn train(track: &Track, feet: &mut Feet, t: f64, width: f64, end: f64) -> f64 {
    let place = |side: usize, m: f64| {
        let b = track.at(m);
        let v = metres_from_yards(b.speed());
        let heading = if b.speed() > 1.5 && b.velocity.dot(V2::from_angle(b.facing)) > 0.5 * b.speed() {
            b.velocity.angle()
        } else {
            b.facing
        };
        // Feet come under the middle as speed grows.
        let half = 0.5 * width * (1.0 - 0.75 * ease(v / 5.0));
        let s = if side == 0 { 1.0 } else { -1.0 };
        (b.at + V2::from_angle(heading + std::f64::consts::FRAC_PI_2) * (s * half), heading + 0.08 * s)
    };
    let ahead = track.at(t + 0.3);
    let way = ahead.at - track.at(t).at;
    let behind = |side: usize| (feet.last(side).at - track.at(t).at).dot(way);
    let mut side = usize::from(behind(1) < behind(0));
    let v0 = metres_from_yards(ahead.speed());
    let mut m = t + (0.55 / cadence(v0)).max(0.10) + 0.5 * contact(v0);
    let mut first = true;
    loop {
        let v = metres_from_yards(track.at(m).speed());
        let (period, touch) = (1.0 / cadence(v), contact(v));
        let land = m - 0.5 * touch;
        let swing = (2.0 * period - touch).clamp(0.16, 0.5);
        let lift = if first { t } else { (land - swing).max(t) };
        let mut land = land.max(lift + 0.10).max(feet.last(side).from + 0.14);
        let (at, heading) = place(side, m);
        // A leg is only so long: the foot comes down when the hips are over it, and leaves before they are gone.
        while land < m && track.at(land).at.distance(at) > STRIDE {
            land += 0.01;
        }
        let stands = still(track, m) || m > end;
        feet.step(side, lift.min(land - 0.08), land, at, heading);
        if stands {
            // The other foot closes up beside it.
            let other = 1 - side;
            let close = land + 0.30;
            let (at, heading) = place(other, close);
            if feet.last(other).at.distance(at) > 0.08 {
                feet.step(other, (land + 0.02).max(feet.last(other).from + 0.05), close, at, heading);
                return close;
            }
            return land;
        }
        let mut leaves = land + 0.03;
        while leaves < land.max(m - 0.5 * touch) + touch && track.at(leaves).at.distance(at) < STRIDE {
            leaves += 0.01;
        }
        if let Some(f) = feet.side_mut(side).last_mut() {
            f.to = leaves;
        }
        first = false;
        side = 1 - side;
        m += period;
    }
}

fn still(track: &Track, t: f64) -> bool {
    (0..=5).all(|k| track.at(t + 0.09 * f64::from(k)).speed() < 0.45)
}
