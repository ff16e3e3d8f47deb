//! An invented play with everything that is measured of one, and its marks in both views.

use super::Dice;
use super::cameras::{Filmed, Shoot};
use super::throws::{Truth, mark, mark_moment};
use field::{Direction, RuleBook};
use geometry::frame::Ground;
use geometry::{Point2, Point3, Vector2};
use motion::Inputs;
use play::{
    Air, BallMark, Foot, FootMark, FootPart, Hash, HipMark, MomentKind, MomentMark, Person, PersonId,
    PersonMark, Role, Situation, Unit, View,
};

pub struct Play {
    pub truth: Truth,
    pub filmed: Vec<Filmed>,
    pub people: Vec<Person>,
    pub situation: Situation,
    pub air: Air,
    pub target: PersonId,
    pub moments: Vec<MomentMark>,
    pub persons: Vec<PersonMark>,
    pub balls: Vec<BallMark>,
    pub feet: Vec<FootMark>,
    pub hips: Vec<HipMark>,
    /// Receiver's velocity.
    pub run: Vector2<Ground>,
    /// Defender's place from the receiver's.
    pub shade: Vector2<Ground>,
    /// When the rusher is 1.5 yd from the passer, s.
    pub pressure_s: f64,
    rush: Vector2<Ground>,
    pub feet_error_deg: f64,
    back: Point2<Ground>,
    front: Point2<Ground>,
}

const RUSH_SPEED: f64 = 4.0;

impl Play {
    pub fn draw(seed: u64, views: &[View]) -> Self {
        let mut dice = Dice::new(700_000 + seed);
        let dice = &mut dice;
        let truth = Truth::draw(dice);
        let filmed: Vec<Filmed> = views.iter().map(|v| truth.film(*v, &Shoot::default(), dice)).collect();
        let run = Vector2::from_angle(dice.between(-1.4, 1.4)) * dice.between(4.0, 8.0);
        let shade = Vector2::from_angle(dice.between(-3.0, 3.0)) * dice.between(1.5, 4.0);
        let rush = Vector2::from_angle(dice.between(-0.8, 0.8));
        let pressure_s = truth.release_s - dice.between(0.1, 0.4);
        let feet_error_deg = dice.about(4.0, 8.0);
        let to = (truth.arrival.ground() - truth.passer).unit().unwrap();
        let line = to.rotated(feet_error_deg.to_radians());
        let (back, front) = (truth.passer - line * 0.4, truth.passer + line * 0.4);
        let person =
            |id: &str, unit, role| Person { id: id.into(), unit, role, shirt: None, name: String::new() };
        let people = vec![
            person(PersonId::PASSER, Unit::Offense, Role::Passer),
            person("L1", Unit::Offense, Role::Receiver { flank: play::Flank::Left, number: 1 }),
            person("D1", Unit::Defense, Role::Cover),
            person("D2", Unit::Defense, Role::Rusher),
        ];
        let situation = Situation {
            line_x: Some((truth.passer.x + 5.0).round()),
            hash: Some(Hash::Middle),
            direction: Some(Direction::Up),
            ..Situation::default()
        };
        let mut p = Self {
            truth,
            filmed,
            people,
            situation,
            air: Air::default(),
            target: "L1".into(),
            moments: Vec::new(),
            persons: Vec::new(),
            balls: Vec::new(),
            feet: Vec::new(),
            hips: Vec::new(),
            run,
            shade,
            pressure_s,
            rush,
            feet_error_deg,
            back,
            front,
        };
        p.mark_all(dice);
        p
    }

    pub fn arrival_s(&self) -> f64 {
        self.truth.release_s + self.truth.flight_s
    }

    /// Where a person stands: the receiver runs straight to where he is at arrival, the defender beside him.
    pub fn place(&self, person: &str, t: f64) -> Point2<Ground> {
        let receiver = self.truth.catcher + self.run * (t - self.arrival_s());
        match person {
            PersonId::PASSER => self.truth.passer,
            "L1" => receiver,
            "D1" => receiver + self.shade,
            _ => self.truth.passer + self.rush * (1.5 + RUSH_SPEED * (self.pressure_s - t)).max(0.6),
        }
    }

    fn mark_all(&mut self, dice: &mut Dice) {
        let ids = [PersonId::PASSER, "L1", "D1", "D2"];
        let mut marks = mark(&self.truth, &self.filmed, 1.0, 0.9, dice);
        self.balls = marks
            .balls
            .drain(..)
            .map(|(view, frame, pixel)| BallMark { id: "b".into(), view, frame: frame as u32, pixel })
            .collect();
        let moment = |moment, (view, frame): (View, f64)| MomentMark { id: "m".into(), moment, view, frame };
        self.moments.extend(marks.release.iter().map(|m| moment(MomentKind::Release, *m)));
        self.moments.extend(marks.arrival.iter().map(|m| moment(MomentKind::Arrival, *m)));
        let set_s = self.truth.release_s - 0.4;
        for f in &self.filmed {
            self.moments.push(moment(MomentKind::Set, (f.view, mark_moment(f, set_s, dice))));
            let end = f.frame(self.arrival_s()).round() as usize;
            for frame in (0..=end).filter(|k| (end - k).is_multiple_of(6) && f.time(*k) >= 0.0) {
                for id in ids {
                    // The passer is followed to the release, which is all that is asked of him.
                    let p = self.place(id, f.time(frame));
                    let seen = Point2::new(dice.about(p.x, 0.05), dice.about(p.y, 0.05));
                    if let Some(pixel) = f.click(frame, seen.at_height(0.0), 1.0, dice) {
                        let (id, person, frame) = ("p".into(), id.into(), frame as u32);
                        self.persons.push(PersonMark { id, person, view: f.view, frame, pixel });
                    }
                }
            }
            let release = marks.release.iter().find(|m| m.0 == f.view).unwrap().1 as usize;
            for (foot, place) in [(Foot::Back, self.back), (Foot::Front, self.front)] {
                let taken = Point2::new(dice.about(place.x, 0.025), dice.about(place.y, 0.025));
                for _ in 0..3 {
                    if let Some(pixel) = f.click(release, taken.at_height(0.08), 1.0, dice) {
                        let (id, frame) = ("f".into(), release as u32);
                        self.feet.push(FootMark {
                            id,
                            foot,
                            part: FootPart::Ankle,
                            view: f.view,
                            frame,
                            pixel,
                        });
                    }
                }
            }
            let hips: Point3<_> = self.back.lerp(self.front, 0.6).at_height(1.04);
            if let Some(pixel) = f.click(release, hips, 2.0, dice) {
                self.hips.push(HipMark { id: "h".into(), view: f.view, frame: release as u32, pixel });
            }
        }
    }

    pub fn with_inputs<T>(&self, then: impl FnOnce(&Inputs<'_>) -> T) -> T {
        let views: Vec<_> = self.filmed.iter().map(Filmed::input).collect();
        then(&Inputs {
            book: RuleBook::College,
            crown_yd: 0.0,
            air: &self.air,
            situation: &self.situation,
            right_handed: true,
            people: &self.people,
            target: Some(&self.target),
            moments: &self.moments,
            persons: &self.persons,
            balls: &self.balls,
            feet: &self.feet,
            hips: &self.hips,
            views: &views,
            result: None,
            given: motion::Given::default(),
        })
    }
}
