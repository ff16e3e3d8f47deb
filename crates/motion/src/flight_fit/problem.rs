use super::{BallObservation, FlightInputs, FlightPriors, Stand, TimeMark};
use crate::flight::{Flight, FlightModel};
use crate::least_squares::Rows;
use camera::{PARAMETERS, Pinhole};
use geometry::frame::Field;
use geometry::{Covariance2, Point3, Vector3};
use nalgebra as na;
use play::View;
use stats::Estimate;

// Parameters in order.
pub(super) const RELEASE_S: usize = 0;
pub(super) const PLACE: usize = 1;
pub(super) const VELOCITY: usize = 4;
pub(super) const FLIGHT_S: usize = 7;
const DRAG: usize = 8;
const WIND: usize = 9;
pub(super) const SYNC: usize = 11;
/// How many describe the throw itself; the rest are the cameras'.
pub(super) const THROW: usize = 12;
pub(super) const ALL: usize = THROW + 2 * PARAMETERS;

pub(super) type Parameters = na::DVector<f64>;

/// A ball observation through a camera that sees heights.
#[derive(Clone, Copy)]
pub(super) struct Sighting<'a> {
    /// Index among the caller's observations.
    pub(super) index: usize,
    pub(super) ball: &'a BallObservation<'a>,
    pub(super) camera: &'a Pinhole,
}

/// The least-squares problem of one throw.
pub(super) struct Problem<'a> {
    pub(super) inputs: &'a FlightInputs<'a>,
    pub(super) priors: FlightPriors,
    pub(super) sightings: Vec<Sighting<'a>>,
    /// The release marks, or what they come to.
    pub(super) release: Vec<TimeMark>,
    /// The arrival marks, what stands in for them, or what they come to.
    pub(super) arrival: Vec<TimeMark>,
    /// The view whose clock counts.
    pub(super) reference: View,
    /// Drag of this air for a coefficient of one, 1/yd.
    pub(super) unit_drag: f64,
    /// Square roots of the cameras' covariances, sideline then end zone.
    pub(super) camera_roots: [na::SMatrix<f64, PARAMETERS, PARAMETERS>; 2],
    /// Whether the catcher's feet count.
    pub(super) use_catcher: bool,
    /// Standard deviation of a ball mark, px.
    pub(super) ball_px: f64,
}

pub(super) fn view_index(view: View) -> usize {
    match view {
        View::Sideline => 0,
        View::EndZone => 1,
    }
}

/// A flight with its derivatives by launch velocity and drag coefficient, by differences of the smooth integrator.
struct Sensitive {
    flight: Flight,
    by_velocity: [Flight; 3],
    by_drag: Flight,
}

/// Place, velocity, and derivatives of the place by the throw's parameters.
struct Instant {
    p: Point3<Field>,
    v: na::Vector3<f64>,
    by: na::SMatrix<f64, 3, THROW>,
}

const VELOCITY_STEP: f64 = 1e-4;
const DRAG_STEP: f64 = 1e-5;

impl Problem<'_> {
    pub(super) fn model(&self, x: &Parameters) -> FlightModel {
        FlightModel { drag_per_yd: self.unit_drag * x[DRAG], wind: Vector3::new(x[WIND], x[WIND + 1], 0.0) }
    }

    fn sensitive(&self, x: &Parameters, until: f64) -> Sensitive {
        let place = Point3::new(x[PLACE], x[PLACE + 1], x[PLACE + 2]);
        let velocity = na::Vector3::new(x[VELOCITY], x[VELOCITY + 1], x[VELOCITY + 2]);
        let model = self.model(x);
        let fly = |m: &FlightModel, v| Flight::new(m, place, Vector3::from_column(v), until);
        Sensitive {
            flight: fly(&model, velocity),
            by_velocity: std::array::from_fn(|k| {
                let mut v = velocity;
                v[k] += VELOCITY_STEP;
                fly(&model, v)
            }),
            by_drag: fly(
                &FlightModel { drag_per_yd: model.drag_per_yd + self.unit_drag * DRAG_STEP, ..model },
                velocity,
            ),
        }
    }

    fn instant(&self, s: &Sensitive, t: f64) -> Instant {
        let (p, v) = s.flight.at(t);
        let v = v.column();
        let mut by = na::SMatrix::<f64, 3, THROW>::zeros();
        let eye = na::Matrix3::identity();
        by.fixed_view_mut::<3, 3>(0, PLACE).copy_from(&eye);
        for k in 0..3 {
            let d = (s.by_velocity[k].at(t).0 - p).column() / VELOCITY_STEP;
            by.set_column(VELOCITY + k, &d);
            if k < 2 {
                // A wind is a moving frame: the launch seen from it loses the wind, the frame drifts with it.
                by.set_column(WIND + k, &(eye.column(k) * t - d));
            }
        }
        by.set_column(DRAG, &((s.by_drag.at(t).0 - p).column() / DRAG_STEP));
        Instant { p, v, by }
    }

    pub(super) fn offset(&self, x: &Parameters, view: View) -> f64 {
        if view == self.reference { 0.0 } else { x[SYNC] }
    }

    /// Residuals and derivatives; `weights` one per sighting, 0 leaves it out. `None` where a mark cannot be seen or the
    /// throw is none.
    pub(super) fn rows(&self, x: &Parameters, weights: &[f64]) -> Option<Rows> {
        if x[DRAG] < 0.005 || x[FLIGHT_S] < 0.05 || x.iter().any(|v| !v.is_finite()) || x[FLIGHT_S] > 15.0 {
            return None;
        }
        let mut rows = Rows::new(ALL);
        let after = |s: &Sighting<'_>| s.ball.t_s - self.offset(x, s.ball.view) - x[RELEASE_S];
        let until = self.sightings.iter().map(after).fold(x[FLIGHT_S], f64::max).clamp(0.1, 20.0);
        let flight = self.sensitive(x, until);
        for (s, &w) in self.sightings.iter().zip(weights) {
            if w > 0.0 {
                self.sighting(&mut rows, x, &flight, s, after(s), w.sqrt() / self.ball_px)?;
            }
        }
        self.times(&mut rows, x);
        self.release(&mut rows, x);
        self.arrival(&mut rows, &self.instant(&flight, x[FLIGHT_S]));
        let p = &self.priors;
        rows.push((x[DRAG] - p.drag.value) / p.drag.se, [(DRAG, 1.0 / p.drag.se)]);
        let (wind, sd) = match self.inputs.air.wind {
            Some(w) => (w, p.known_wind_ydps),
            None => ([0.0; 2], p.unknown_wind_ydps),
        };
        for k in 0..2 {
            rows.push((x[WIND + k] - wind[k]) / sd, [(WIND + k, 1.0 / sd)]);
        }
        rows.push(x[SYNC] / p.sync_s, [(SYNC, 1.0 / p.sync_s)]);
        for k in THROW..ALL {
            rows.push(x[k], [(k, 1.0)]);
        }
        Some(rows)
    }

    fn sighting(
        &self,
        rows: &mut Rows,
        x: &Parameters,
        flight: &Sensitive,
        s: &Sighting<'_>,
        t: f64,
        weight: f64,
    ) -> Option<()> {
        let i = self.instant(flight, t);
        let view = view_index(s.ball.view);
        let first = THROW + view * PARAMETERS;
        let root = &self.camera_roots[view];
        let z = x.fixed_rows::<PARAMETERS>(first).into_owned();
        let camera = s.camera.stepped(&(root * z));
        let q = camera.pixel_from_field(i.p)?;
        let (by_camera, by_point) = camera.jacobians(i.p)?;
        let by_throw = by_point * i.by;
        let by_z = by_camera * root;
        let by_time = -(by_point * i.v);
        for (row, miss) in [q.x - s.ball.pixel.x, q.y - s.ball.pixel.y].into_iter().enumerate() {
            let throw = (0..THROW).map(|k| (k, by_throw[(row, k)] * weight));
            let cameras = (0..PARAMETERS).map(|k| (first + k, by_z[(row, k)] * weight));
            let late = by_time[row] * weight;
            let sync = if s.ball.view == self.reference { 0.0 } else { late };
            rows.push(miss * weight, throw.chain(cameras).chain([(RELEASE_S, late), (SYNC, sync)]));
        }
        Some(())
    }

    fn times(&self, rows: &mut Rows, x: &Parameters) {
        let marks = self.release.iter().map(|m| (m, 0.0));
        for (m, flying) in marks.chain(self.arrival.iter().map(|m| (m, 1.0))) {
            let own = if m.view == self.reference { 0.0 } else { 1.0 };
            let miss = x[RELEASE_S] + flying * x[FLIGHT_S] + own * x[SYNC] - m.at_s;
            rows.push(
                miss / m.sd_s,
                [(RELEASE_S, 1.0 / m.sd_s), (FLIGHT_S, flying / m.sd_s), (SYNC, own / m.sd_s)],
            );
        }
    }

    fn release(&self, rows: &mut Rows, x: &Parameters) {
        let p = &self.priors;
        let place = Point3::<Field>::new(x[PLACE], x[PLACE + 1], x[PLACE + 2]);
        let h = p.release_height_yd;
        rows.push(
            (place.z - self.inputs.turf.height(place.ground()) - h.value) / h.se,
            [(PLACE + 2, 1.0 / h.se)],
        );
        let Some(passer) = &self.inputs.passer else { return };
        let run = na::Vector2::new(x[VELOCITY], x[VELOCITY + 1]);
        let u = run / run.norm().max(1e-9);
        let turning = (na::Matrix2::identity() - u * u.transpose()) / run.norm().max(1e-9);
        let white = whitener(passer, p.release_ahead_yd.se);
        let miss = white
            * na::Vector2::new(
                place.x - passer.point.x - p.release_ahead_yd.value * u.x,
                place.y - passer.point.y - p.release_ahead_yd.value * u.y,
            );
        let by_velocity = white * turning * -p.release_ahead_yd.value;
        for row in 0..2 {
            let place = (0..2).map(|k| (PLACE + k, white[(row, k)]));
            rows.push(miss[row], place.chain((0..2).map(|k| (VELOCITY + k, by_velocity[(row, k)]))));
        }
    }

    fn arrival(&self, rows: &mut Rows, i: &Instant) {
        let mut by = i.by;
        by.set_column(FLIGHT_S, &i.v);
        let height: Estimate = match self.catcher() {
            Some(_) => self.priors.catch_height_yd,
            None => self.priors.loose_height_yd,
        };
        let z = i.p.z - self.inputs.turf.height(i.p.ground());
        rows.push((z - height.value) / height.se, (0..THROW).map(|k| (k, by[(2, k)] / height.se)));
        let Some(catcher) = self.catcher() else { return };
        let white = whitener(catcher, self.priors.catch_reach_yd);
        let miss = white * na::Vector2::new(i.p.x - catcher.point.x, i.p.y - catcher.point.y);
        let by = white * by.fixed_rows::<2>(0);
        for row in 0..2 {
            rows.push(miss[row], (0..THROW).map(|k| (k, by[(row, k)])));
        }
    }

    pub(super) fn catcher(&self) -> Option<&Stand> {
        self.inputs.catcher.as_ref().filter(|_| self.use_catcher)
    }

    /// Distance of each sighting's mark from the flight, in standard deviations of a mark.
    pub(super) fn misses(&self, x: &Parameters) -> Vec<f64> {
        let one = vec![1.0; self.sightings.len()];
        match self.rows(x, &one) {
            Some(rows) => rows.residuals.chunks(2).take(one.len()).map(|r| r[0].hypot(r[1])).collect(),
            None => vec![f64::INFINITY; one.len()],
        }
    }
}

/// The matrix that turns a miss into standard deviations: inverse square root of the stand's covariance widened by `sd`
/// in each direction.
fn whitener(stand: &Stand, sd: f64) -> na::Matrix2<f64> {
    let c = stand.covariance.plus(Covariance2::isotropic(sd)).matrix();
    let inverse_lower = c.cholesky().and_then(|c| c.l().try_inverse());
    inverse_lower.unwrap_or_else(|| na::Matrix2::identity() / sd)
}
