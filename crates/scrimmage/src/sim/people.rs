//! Who everybody is: numbers, colours, and the officials. Those beside the field belong to the film's look.

use super::gait::{self, Feet};
use super::mover::{Ability, Body};
use super::plane::{P2, V2};
use super::pose::{Arms, Cue, Figure};
use super::track::{DT, Track};
use super::world::{START, World};
use crate::stage::{Actor, Kit, Role};

/// Colours of the two teams.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kits {
    /// The team with the ball.
    pub offense: Kit,
    /// The other.
    pub defense: Kit,
    /// Seeds the numbers of each: the same man wears the same number all game.
    pub rosters: (u64, u64),
}

const STRIPES: Kit = Kit {
    shirt: [235, 235, 235],
    number: [20, 20, 20],
    trousers: [25, 25, 28],
    helmet: [20, 20, 22],
    striped: true,
};

/// Numbers by place, as rule books give them to linemen (50 to 79) and custom to the others.
fn number(id: &str, roster: u64) -> u8 {
    let (low, high): (u64, u64) = match id {
        "off-qb" => (1, 19),
        "off-lt" => (70, 79),
        "off-lg" => (60, 65),
        "off-c" => (50, 55),
        "off-rg" => (66, 69),
        "off-rt" => (56, 59),
        "off-b" => (20, 35),
        "off-l1" => (80, 82),
        "off-l2" => (83, 85),
        "off-l3" => (86, 87),
        "off-r1" => (88, 88),
        "off-r2" => (89, 89),
        "off-r3" => (36, 49),
        "def-lde" => (90, 92),
        "def-ldt" => (93, 95),
        "def-rdt" => (96, 97),
        "def-rde" => (98, 99),
        "def-mike" => (50, 54),
        "def-will" => (40, 49),
        "def-nickel" => (30, 36),
        "def-cb-left" => (1, 9),
        "def-cb-right" => (20, 25),
        "def-ss" => (26, 29),
        _ => (10, 19),
    };
    (low + roster % (high - low + 1)) as u8
}

/// The 22 as actors.
pub fn players(world: &World, kits: &Kits) -> Vec<Actor> {
    world
        .men
        .iter()
        .enumerate()
        .map(|(i, m)| {
            let (kit, role, roster) = if World::defends(i) {
                (kits.defense, Role::Defense, kits.rosters.1)
            } else {
                (kits.offense, Role::Offense, kits.rosters.0)
            };
            Actor { id: m.id.clone(), role, number: Some(number(&m.id, roster)), kit, stature: m.stature }
        })
        .collect()
}

/// Officials who go with the play.
pub fn officials(world: &World, end: f64, actors: &mut Vec<Actor>, figures: &mut Vec<Figure>) {
    let (left, right) = world.edges;
    let posts = [
        (P2::new(-13.0, -7.0), 0.25),
        (P2::new(-12.0, 8.5), 0.25),
        (P2::new(0.0, left + 0.9), 0.75),
        (P2::new(0.0, right - 0.9), 0.75),
        (P2::new(20.0, left + 0.9), 0.9),
        (P2::new(20.0, right - 0.9), 0.9),
        (P2::new(25.0, 1.5), 0.8),
    ];
    for (k, (at, goes)) in posts.iter().enumerate() {
        let track = official(world, *at, *goes, end);
        let start = track.samples[0];
        let feet = gait::plan(&track, Feet::standing(start.at, start.facing, 0.38, 0.05), START, 0.36);
        let cues = vec![
            Cue { at: START - 1.0, over: 0.1, crouch: 0.10, lean: 0.10, arms: Arms::Loose },
            Cue { at: 0.2, over: 0.5, crouch: 0.03, lean: 0.06, arms: Arms::Swing },
        ];
        actors.push(Actor {
            id: format!("official-{}", k + 1),
            role: Role::Official,
            number: None,
            kit: STRIPES,
            stature: 1.97,
        });
        figures.push(Figure { stature: 1.97, track, feet, cues, throw: None, jump: None });
    }
}

/// An official keeps his post and goes with the ball along the field.
fn official(world: &World, post: P2, goes: f64, end: f64) -> Track {
    let ability = Ability::from_forty(5.6, 0.3);
    let mut body = Body {
        at: post,
        velocity: V2::ZERO,
        facing: if post.x < 0.0 { 0.0 } else { (P2::new(-3.0, 0.0) - post).angle() },
    };
    let mut track = Track { start: START, samples: vec![body] };
    let mut t = START;
    while t < end + 0.8 {
        let mut want = V2::ZERO;
        let mut look = P2::new(-4.0, 0.0);
        if t > 0.4 {
            let ball = match (&world.flight, &world.ending) {
                (Some(f), _) if t > f.release + 0.3 => f.meet_at,
                _ => P2::new(0.0, 0.0),
            };
            // Deep men keep ahead of the deepest receiver for a while.
            let deepest = (0..11).map(|i| world.men[i].track.at(t - 0.3).at.x).fold(0.0, f64::max);
            let ahead = if post.x > 10.0 { (deepest + 5.0 - post.x).max(0.0) } else { 0.0 };
            let goal = P2::new(
                post.x + goes * ball.x.max(0.0) * if post.x > 10.0 { 0.3 } else { 0.8 } + 0.6 * ahead,
                post.y,
            );
            look = ball;
            let gap = goal - body.at;
            want = super::plane::limited(gap * 1.2, 5.0);
            if gap.norm() < 0.6 && body.speed() < 0.5 {
                want = V2::ZERO;
            }
        }
        let facing = if want.norm() > 3.8 { want.angle() } else { (look - body.at).angle() };
        body.step(want, facing, &ability, DT);
        track.samples.push(body);
        t += DT;
    }
    track.smoothed()
}

impl Kits {
    /// Dark red with the ball, white and green without.
    pub fn example() -> Self {
        Self {
            offense: Kit {
                shirt: [128, 22, 34],
                number: [245, 240, 225],
                trousers: [214, 190, 120],
                helmet: [128, 22, 34],
                striped: false,
            },
            defense: Kit {
                shirt: [238, 240, 238],
                number: [16, 70, 52],
                trousers: [238, 240, 238],
                helmet: [16, 70, 52],
                striped: false,
            },
            rosters: (5, 11),
        }
    }
}
