use crate::parameters::Parameters;
use geometry::frame::Field;
use geometry::{Point3, Vector3};
use motion::flight::{Flight, FlightModel, SPIRAL_DRAG};
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
        let still = FlightModel { wind: Vector3::ZERO, ..model };
        let flown = |speed_along: f64, speed_up: f64, times: &[f64]| -> Vec<(f64, f64)> {
            let last = times.last().copied().unwrap_or(0.0);
            let f = Flight::new(
                &still,
                Point3::new(0.0, 0.0, 0.0),
                Vector3::new(speed_along, 0.0, speed_up),
                last,
            );
            times.iter().map(|&t| f.at(t).0).map(|p| (p.x, p.z)).collect()
        };
        Ok(Self::from_flights(
            model.wind,
            parameters.release_height_yd(),
            parameters.arm.catch_height_yd,
            flown,
        ))
    }

    /// A table from any still-air flight: `flown(along, up, times)` gives the distance and rise at `times` of a ball
    /// released at those speeds.
    pub(crate) fn from_flights(
        wind: Vector3<Field>,
        release_height: f64,
        catch_height: f64,
        flown: impl Fn(f64, f64, &[f64]) -> Vec<(f64, f64)>,
    ) -> Self {
        let rise = catch_height - release_height;
        let mut paths = Vec::with_capacity(DISTANCES * TIMES);
        for d in 0..DISTANCES {
            for t in 0..TIMES {
                let (distance, time) = (d as f64 * DISTANCE_STEP, FIRST_TIME + t as f64 * TIME_STEP);
                paths.push(solve(distance, rise, time, release_height, &flown));
            }
        }
        Self { wind, release_height, catch_height, paths }
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

fn solve(
    distance: f64,
    rise: f64,
    time: f64,
    release_height: f64,
    flown: &impl Fn(f64, f64, &[f64]) -> Vec<(f64, f64)>,
) -> Option<Path> {
    let mut along = distance / time;
    let mut up = rise / time + 0.5 * units::GRAVITY_YDPS2 * time;
    // What a flight falls short by, over its time, is what its launch lacks, up to drag's small change of the change.
    for _ in 0..12 {
        if along.hypot(up) > FASTEST {
            return None;
        }
        let (x, z) = flown(along, up, &[time])[0];
        let (ex, ez) = (distance - x, rise - z);
        along += ex / time;
        up += ez / time;
        if ex.abs() < 1e-4 && ez.abs() < 1e-4 {
            break;
        }
    }
    let times: Vec<f64> = (1..=STATIONS).map(|k| time * k as f64 / STATIONS as f64).collect();
    let mut path = Path {
        speed: along.hypot(up),
        launch: up.atan2(along),
        share: [0.0; STATIONS],
        height: [0.0; STATIONS],
    };
    for (k, (x, z)) in flown(along, up, &times).into_iter().enumerate() {
        path.share[k] = if distance > 0.0 { x / distance } else { (k + 1) as f64 / STATIONS as f64 };
        path.height[k] = release_height + z;
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
        let flown =
            |x: f64, z: f64, times: &[f64]| times.iter().map(|&t| (x * t, z * t - 0.5 * g * t * t)).collect();
        let table = FlightTable::from_flights(Vector3::ZERO, 2.2, 1.4, flown);
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
