use super::adjust::{GameAdjustment, GameSettings, adjust_game};
use super::evidence::{FrameEvidence, turned};
use crate::model::Matrix8;
use crate::prior::KnownStation;
use crate::solve::row_major;
use camera::{CameraEstimate, FieldCamera, Pinhole};
use field::RuleBook;
use geometry::Point3;
use nalgebra as na;

/// Whether a clip's camera stood still.
#[derive(Clone, Debug, PartialEq)]
pub struct OneCentre {
    /// All frames with one centre.
    pub shared: GameAdjustment,
    /// Twice the gain in cost when every frame may have a centre of its own, less what the frames scatter by themselves: chi-square of
    /// `freedom` degrees if it stood still.
    pub excess: f64,
    /// Degrees of freedom of the excess.
    pub freedom: f64,
}

impl OneCentre {
    /// Whether one centre explains the frames: Wilson & Hilferty's chi-square quantile at five standard deviations, half as much again
    /// for the grass that neighbouring frames share.
    pub fn holds(&self) -> bool {
        let a = 2.0 / (9.0 * self.freedom.max(1.0));
        let limit = self.freedom.max(1.0) * (1.0 - a + 5.0 * a.sqrt()).powi(3) * 1.5;
        self.excess <= limit
    }
}

/// Tests whether the frames of a clip have one centre. Moving cameras want a free homography per frame.
pub fn one_centre(frames: &[FrameEvidence], settings: &GameSettings) -> Option<OneCentre> {
    let shared = adjust_game(frames, settings)?;
    // A frame by itself knows its centre only along with its zoom; what it may not leave is the ground around the field.
    let loose = KnownStation {
        station: shared.station.station,
        covariance: {
            let mut c = [0.0; 16];
            for (k, sd) in [20.0, 20.0, 10.0, 0.03].into_iter().enumerate() {
                c[5 * k] = sd * sd;
            }
            c
        },
    };
    let crown = (shared.crown.0, 0.0);
    let alone = GameSettings { station: Some(loose), crown, ..settings.clone() };
    let tied = GameSettings {
        station: Some(KnownStation { covariance: [0.0; 16], ..shared.station.clone() }),
        crown,
        ..settings.clone()
    };
    // With the paint where all frames together put it: free paint would take the blame for a moving camera.
    let on = |f: &FrameEvidence, settings: &GameSettings| {
        super::adjust::adjust_on(std::slice::from_ref(f), settings, &shared.painted, shared.paint_sd)
    };
    let (mut excess, mut noise) = (0.0, 0.0);
    for f in frames {
        let own = on(f, &alone)?;
        excess += 2.0 * (on(f, &tied)?.cost - own.cost).max(0.0);
        noise += own.variance_factor / frames.len() as f64;
    }
    let freedom = 4.0 * (frames.len() as f64 - 1.0);
    Some(OneCentre { shared, excess: excess / noise.max(1.0), freedom })
}

/// A frame's camera as it is when the station is known better: the aim that goes with that station by the frame's own covariance,
/// whose uncertainty shrinks to what the station leaves. Exact where the frame's errors are Gaussian. Homographies stay as they are.
pub fn refit(estimate: &CameraEstimate, known: &KnownStation) -> CameraEstimate {
    let FieldCamera::Pinhole(p) = &estimate.camera else { return estimate.clone() };
    let c: Matrix8 = estimate.parameter_covariance();
    let aim: na::Matrix4<f64> = c.fixed_view::<4, 4>(0, 0).into_owned();
    let cross: na::Matrix4<f64> = c.fixed_view::<4, 4>(0, 4).into_owned();
    let own: na::Matrix4<f64> = c.fixed_view::<4, 4>(4, 4).into_owned();
    let floor = na::Matrix4::from_diagonal(&na::Vector4::new(1e-10, 1e-10, 1e-10, 1e-14));
    let Some(inverse) = (own + floor).try_inverse() else { return estimate.clone() };
    let gain = cross * inverse;
    let moved = na::Vector4::new(
        known.station.centre.x - p.station.centre.x,
        known.station.centre.y - p.station.centre.y,
        known.station.centre.z - p.station.centre.z,
        known.station.k1 - p.station.k1,
    );
    let turn = gain * moved;
    let mut out = *p;
    out.aim.pan += turn[0];
    out.aim.tilt += turn[1];
    out.aim.roll += turn[2];
    out.aim.focal *= turn[3].exp();
    let s = known.station.centre;
    out.station.centre = Point3::new(s.x, s.y, s.z);
    out.station.k1 = known.station.k1;
    let station = na::Matrix4::from_row_slice(&known.covariance);
    let inner = aim - gain * cross.transpose() + gain * station * gain.transpose();
    let outer = gain * station;
    let mut covariance = Matrix8::zeros();
    covariance.fixed_view_mut::<4, 4>(0, 0).copy_from(&(0.5 * (inner + inner.transpose())));
    covariance.fixed_view_mut::<4, 4>(0, 4).copy_from(&outer);
    covariance.fixed_view_mut::<4, 4>(4, 0).copy_from(&outer.transpose());
    covariance.fixed_view_mut::<4, 4>(4, 4).copy_from(&station);
    CameraEstimate {
        camera: FieldCamera::Pinhole(out),
        covariance: row_major(&covariance),
        quality: estimate.quality,
    }
}

/// The same picture read as if everything lay `yards` farther along the field.
pub fn shifted_along(estimate: &CameraEstimate, yards: f64) -> CameraEstimate {
    let mut out = estimate.clone();
    match &mut out.camera {
        FieldCamera::Pinhole(p) => p.station.centre.x += yards,
        FieldCamera::Plane { pixel_from_ground: h } => {
            // h (x + yards) is the old place of the new x: the last column takes the shift back.
            for row in 0..3 {
                h[3 * row + 2] -= yards * h[3 * row];
            }
        }
    }
    out
}

/// The same picture read from the other side of the field.
pub fn turned_round(estimate: &CameraEstimate, book: RuleBook) -> CameraEstimate {
    let mut out = estimate.clone();
    match &mut out.camera {
        FieldCamera::Pinhole(p) => {
            *p = turned(p, book);
            // The centre's x and y change sign, and so do their covariances with everything else.
            let mut c: Matrix8 = estimate.parameter_covariance();
            for k in [4, 5] {
                c.row_mut(k).neg_mut();
                c.column_mut(k).neg_mut();
            }
            out.covariance = row_major(&c);
        }
        FieldCamera::Plane { pixel_from_ground: h } => {
            for row in 0..3 {
                let (a, b) = (h[3 * row], h[3 * row + 1]);
                h[3 * row + 2] += 100.0 * a + book.width() * b;
                (h[3 * row], h[3 * row + 1]) = (-a, -b);
            }
        }
    }
    out
}

/// The free homography that shows the ground as this camera does, known to `sd_px` px: where to start following a camera that moves.
/// `None` for one that has no centre already.
pub fn freed(estimate: &CameraEstimate, sd_px: f64) -> Option<CameraEstimate> {
    let FieldCamera::Pinhole(p) = &estimate.camera else { return None };
    let (w, h) = (f64::from(p.station.width), f64::from(p.station.height));
    let rigid = Pinhole { station: camera::Station { k1: 0.0, ..p.station }, ..*p };
    let corners = [(0.1, 0.55), (0.9, 0.55), (0.1, 0.95), (0.9, 0.95)];
    let pixels = corners.map(|(u, v)| geometry::Point2::new(u * w, v * h));
    let ground = pixels.map(|q| rigid.ground_from_pixel(q, 0.0));
    let [Some(a), Some(b), Some(c), Some(d)] = ground else { return None };
    let pairs = [(a, pixels[0]), (b, pixels[1]), (c, pixels[2]), (d, pixels[3])];
    let map = geometry::Homography::from_pairs(&pairs).ok()?;
    let plane = crate::model::PlaneModel::new(map, p.station.width, p.station.height);
    let step = (sd_px / plane.half.x).powi(2);
    let covariance = plane.entry_covariance(&(Matrix8::identity() * step));
    Some(CameraEstimate {
        camera: FieldCamera::plane(geometry::Homography::from_matrix(plane.h)),
        covariance: row_major(&covariance),
        quality: estimate.quality,
    })
}

/// How far two cameras' ideas of the ground differ, yd RMS over the picture's lower part.
pub(crate) fn disagreement(a: &Pinhole, b: &Pinhole) -> f64 {
    let (w, h) = (f64::from(a.station.width), f64::from(a.station.height));
    let (mut sum, mut n) = (0.0, 0.0);
    for (u, v) in [(0.2, 0.6), (0.5, 0.6), (0.8, 0.6), (0.2, 0.85), (0.5, 0.85), (0.8, 0.85)] {
        let p = geometry::Point2::new(u * w, v * h);
        if let (Some(x), Some(y)) = (a.ground_from_pixel(p, 0.0), b.ground_from_pixel(p, 0.0)) {
            sum += x.distance(y).powi(2);
            n += 1.0;
        }
    }
    if n > 0.0 { f64::sqrt(sum / n) } else { f64::INFINITY }
}
