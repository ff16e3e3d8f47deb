//! Sightings placed on the ground.

use super::Dress;
use crate::ground::{Footing, Turf, ViewInput};
use crate::tracks::{GroundObservation, Origin};
use geometry::frame::{Ground, Pixel};
use geometry::{Covariance2, Point2, Vector2};
use play::{Sighted, SightedFrame, View};

/// Somebody seen in a frame, on the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Film frame.
    pub frame: u32,
    /// Place, instant and view.
    pub at: GroundObservation,
    /// What he wears.
    pub dress: Dress,
    /// Share of him that nobody hid.
    pub seen: f64,
    /// Where his place goes when what was taken for the ground lies higher, yd per yd.
    pub by_height: Vector2<Ground>,
}

/// One view's spots.
#[derive(Clone, Debug)]
pub struct SpottedView {
    /// Which view.
    pub view: View,
    /// Per frame: seconds from the snap and who was seen.
    pub frames: Vec<(f64, Vec<Spot>)>,
}

/// Errors of found feet beyond those of the picture, each a standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SightErrors {
    /// Of the point under the body's middle against the hips over the gait, yd in each direction: a runner's legs swing and
    /// his trunk leans.
    pub gait_yd: f64,
    /// How far below the middle of the feet the lowest seen point of a body lies, in body heights of the picture: the
    /// nearer foot and its toe.
    pub below: f64,
    /// What all sightings of a man in one view share (his build, how he stands), in body heights along the upright.
    pub build: f64,
}

impl Default for SightErrors {
    fn default() -> Self {
        Self { gait_yd: 0.08, below: 0.0, build: 0.02 }
    }
}

/// Places a view's sightings on the ground. Frames without a trusted camera give none.
pub fn spots(
    frames: &[SightedFrame],
    view: &ViewInput<'_>,
    turf: &Turf,
    errors: &SightErrors,
) -> SpottedView {
    let place = |frame: u32, s: &Sighted| {
        let camera = view.camera(frame)?;
        let tall = f64::from(s.height_px);
        let foot = Point2::<Pixel>::new(s.foot.x, s.foot.y - errors.below * tall);
        let footing = Footing::new(camera, foot, 0.0, turf)?;
        let noise = s.foot_covariance.through(footing.by_pixel);
        let build = Covariance2 { xx: 0.0, xy: 0.0, yy: (errors.build * tall).powi(2) };
        Some(Spot {
            frame,
            at: GroundObservation {
                view: view.view,
                t_s: view.clock.seconds(f64::from(frame)),
                position: footing.point,
                velocity: None,
                noise: noise.plus(Covariance2::isotropic(errors.gait_yd)),
                common: footing.standing(camera).plus(build.through(footing.by_pixel)),
                origin: Origin::Found,
            },
            dress: Dress::new(&s.shirt, &s.trousers),
            seen: f64::from(s.seen),
            by_height: Vector2::new(footing.by_height[0], footing.by_height[1]),
        })
    };
    let frames = frames
        .iter()
        .map(|f| {
            let spots = f.bodies.iter().filter_map(|s| place(f.frame, s)).collect();
            (view.clock.seconds(f64::from(f.frame)), spots)
        })
        .collect();
    SpottedView { view: view.view, frames }
}

/// A body's outline errs alike for about this long: a stride, or somebody passing before it, s.
const ALIKE_S: f64 = 0.8;
/// Least time between frames that is counted, s.
const SHORTEST_S: f64 = 0.01;

/// Observations whose noise is widened so that sightings of one view within [`ALIKE_S`] count as one.
pub(super) fn independent(spots: &[Spot]) -> Vec<GroundObservation> {
    spots
        .iter()
        .enumerate()
        .map(|(k, s)| {
            let around = |range: &[Spot]| {
                range
                    .iter()
                    .filter(|o| o.at.view == s.at.view && (o.at.t_s - s.at.t_s).abs() < ALIKE_S / 2.0)
                    .count()
            };
            // Two views hold at most this many sightings each in the time.
            let reach = (2.0 * ALIKE_S / SHORTEST_S) as usize;
            let near = &spots[k.saturating_sub(reach)..(k + reach).min(spots.len())];
            let n = around(near).max(1) as f64;
            let wide = |v: f64| v * n;
            let c = s.at.noise;
            let noise = Covariance2 { xx: wide(c.xx), xy: wide(c.xy), yy: wide(c.yy) };
            let position = s.at.position + s.by_height * lift(s.at.view, pace(near, s.at.t_s));
            GroundObservation { noise, position, ..s.at }
        })
        .collect()
}

/// Speed at `t` by a straight line through the sightings around it, yd/s; 0 where they are too few to tell.
pub(super) fn pace(spots: &[Spot], t: f64) -> f64 {
    let near = || spots.iter().map(|s| &s.at).filter(|o| (o.t_s - t).abs() < ALIKE_S / 2.0);
    let n = near().count() as f64;
    let mean = |of: &dyn Fn(&GroundObservation) -> f64| near().map(of).sum::<f64>() / n.max(1.0);
    let (mt, mx, my) = (mean(&|o| o.t_s), mean(&|o| o.position.x), mean(&|o| o.position.y));
    let wide = mean(&|o| (o.t_s - mt).powi(2));
    if wide < (ALIKE_S / 8.0).powi(2) {
        return 0.0;
    }
    let slope = |of: &dyn Fn(&GroundObservation) -> f64| mean(of) / wide;
    slope(&|o| (o.t_s - mt) * (o.position.x - mx)).hypot(slope(&|o| (o.t_s - mt) * (o.position.y - my)))
}

/// How far above the ground the lowest that shows of somebody lies on average, yd: a runner's feet leave it and blur, and of
/// one who stands the nearer foot shows below the hips. Fitted to invented film that no figure uses, by view: the smaller
/// picture of the sideline loses more.
fn lift(view: View, speed: f64) -> f64 {
    let (standing, per_speed) = match view {
        View::Sideline => (-0.035, 0.022),
        View::EndZone => (-0.003, 0.007),
    };
    standing + per_speed * speed.min(FASTEST)
}

/// Speed beyond which a runner's feet are lost no more often, yd/s.
const FASTEST: f64 = 6.0;
