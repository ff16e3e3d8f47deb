use crate::PictureSize;
use crate::model::{Matrix8, Vector8};
use camera::{Aim, Pinhole, Station};
use field::RuleBook;
use geometry::Point3;
use nalgebra as na;

/// What is known of the camera before any click.
#[derive(Clone, Debug, PartialEq, Default)]
pub enum StationPrior {
    /// Nothing: either side, either end.
    #[default]
    Unknown,
    /// High along one of the sidelines.
    Sideline,
    /// Behind one of the end lines.
    EndZone,
    /// Solved before, from this game's other frames.
    Known(KnownStation),
    /// Moves: no fixed centre, a free homography per frame.
    Moving,
}

/// A station with its uncertainty.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct KnownStation {
    /// The station.
    pub station: Station,
    /// Covariance of centre x, y, z (yd) and k1, row-major.
    pub covariance: [f64; 16],
}

/// Standard deviation of the turn about the optical axis: tripods are levelled by eye. Common practice, no source.
const ROLL_SD: f64 = 2.0 * std::f64::consts::PI / 180.0;
/// Standard deviation of k1 for a film camera's zoom lens. Common practice, no source.
const K1_SD: f64 = 0.03;

/// Gaussian belief about the eight parameters; those without information are not believed at all.
#[derive(Clone, Debug)]
pub(crate) struct Belief {
    pub mean: Pinhole,
    pub information: Matrix8,
}

impl Belief {
    /// Gradient direction and cost: (`information * (mean - at)`, `½ dᵀ I d`).
    pub fn pull(&self, at: &Pinhole) -> (Vector8, f64) {
        let d = difference(&self.mean, at);
        let g = self.information * d;
        (g, 0.5 * d.dot(&g))
    }
}

/// `to - from` in the order of [`PARAMETERS`].
pub(crate) fn difference(to: &Pinhole, from: &Pinhole) -> Vector8 {
    let turn = std::f64::consts::TAU;
    let pan = to.aim.pan - from.aim.pan;
    let mut d = Vector8::zeros();
    d[0] = pan - turn * (pan / turn).round();
    d[1] = to.aim.tilt - from.aim.tilt;
    d[2] = to.aim.roll - from.aim.roll;
    d[3] = (to.aim.focal / from.aim.focal).ln();
    d.fixed_rows_mut::<3>(4).copy_from(&(to.station.centre.column() - from.station.centre.column()));
    d[7] = to.station.k1 - from.station.k1;
    d
}

/// A kind of place a camera may stand, with its belief and the places to start the search from.
pub(crate) struct Stand {
    pub belief: Belief,
    pub starts: Vec<Point3<geometry::frame::Field>>,
}

fn stand(centre: [f64; 3], sd: [f64; 3], starts: Vec<[f64; 3]>, size: PictureSize) -> Stand {
    let station = Station {
        centre: Point3::new(centre[0], centre[1], centre[2]),
        k1: 0.0,
        width: size.width,
        height: size.height,
    };
    let mut information = Matrix8::zeros();
    information[(2, 2)] = 1.0 / (ROLL_SD * ROLL_SD);
    for k in 0..3 {
        information[(4 + k, 4 + k)] = 1.0 / (sd[k] * sd[k]);
    }
    information[(7, 7)] = 1.0 / (K1_SD * K1_SD);
    let mean = Pinhole { station, aim: Aim { pan: 0.0, tilt: 0.0, roll: 0.0, focal: f64::from(size.width) } };
    Stand {
        belief: Belief { mean, information },
        starts: starts.into_iter().map(|s| Point3::new(s[0], s[1], s[2])).collect(),
    }
}

/// The stands a prior allows. Spreads are wide: they choose between mirror solutions and keep an ill-placed set of clicks
/// from flying off; what the clicks leave open shows in the covariance. Common practice, no source.
pub(crate) fn stands(prior: &StationPrior, size: PictureSize, book: RuleBook) -> Vec<Stand> {
    let (w, length) = (book.width(), book.length());
    let sidelines = || {
        [-1.0, 1.0].map(|side| {
            let y = |back: f64| if side < 0.0 { -back } else { w + back };
            let mut starts = Vec::new();
            for x in [0.2, 0.5, 0.8].map(|share| share * length) {
                for back in [12.0, 30.0, 60.0] {
                    for z in [8.0, 18.0, 32.0] {
                        starts.push([x, y(back), z]);
                    }
                }
            }
            stand([length / 2.0, y(35.0), 18.0], [25.0, 25.0, 10.0], starts, size)
        })
    };
    let ends = || {
        [-1.0, 1.0].map(|end| {
            let x =
                |back: f64| if end < 0.0 { -book.end_zone() - back } else { length + book.end_zone() + back };
            let mut starts = Vec::new();
            for back in [8.0, 20.0, 45.0] {
                for y in [w / 2.0 - 12.0, w / 2.0, w / 2.0 + 12.0] {
                    for z in [7.0, 13.0, 22.0] {
                        starts.push([x(back), y, z]);
                    }
                }
            }
            stand([x(22.0), w / 2.0, 13.0], [18.0, 12.0, 8.0], starts, size)
        })
    };
    match prior {
        StationPrior::Sideline => sidelines().into(),
        StationPrior::EndZone => ends().into(),
        StationPrior::Unknown => sidelines().into_iter().chain(ends()).collect(),
        StationPrior::Known(k) => vec![known(k, size)],
        StationPrior::Moving => Vec::new(),
    }
}

fn known(k: &KnownStation, size: PictureSize) -> Stand {
    // Solved perhaps from another copy, of another size.
    let station = Station { width: size.width, height: size.height, ..k.station };
    let mut information = Matrix8::zeros();
    information[(2, 2)] = 1.0 / (ROLL_SD * ROLL_SD);
    let c = na::Matrix4::from_row_slice(&k.covariance);
    // A floor keeps an exactly known station invertible: 0.1 mm and 1e-6.
    let floor = na::Matrix4::from_diagonal(&na::Vector4::new(1e-8, 1e-8, 1e-8, 1e-12));
    let i = (c + floor).try_inverse().unwrap_or_else(na::Matrix4::zeros);
    information.fixed_view_mut::<4, 4>(4, 4).copy_from(&i);
    let mean = Pinhole { station, aim: Aim { pan: 0.0, tilt: 0.0, roll: 0.0, focal: f64::from(size.width) } };
    Stand { belief: Belief { mean, information }, starts: vec![k.station.centre] }
}
