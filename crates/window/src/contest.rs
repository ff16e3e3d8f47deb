//! What decides a throw's chances, apart from the parameters that turn it into chances: kept, so that those parameters can
//! be fitted without racing anybody again.

use crate::WindowError;
use crate::candidate::RIVALS;
use crate::control::{Chances, chances, claimed};
use crate::engine::Stage;
use crate::flight_table::{FlightTable, STATIONS};
use crate::parameters::{ControlParameters, Parameters};
use crate::race::{Meeting, Placed, Stations};
use crate::scene::{Request, Scene};
use play::PersonId;
use serde::Serialize;

/// One throw of one repeat, raced.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub(crate) struct Meet {
    /// Seconds for which the ball passes a station.
    passing_s: f64,
    /// Least slack of any defender at each station before the catch, s; infinite where the ball is over his hands.
    under: [f64; STATIONS - 1],
    /// Arrival of the receiver less the ball's at the catch, s.
    receiver_late: f64,
    /// The same of the defenders, `rivals` of them.
    defenders_late: [f64; RIVALS],
    rivals: usize,
    /// Chance that the ball comes within the receiver's reach.
    placed: f64,
}

impl Meet {
    /// Of the defenders handed in at most [`RIVALS`] count.
    pub(crate) fn new<'a>(
        stations: &Stations,
        meeting: &Meeting,
        defenders: impl Iterator<Item = &'a Placed>,
    ) -> Self {
        let mut under = [f64::INFINITY; STATIONS - 1];
        let mut defenders_late = [f64::INFINITY; RIVALS];
        let mut rivals = 0;
        for (slot, d) in defenders_late.iter_mut().zip(defenders) {
            let slacks = d.slacks(stations);
            *slot = slacks[STATIONS - 1];
            for (s, v) in under.iter_mut().zip(slacks) {
                *s = s.min(v);
            }
            rivals += 1;
        }
        for (k, s) in under.iter_mut().enumerate() {
            if !stations.touchable(k) {
                *s = f64::INFINITY;
            }
        }
        Self {
            passing_s: stations.flight_s() / STATIONS as f64,
            under,
            receiver_late: meeting.late_s,
            defenders_late,
            rivals,
            placed: meeting.placed,
        }
    }

    #[inline]
    pub(crate) fn chances(&self, p: &ControlParameters) -> Chances {
        // Farther off than six spreads nobody gets a hand on it.
        let near = 6.0 * p.arrival_spread_s;
        let under = self.under.iter().filter(|s| **s < near).map(|s| (self.passing_s, *s));
        chances(p, under, self.receiver_late, &self.defenders_late[..self.rivals], self.placed)
    }
}

/// A throw's races over the repeats of its measurement.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Contest {
    pub(crate) meets: Vec<Meet>,
}

impl Contest {
    /// What is claimed of the mean chances over the repeats, once the errors of measurement are averaged over.
    ///
    /// `scatter` is the factor on the ball's standard deviations against those that the contest was raced with.
    pub fn chances(&self, p: &ControlParameters, scatter: f64) -> Chances {
        let n = self.meets.len().max(1) as f64;
        let mut sum = Chances::default();
        for meet in &self.meets {
            // placed = 1 − exp(−room² / scatter of the ball), and that scatter goes with the square of the factor.
            let placed = 1.0 - (1.0 - meet.placed).max(0.0).powf(scatter.powi(-2));
            let c = Meet { placed, ..*meet }.chances(p);
            sum.complete += c.complete / n;
            sum.intercept += c.intercept / n;
        }
        claimed(p, sum)
    }
    /// Its first repeats, at most `n`.
    pub fn thinned(&self, n: usize) -> Self {
        Self { meets: self.meets.iter().take(n).copied().collect() }
    }
}

/// The contest of the best ball to `receiver` at `release_s`: the throw that the windows show.
///
/// # Errors
/// As [`crate::windows`]; `NotSeen` when passer, receiver or every defender is not seen then, or when no throw that the arm
/// allows reaches him.
pub fn contest_at(
    scene: &Scene<'_>,
    table: &FlightTable,
    parameters: &Parameters,
    request: &Request,
    receiver: &PersonId,
    release_s: f64,
) -> Result<Contest, WindowError> {
    let at = Request { from_s: release_s, until_s: release_s, ..*request };
    let stage = Stage::new(scene, table, parameters, &at)?;
    let unseen = || WindowError::NotSeen { who: receiver.to_string(), at_s: release_s };
    let runner = stage.cast.receivers.iter().find(|r| r.id == receiver).ok_or_else(unseen)?;
    stage.contest(runner, 0).ok_or_else(unseen)
}
