//! People strung together from invented sightings: who is hidden until the snap, and who bends over the line.
#![allow(clippy::unwrap_used)]

use geometry::{Covariance2, Point2, Vector2};
use motion::found::{Dress, FoundTrack, Side, Spot, SpottedView, follow, sides};
use motion::tracks::{GroundObservation, Origin, Running, smooth};
use play::{PersonId, View};

/// Light shirts and trousers; dark shirts and yellow trousers. Numbers as in [`Dress`].
const LIGHT: [f32; 7] = [0.4, 0.0, 0.0, 0.4, 0.0, 0.0, 0.3];
const DARK: [f32; 7] = [-0.7, -0.35, 0.45, 0.1, 0.2, -0.65, 0.3];
/// A dark man bent so far that the shirt shows where trousers are looked for.
const BENT: [f32; 7] = [-0.8, -0.35, 0.45, -0.7, -0.35, 0.45, 0.4];
/// Black and white stripes over black trousers.
const STRIPES: [f32; 7] = [-0.5, 0.0, 0.0, -2.0, 0.0, 0.05, 0.9];

/// Standard deviation of a sighting per axis, yd.
const SD: f64 = 0.1;
const RATE: f64 = 30.0;
/// First instant of the film, s from the snap.
const START: f64 = -2.0;

/// An error that repeats for nobody: rough, of about [`SD`].
fn rough(frame: usize, man: usize) -> f64 {
    SD * (((frame * 37 + man * 101) * 7919 % 1000) as f64 / 289.0 - 1.73)
}

/// A film of men, each by dress, first sighting, and place over time.
fn filmed(men: &[([f32; 7], f64, &dyn Fn(f64) -> [f64; 2])]) -> SpottedView {
    let frames = (0..180)
        .map(|n| {
            let t = START + n as f64 / RATE;
            let spots = men
                .iter()
                .enumerate()
                .filter(|(_, m)| t >= m.1)
                .map(|(k, m)| {
                    let [x, y] = (m.2)(t);
                    Spot {
                        frame: n as u32,
                        at: GroundObservation {
                            view: View::Sideline,
                            t_s: t,
                            position: Point2::new(x + rough(n, k), y + rough(n, k + 50)),
                            velocity: None,
                            noise: Covariance2::isotropic(SD),
                            common: Covariance2::default(),
                            origin: Origin::Found,
                        },
                        dress: Dress(m.0),
                        seen: 1.0,
                        by_height: Vector2::new(0.0, 0.0),
                    }
                })
                .collect();
            (t, spots)
        })
        .collect();
    SpottedView { view: View::Sideline, frames }
}

fn nearest(tracks: &[FoundTrack], at: [f64; 2]) -> &FoundTrack {
    let far = |t: &FoundTrack| t.spots[0].at.position.distance(Point2::new(at[0], at[1]));
    tracks.iter().min_by(|a, b| far(a).total_cmp(&far(b))).unwrap()
}

#[test]
fn who_is_hidden_until_the_snap_was_set_where_he_appears() {
    // He stands until the snap, then drives ahead at 2 yd/s²; the pile opens after .3 s.
    let hidden = |t: f64| [40.0 + t.max(0.0).powi(2), 26.0];
    // He runs past at 8 yd/s and is seen from the same instant on.
    let passing = |t: f64| [48.0 + 8.0 * t, 30.0];
    let waits = |t: f64| [44.0 + 0.0 * t, 20.0];
    let tracks = follow(&[filmed(&[(LIGHT, 0.3, &hidden), (LIGHT, 0.3, &passing), (DARK, START, &waits)])]);
    assert_eq!(tracks.len(), 3);
    let path = |at: [f64; 2]| {
        let seen = nearest(&tracks, at).observations();
        let times: Vec<f64> = (0..7).map(|k| START + 0.3 * f64::from(k)).collect();
        smooth(&PersonId("p".into()), &seen, &times, &Running::default())
    };
    let set = path(hidden(0.3)).expect("he was there");
    // The rule holds him for a second; before it he may have shifted.
    assert!((-1.0..-0.69).contains(&set.points[0].t_s), "{:?}", set.points[0]);
    for p in &set.points {
        let [x, y] = hidden(p.t_s);
        let (c, d) = (p.position_covariance, [p.position.x - x, p.position.y - y]);
        // Four of his claimed standard deviations: one path, not a study.
        assert!(d[0].abs() < 4.0 * c.xx.sqrt() && d[1].abs() < 4.0 * c.yy.sqrt(), "{p:?}");
    }
    let (first, last) = (&set.points[0], set.points.last().unwrap());
    assert!(first.position_covariance.xx > last.position_covariance.xx, "older is less sure");
    assert!(path(passing(0.3)).is_none(), "who came running was elsewhere before");
    assert_eq!(nearest(&tracks, [44.0, 20.0]).set_from_s, None, "who was always seen needs no rule");
}

#[test]
fn who_bends_over_the_line_wears_his_teams_kit_and_who_wears_stripes_does_not() {
    let place = |n: usize| move |t: f64| [30.0 + 2.0 * n as f64 + 0.0 * t, 20.0];
    let places: Vec<_> = (0..16).map(place).collect();
    let dress = |n: usize| match n {
        0..5 => LIGHT,
        5..10 => DARK,
        10..13 => BENT,
        _ => STRIPES,
    };
    let men: Vec<([f32; 7], f64, &dyn Fn(f64) -> [f64; 2])> =
        places.iter().enumerate().map(|(n, p)| (dress(n), START, p as &dyn Fn(f64) -> [f64; 2])).collect();
    let tracks = follow(&[filmed(&men)]);
    let sides = sides(&tracks);
    for (n, p) in places.iter().enumerate() {
        let k = tracks.iter().position(|t| t.id == nearest(&tracks, p(START)).id).unwrap();
        let side = match sides[k] {
            Side::Team(team, _) => Some(team),
            Side::Other => None,
        };
        // The lighter shirt is named first.
        let want = [Some(0), Some(1), Some(1), None][[0..5, 5..10, 10..13, 13..16]
            .iter()
            .position(|r: &std::ops::Range<usize>| r.contains(&n))
            .unwrap()];
        assert_eq!(side, want, "man {n}");
    }
}
