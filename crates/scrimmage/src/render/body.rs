//! A person from eighteen joints: helmet, pads, shirt with numbers or stripes, limbs, shoes.

use super::colour::Yuv;
use super::figure::{Capsule, JITTER, Lamps, Skin, Tile, bounds};
use super::font::{DIGIT_H, DIGIT_W};
use super::noise::{hash2, unit};
use super::project::{Projector, Spot};
use crate::stage::{Actor, Joint, Pose, Role};
use geometry::{Point3, Vector3, frame::Field};

/// How a person is dressed and built, worked out once.
#[derive(Clone)]
pub struct Outfit {
    shirt: Yuv,
    number: Yuv,
    trousers: Yuv,
    helmet: Yuv,
    skin: Yuv,
    sock: Yuv,
    shoe: Yuv,
    digits: Option<[u8; 2]>,
    striped: bool,
    helmeted: bool,
    bare_arms: bool,
    bulk: f32,
}

/// Stature that the radii below belong to, yd (73 in).
const REFERENCE_STATURE: f32 = 73.0 / 36.0;

impl Outfit {
    /// Of an actor.
    pub fn of(actor: &Actor) -> Self {
        let h = actor.id.bytes().fold(17u32, |h, b| hash2(h as i32, i32::from(b), 5));
        let skins =
            [[222, 180, 150], [190, 140, 108], [150, 104, 78], [108, 74, 56], [88, 60, 46], [204, 158, 126]];
        let number = actor.number.unwrap_or(0);
        // Interior linemen wear 50 to 79 (college rule 1-4); ends of the defense often the nineties. Their build is common
        // practice, no source.
        let heavy =
            actor.number.is_some_and(|n| (50..80).contains(&n) || (actor.role == Role::Defense && n >= 90));
        let player = matches!(actor.role, Role::Offense | Role::Defense);
        let white = Yuv::from_rgb([226, 226, 222]);
        let shirt = Yuv::from_rgb(actor.kit.shirt);
        Self {
            shirt,
            number: Yuv::from_rgb(actor.kit.number),
            trousers: Yuv::from_rgb(actor.kit.trousers),
            helmet: Yuv::from_rgb(actor.kit.helmet),
            skin: Yuv::from_rgb(skins[h as usize % skins.len()]).lit(0.92),
            sock: if !player {
                Yuv::from_rgb(actor.kit.trousers)
            } else if unit(hash2(h as i32, 1, 1)) < 0.5 {
                white.lit(0.92)
            } else {
                Yuv::from_rgb(actor.kit.helmet)
            },
            shoe: if player && unit(hash2(h as i32, 2, 1)) < 0.6 {
                white.lit(0.9)
            } else {
                Yuv::from_rgb([34, 34, 36])
            },
            digits: actor.number.map(|_| [number / 10, number % 10]),
            striped: actor.kit.striped,
            helmeted: player,
            bare_arms: player && unit(hash2(h as i32, 3, 1)) < 0.75,
            bulk: if heavy {
                1.22
            } else if player {
                1.0
            } else {
                0.88
            },
        }
    }
}

/// A body's place on the picture at one instant.
struct Seen {
    spots: [Spot; Joint::COUNT],
    up: [f32; 3],
    right: [f32; 3],
    forward: [f32; 3],
}

fn seen(p: &Projector, pose: &Pose) -> Option<Seen> {
    let mut spots = [Spot::default(); Joint::COUNT];
    for (s, &j) in spots.iter_mut().zip(&pose.joints) {
        *s = p.spot(j)?;
    }
    let joint = |j: Joint| pose.joints[j as usize];
    let mid = |a: Joint, b: Joint| joint(a).lerp(joint(b), 0.5);
    let up = (mid(Joint::ShoulderLeft, Joint::ShoulderRight) - mid(Joint::HipLeft, Joint::HipRight))
        .unit()
        .unwrap_or(Vector3::new(0.0, 0.0, 1.0));
    let right = (joint(Joint::ShoulderRight) - joint(Joint::ShoulderLeft))
        .unit()
        .unwrap_or(Vector3::new(1.0, 0.0, 0.0));
    let forward = up.cross(right).unit().unwrap_or(Vector3::new(0.0, 1.0, 0.0));
    // In the tile's frame the third axis points at the viewer.
    let view = |d: Vector3<Field>| {
        let c = p.turned(d);
        [c[0], c[1], -c[2]]
    };
    Some(Seen { spots, up: view(up), right: view(right), forward: view(forward) })
}

fn dot(a: [f32; 3], b: [f32; 3]) -> f32 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Draws a person over the frame. `open` and `close` are the poses as the shutter opens and closes, with the cameras then.
pub fn draw(
    frame: &mut [u32],
    (width, height): (usize, usize),
    tile: &mut Tile,
    [(p0, open), (p1, close)]: [(&Projector, &Pose); 2],
    (outfit, stature): (&Outfit, f64),
    lamps: &Lamps,
    digits: &[Vec<u8>; 10],
) -> Option<()> {
    let (s0, s1) = (seen(p0, open)?, seen(p1, close)?);
    let hip = s0.spots[Joint::HipLeft as usize];
    let yards_per_px = hip.depth / p0.focal as f32;
    let size = (stature as f32 / REFERENCE_STATURE) / yards_per_px;
    let shirt = Shirt::new(outfit, digits, size);
    let at_open = &s0;
    let torso_at = |s: f32| {
        let neck = s0.spots[Joint::Neck as usize].lerp(s1.spots[Joint::Neck as usize], s);
        move |n: [f32; 3], x: f32, y: f32| shirt.colour(at_open, n, x - neck.x, y - neck.y)
    };
    let head = |n: [f32; 3], _: f32, _: f32| outfit.head(n, &s0);
    let mut opened = false;
    for (k, &jitter) in JITTER.iter().enumerate() {
        let t = (k as f32 + 0.5) / JITTER.len() as f32;
        let torso = torso_at(t);
        let spots: [Spot; Joint::COUNT] = std::array::from_fn(|i| s0.spots[i].lerp(s1.spots[i], t));
        let mut parts = outfit.parts(&spots, &s0, size, &torso, &head);
        // Near parts first: what they hide is then never shaded.
        parts.sort_unstable_by(|a, b| (a.a.depth + a.b.depth).total_cmp(&(b.a.depth + b.b.depth)));
        if !opened {
            // One margin for all samples: the body moves little while the shutter is open.
            let b = bounds(parts.iter());
            let (last, first) = (&s1.spots[0], &s0.spots[0]);
            let (mx, my) = ((last.x - first.x).abs() + 0.12 * size, (last.y - first.y).abs() + 0.12 * size);
            if !tile.open([b[0] - mx, b[1] - my, b[2] + mx, b[3] + my], width, height) {
                return None;
            }
            opened = true;
        }
        tile.expose(&parts, jitter, yards_per_px, lamps);
    }
    tile.close(frame, width, JITTER.len() as u32);
    Some(())
}

impl Outfit {
    /// Capsules in px; radii in yards of a 73-inch player.
    fn parts<'a>(
        &self,
        at: &[Spot; Joint::COUNT],
        seen: &Seen,
        size: f32,
        torso: &'a (dyn Fn([f32; 3], f32, f32) -> Yuv + Sync),
        head: &'a (dyn Fn([f32; 3], f32, f32) -> Yuv + Sync),
    ) -> Vec<Capsule<'a>> {
        use Joint::*;
        let j = |j: Joint| at[j as usize];
        let mut out = Vec::with_capacity(28);
        let mut add = |a: Spot, b: Spot, ra: f32, rb: f32, skin| {
            let crease = out.len() as f32 * 0.37;
            out.push(Capsule { a, b, ra: ra * size, rb: rb * size, skin, crease });
        };
        let plain = Skin::Plain;
        let shirt = Skin::Shown(torso);
        let k = self.bulk;
        let (pad, waist) = if self.helmeted { (0.118 * k, 0.112 * k) } else { (0.085 * k, 0.115 * k) };
        let (neck, sl, sr, hl, hr) = (j(Neck), j(ShoulderLeft), j(ShoulderRight), j(HipLeft), j(HipRight));
        let mid_hip = hl.lerp(hr, 0.5);
        let mid_shoulder = sl.lerp(sr, 0.5);
        // Pads and shirt.
        add(sl.lerp(sr, 0.10), sl.lerp(sr, 0.90), pad, pad, shirt);
        for (s, h) in [(sl, hl), (sr, hr)] {
            add(s.lerp(mid_shoulder, 0.42), h.lerp(mid_hip, 0.25).lerp(s, 0.12), pad * 1.12, waist, shirt);
        }
        add(mid_shoulder, mid_hip.lerp(mid_shoulder, 0.2), pad * 1.15, waist * 1.08, shirt);
        // Seat.
        add(hl.lerp(hr, 0.08), hl.lerp(hr, 0.92), 0.118 * k, 0.118 * k, plain(self.trousers));
        // Head: the centre of a helmet lies a little before the joint.
        let h = j(Head);
        add(neck, neck.lerp(h, 0.5), 0.065, 0.06, plain(self.skin));
        let radius = if self.helmeted { 0.152 } else { 0.118 };
        let ahead = Spot {
            x: h.x + seen.forward[0] * 0.02 * size,
            y: h.y + seen.forward[1] * 0.02 * size,
            depth: h.depth,
        };
        add(h, ahead, radius, radius * 0.97, Skin::Shown(head));
        // Arms.
        for (s, e, w) in [(sl, j(ElbowLeft), j(WristLeft)), (sr, j(ElbowRight), j(WristRight))] {
            let sleeve = s.lerp(e, if self.bare_arms { 0.5 } else { 1.0 });
            let lower =
                if self.bare_arms || !self.helmeted { self.skin } else { self.shirt.mix(self.skin, 0.25) };
            add(s, sleeve, 0.088 * k, 0.075 * k, plain(self.shirt.lit(0.97)));
            add(sleeve, e, 0.064 * k, 0.056 * k, plain(lower));
            add(e, w, 0.055 * k, 0.042 * k, plain(lower));
            let hand = Spot { x: w.x + (w.x - e.x) * 0.22, y: w.y + (w.y - e.y) * 0.22, depth: w.depth };
            add(w, hand, 0.05, 0.046, plain(if self.helmeted { self.sock } else { self.skin }));
        }
        // Legs.
        for (h, n, a, heel, toe) in [
            (hl, j(KneeLeft), j(AnkleLeft), j(HeelLeft), j(ToeLeft)),
            (hr, j(KneeRight), j(AnkleRight), j(HeelRight), j(ToeRight)),
        ] {
            add(h, n, 0.118 * k, 0.082 * k, plain(self.trousers));
            add(n, n.lerp(a, 0.18), 0.08 * k, 0.072 * k, plain(self.trousers.lit(0.96)));
            add(
                n.lerp(a, 0.18),
                n.lerp(a, 0.5),
                0.066 * k,
                0.068 * k,
                plain(if self.helmeted { self.skin } else { self.trousers }),
            );
            add(n.lerp(a, 0.5), a, 0.064 * k, 0.047 * k, plain(self.sock));
            add(a, heel, 0.046, 0.042, plain(self.shoe));
            add(heel, toe, 0.046, 0.038, plain(self.shoe));
        }
        out
    }
    /// Helmet with a stripe and an open face behind bars, or a cap over a face.
    fn head(&self, n: [f32; 3], s: &Seen) -> Yuv {
        let (f, u, r) = (dot(n, s.forward), dot(n, s.up), dot(n, s.right));
        if !self.helmeted {
            return if u > 0.30 || (f < 0.1 && u > 0.0) { self.helmet } else { self.skin };
        }
        if f > 0.60 && u < 0.30 {
            // The bars and the shade behind them.
            let bar = (u * 9.0 + 20.0) as i32 % 2 == 0 || r.abs() < 0.08;
            return if bar { Yuv::from_rgb([120, 120, 124]) } else { self.skin.lit(0.42) };
        }
        if r.abs() < 0.14 && u > -0.2 {
            return self.number;
        }
        // Polished shell: a sharp light patch.
        let shine = (dot(n, [s.up[0] * 0.8, s.up[1] * 0.8, 0.6]) - 0.93).max(0.0) * 9.0;
        self.helmet.mix(Yuv::from_rgb([250, 250, 250]), shine.min(0.6))
    }
}

/// The shirt's surface.
#[derive(Clone, Copy)]
struct Shirt<'a> {
    outfit: &'a Outfit,
    digits: &'a [Vec<u8>; 10],
    size: f32,
}

impl<'a> Shirt<'a> {
    fn new(outfit: &'a Outfit, digits: &'a [Vec<u8>; 10], size: f32) -> Self {
        Self { outfit, digits, size }
    }
    /// At (x, y) px from the neck with normal `n`.
    fn colour(&self, s: &Seen, n: [f32; 3], x: f32, y: f32) -> Yuv {
        let o = self.outfit;
        let f = dot(n, s.forward);
        // Surface point: the torso's front or back lies this far from the spine, yd.
        let depth = 0.13 * f;
        let (x, y) = (x / self.size - s.forward[0] * depth, y / self.size - s.forward[1] * depth);
        let det = s.right[0] * s.up[1] - s.right[1] * s.up[0];
        if det.abs() < 0.12 {
            return o.shirt;
        }
        let across = (x * s.up[1] - y * s.up[0]) / det;
        let below = -(s.right[0] * y - s.right[1] * x) / det;
        if o.striped {
            let black = ((across / 0.0275 + 200.5) as i32) % 2 == 0;
            return if black { Yuv::from_rgb([26, 26, 28]) } else { Yuv::from_rgb([224, 224, 220]) };
        }
        if let Some(d) = o.digits.filter(|_| f.abs() > 0.25 && det.abs() > 0.3) {
            let tall = if f > 0.0 { 0.27 } else { 0.32 };
            let reading = if f > 0.0 { -across } else { across };
            let v = (below - 0.11) / tall;
            let wide = tall * 0.62;
            let gap = tall * 0.12;
            let (which, u) = if d[0] == 0 {
                (1, (reading + wide / 2.0) / wide)
            } else if reading < 0.0 {
                (0, (reading + wide + gap / 2.0) / wide)
            } else {
                (1, (reading - gap / 2.0) / wide)
            };
            if (0.0..1.0).contains(&v) && (0.0..1.0).contains(&u) {
                let m = &self.digits[usize::from(d[which])];
                if m[(v * DIGIT_H as f32) as usize * DIGIT_W + (u * DIGIT_W as f32) as usize] > 127 {
                    return o.number;
                }
            }
        }
        o.shirt
    }
}

/// A point between two poses.
pub fn middle(pose: &Pose, a: Joint, b: Joint) -> Point3<Field> {
    pose.joints[a as usize].lerp(pose.joints[b as usize], 0.5)
}
