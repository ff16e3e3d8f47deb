use crate::flight_table::{FlightTable, STATIONS};
use crate::mover::Mover;
use crate::parameters::Parameters;
use crate::perturb::Drawn;
use crate::race::{Leaving, Meeting, Placed, Raced, Stations, least, race, scatter};
use crate::scene::{Cast, Runner, State, leaves_route};
use geometry::frame::Ground;
use geometry::{Point2, Vector2};
use play::Ball;

/// Defenders of a throw that repeats race again: the first of the measurement.
pub(crate) const RIVALS: usize = 4;
/// Throws to a receiver at a release that repeats race again: the best of the measurement.
pub(crate) const KEPT: usize = 12;
/// Step between flight times looked at, s.
const TIME_STEP: f64 = 0.1;

/// A throw that the arm allows.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Candidate {
    pub target: Point2<Ground>,
    /// [`scatter`] of the ball.
    pub scatter: f64,
    pub ball: Ball,
    pub stations: Stations,
    /// Receiver when he leaves his route, as measured.
    pub leaving: State,
    /// Seconds from there to the catch, and exp(−those / time constant).
    left_s: f64,
    decay: f64,
    /// Places among the covers of its most dangerous defenders, `rivals` of them.
    pub near: [usize; RIVALS],
    pub rivals: usize,
    pub meeting: Meeting,
    pub raced: Raced,
}

impl Candidate {
    pub fn score(&self, p: &Parameters) -> f64 {
        score(&self.raced, &self.meeting, p)
    }
    /// How the receiver of a repeat, at the `position` and `velocity` he leaves his route with, meets the ball.
    #[inline]
    pub fn meet(
        &self,
        drawn: &Drawn,
        position: Point2<Ground>,
        velocity: Vector2<Ground>,
        p: &Parameters,
    ) -> Meeting {
        let decay = (self.decay * drawn.wake).min(1.0);
        Leaving { position, velocity, mover: drawn.mover, left_s: self.left_s, decay }.meet(
            self.target,
            self.scatter,
            p,
        )
    }
}

/// What the best ball maximises: margin, and among like margins the safer placement.
pub(crate) fn score(raced: &Raced, meeting: &Meeting, p: &Parameters) -> f64 {
    raced.margin_s + p.arm.placement_weight_s * meeting.placed
}

/// A ball's way from a passer to a place.
pub(crate) struct Flown {
    /// Release speed, mph.
    pub speed_mph: f64,
    /// Launch angle above the horizon, degrees.
    pub launch_deg: f64,
    /// Where it is at every station: over the ground, s after release, and how high, yd.
    pub places: [(Point2<Ground>, f64, f64); STATIONS],
}

/// A ball from `passer` that arrives at `target` `flight_s` after release, whatever arm it takes; `None` beyond the table.
pub(crate) fn fly(
    passer: Point2<Ground>,
    target: Point2<Ground>,
    flight_s: f64,
    table: &FlightTable,
) -> Option<Flown> {
    // In the frame that moves with the air the ball flies as in still air.
    let wind = Vector2::<Ground>::new(table.wind().x, table.wind().y);
    let through_air = target - passer - wind * flight_s;
    let distance = through_air.norm();
    let path = table.path(distance, flight_s)?;
    let along = through_air.unit().unwrap_or(Vector2::new(1.0, 0.0));
    let level = along * (path.speed * path.launch.cos()) + wind;
    let up = path.speed * path.launch.sin();
    let speed_mph = units::mph_from_yards_per_second(level.norm().hypot(up));
    let launch_deg = up.atan2(level.norm()).to_degrees();
    let mut places = [(passer, 0.0, 0.0); STATIONS];
    for (k, place) in places.iter_mut().enumerate() {
        let t = flight_s * (k + 1) as f64 / STATIONS as f64;
        *place = (passer + along * (distance * path.share[k]) + wind * t, t, path.height[k]);
    }
    Some(Flown { speed_mph, launch_deg, places })
}

/// A throw from `passer` to `target` that arrives `flight_s` after release, if the arm has it.
pub(crate) fn throw(
    passer: Point2<Ground>,
    target: Point2<Ground>,
    flight_s: f64,
    table: &FlightTable,
    p: &Parameters,
) -> Option<(Ball, f64, Stations)> {
    let Flown { speed_mph, launch_deg, places } = fly(passer, target, flight_s, table)?;
    let arm = &p.arm;
    if !(arm.slowest_mph..=arm.fastest_mph).contains(&speed_mph)
        || !(arm.flattest_deg..=arm.steepest_deg).contains(&launch_deg)
    {
        return None;
    }
    let ball = Ball {
        target,
        height_ft: table.catch_height() * units::FEET_PER_YARD,
        speed_mph,
        launch_deg,
        flight_s,
        arc: motion::launch::arc(launch_deg),
    };
    let stations = Stations::new(&places, p.touch_height_yd(), p.cover.time_constant_s);
    Some((ball, (target - passer).norm(), stations))
}

/// The best throws to `receiver` at `release_s`, best first, at most [`KEPT`]: for every flight time, the place where his
/// route has him then and places around it that he can still get to.
pub(crate) fn best_throws(
    cast: &Cast<'_>,
    receiver: &Runner<'_>,
    release_s: f64,
    passer: Point2<Ground>,
    covers: &[Placed],
    table: &FlightTable,
    p: &Parameters,
) -> Vec<Candidate> {
    let mover = Mover::from(&p.receiver);
    let mut kept: Vec<Candidate> = Vec::with_capacity(KEPT + 1);
    let times = ((p.arm.longest_flight_s - p.arm.shortest_flight_s) / TIME_STEP) as usize;
    for i in 0..=times {
        let flight_s = p.arm.shortest_flight_s + i as f64 * TIME_STEP;
        let leave_s = leaves_route(p, flight_s);
        let (Some(leaving), Some(expected)) =
            (receiver.way.at(release_s + leave_s), receiver.way.at(release_s + flight_s))
        else {
            continue;
        };
        let left_s = flight_s - leave_s;
        let step = (0.7 * (mover.radius(left_s) + mover.arm)).min(2.5);
        let ahead = expected.velocity.unit().unwrap_or(Vector2::new(1.0, 0.0));
        let aside = Vector2::new(-ahead.y, ahead.x);
        let offsets = [-1.0, -0.5, 0.0, 0.5, 1.0]
            .map(|k| ahead * (k * step))
            .into_iter()
            .chain([-1.0, -0.5, 0.5, 1.0].map(|k| aside * (k * step)));
        for offset in offsets {
            let target = expected.position + offset;
            if !cast.in_bounds(target) {
                continue;
            }
            let Some((ball, air_yd, stations)) = throw(passer, target, flight_s, table, p) else { continue };
            let scatter = scatter(air_yd, p);
            let meeting = Leaving {
                position: leaving.position,
                velocity: leaving.velocity,
                mover,
                left_s,
                decay: mover.decay(left_s),
            }
            .meet(target, scatter, p);
            // A ball a full stride out of his reach is no throw to him.
            if meeting.short_yd > 1.0 {
                continue;
            }
            let raced = race(&stations, covers.iter(), &meeting, p);
            let candidate = Candidate {
                target,
                scatter,
                ball,
                stations,
                leaving,
                left_s,
                decay: (-left_s / mover.time_constant).exp(),
                near: [0; RIVALS],
                rivals: 0,
                meeting,
                raced,
            };
            let place = kept.partition_point(|c| c.score(p) >= candidate.score(p));
            if place < KEPT {
                kept.insert(place, candidate);
                kept.truncate(KEPT);
            }
        }
    }
    for c in &mut kept {
        c.find_rivals(covers);
    }
    kept
}

impl Candidate {
    /// Picks the defenders with least slack.
    fn find_rivals(&mut self, covers: &[Placed]) {
        let mut order: Vec<(f64, usize)> =
            covers.iter().enumerate().map(|(i, d)| (least(&d.slacks(&self.stations)).1, i)).collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        self.rivals = order.len().min(RIVALS);
        for (slot, (_, i)) in self.near.iter_mut().zip(order) {
            *slot = i;
        }
    }
}
