//! Small stages with known contents, for tests of the film.

use geometry::frame::Field;
use geometry::{Point3, Vector3};
use scrimmage::stage::{Actor, BallPose, Joint, Kit, Pose, Role, Stage};

/// Perhaps a ball in steady flight, perhaps one person standing still.
pub struct Sparse {
    pub ball: Option<(Point3<Field>, Vector3<Field>)>,
    pub person: Option<Point3<Field>>,
    pub aim: Point3<Field>,
    pub width: f64,
    pub pan_speed: f64,
    pub actors: Vec<Actor>,
}

impl Sparse {
    pub fn empty(aim: Point3<Field>, width: f64) -> Self {
        Self { ball: None, person: None, aim, width, pan_speed: 0.0, actors: Vec::new() }
    }
    #[allow(dead_code, reason = "not every test has a person")]
    pub fn with_person(mut self, feet: Point3<Field>, number: Option<u8>) -> Self {
        let kit = Kit {
            shirt: [240, 240, 240],
            number: [20, 20, 20],
            trousers: [240, 240, 240],
            helmet: [240, 240, 240],
            striped: false,
        };
        self.person = Some(feet);
        self.actors.push(Actor { id: "one".into(), role: Role::Offense, number, kit, stature: 73.0 / 36.0 });
        self
    }
}

/// A person upright, facing +x, as fractions of stature (Drillis & Contini 1966 by way of Winter, docs/sources.md).
pub fn upright(feet: Point3<Field>, stature: f64) -> Pose {
    let at = |left: f64, up: f64| Point3::new(feet.x, feet.y + left * stature, feet.z + up * stature);
    let mut joints = [feet; Joint::COUNT];
    joints[Joint::Head as usize] = at(0.0, 0.93);
    joints[Joint::Neck as usize] = at(0.0, 0.845);
    for (s, group) in [
        (
            1.0,
            [
                Joint::ShoulderLeft,
                Joint::ElbowLeft,
                Joint::WristLeft,
                Joint::HipLeft,
                Joint::KneeLeft,
                Joint::AnkleLeft,
                Joint::HeelLeft,
                Joint::ToeLeft,
            ],
        ),
        (
            -1.0,
            [
                Joint::ShoulderRight,
                Joint::ElbowRight,
                Joint::WristRight,
                Joint::HipRight,
                Joint::KneeRight,
                Joint::AnkleRight,
                Joint::HeelRight,
                Joint::ToeRight,
            ],
        ),
    ] {
        for (j, (left, up)) in group.into_iter().zip([
            (0.115, 0.818),
            (0.15, 0.64),
            (0.15, 0.5),
            (0.05, 0.53),
            (0.06, 0.285),
            (0.07, 0.039),
            (0.07, 0.01),
            (0.07, 0.01),
        ]) {
            joints[j as usize] = at(s * left, up);
        }
    }
    Pose { joints }
}

impl Stage for Sparse {
    fn actors(&self) -> &[Actor] {
        &self.actors
    }
    fn pose(&self, _: usize, _: f64) -> Pose {
        upright(self.person.expect("a person was placed"), 73.0 / 36.0)
    }
    fn ball(&self, t: f64) -> Option<BallPose> {
        let (p, v) = self.ball?;
        Some(BallPose {
            centre: p + v * t,
            axis: v.unit().unwrap_or(Vector3::new(1.0, 0.0, 0.0)),
            spin: 60.0 * t,
        })
    }
    fn span(&self) -> (f64, f64) {
        (-3.0, 3.0)
    }
    fn operator_aim(&self, t: f64) -> (Point3<Field>, f64) {
        (self.aim + Vector3::new(self.pan_speed * t, 0.0, 0.0), self.width)
    }
}
