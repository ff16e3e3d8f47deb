//! One race to a ball laid open, to be looked at: the flight, and who is where when.

use crate::candidate::{best_throws, fly};
use crate::engine::Stage;
use crate::error::WindowError;
use crate::flight_table::{FlightTable, STATIONS};
use crate::parameters::Parameters;
use crate::race::least;
use crate::scene::{Request, Scene};
use geometry::frame::{Field, Ground};
use geometry::{Point2, Point3};
use play::{Ball, PersonId};

/// Defenders shown: the first of the race and those next to him.
const DEFENDERS: usize = 3;
/// A defender later than the first by more than this has no part in the race, s.
const NO_PART_S: f64 = 0.8;

/// Somebody in the race.
#[derive(Clone, Debug, PartialEq)]
pub struct ShownRacer {
    /// Who.
    pub person: PersonId,
    /// Where he is at the release, yd.
    pub from: Point2<Ground>,
    /// Where he would play the ball, yd.
    pub to: Point2<Ground>,
    /// When he could be there, s from the snap.
    pub ready_s: f64,
    /// When the ball is there, s from the snap.
    pub ball_s: f64,
}

/// The best ball to a receiver at a release, and the race to it, from the measurement itself (no repeat).
#[derive(Clone, Debug, PartialEq)]
pub struct ShownRace {
    /// Release, s from the snap.
    pub release_s: f64,
    /// The ball.
    pub ball: Ball,
    /// Its way: (s from the snap, place in the field frame, yd), from the hand to the catch.
    pub path: Vec<(f64, Point3<Field>)>,
    /// The receiver first, then the defenders with a part in it, the first of them first.
    pub racers: Vec<ShownRacer>,
}

/// The race to the best ball to `receiver` at `release_s`; `None` when no throw the arm allows reaches him.
///
/// # Errors
/// As [`crate::windows`]; `NotSeen` when passer, receiver or every defender is not seen at the release.
pub fn race_shown(
    scene: &Scene<'_>,
    table: &FlightTable,
    parameters: &Parameters,
    receiver: &PersonId,
    release_s: f64,
) -> Result<Option<ShownRace>, WindowError> {
    let p = parameters;
    let request = Request { from_s: release_s, until_s: release_s, draws: 2, ..Request::default() };
    let stage = Stage::new(scene, table, p, &request)?;
    let unseen = || WindowError::NotSeen { who: receiver.to_string(), at_s: release_s };
    let runner = stage.cast.receivers.iter().find(|r| r.id == receiver).ok_or_else(unseen)?;
    let passer = stage.passer(0).ok_or_else(unseen)?;
    let now = runner.way.at(release_s).ok_or_else(unseen)?;
    let defenders = stage.field.of(0, 0);
    if defenders.is_empty() || release_s > runner.way.known_until() + 1e-9 {
        return Err(unseen());
    }
    let kept = best_throws(&stage.cast, runner, release_s, passer, defenders, table, p);
    let Some(best) = kept.first() else { return Ok(None) };
    let flight_s = best.ball.flight_s;
    let Some(flown) = fly(passer, best.target, flight_s, table) else { return Ok(None) };
    let hand = (release_s, passer.at_height(table.release_height()));
    let arrives = release_s + flight_s;
    // The table is a grid: the end of an interpolated way is the catch only to a hand's breadth.
    let catch = (arrives, best.target.at_height(table.catch_height()));
    let between =
        flown.places[..STATIONS - 1].iter().map(|(at, t, height)| (release_s + t, at.at_height(*height)));
    let path = std::iter::once(hand).chain(between).chain([catch]).collect();
    let mut racers = vec![ShownRacer {
        person: receiver.clone(),
        from: now.position,
        to: best.target,
        ready_s: (arrives + best.meeting.late_s).max(release_s),
        ball_s: arrives,
    }];
    let limit = p.limits.margin_s;
    // The first of the race is the one the cell names: it is found by first guesses, which can pass over somebody level with him.
    let mut others: Vec<(bool, f64, ShownRacer)> = defenders
        .iter()
        .zip(&stage.field.seen[0])
        .enumerate()
        .filter_map(|(i, (d, &who))| {
            let (k, guess) = least(&d.slacks(&best.stations));
            // Where every station is over his hands he has no part in it.
            if !best.stations.touchable(k) || guess > 2.0 * limit {
                return None;
            }
            let slack = d.slack_at(&best.stations, k, limit);
            let ball_s = release_s + best.stations.t[k.min(STATIONS - 1)];
            let racer = ShownRacer {
                person: stage.cast.covers[who].id.clone(),
                from: d.position,
                to: Point2::new(best.stations.x[k], best.stations.y[k]),
                ready_s: (ball_s + slack).max(release_s),
                ball_s,
            };
            Some((i != best.raced.first, slack, racer))
        })
        .collect();
    others.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let first = others.first().map_or(0.0, |o| o.1);
    racers.extend(others.into_iter().take(DEFENDERS).filter(|o| o.1 - first <= NO_PART_S).map(|o| o.2));
    Ok(Some(ShownRace { release_s, ball: best.ball, path, racers }))
}
