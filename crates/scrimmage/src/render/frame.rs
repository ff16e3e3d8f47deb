//! One frame: ground, shadows, bodies from far to near, then lens and sensor.

use super::figure::{Capsule, JITTER, Lamps, Skin, Tile, bounds};
use super::lens::{Frame, Sensor, develop};
use super::light::{self, Beam};
use super::project::Projector;
use super::props::Rod;
use super::shadow::Shade;
use super::venue::Venue;
use super::view::Follow;
use super::{ball, body, ground_pass, overlay};
use crate::stage::{BallPose, Joint, Pose, Stage};
use camera::Pinhole;
use geometry::{Point2, Point3, frame::Field, frame::Ground};

/// When and how a frame is exposed.
pub struct Exposure {
    /// Middle of the exposure on the play clock, s.
    pub time_s: f64,
    /// How long the shutter is open, s.
    pub shutter_s: f64,
    /// The frame's number.
    pub index: usize,
    /// The camera as the shutter opens, in the middle, and as it closes.
    pub cameras: [Pinhole; 3],
}

impl Exposure {
    /// With a camera that does not move.
    pub fn fixed(pinhole: Pinhole, time_s: f64, shutter_s: f64, index: usize) -> Self {
        Self { time_s, shutter_s, index, cameras: [pinhole; 3] }
    }
    /// With the operator's.
    pub fn following(follow: &Follow, time_s: f64, shutter_s: f64, index: usize) -> Self {
        let cameras = [-0.5, 0.0, 0.5].map(|k| follow.at(time_s + k * shutter_s));
        Self { time_s, shutter_s, index, cameras }
    }
}

/// Buffers kept from frame to frame.
#[derive(Default)]
pub struct Scratch {
    packed: Vec<u32>,
    shade: Option<Shade>,
    tile: Tile,
}

/// Somebody in the picture.
struct Cast<'a> {
    outfit: std::borrow::Cow<'a, body::Outfit>,
    stature: f64,
    poses: [Pose; 2],
    middle: Pose,
    beams: Vec<Beam>,
    ambient: f32,
    ground: f64,
}

/// What is drawn, and how far away it is.
enum Item<'a> {
    Person(usize),
    Rod(&'a Rod),
    Ball([BallPose; 2]),
}

/// Renders a frame.
pub fn expose(venue: &Venue, stage: &dyn Stage, e: &Exposure, scratch: &mut Scratch) -> Frame {
    let s = &e.cameras[1].station;
    let (w, h) = (s.width as usize, s.height as usize);
    let [p0, pm, p1] = [0, 1, 2].map(|i| Projector::new(&e.cameras[i]));
    scratch.packed.resize(w * h, 0);
    let frame = &mut scratch.packed[..];
    let pan = e.cameras[2].aim.pan - e.cameras[0].aim.pan;
    ground_pass::fill(venue, &pm, frame, w, (pan * e.cameras[1].aim.focal) as f32);

    let cast = cast(venue, stage, e, &pm, (w, h));
    let shade = scratch.shade.take().filter(|s| s.dark.len() == w * h).unwrap_or_else(|| Shade::new(w, h));
    scratch.shade = Some(cast_shadows(venue, &cast, &pm, frame, shade));

    let depth = |p: Point3<Field>| pm.spot(p).map(|s| s.depth);
    let mut items: Vec<(f32, Item)> = Vec::new();
    for (i, c) in cast.iter().enumerate() {
        items.extend(
            depth(body::middle(&c.middle, Joint::HipLeft, Joint::HipRight)).map(|d| (d, Item::Person(i))),
        );
    }
    for rod in &venue.props.rods {
        items.extend(depth(rod.a.lerp(rod.b, 0.5)).map(|d| (d, Item::Rod(rod))));
    }
    let (open, close) = (e.time_s - e.shutter_s / 2.0, e.time_s + e.shutter_s / 2.0);
    if let (Some(a), Some(b)) = (stage.ball(open), stage.ball(close)) {
        let lift = |b: BallPose| BallPose { centre: venue.look.on_crown(b.centre), ..b };
        let pair = [lift(a), lift(b)];
        // A ball in a hand is in front of the hip that it is sorted against.
        items.extend(depth(pair[0].centre).map(|d| (d - 0.2, Item::Ball(pair))));
    }
    items.sort_by(|a, b| b.0.total_cmp(&a.0));
    let tile = &mut scratch.tile;
    for (_, item) in &items {
        match item {
            Item::Person(i) => {
                let c = &cast[*i];
                let lamps = lamps(&pm, &c.beams, c.ambient);
                body::draw(
                    frame,
                    (w, h),
                    tile,
                    [(&p0, &c.poses[0]), (&p1, &c.poses[1])],
                    (&c.outfit, c.stature),
                    &lamps,
                    &venue.digits,
                );
            }
            Item::Rod(rod) => {
                draw_rod(venue, rod, [&p0, &p1], frame, (w, h), tile);
            }
            Item::Ball(pair) => {
                let (beams, ambient) = light::at(&venue.look, pair[0].centre.ground());
                ball::draw(
                    frame,
                    (w, h),
                    tile,
                    [(&p0, pair[0]), (&p1, pair[1])],
                    &lamps(&pm, &beams, ambient),
                );
            }
        }
    }
    let sensor = Sensor::of(&venue.look, e.index as u32, h);
    let mut out = develop(frame, w, h, &sensor, &venue.grain);
    overlay::burn(&mut out, &venue.look, e.index, e.time_s);
    out
}

/// Everybody who can be in the picture, on the crowned ground.
fn cast<'a>(
    venue: &'a Venue,
    stage: &dyn Stage,
    e: &Exposure,
    p: &Projector,
    (w, h): (usize, usize),
) -> Vec<Cast<'a>> {
    let look = &venue.look;
    let visible = |g: Point2<Ground>| {
        p.spot(g.at_height(1.0))
            .is_some_and(|s| s.x > -90.0 && s.y > -120.0 && s.x < w as f32 + 90.0 && s.y < h as f32 + 120.0)
    };
    let mut out = Vec::new();
    let mut add = |outfit, stature, at: Point2<Ground>, poses: [Pose; 3]| {
        let ground = look.crown().at(at, look.rule_book);
        let [open, middle, close] = poses.map(|mut q| {
            q.joints.iter_mut().for_each(|j| j.z += ground);
            q
        });
        let (beams, ambient) = light::at(look, at);
        out.push(Cast { outfit, stature, poses: [open, close], middle, beams, ambient, ground });
    };
    for (i, actor) in stage.actors().iter().enumerate() {
        let middle = stage.pose(i, e.time_s);
        let at = body::middle(&middle, Joint::HipLeft, Joint::HipRight).ground();
        if visible(at) {
            let pose = |k: f64| stage.pose(i, e.time_s + k * e.shutter_s);
            add(
                std::borrow::Cow::Owned(body::Outfit::of(actor)),
                actor.stature,
                at,
                [pose(-0.5), middle, pose(0.5)],
            );
        }
    }
    for idler in &venue.props.idlers {
        if visible(idler.at) {
            let pose = idler.pose(e.time_s);
            add(
                std::borrow::Cow::Borrowed(&idler.outfit),
                idler.stature,
                idler.at,
                [pose.clone(), pose.clone(), pose],
            );
        }
    }
    out
}

/// Beams in the camera's frame, third axis toward the viewer.
fn lamps(p: &Projector, beams: &[Beam], ambient: f32) -> Lamps {
    let view = |d: [f32; 3]| {
        let c = p.turned_f32(d);
        [c[0], c[1], -c[2]]
    };
    let beams = beams
        .iter()
        .map(|b| {
            // A share on level ground falls at the sine of the light's height; low lights are kept from glaring.
            let k = b.share / b.toward[2].max(0.45);
            view(b.toward).map(|c| c * k)
        })
        .collect();
    Lamps { beams, up: view([0.0, 0.0, 1.0]), ambient }
}

fn cast_shadows(venue: &Venue, cast: &[Cast], p: &Projector, frame: &mut [u32], mut shade: Shade) -> Shade {
    // Where a body stands it hides part of the sky from the grass.
    shade.clear();
    for c in cast {
        shade.contact(p, &c.middle, c.ground);
    }
    shade.darken(frame, 0.34);
    let count = cast.iter().map(|c| c.beams.len()).max().unwrap_or(0);
    for k in 0..count {
        shade.clear();
        let mut strength = 0.0f32;
        for c in cast {
            let Some(beam) = c.beams.get(k).filter(|b| b.share > 0.05) else { continue };
            strength = strength.max(beam.share);
            shade.body(p, &c.middle, beam, c.ground);
        }
        for rod in venue.props.rods.iter().filter(|r| r.casts) {
            let mid = rod.a.lerp(rod.b, 0.5).ground();
            if let Some(beam) = light::at(&venue.look, mid).0.get(k).filter(|b| b.share > 0.05) {
                shade.limb(p, rod.a, rod.b, rod.radius, beam, 0.0);
            }
        }
        shade.darken(frame, strength * 0.9);
    }
    shade
}

fn draw_rod(
    venue: &Venue,
    rod: &Rod,
    [p0, p1]: [&Projector; 2],
    frame: &mut [u32],
    (w, h): (usize, usize),
    tile: &mut Tile,
) -> Option<()> {
    let ends = [p0, p1].map(|p| Some((p.spot(rod.a)?, p.spot(rod.b)?)));
    let [(a0, b0), (a1, b1)] = [ends[0]?, ends[1]?];
    let radius = |depth: f32| (rod.radius * p0.focal) as f32 / depth;
    let part = |t: f32| Capsule {
        a: a0.lerp(a1, t),
        b: b0.lerp(b1, t),
        ra: radius(a0.depth),
        rb: radius(b0.depth),
        skin: Skin::Plain(rod.colour),
        crease: 0.0,
    };
    let both = [part(0.0), part(1.0)];
    if !tile.open(bounds(both.iter()), w, h) {
        return None;
    }
    let (beams, ambient) = light::at(&venue.look, rod.a.lerp(rod.b, 0.5).ground());
    let lamps = lamps(p0, &beams, ambient);
    for (k, &jitter) in JITTER.iter().enumerate() {
        let t = (k as f32 + 0.5) / JITTER.len() as f32;
        tile.expose(&[part(t)], jitter, a0.depth / p0.focal as f32, &lamps);
    }
    tile.close(frame, w, JITTER.len() as u32);
    Some(())
}
