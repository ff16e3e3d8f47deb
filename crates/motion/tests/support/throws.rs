//! Invented throws, flown by a fixed-step Runge-Kutta 4 of their own in metres.

use super::Dice;
use super::cameras::{FPS, Filmed, Shoot};
use geometry::frame::{Field, Ground, Pixel};
use geometry::{Covariance2, Point2, Point3, Vector3};
use motion::Turf;
use motion::flight_fit::{BallObservation, FlightInputs, Stand, TimeMark};
use play::{Air, View};

pub struct Truth {
    pub release_s: f64,
    pub flight_s: f64,
    pub release: Point3<Field>,
    pub velocity: Vector3<Field>,
    pub arrival: Point3<Field>,
    pub apex_yd: f64,
    pub cd: f64,
    /// A place every millisecond.
    pub path: Vec<Point3<Field>>,
    pub passer: Point2<Ground>,
    pub catcher: Point2<Ground>,
}

const YD: f64 = 0.9144;

fn fly(p: Point3<Field>, v: Vector3<Field>, cd: f64, wind: [f64; 2], catch_z: f64) -> Vec<Point3<Field>> {
    let mut s = [p.x * YD, p.y * YD, p.z * YD, v.x * YD, v.y * YD, v.z * YD];
    let f = |s: [f64; 6]| {
        let r = [s[3] - wind[0] * YD, s[4] - wind[1] * YD, s[5]];
        let speed = (r[0] * r[0] + r[1] * r[1] + r[2] * r[2]).sqrt();
        let k = 1.225 * cd * 0.02291 / (2.0 * 0.411) * speed;
        [s[3], s[4], s[5], -k * r[0], -k * r[1], -9.80665 - k * r[2]]
    };
    let add = |a: [f64; 6], b: [f64; 6], h: f64| std::array::from_fn(|k| a[k] + h * b[k]);
    let h = 0.001;
    let mut path = vec![p];
    while path.len() < 6000 && !(s[5] < 0.0 && s[2] <= catch_z * YD) {
        let k1 = f(s);
        let k2 = f(add(s, k1, h / 2.0));
        let k3 = f(add(s, k2, h / 2.0));
        let k4 = f(add(s, k3, h));
        s = std::array::from_fn(|i| s[i] + h / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + k4[i]));
        path.push(Point3::new(s[0] / YD, s[1] / YD, s[2] / YD));
    }
    path
}

impl Truth {
    pub fn draw(dice: &mut Dice) -> Self {
        loop {
            let passer = Point2::new(dice.between(22.0, 34.0), dice.between(20.0, 33.0));
            let azimuth = dice.between(-0.75, 0.75);
            let mph = dice.between(38.0, 60.0);
            let launch = dice.between(4.0, 38.0f64).to_radians();
            let speed = mph * 1760.0 / 3600.0;
            let ahead = dice.about(0.35, 0.25);
            let aside = dice.about(0.0, 0.3);
            let (s, c) = azimuth.sin_cos();
            let release = Point3::new(
                passer.x + ahead * c - aside * s,
                passer.y + ahead * s + aside * c,
                dice.about(2.2, 0.2),
            );
            let velocity =
                Vector3::new(speed * launch.cos() * c, speed * launch.cos() * s, speed * launch.sin());
            let cd = dice.between(0.055, 0.14);
            let wind = [dice.about(0.0, 1.2), dice.about(0.0, 1.2)];
            let catch_z = dice.between(0.6, 2.3);
            let path = fly(release, velocity, cd, wind, catch_z);
            let arrival = *path.last().unwrap();
            let d = arrival.ground().distance(release.ground());
            if !(6.0..55.0).contains(&d) || !(1.0..52.0).contains(&arrival.y) {
                continue;
            }
            let catcher = Point2::new(dice.about(arrival.x, 0.35), dice.about(arrival.y, 0.35));
            return Self {
                release_s: dice.between(1.6, 3.0),
                flight_s: (path.len() - 1) as f64 * 0.001,
                apex_yd: path.iter().map(|p| p.z).fold(0.0, f64::max),
                release,
                velocity,
                arrival,
                cd,
                path,
                passer,
                catcher,
            };
        }
    }
    pub fn speed_mph(&self) -> f64 {
        self.velocity.norm() * 3600.0 / 1760.0
    }
    pub fn launch_deg(&self) -> f64 {
        (self.velocity.z / self.velocity.norm()).asin().to_degrees()
    }
    pub fn ball(&self, t_s: f64) -> Option<Point3<Field>> {
        let ms = (t_s - self.release_s) * 1000.0;
        if ms < 0.0 || ms > (self.path.len() - 1) as f64 {
            return None;
        }
        let k = (ms as usize).min(self.path.len() - 2);
        Some(self.path[k].lerp(self.path[k + 1], ms - k as f64))
    }
    pub fn film(&self, view: View, shoot: &Shoot, dice: &mut Dice) -> Filmed {
        let end = self.release_s + self.flight_s;
        let (a, b) = (self.passer.at_height(0.0), self.arrival.ground().at_height(0.0));
        let look = |t: f64| {
            let w = ((t - self.release_s) / self.flight_s).clamp(0.0, 1.0);
            let p = a.lerp(b, w);
            match view {
                View::Sideline => Point3::new(p.x + 6.0, 24.0, 0.0),
                View::EndZone => Point3::new(p.x.max(30.0), p.y, 0.0),
            }
        };
        Filmed::new(view, look, end + 0.5, shoot, dice)
    }
}

/// Marks of one throw, before cameras are tied to them.
pub struct Marks {
    pub balls: Vec<(View, usize, Point2<Pixel>)>,
    pub release: Vec<(View, f64)>,
    pub arrival: Vec<(View, f64)>,
}

/// A moment as marked: the nearest whole frame, judged with a quarter frame of error.
pub fn mark_moment(filmed: &Filmed, t: f64, dice: &mut Dice) -> f64 {
    dice.about(filmed.frame(t), 0.25).round()
}

/// Marks of `share` of the frames in which the ball flies, with clicks of `ball_px`.
pub fn mark(truth: &Truth, views: &[Filmed], ball_px: f64, share: f64, dice: &mut Dice) -> Marks {
    let mut m = Marks { balls: Vec::new(), release: Vec::new(), arrival: Vec::new() };
    for v in views {
        m.release.push((v.view, mark_moment(v, truth.release_s, dice)));
        m.arrival.push((v.view, mark_moment(v, truth.release_s + truth.flight_s, dice)));
        for f in 0..v.frames() {
            let Some(p) = truth.ball(v.time(f)) else { continue };
            if !dice.chance(share) {
                continue;
            }
            if let Some(q) = v.click(f, p, ball_px, dice) {
                m.balls.push((v.view, f, q));
            }
        }
    }
    m
}

/// The inputs of the fit from marks: what a caller would hand over.
pub fn with_inputs<T>(
    truth: &Truth,
    views: &[Filmed],
    marks: &Marks,
    catcher: bool,
    dice: &mut Dice,
    then: impl FnOnce(&FlightInputs<'_>) -> T,
) -> T {
    let of = |view: View| views.iter().find(|v| v.view == view).unwrap();
    let balls: Vec<BallObservation<'_>> = marks
        .balls
        .iter()
        .map(|&(view, frame, pixel)| BallObservation {
            view,
            t_s: of(view).clock().seconds(frame as f64),
            pixel,
            camera: of(view).estimates[frame].as_ref().unwrap(),
        })
        .collect();
    let time = |marks: &[(View, f64)]| -> Vec<TimeMark> {
        marks
            .iter()
            .map(|&(view, frame)| TimeMark {
                view,
                at_s: of(view).clock().seconds(frame),
                sd_s: (1.0f64 / 12.0 + 1.0 / 16.0).sqrt() / FPS,
                frame_s: 1.0 / FPS,
            })
            .collect()
    };
    let mut stand = |p: Point2<Ground>| Stand {
        point: Point2::new(dice.about(p.x, 0.08), dice.about(p.y, 0.08)),
        covariance: Covariance2::isotropic(0.08),
    };
    let air = Air::default();
    let (release, arrival) = (time(&marks.release), time(&marks.arrival));
    let passer = Some(stand(truth.passer));
    let catcher = catcher.then(|| stand(truth.catcher));
    then(&FlightInputs {
        air: &air,
        turf: Turf::new(field::RuleBook::College, 0.0),
        downfield: geometry::Vector2::new(1.0, 0.0),
        balls: &balls,
        release: &release,
        arrival: &arrival,
        passer,
        catcher,
    })
}
