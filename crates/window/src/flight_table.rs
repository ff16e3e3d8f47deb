use crate::parameters::Parameters;
use geometry::frame::Field;
use geometry::{Point3, Vector3};
use motion::flight::{Flight, FlightModel, SPIRAL_DRAG};
use motion::launch;
use play::Air;

/// Instants along a flight at which defenders are raced to it, evenly spaced in time, the last at the catch.
pub const STATIONS: usize = 12;

/// A ball's path in its own vertical plane, in the moving air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Path {
    /// Release speed, yd/s.
    pub speed: f64,
    /// Launch angle above the horizon, radians.
    pub launch: f64,
    /// Distance covered at each station over the whole distance.
    pub share: [f64; STATIONS],
    /// Height over the ground at each station, yd.
    pub height: [f64; STATIONS],
}

/// Every flight from the release height to the catch height by air distance and time, tabulated once so that a search
/// over thousands of throws costs an interpolation each.
#[derive(Clone, Debug)]
pub struct FlightTable {
    wind: Vector3<Field>,
    release_height: f64,
    catch_height: f64,
    /// By distance, then time; `None` where the launch would be faster than any arm.
    paths: Vec<Option<Path>>,
}

const DISTANCE_STEP: f64 = 1.5;
const DISTANCES: usize = 50;
const TIME_STEP: f64 = 0.1;
const TIMES: usize = 36;
const FIRST_TIME: f64 = 0.1;
/// Faster than any arm: 92 mph.
const FASTEST: f64 = 45.0;

impl FlightTable {
    /// Flights in `air` at the spiral's middle drag coefficient; an unknown wind counts as none.
    ///
    /// # Errors
    /// For air outside what the flight model is made for.
    pub fn new(air: &Air, parameters: &Parameters) -> Result<Self, motion::MotionError> {
        let model = FlightModel::new(air, SPIRAL_DRAG.value)?;
        Ok(Self::of(&model, parameters.release_height_yd(), parameters.arm.catch_height_yd))
    }

    fn of(model: &FlightModel, release_height: f64, catch_height: f64) -> Self {
        // In the frame that moves with the air the ball flies as in still air; `throw` shifts the target by the wind.
        let still = FlightModel { wind: Vector3::ZERO, ..*model };
        let mut paths = Vec::with_capacity(DISTANCES * TIMES);
        for d in 0..DISTANCES {
            for t in 0..TIMES {
                // Straight up is no direction: the first row is a hair away from it.
                let (distance, time) =
                    ((d as f64 * DISTANCE_STEP).max(1e-3), FIRST_TIME + t as f64 * TIME_STEP);
                paths.push(path(&still, distance, time, release_height, catch_height));
            }
        }
        Self { wind: model.wind, release_height, catch_height, paths }
    }

    /// Velocity of the air, yd/s.
    pub(crate) fn wind(&self) -> Vector3<Field> {
        self.wind
    }
    /// Height of every release, yd.
    pub fn release_height(&self) -> f64 {
        self.release_height
    }
    /// Height of every catch, yd.
    pub fn catch_height(&self) -> f64 {
        self.catch_height
    }

    /// The flight that covers `distance` yd of the moving air in `time` s; `None` outside the table.
    pub fn path(&self, distance: f64, time: f64) -> Option<Path> {
        let (x, y) = (distance / DISTANCE_STEP, (time - FIRST_TIME) / TIME_STEP);
        if !(x >= 0.0 && y >= 0.0) {
            return None;
        }
        let (i, j) = ((x as usize).min(DISTANCES - 2), (y as usize).min(TIMES - 2));
        let (a, b) = (x - i as f64, y - j as f64);
        if a > 1.0 || b > 1.0 {
            return None;
        }
        let at = |i: usize, j: usize| self.paths[i * TIMES + j].as_ref();
        let corners = [at(i, j)?, at(i, j + 1)?, at(i + 1, j)?, at(i + 1, j + 1)?];
        let weights = [(1.0 - a) * (1.0 - b), (1.0 - a) * b, a * (1.0 - b), a * b];
        let mut path = Path { speed: 0.0, launch: 0.0, share: [0.0; STATIONS], height: [0.0; STATIONS] };
        for (c, w) in corners.into_iter().zip(weights) {
            path.speed += w * c.speed;
            path.launch += w * c.launch;
            for k in 0..STATIONS {
                path.share[k] += w * c.share[k];
                path.height[k] += w * c.height[k];
            }
        }
        Some(path)
    }
}

fn path(
    still: &FlightModel,
    distance: f64,
    time: f64,
    release_height: f64,
    catch_height: f64,
) -> Option<Path> {
    let from = Point3::new(0.0, 0.0, release_height);
    let launch = launch::for_time(still, from, Point3::new(distance, 0.0, catch_height), time)?;
    let v = launch.velocity;
    if v.norm() > FASTEST {
        return None;
    }
    let flight = Flight::new(still, from, v, time);
    let mut path =
        Path { speed: v.norm(), launch: v.z.atan2(v.x), share: [0.0; STATIONS], height: [0.0; STATIONS] };
    for k in 0..STATIONS {
        let (p, _) = flight.at(time * (k + 1) as f64 / STATIONS as f64);
        path.share[k] = p.x / distance;
        path.height[k] = p.z;
    }
    Some(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Without drag the launch has a closed form (uniform gravity).
    #[test]
    fn a_table_of_parabolas_is_the_closed_form() {
        let g = units::GRAVITY_YDPS2;
        let table = FlightTable::of(&FlightModel { drag_per_yd: 0.0, wind: Vector3::ZERO }, 2.2, 1.4);
        for (d, t) in [(8.3, 0.47), (22.4, 1.13), (41.0, 2.06), (0.4, 1.5)] {
            let p = table.path(d, t).unwrap();
            let (vx, vz): (f64, f64) = (d / t, -0.8 / t + 0.5 * g * t);
            // Bilinear over 1.5 yd by 0.1 s: curvature bounds the error.
            assert!((p.speed - vx.hypot(vz)).abs() < 0.3, "{d} {t}: {} {}", p.speed, vx.hypot(vz));
            assert!((p.height[5] - (2.2 + vz * t / 2.0 - 0.5 * g * t * t / 4.0)).abs() < 0.02);
            assert!((p.height[STATIONS - 1] - 1.4).abs() < 1e-3);
        }
        assert!(
            table.path(70.0, 1.0).is_none()
                && table.path(200.0, 2.0).is_none()
                && table.path(10.0, f64::NAN).is_none()
        );
    }

    /// Throwing at the tabulated launch lands where it should, by the flight model itself.
    #[test]
    fn tabulated_launches_arrive() {
        let p = Parameters::ours();
        let table = FlightTable::new(&Air::default(), &p).unwrap();
        let model = FlightModel::new(&Air::default(), SPIRAL_DRAG.value).unwrap();
        for (d, t) in [(7.0, 0.42), (18.7, 0.93), (33.2, 1.61), (48.1, 2.55)] {
            let path = table.path(d, t).unwrap();
            let v = Vector3::new(path.speed * path.launch.cos(), 0.0, path.speed * path.launch.sin());
            let (at, _) = Flight::new(&model, Point3::new(0.0, 0.0, p.release_height_yd()), v, t).at(t);
            assert!((at.x - d).abs() < 0.15 && (at.z - p.arm.catch_height_yd).abs() < 0.1, "{d} {t}: {at:?}");
        }
    }
}
