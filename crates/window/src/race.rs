use crate::flight_table::STATIONS;
use crate::mover::{Gap, Mover};
use crate::parameters::Parameters;
use crate::perturb::Drawn;
use geometry::frame::Ground;
use geometry::{Point2, Vector2};

/// Where a thrown ball passes, and when: the last station is the catch.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stations {
    pub x: [f64; STATIONS],
    pub y: [f64; STATIONS],
    /// Seconds after release.
    pub t: [f64; STATIONS],
    /// exp(−t / time constant) of defenders.
    pub decay: [f64; STATIONS],
    /// 0 where a defender can touch the ball, far too many seconds where it is over his hands.
    pub over: [f64; STATIONS],
}

/// Seconds of slack added where the ball is out of reach overhead.
const OVERHEAD: f64 = 1e6;

impl Stations {
    pub fn new(
        places: &[(Point2<Ground>, f64, f64); STATIONS],
        touch_height: f64,
        time_constant: f64,
    ) -> Self {
        let mut s = Self {
            x: [0.0; STATIONS],
            y: [0.0; STATIONS],
            t: [0.0; STATIONS],
            decay: [0.0; STATIONS],
            over: [0.0; STATIONS],
        };
        for (k, (p, t, height)) in places.iter().enumerate() {
            s.x[k] = p.x;
            s.y[k] = p.y;
            s.t[k] = *t;
            s.decay[k] = (-t / time_constant).exp();
            s.over[k] = if *height <= touch_height { 0.0 } else { OVERHEAD };
        }
        s
    }
    pub fn flight_s(&self) -> f64 {
        self.t[STATIONS - 1]
    }
    pub fn touchable(&self, k: usize) -> bool {
        self.over[k] < OVERHEAD / 2.0
    }
}

/// A defender at the release of one repeat.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Placed {
    pub drawn: Drawn,
    pub position: Point2<Ground>,
    pub velocity: Vector2<Ground>,
}

impl Placed {
    /// First guess of the slack at every station, s: the kernel of the engine.
    #[inline(always)]
    pub fn slacks(&self, s: &Stations) -> [f64; STATIONS] {
        let Placed { drawn: Drawn { mover: m, wake }, position: p, velocity: v } = *self;
        let mut out = [0.0; STATIONS];
        for (k, slot) in out.iter_mut().enumerate() {
            let gap = m.gap(s.x[k] - p.x, s.y[k] - p.y, v.x, v.y, s.t[k], s.decay[k] * wake);
            *slot = gap.closes_in + s.over[k];
        }
        out
    }

    fn decay_at(&self, s: &Stations, k: usize) -> f64 {
        (s.decay[k] * self.drawn.wake).min(1.0)
    }

    /// Exact slack at station `k`, s.
    pub fn slack_at(&self, s: &Stations, k: usize, limit: f64) -> f64 {
        let (dx, dy) = (s.x[k] - self.position.x, s.y[k] - self.position.y);
        let decay = self.decay_at(s, k);
        self.drawn.mover.slack(dx, dy, self.velocity.x, self.velocity.y, s.t[k], decay, limit)
    }

    /// Yards short at station `k`, and how fast they close.
    pub fn gap_at(&self, s: &Stations, k: usize) -> Gap {
        let (dx, dy) = (s.x[k] - self.position.x, s.y[k] - self.position.y);
        self.drawn.mover.gap(dx, dy, self.velocity.x, self.velocity.y, s.t[k], self.decay_at(s, k))
    }
}

/// Smallest entry and where it is.
#[inline(always)]
pub(crate) fn least(values: &[f64; STATIONS]) -> (usize, f64) {
    let mut at = (0, values[0]);
    for (k, &v) in values.iter().enumerate().skip(1) {
        if v < at.1 {
            at = (k, v);
        }
    }
    at
}

/// Seconds of margin that lateness costs.
fn penalty_s(meeting: &Meeting, p: &Parameters) -> f64 {
    meeting.late_s.max(0.0) * p.route.late_weight
}

/// What a full race beats by no more than the guard: the margin against one defender at one station, without the
/// exponentials of the exact slack where its first guess will do.
#[inline]
pub(crate) fn at_most(
    stations: &Stations,
    defender: &Placed,
    station: usize,
    meeting: &Meeting,
    p: &Parameters,
) -> f64 {
    // The first guess of an open gap is off by less than this; `pick` tests that no winner is lost.
    const GUARD_S: f64 = 0.2;
    let limit = p.limits.margin_s;
    let gap = defender.gap_at(stations, station);
    // The first guess of a gap that is open is near enough; of one that is closed it can lie far below the exact slack.
    let slack = if gap.yards > 0.0 { gap.closes_in } else { defender.slack_at(stations, station, limit) };
    (slack + GUARD_S - penalty_s(meeting, p)).min(limit)
}

/// The receiver at the moment he leaves his route for the ball.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Leaving {
    pub position: Point2<Ground>,
    pub velocity: Vector2<Ground>,
    pub mover: Mover,
    /// Seconds from there to the ball's arrival.
    pub left_s: f64,
    /// exp(−left / time constant).
    pub decay: f64,
}

/// Twice the product of the ball's standard deviations across and along its line, yd², for a throw of `air_yd`.
pub(crate) fn scatter(air_yd: f64, p: &Parameters) -> f64 {
    let across = (air_yd * p.arm.spread_deg.to_radians().tan()).max(1e-3);
    let along = (air_yd * p.arm.depth_spread).max(1e-3);
    2.0 * across * along
}

/// How the receiver meets a ball.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Meeting {
    /// Yards short; negative is room to spare.
    pub short_yd: f64,
    /// Seconds late; negative is time to spare.
    pub late_s: f64,
    /// Chance that the ball's scatter leaves it within his reach.
    pub placed: f64,
}

impl Leaving {
    /// Meeting of a ball aimed at `target`, with its [`scatter`].
    #[inline]
    pub fn meet(&self, target: Point2<Ground>, scatter: f64, p: &Parameters) -> Meeting {
        let d = target - self.position;
        let m = &self.mover;
        let gap = m.gap(d.x, d.y, self.velocity.x, self.velocity.y, self.left_s, self.decay);
        let room = (-gap.yards).clamp(0.0, p.route.latitude_yd);
        // Share of a two-dimensional normal scatter inside a circle of the same area as the true ellipse's.
        let placed = 1.0 - (-room * room / scatter).exp();
        Meeting { short_yd: gap.yards, late_s: gap.closes_in, placed }
    }
}

/// A ball raced for in one repeat.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Raced {
    /// Defender's lateness less the receiver's, s.
    pub margin_s: f64,
    /// The same in yards.
    pub margin_yd: f64,
    /// Which of the defenders handed in is first.
    pub first: usize,
    /// His station.
    pub station: usize,
}

/// Races `defenders` and the receiver to a ball.
#[inline]
pub(crate) fn race<'a>(
    stations: &Stations,
    defenders: impl Iterator<Item = &'a Placed>,
    meeting: &Meeting,
    p: &Parameters,
) -> Raced {
    let limit = p.limits.margin_s;
    let mut best: Option<(f64, usize, usize, &Placed)> = None;
    for (i, d) in defenders.enumerate() {
        let (k, slack) = least(&d.slacks(stations));
        if best.is_none_or(|b| slack < b.0) {
            best = Some((slack, i, k, d));
        }
    }
    let late = penalty_s(meeting, p);
    let short = meeting.short_yd.max(0.0) * p.route.late_weight;
    let Some((slack, first, station, d)) = best else {
        return Raced {
            margin_s: (limit - late).max(-limit),
            margin_yd: limit * p.cover.top_speed_ydps.value - short,
            first: 0,
            station: STATIONS - 1,
        };
    };
    // Beyond the limit the first guess already says "wide open".
    let slack = if slack > 2.0 * limit { limit } else { d.slack_at(stations, station, limit) };
    Raced {
        margin_s: (slack - late).clamp(-limit, limit),
        margin_yd: d.gap_at(stations, station).yards - short,
        first,
        station,
    }
}
