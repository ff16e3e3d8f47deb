//! Scripted plays: who is open when is known by construction.

use field::{Direction, RuleBook};
use geometry::frame::Ground;
use geometry::{Covariance2, Point2, Vector2};
use play::{Air, Flank, Hash, Person, PersonId, Role, Situation, Track, TrackPoint, Unit};
use window::{FlightTable, Parameters, Request, Scene, WindowDraws, windows};

/// A person.
pub fn person(id: &str, role: Role) -> Person {
    let offense = matches!(role, Role::Passer | Role::Receiver { .. } | Role::Back | Role::Blocker);
    let unit = if offense { Unit::Offense } else { Unit::Defense };
    Person { id: PersonId::from(id), unit, role, shirt: None, name: String::new() }
}

/// A receiver of the slot's name, `L1`.
pub fn receiver(slot: &str) -> Person {
    let flank = if slot.starts_with('L') { Flank::Left } else { Flank::Right };
    let number = slot[1..].parse().expect("a slot");
    person(slot, Role::Receiver { flank, number })
}

/// A track at 30 Hz through `(t, downfield, left)` corners in the play frame, with the standard error given.
pub fn track(id: &str, corners: &[(f64, f64, f64)], sd: f64) -> Track {
    let last = corners[corners.len() - 1].0;
    let at = |t: f64| {
        let k = corners.iter().rposition(|c| c.0 <= t + 1e-9).unwrap_or(0).min(corners.len() - 2);
        let (a, b) = (corners[k], corners[k + 1]);
        let w = (t - a.0) / (b.0 - a.0);
        let velocity = Vector2::<Ground>::new((b.1 - a.1) / (b.0 - a.0), (b.2 - a.2) / (b.0 - a.0));
        (Point2::new(LINE_X + a.1 + w * (b.1 - a.1), MIDDLE_Y + a.2 + w * (b.2 - a.2)), velocity)
    };
    let points = (0..=(last * 30.0).round() as usize)
        .map(|k| {
            let t_s = k as f64 / 30.0;
            let (position, velocity) = at(t_s);
            let (position_covariance, velocity_covariance) =
                (Covariance2::isotropic(sd), Covariance2::isotropic(3.0 * sd));
            TrackPoint { t_s, position, velocity, position_covariance, velocity_covariance }
        })
        .collect();
    Track { person: id.into(), points }
}

/// Line of scrimmage in the field frame, yd.
pub const LINE_X: f64 = 40.0;
/// Middle of the field, yd.
pub const MIDDLE_Y: f64 = 160.0 / 6.0;

/// First and ten, going up, in the middle.
pub fn situation() -> Situation {
    Situation {
        down: Some(1),
        distance_yd: Some(10.0),
        line_x: Some(LINE_X),
        hash: Some(Hash::Middle),
        direction: Some(Direction::Up),
        ..Default::default()
    }
}

/// Windows of a play from 0.5 s to `until_s`.
pub fn windows_of(
    people: &[Person],
    tracks: &[Track],
    until_s: f64,
    draws: usize,
) -> (WindowDraws, Parameters) {
    let p = Parameters::ours();
    let table = FlightTable::new(&Air::default(), &p).expect("standard air");
    let scene = Scene { people, tracks, rule_book: RuleBook::College };
    let request = Request { from_s: 0.5, until_s, draws, ..Request::default() };
    (windows(&scene, &table, &p, &request).expect("a whole play").0, p)
}
