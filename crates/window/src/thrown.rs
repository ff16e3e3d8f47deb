use crate::contest::{Contest, Meet};
use crate::draws::{CellDraws, Draw, WindowDraws};
use crate::engine::Stage;
use crate::error::WindowError;
use crate::flight_table::{FlightTable, STATIONS};
use crate::mover::Mover;
use crate::parameters::Parameters;
use crate::perturb::Repeats;
use crate::race::{Leaving, Placed, Raced, Stations, race, scatter};
use crate::scene::{Request, Root, Scene, leaves_route};
use geometry::Point2;
use geometry::frame::Ground;
use play::{PersonId, Throw};
use stats::Estimate;

/// The throw that was made, by the same model as the windows.
#[derive(Clone, Debug, PartialEq)]
pub struct ThrowEvaluation {
    /// The ball as thrown, to the man it was thrown to; its repeats pair with the windows' of the same seed.
    pub thrown: CellDraws,
    /// What decides its chances.
    pub contest: Contest,
    /// Release, s from the snap.
    pub release_s: f64,
    /// The best ball to him at that release.
    pub best: CellDraws,
    /// Margin of the best ball then, less that of the ball thrown, s.
    pub lost_to_placement_s: Estimate,
    /// Widest margin to him at an earlier release, less the best at the release, s; `None` when none was wider or none was
    /// looked at.
    pub lost_to_lateness_s: Option<Estimate>,
    /// The release of that widest margin, s.
    pub widest_at_s: Option<f64>,
}

/// Evaluates a measured throw to `receiver`. Earlier releases are looked up in `windows` from `not_before_s` on (a receiver
/// wide open at the snap says nothing against a passer still in his drop); they pair when `windows` came from the same
/// scene and request.
///
/// # Errors
/// As [`crate::windows`]; `NotSeen` when passer, receiver or every defender is not seen at the release;
/// `OutOfRange` for a flight that makes no sense.
pub fn evaluate_throw(
    scene: &Scene<'_>,
    table: &FlightTable,
    parameters: &Parameters,
    request: &Request,
    windows: &WindowDraws,
    receiver: &PersonId,
    throw: &Throw,
    not_before_s: f64,
) -> Result<ThrowEvaluation, WindowError> {
    let p = parameters;
    let (release_s, flight_s) = (throw.release_s.value, throw.flight_s.value);
    if !(0.05..=8.0).contains(&flight_s) {
        return Err(WindowError::OutOfRange {
            name: "time in the air",
            value: flight_s,
            unit: "s",
            low: 0.05,
            high: 8.0,
        });
    }
    let at = Request { from_s: release_s, until_s: release_s, ..*request };
    let stage = Stage::new(scene, table, p, &at)?;
    let unseen = || WindowError::NotSeen { who: receiver.to_string(), at_s: release_s };
    let runner = stage.cast.receivers.iter().find(|r| r.id == receiver).ok_or_else(unseen)?;
    let best = stage.cell(runner, 0).ok_or_else(unseen)?;
    let ball = Ball::new(throw);
    let leave_s = leaves_route(p, flight_s);
    let leaving = runner.way.at(release_s + leave_s).ok_or_else(unseen)?;
    // Where his track goes on to the arrival, he could do at least what he did.
    let arrived = (release_s + flight_s <= runner.way.known_until() + 1e-9)
        .then(|| runner.way.at(release_s + flight_s))
        .flatten();
    let ball_numbers = Repeats::new(1, request.draws, request.seed ^ BALL_SEED);
    let arrival_root = Root::of(throw.arrival_covariance);
    let (mut first, mut meets) = (None, Vec::with_capacity(request.draws + 1));
    let mut draws = (0..=request.draws).map(|d| {
        let numbers = stage.repeats.numbers(d, runner.index);
        let (position, velocity) =
            if d == 0 { (leaving.position, leaving.velocity) } else { numbers.shift(&leaving, p) };
        let z = ball_numbers.numbers(d, 0);
        // Errors of release and arrival time meet in the time the movers have.
        let slip = z.time() * throw.flight_s.se.hypot(throw.release_s.se);
        let flight = (flight_s + slip).max(0.05);
        let arrival = ball.arrival + arrival_root.times(z.place());
        let stations = ball.stations(arrival, flight, p);
        let mover = if d == 0 { Mover::from(&p.receiver) } else { numbers.mover(&p.receiver).mover };
        let left_s = flight - leaves_route(p, flight);
        let leaving = Leaving { position, velocity, mover, left_s, decay: mover.decay(left_s) };
        // The ball is where it is: its scatter is in the repeats, not in the chance of each.
        let mut meeting = leaving.meet(arrival, scatter(0.0, p), p);
        if let Some(state) = &arrived {
            let (position, velocity) =
                if d == 0 { (state.position, state.velocity) } else { numbers.shift(state, p) };
            let there = Leaving { position, velocity, mover, left_s: 0.0, decay: mover.decay(0.0) };
            let did = there.meet(arrival, scatter(0.0, p), p);
            if did.short_yd < meeting.short_yd {
                meeting = did;
            }
        }
        meeting.placed = 1.0;
        if !stations.touchable(STATIONS - 1) {
            // Over his hands: as late as can be.
            meeting.late_s = p.limits.margin_s;
        }
        let defenders = stage.field.of(0, d);
        let raced = race(&stations, defenders.iter(), &meeting, p);
        first.get_or_insert(raced);
        let meet = Meet::new(&stations, &meeting, nearest(defenders, &raced).into_iter());
        let chances = meet.chances(&p.control);
        meets.push(meet);
        Draw {
            margin_s: raced.margin_s,
            margin_yd: raced.margin_yd,
            complete: chances.complete,
            intercept: chances.intercept,
        }
    });
    let measured = draws.next().expect("the measurement is always there");
    let repeats: Vec<Draw> = draws.collect();
    // The first is the measurement.
    let contest = Contest { meets: meets.split_off(1) };
    let defender = first.map(|r: Raced| stage.cast.covers[stage.field.seen[0][r.first]].id.clone());
    let thrown = CellDraws { measured, ball: None, defender, repeats }.claimed(&p.control);
    let lost = |a: &CellDraws, b: &CellDraws| {
        let gaps: Vec<f64> = a.repeats.iter().zip(&b.repeats).map(|(x, y)| x.margin_s - y.margin_s).collect();
        let se = Estimate::from_draws(&gaps).map_or(0.0, |e| e.se);
        Estimate::new(a.measured.margin_s - b.measured.margin_s, se)
    };
    let widest = windows.receiver(receiver).and_then(|r| {
        (0..windows.releases.len())
            .filter(|&k| (not_before_s..release_s).contains(&windows.releases[k]))
            .filter_map(|k| windows.cell(r, k).map(|c| (k, c)))
            .filter(|(_, c)| c.measured.margin_s > best.measured.margin_s)
            .max_by(|a, b| a.1.measured.margin_s.total_cmp(&b.1.measured.margin_s))
    });
    Ok(ThrowEvaluation {
        release_s,
        lost_to_placement_s: lost(&best, &thrown),
        lost_to_lateness_s: widest.map(|(_, c)| lost(c, &best)),
        widest_at_s: widest.map(|(k, _)| windows.releases[k]),
        thrown,
        contest,
        best,
    })
}

/// Keeps the ball's random numbers apart from the people's.
const BALL_SEED: u64 = 0x6261_6c6c;

/// The defenders whose chances count: the first of the race, then the others as they come.
fn nearest<'a>(defenders: &'a [Placed], raced: &Raced) -> Vec<&'a Placed> {
    let mut order: Vec<&Placed> = defenders.iter().collect();
    order.swap(0, raced.first);
    order
}

/// A measured ball, times from its release.
struct Ball {
    release: Point2<Ground>,
    arrival: Point2<Ground>,
    flight_s: f64,
    /// (share of the flight time, place, height).
    path: Vec<(f64, Point2<Ground>, f64)>,
}

impl Ball {
    fn new(throw: &Throw) -> Self {
        let (release, arrival) = (throw.release.ground(), throw.arrival.ground());
        let flight_s = throw.flight_s.value;
        let mut path = vec![(0.0, release, throw.release.z)];
        for (t, point) in &throw.path {
            let share = (t - throw.release_s.value) / flight_s;
            if share > path[path.len() - 1].0 + 1e-6 && share < 1.0 - 1e-6 {
                path.push((share, point.ground(), point.z));
            }
        }
        path.push((1.0, arrival, throw.arrival.z));
        Self { release, arrival, flight_s, path }
    }

    /// Stations of the ball with its arrival moved to `arrival` and its time stretched to `flight_s`.
    fn stations(&self, arrival: Point2<Ground>, flight_s: f64, p: &Parameters) -> Stations {
        let moved = arrival - self.arrival;
        let mut places = [(self.release, 0.0, 0.0); STATIONS];
        for (k, place) in places.iter_mut().enumerate() {
            let share = (k + 1) as f64 / STATIONS as f64;
            let j = self.path.partition_point(|s| s.0 < share).clamp(1, self.path.len() - 1);
            let (a, b) = (&self.path[j - 1], &self.path[j]);
            let w = (share - a.0) / (b.0 - a.0);
            // A path without samples in between is a parabola from hand to hand, not a straight line.
            let gap_s = (b.0 - a.0) * self.flight_s;
            let sag = 0.5 * units::GRAVITY_YDPS2 * gap_s * gap_s * w * (1.0 - w);
            *place = (a.1.lerp(b.1, w) + moved * share, flight_s * share, a.2 + (b.2 - a.2) * w + sag);
        }
        Stations::new(&places, p.touch_height_yd(), p.cover.time_constant_s)
    }
}
