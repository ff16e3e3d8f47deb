//! An invented play for benchmarks and tests: five receivers on routes, seven defenders in coverage, a passer who drops.

use geometry::frame::Ground;
use geometry::{Covariance2, Point2, Vector2};
use play::{Flank, Person, PersonId, Role, Track, TrackPoint, Unit};

/// A person.
pub fn person(id: &str, unit: Unit, role: Role) -> Person {
    Person { id: PersonId::from(id), unit, role, shirt: None, name: String::new() }
}

/// A track through `(t, x, y)` corners at constant speed between them, sampled at 30 Hz, with the standard errors given.
pub fn track(id: &str, corners: &[(f64, f64, f64)], position_sd: f64, velocity_sd: f64) -> Track {
    let last = corners[corners.len() - 1].0;
    let n = (last * 30.0).round() as usize;
    let at = |t: f64| {
        let k = corners.iter().rposition(|c| c.0 <= t + 1e-9).unwrap_or(0).min(corners.len() - 2);
        let (a, b) = (corners[k], corners[k + 1]);
        let w = (t - a.0) / (b.0 - a.0);
        let velocity = Vector2::<Ground>::new((b.1 - a.1) / (b.0 - a.0), (b.2 - a.2) / (b.0 - a.0));
        (Point2::new(a.1 + w * (b.1 - a.1), a.2 + w * (b.2 - a.2)), velocity)
    };
    let points = (0..=n)
        .map(|k| {
            let t_s = k as f64 / 30.0;
            let (position, velocity) = at(t_s);
            TrackPoint {
                t_s,
                position,
                velocity,
                position_covariance: Covariance2::isotropic(position_sd),
                velocity_covariance: Covariance2::isotropic(velocity_sd),
            }
        })
        .collect();
    Track { person: id.into(), points }
}

/// The play: people and tracks of seven seconds.
pub fn play() -> (Vec<Person>, Vec<Track>) {
    let receiver = |flank, number| Role::Receiver { flank, number };
    let people = vec![
        person("passer", Unit::Offense, Role::Passer),
        person("L1", Unit::Offense, receiver(Flank::Left, 1)),
        person("L2", Unit::Offense, receiver(Flank::Left, 2)),
        person("R2", Unit::Offense, receiver(Flank::Right, 2)),
        person("R1", Unit::Offense, receiver(Flank::Right, 1)),
        person("B", Unit::Offense, Role::Back),
        person("C1", Unit::Defense, Role::Cover),
        person("N", Unit::Defense, Role::Cover),
        person("M", Unit::Defense, Role::Cover),
        person("W", Unit::Defense, Role::Cover),
        person("C2", Unit::Defense, Role::Cover),
        person("S1", Unit::Defense, Role::Cover),
        person("S2", Unit::Defense, Role::Cover),
    ];
    let (p, v) = (0.1, 0.5);
    let tracks = vec![
        track("passer", &[(0.0, 45.0, 26.0), (1.6, 42.0, 26.0), (7.0, 43.0, 26.5)], p, v),
        track("L1", &[(0.0, 50.0, 47.0), (1.9, 62.0, 47.0), (7.0, 64.0, 15.0)], p, v),
        track("L2", &[(0.0, 50.0, 38.0), (0.8, 55.0, 38.0), (1.4, 55.5, 36.0), (7.0, 55.5, 36.5)], p, v),
        track("R2", &[(0.0, 50.0, 16.0), (7.0, 104.0, 17.0)], p, v),
        track("R1", &[(0.0, 50.0, 6.0), (1.8, 63.0, 6.0), (2.3, 62.0, 5.0), (7.0, 61.0, 4.0)], p, v),
        track("B", &[(0.0, 45.0, 24.0), (1.5, 49.0, 18.0), (7.0, 52.0, 4.0)], p, v),
        track("C1", &[(0.0, 57.0, 46.0), (2.0, 66.0, 45.0), (7.0, 67.0, 25.0)], p, v),
        track("N", &[(0.0, 55.0, 36.0), (1.5, 58.0, 37.0), (7.0, 58.0, 37.0)], p, v),
        track("M", &[(0.0, 54.5, 27.0), (1.5, 59.0, 28.0), (7.0, 60.0, 29.0)], p, v),
        track("W", &[(0.0, 54.5, 21.0), (1.5, 58.0, 18.0), (7.0, 58.0, 15.0)], p, v),
        track("C2", &[(0.0, 57.0, 7.0), (2.0, 66.0, 7.0), (7.0, 66.0, 7.0)], p, v),
        track("S1", &[(0.0, 62.0, 36.0), (2.0, 70.0, 34.0), (7.0, 80.0, 30.0)], p, v),
        track("S2", &[(0.0, 62.0, 18.0), (2.0, 70.0, 18.0), (7.0, 100.0, 18.0)], p, v),
    ];
    (people, tracks)
}
