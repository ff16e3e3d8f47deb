//! Two cameras as models.md describes them: a sideline camera 37 m back and 20 m up framing 38 yards, and an end-zone
//! camera 20 m behind the end line and 12 m up framing 27 yards, 1280x720 at 30 frames per second.

use super::Dice;
use camera::{Aim, CameraEstimate, FieldCamera, FrameQuality, PARAMETERS, Pinhole, Station};
use geometry::frame::{Field, Pixel};
use geometry::{Point2, Point3};
use motion::ViewInput;
use nalgebra as na;
use play::{View, ViewClock};
use units::{FrameTable, Rate, yards_from_metres};

pub const WIDTH: u32 = 1280;
pub const HEIGHT: u32 = 720;
pub const FPS: f64 = 30.0;

pub fn station(view: View, scale: u32) -> Station {
    let centre = match view {
        View::Sideline => Point3::new(45.0, -yards_from_metres(37.0), yards_from_metres(20.0)),
        View::EndZone => Point3::new(-10.0 - yards_from_metres(20.0), 26.0, yards_from_metres(12.0)),
    };
    Station { centre, k1: 0.0, width: WIDTH * scale / 2, height: HEIGHT * scale / 2 }
}

/// One filmed view: true cameras, what a line-up made of them, and a clock with the error of its snap mark.
pub struct Filmed {
    pub view: View,
    pub truth: Vec<Pinhole>,
    pub estimates: Vec<Option<CameraEstimate>>,
    table: FrameTable,
    /// Film frame of the snap as marked.
    marked_snap: f64,
    /// Film frame of the snap in truth.
    true_snap: f64,
}

pub struct Shoot {
    /// Standard deviation of a landmark in the line-up, px; 0 gives exact cameras.
    pub landmark_px: f64,
    /// Standard deviation of the snap mark, s.
    pub snap_sd_s: f64,
    /// 2 for 720 lines, 3 for 1080.
    pub scale: u32,
}

impl Default for Shoot {
    fn default() -> Self {
        Self { landmark_px: 0.5, snap_sd_s: 1.0 / 90.0 / std::f64::consts::SQRT_2, scale: 2 }
    }
}

impl Filmed {
    /// Films `seconds` from the snap with the camera following `look(t)`.
    pub fn new(
        view: View,
        look: impl Fn(f64) -> Point3<Field>,
        seconds: f64,
        shoot: &Shoot,
        dice: &mut Dice,
    ) -> Self {
        let true_snap = dice.between(10.0, 20.0);
        let frames = (true_snap + seconds * FPS).ceil() as usize + 5;
        let time = |f: usize| (f as f64 - true_snap) / FPS;
        let station = station(view, shoot.scale);
        let span = match view {
            View::Sideline => 38.0,
            View::EndZone => 27.0,
        };
        let focal = f64::from(station.width) * (look(0.0) - station.centre).norm() / span;
        let truth: Vec<Pinhole> =
            (0..frames).map(|f| Pinhole::looking_at(station, look(time(f)), focal)).collect();
        // One line-up carries through the clip: its error is common; following adds a little from frame to frame.
        let covariance = line_up_covariance(&truth[frames / 2], shoot.landmark_px);
        let common = draw(&covariance, dice);
        let jitter = 0.15 / focal * f64::from(u8::from(shoot.landmark_px > 0.0));
        let estimates = truth
            .iter()
            .map(|c| {
                let mut step = common;
                for k in 0..2 {
                    step[k] += jitter * dice.normal();
                }
                Some(CameraEstimate {
                    camera: FieldCamera::Pinhole(c.stepped(&step)),
                    covariance: covariance.iter().copied().collect(),
                    quality: FrameQuality { rms_px: 0.5, evidence: 60, coverage: 0.9, trusted: true },
                })
            })
            .collect();
        let rate = Rate::new(30, 1).unwrap();
        let table = FrameTable::new(rate, (0..frames as i64).collect()).unwrap();
        let marked_snap =
            (true_snap + dice.about(0.0, shoot.snap_sd_s * FPS)).clamp(0.0, frames as f64 - 1.0);
        Self { view, truth, estimates, table, marked_snap, true_snap }
    }
    pub fn clock(&self) -> ViewClock<'_> {
        ViewClock::new(&self.table, self.marked_snap).unwrap()
    }
    pub fn input(&self) -> ViewInput<'_> {
        ViewInput { view: self.view, clock: self.clock(), cameras: &self.estimates, first_frame: 0 }
    }
    pub fn frames(&self) -> usize {
        self.truth.len()
    }
    /// True time of a frame, s from the snap.
    pub fn time(&self, frame: usize) -> f64 {
        (frame as f64 - self.true_snap) / FPS
    }
    /// True fractional frame of a time.
    pub fn frame(&self, t: f64) -> f64 {
        t * FPS + self.true_snap
    }
    /// A click on a point, with an error of `sd` px; `None` outside the picture.
    pub fn click(&self, frame: usize, p: Point3<Field>, sd: f64, dice: &mut Dice) -> Option<Point2<Pixel>> {
        let c = self.truth.get(frame)?;
        let q = c.pixel_from_field(p)?;
        let (w, h) = (f64::from(c.station.width), f64::from(c.station.height));
        ((0.0..w).contains(&q.x) && (0.0..h).contains(&q.y))
            .then(|| Point2::new(dice.about(q.x, sd), dice.about(q.y, sd)))
    }
}

/// Covariance of a line-up from the crossings of yard lines with sidelines and inbounds lines in the picture, with the
/// station known beforehand to a yard.
fn line_up_covariance(c: &Pinhole, px: f64) -> na::SMatrix<f64, PARAMETERS, PARAMETERS> {
    if px == 0.0 {
        return na::SMatrix::zeros();
    }
    let mut information = na::SMatrix::<f64, PARAMETERS, PARAMETERS>::zeros();
    for (k, sd) in [1.0, 1.0, 0.1, 1.0, 1.0, 1.0, 1.0, 0.02].into_iter().enumerate() {
        information[(k, k)] = 1.0 / (sd * sd);
    }
    let (w, h) = (f64::from(c.station.width), f64::from(c.station.height));
    for line in 0..=20 {
        for y in [0.0, 20.0, 33.333, 53.333] {
            let p = Point3::new(f64::from(line) * 5.0, y, 0.0);
            let Some(q) = c.pixel_from_field(p) else { continue };
            if (0.0..w).contains(&q.x) && (0.0..h).contains(&q.y) {
                let j = c.jacobians(p).unwrap().0;
                information += j.transpose() * j / (px * px);
            }
        }
    }
    information.try_inverse().unwrap()
}

fn draw(c: &na::SMatrix<f64, PARAMETERS, PARAMETERS>, dice: &mut Dice) -> na::SVector<f64, PARAMETERS> {
    let e = c.symmetric_eigen();
    let z = na::SVector::<f64, PARAMETERS>::from_fn(|k, _| e.eigenvalues[k].max(0.0).sqrt() * dice.normal());
    e.eigenvectors * z
}

pub fn aim_at(station: Station, target: Point3<Field>, focal: f64) -> Aim {
    Pinhole::looking_at(station, target, focal).aim
}
