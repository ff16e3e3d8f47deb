//! Invented stances of a passer at set and release, and marks of his feet and hips.

use super::Dice;
use super::cameras::{Filmed, Shoot};
use geometry::frame::{Field, Ground};
use geometry::{Covariance2, Point2, Point3, Vector2};
use motion::Turf;
use motion::feet::FeetInputs;
use motion::flight_fit::Stand;
use play::{Foot, FootMark, FootPart, HipMark, View};
use stats::Estimate;

pub const RELEASE_S: f64 = 2.0;
pub const SET_S: f64 = 1.6;

/// Feet as middle and direction of the toes.
#[derive(Clone, Copy)]
struct Shoe {
    middle: Point2<Ground>,
    toes: Vector2<Ground>,
}

impl Shoe {
    /// Foot of .31 yd; the ankle a third of the way from the heel.
    fn part(&self, part: FootPart) -> Point3<Field> {
        let (along, z) = match part {
            FootPart::Toe => (0.155, 0.0),
            FootPart::Heel => (-0.155, 0.0),
            FootPart::Ankle => (-0.05, 0.08),
        };
        (self.middle + self.toes * along).at_height(z)
    }
}

pub struct Stance {
    back: Shoe,
    front: Shoe,
    front_at_set: Shoe,
    hips: Point3<Field>,
    pub weight: f64,
    target: Point2<Ground>,
    pub right_handed: bool,
}

pub struct Marked {
    filmed: Vec<Filmed>,
    feet: Vec<FootMark>,
    hips: Vec<HipMark>,
    target: Stand,
    right_handed: bool,
}

impl Stance {
    pub fn draw(base: f64, dice: &mut Dice) -> Self {
        let middle = Point2::new(dice.between(24.0, 34.0), dice.between(18.0, 35.0));
        let to = Vector2::from_angle(dice.between(-0.9, 0.9));
        let target = middle + to * dice.between(7.0, 35.0);
        let line = to.rotated(dice.about(0.05, 0.2));
        let (back, front) = (middle - line * (base / 2.0), middle + line * (base / 2.0));
        let right_handed = dice.chance(0.7);
        let aside = if right_handed { -1.5 } else { 1.5 };
        let over = back.lerp(front, dice.between(0.2, 0.9))
            + Vector2::new(dice.about(0.0, 0.05), dice.about(0.0, 0.05));
        let weight = (over - back).dot(line) / base;
        let front_toes = to.rotated(dice.about(0.0, 0.25));
        Self {
            back: Shoe { middle: back, toes: to.rotated(dice.about(aside, 0.25)) },
            front: Shoe { middle: front, toes: front_toes },
            front_at_set: Shoe {
                middle: front - line.rotated(dice.about(0.0, 0.3)) * dice.between(0.2, 0.6),
                toes: front_toes,
            },
            hips: over.at_height(dice.about(1.04, 0.06)),
            weight,
            target,
            right_handed,
        }
    }
    /// Truth between the middles of the feet, which toe and heel together give.
    pub fn error_deg(&self) -> f64 {
        let line = self.front.middle - self.back.middle;
        let middle = self.back.middle.lerp(self.front.middle, 0.5);
        let turned = (self.target - middle).cross(line).atan2((self.target - middle).dot(line)).to_degrees();
        if self.right_handed { turned } else { -turned }
    }
    pub fn base(&self) -> f64 {
        self.front.middle.distance(self.back.middle)
    }
    pub fn step(&self) -> f64 {
        self.front.middle.distance(self.front_at_set.middle)
    }
    pub fn mark(
        &self,
        views: &[View],
        parts: &[FootPart],
        repeats: usize,
        scale: u32,
        dice: &mut Dice,
    ) -> Marked {
        let look = self.back.middle;
        let shoot = Shoot { scale, snap_sd_s: 0.0, ..Shoot::default() };
        let filmed: Vec<Filmed> =
            views.iter().map(|v| Filmed::new(*v, |_| look.at_height(0.5), 2.5, &shoot, dice)).collect();
        let (mut feet, mut hips) = (Vec::new(), Vec::new());
        for f in &filmed {
            let height = dice.about(0.0, 0.015);
            let at = |t: f64| f.frame(t).round();
            let shoes = [
                (self.back, Foot::Back, at(RELEASE_S)),
                (self.front, Foot::Front, at(RELEASE_S)),
                (self.front_at_set, Foot::Front, at(SET_S)),
            ];
            for (shoe, foot, frame) in shoes {
                for &part in parts {
                    let p = shoe.part(part);
                    let taken = Point3::new(dice.about(p.x, 0.025), dice.about(p.y, 0.025), p.z + height);
                    for _ in 0..repeats {
                        if let Some(pixel) = f.click(frame as usize, taken, 1.0, dice) {
                            feet.push(FootMark {
                                id: "f".into(),
                                foot,
                                part,
                                view: f.view,
                                frame: frame as u32,
                                pixel,
                            });
                        }
                    }
                }
            }
            let frame = at(RELEASE_S);
            let taken =
                Point3::new(dice.about(self.hips.x, 0.05), dice.about(self.hips.y, 0.05), self.hips.z);
            if let Some(pixel) = f.click(frame as usize, taken, 1.0, dice) {
                hips.push(HipMark { id: "h".into(), view: f.view, frame: frame as u32, pixel });
            }
        }
        let target = Stand {
            point: Point2::new(dice.about(self.target.x, 0.15), dice.about(self.target.y, 0.15)),
            covariance: Covariance2::isotropic(0.15),
        };
        Marked { filmed, feet, hips, target, right_handed: self.right_handed }
    }
}

impl Marked {
    pub fn with_inputs<T>(&self, then: impl FnOnce(&FeetInputs<'_>) -> T) -> T {
        let views: Vec<_> = self.filmed.iter().map(Filmed::input).collect();
        then(&FeetInputs {
            feet: &self.feet,
            hips: &self.hips,
            views: &views,
            turf: Turf::new(field::RuleBook::College, 0.0),
            release_s: Estimate::new(RELEASE_S, 0.01),
            set_s: Some(Estimate::new(SET_S, 0.01)),
            target: Some(self.target),
            right_handed: self.right_handed,
        })
    }
}
