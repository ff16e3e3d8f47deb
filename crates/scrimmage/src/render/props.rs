//! Things that stand beside the field: goal posts, pylons, benches, the chain crew, and people with nothing to do.

use super::body::Outfit;
use super::colour::Yuv;
use super::look::{Look, Surround};
use super::noise::dice;
use crate::stage::{Actor, Joint, Kit, Pose, Role};
use field::RuleBook;
use geometry::{Point2, Point3, frame::Field, frame::Ground};
use rand::{Rng, RngExt};

/// A straight round rod.
#[derive(Clone)]
pub struct Rod {
    /// One end.
    pub a: Point3<Field>,
    /// The other.
    pub b: Point3<Field>,
    /// Radius, yd.
    pub radius: f64,
    /// Colour.
    pub colour: Yuv,
    /// Whether its shadow matters.
    pub casts: bool,
}

/// Somebody who stands about.
pub struct Idler {
    pub(super) outfit: Outfit,
    pub(super) stature: f64,
    /// Where he stands; for quick culling.
    pub at: Point2<Ground>,
    pose: Pose,
    phase: f64,
}

/// All of them.
pub struct Props {
    /// Rods.
    pub rods: Vec<Rod>,
    /// People.
    pub idlers: Vec<Idler>,
}

impl Idler {
    /// How he stands at `t`: a slow sway.
    pub fn pose(&self, t: f64) -> Pose {
        let (s, c) = ((t * 0.9 + self.phase).sin() * 0.02, (t * 0.7 + self.phase * 2.0).cos() * 0.015);
        let mut p = self.pose.clone();
        for j in &mut p.joints {
            let k = j.z.clamp(0.0, 2.0);
            j.x += s * k;
            j.y += c * k;
        }
        p
    }
}

impl Props {
    /// Of a look.
    pub fn new(look: &Look) -> Self {
        let mut rods = posts(look);
        rods.extend(pylons(look));
        let mut idlers = Vec::new();
        if look.sideline_people {
            let mut rng = dice(look.seed, 21);
            let width = look.rule_book.width();
            benches(look, &mut rods);
            let [home, other] = look.colours;
            let mut id = 0;
            let mut add = |x: f64, y: f64, facing: f64, kit: Kit, number: Option<u8>, rng: &mut dyn Rng| {
                id += 1;
                let actor = Actor {
                    id: format!("idler-{id}"),
                    role: if number.is_some() { Role::Offense } else { Role::Bystander },
                    number,
                    kit,
                    stature: rng.random_range(1.86..2.12),
                };
                idlers.push(Idler {
                    outfit: Outfit::of(&actor),
                    stature: actor.stature,
                    at: Point2::new(x, y),
                    pose: standing(x, y, facing, actor.stature, rng),
                    phase: rng.random_range(0.0..6.3),
                });
            };
            // Teams stand between the 25s, outside the coaches' strip (college rule 1-2-4).
            for (side, main, trim) in [(-1.0, home, other), (1.0, [206, 206, 202], home)] {
                let edge = if side < 0.0 { 0.0 } else { width };
                let mut x = 26.0;
                while x < 74.0 {
                    x += rng.random_range(0.35..1.9);
                    let y = edge + side * rng.random_range(2.6..6.5);
                    let coach = rng.random_bool(0.25);
                    let dark = [[38, 40, 46], [70, 72, 76], main][rng.random_range(0..3)];
                    let kit = if coach {
                        Kit {
                            shirt: dark,
                            number: trim,
                            trousers: [150, 132, 100],
                            helmet: main,
                            striped: false,
                        }
                    } else {
                        Kit {
                            shirt: main,
                            number: trim,
                            trousers: [190, 190, 186],
                            helmet: home,
                            striped: false,
                        }
                    };
                    let facing = -side * std::f64::consts::FRAC_PI_2 + rng.random_range(-0.9..0.9);
                    let number = (!coach).then(|| rng.random_range(1..99));
                    add(x, y, facing, kit, number, &mut rng);
                }
                // A few with cameras beyond the end lines.
                for end in [-1.0, 1.0] {
                    for _ in 0..3 {
                        let (x, y) = (
                            look.rule_book.length() / 2.0
                                + end
                                    * (look.rule_book.length() / 2.0
                                        + look.rule_book.end_zone()
                                        + rng.random_range(3.0..6.0)),
                            rng.random_range(3.0..50.0),
                        );
                        let kit = Kit {
                            shirt: [60, 62, 66],
                            number: [0; 3],
                            trousers: [44, 46, 54],
                            helmet: [60, 50, 44],
                            striped: false,
                        };
                        add(x, y, if end > 0.0 { std::f64::consts::PI } else { 0.0 }, kit, None, &mut rng);
                    }
                }
            }
        }
        Self { rods, idlers }
    }
}

/// A person standing at (x, y) and looking along `facing`, rad from x towards y. Proportions: Drillis & Contini 1966 by way
/// of Winter (docs/sources.md): shoulder .818, hip .530, knee .285, ankle .039 of stature.
fn standing(x: f64, y: f64, facing: f64, stature: f64, rng: &mut dyn Rng) -> Pose {
    let (s, c) = facing.sin_cos();
    let place = |ahead: f64, left: f64, up: f64| {
        Point3::new(x + (ahead * c - left * s) * stature, y + (ahead * s + left * c) * stature, up * stature)
    };
    let stance: f64 = rng.random_range(0.05..0.10);
    let folded = rng.random_bool(0.35);
    let lean: f64 = rng.random_range(-0.01..0.03);
    let mut joints = [Point3::new(0.0, 0.0, 0.0); Joint::COUNT];
    let mut set = |j: Joint, p| joints[j as usize] = p;
    set(Joint::Head, place(lean + 0.02, 0.0, 0.935));
    set(Joint::Neck, place(lean, 0.0, 0.845));
    for (left, sh, el, wr, hip, knee, ankle, heel, toe) in [
        (
            1.0,
            Joint::ShoulderLeft,
            Joint::ElbowLeft,
            Joint::WristLeft,
            Joint::HipLeft,
            Joint::KneeLeft,
            Joint::AnkleLeft,
            Joint::HeelLeft,
            Joint::ToeLeft,
        ),
        (
            -1.0,
            Joint::ShoulderRight,
            Joint::ElbowRight,
            Joint::WristRight,
            Joint::HipRight,
            Joint::KneeRight,
            Joint::AnkleRight,
            Joint::HeelRight,
            Joint::ToeRight,
        ),
    ] {
        set(sh, place(lean, left * 0.115, 0.818));
        if folded {
            set(el, place(lean + 0.05, left * 0.15, 0.64));
            set(wr, place(lean + 0.12, left * -0.03, 0.68));
        } else {
            set(el, place(lean - 0.01, left * 0.155, 0.64));
            set(wr, place(lean + 0.06, left * 0.13, 0.51));
        }
        set(hip, place(0.0, left * 0.05, 0.53));
        set(knee, place(0.02, left * (0.05 + stance) * 0.75, 0.285));
        set(ankle, place(0.0, left * stance, 0.039));
        set(heel, place(-0.03, left * stance, 0.012));
        set(toe, place(0.11, left * (stance + 0.03), 0.012));
    }
    Pose { joints }
}

/// Goals: professional and college goals stand on the end lines, 18 ft 6 in wide inside; high school 23 ft 4 in;
/// crossbar 10 ft up (rule 1). Uprights rise 35 ft over the bar (professional), 30 ft (college) or 10 ft and here 20 (high
/// school, at least 10), from memory; on one bent post.
fn posts(look: &Look) -> Vec<Rod> {
    let colour =
        if look.yellow_posts { Yuv::from_rgb([214, 186, 58]) } else { Yuv::from_rgb([226, 228, 228]) };
    let mid = look.rule_book.width() / 2.0;
    let half = look.rule_book.goal_width() / 2.0;
    let bar = look.rule_book.crossbar_height();
    let top = bar
        + units::yards_from_feet_inches(
            if look.rule_book == RuleBook::Professional {
                35.0
            } else if look.rule_book == RuleBook::College {
                30.0
            } else {
                20.0
            },
            0.0,
        );
    let pad = Yuv::from_rgb(look.colours[0]);
    let mut out = Vec::new();
    let [low, high] = look.rule_book.goal_x();
    for (x, outward) in [(low, -1.0), (high, 1.0)] {
        let mut rod = |a: [f64; 3], b: [f64; 3], radius, colour| {
            out.push(Rod {
                a: Point3::new(a[0], a[1], a[2]),
                b: Point3::new(b[0], b[1], b[2]),
                radius,
                colour,
                casts: true,
            })
        };
        let back = x + outward * 2.1;
        rod([back, mid, 0.0], [back, mid, 2.2], 0.24, pad);
        rod([back, mid, 2.0], [back, mid, bar - 0.5], 0.09, colour);
        rod([back, mid, bar - 0.5], [x, mid, bar], 0.08, colour);
        rod([x, mid - half, bar], [x, mid + half, bar], 0.07, colour);
        for y in [mid - half - 0.04, mid + half + 0.04] {
            rod([x, y, bar], [x, y, top], 0.05, colour);
        }
    }
    out
}

/// Orange pylons, 4 in square and 18 in high, at the corners of each end zone and where the inbounds lines meet the end
/// line (rule 1, from memory).
fn pylons(look: &Look) -> Vec<Rod> {
    let (w, near, far) =
        (look.rule_book.width(), look.rule_book.hash_from_sideline(), look.rule_book.far_hash());
    let mut out = Vec::new();
    let (length, ez) = (look.rule_book.length(), look.rule_book.end_zone());
    for (goal, end) in [(0.0, -ez), (length, length + ez)] {
        for (x, y) in
            [(goal, -0.07), (goal, w + 0.07), (end, -0.07), (end, w + 0.07), (end, near), (end, far)]
        {
            let x = if x < 0.0 {
                x - 0.07
            } else if x > 99.0 {
                x + 0.07
            } else {
                x
            };
            out.push(Rod {
                a: Point3::new(x, y, 0.05),
                b: Point3::new(x, y, 0.45),
                radius: 0.06,
                colour: Yuv::from_rgb([226, 98, 34]),
                casts: false,
            });
        }
    }
    out
}

/// Benches, tables with coolers and the markers of the chain crew.
fn benches(look: &Look, rods: &mut Vec<Rod>) {
    let w = look.rule_book.width();
    let metal = Yuv::from_rgb([176, 178, 178]);
    let mut rod = |a: [f64; 3], b: [f64; 3], radius, colour| {
        rods.push(Rod {
            a: Point3::new(a[0], a[1], a[2]),
            b: Point3::new(b[0], b[1], b[2]),
            radius,
            colour,
            casts: false,
        })
    };
    let far = if look.surround == Surround::Stadium { 9.0 } else { 6.6 };
    for y in [-far, w + far] {
        let mut x = 30.0;
        while x < 68.0 {
            rod([x, y, 0.5], [x + 4.6, y, 0.5], 0.11, metal);
            rod([x, y, 0.42], [x, y, 0.0], 0.06, metal.lit(0.7));
            rod([x + 4.6, y, 0.42], [x + 4.6, y, 0.0], 0.06, metal.lit(0.7));
            x += 6.6;
        }
        for x in [28.0, 71.0] {
            rod([x, y, 0.75], [x + 1.4, y, 0.75], 0.16, Yuv::from_rgb([206, 120, 44]));
            rod([x, y, 0.3], [x + 1.4, y, 0.3], 0.3, Yuv::from_rgb([60, 62, 68]));
        }
    }
}
