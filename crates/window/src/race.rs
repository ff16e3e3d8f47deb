use crate::flight_table::STATIONS;
use crate::mover::Mover;
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
    /// First-order slack at every station: yards short over the speed he closes at, s. The kernel of the engine: no
    /// branch and no exponential, so that the compiler can use every lane.
    #[inline(always)]
    pub fn slacks(&self, s: &Stations) -> [f64; STATIONS] {
        let Placed { drawn: Drawn { mover: m, wake }, position: p, velocity: v } = *self;
        let least = m.least_closing();
        let mut out = [0.0; STATIONS];
        for (k, slot) in out.iter_mut().enumerate() {
            let t = s.t[k];
            let u = (t - m.reaction_s).max(0.0);
            let e = (s.decay[k] * wake).min(1.0);
            let g = m.time_constant * (1.0 - e);
            let (dx, dy) = (s.x[k] - p.x, s.y[k] - p.y);
            let carried = t - u + g;
            let (rx, ry) = (dx - v.x * carried, dy - v.y * carried);
            let (ax, ay) = (dx - v.x * t, dy - v.y * t);
            let (rd, ad) = ((rx * rx + ry * ry + 1e-12).sqrt(), (ax * ax + ay * ay + 1e-12).sqrt());
            let run = rd - m.top_speed * (u - g);
            let push = ad - 0.5 * m.acceleration * u * u;
            let run_closing = (v.x * rx + v.y * ry) / rd * e + m.top_speed * (1.0 - e);
            let push_closing = (v.x * ax + v.y * ay) / ad + m.acceleration * u;
            let closing = if run >= push { run_closing } else { push_closing };
            *slot = (run.max(push) - m.arm) / closing.max(least) + s.over[k];
        }
        out
    }

    /// Exact slack at station `k`, s.
    pub fn slack_at(&self, s: &Stations, k: usize, limit: f64) -> f64 {
        let (dx, dy) = (s.x[k] - self.position.x, s.y[k] - self.position.y);
        self.drawn.mover.slack(dx, dy, self.velocity.x, self.velocity.y, s.t[k], limit)
    }

    /// Yards short at station `k`.
    pub fn short_at(&self, s: &Stations, k: usize) -> f64 {
        let (dx, dy) = (s.x[k] - self.position.x, s.y[k] - self.position.y);
        let decay = (s.decay[k] * self.drawn.wake).min(1.0);
        self.drawn.mover.gap(dx, dy, self.velocity.x, self.velocity.y, s.t[k], decay).yards
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

/// What a full race cannot beat by more than the guard: the margin against one defender at one station.
#[inline]
pub(crate) fn at_most(stations: &Stations, defender: &Placed, station: usize, meeting: &Meeting, p: &Parameters) -> f64 {
    // The first guess picks the station, the exact slack is taken there: another station's exact slack may lie this far
    // below; measured over the bench's play it stays under a fifth of it.
    const GUARD_S: f64 = 0.05;
    let limit = p.limits.margin_s;
    (defender.slack_at(stations, station, limit) + GUARD_S - penalty_s(meeting, p)).min(limit)
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
    /// Meeting of a ball at `target` thrown `air_yd` far.
    #[inline]
    pub fn meet(&self, target: Point2<Ground>, air_yd: f64, p: &Parameters) -> Meeting {
        let d = target - self.position;
        let m = &self.mover;
        let gap = m.gap(d.x, d.y, self.velocity.x, self.velocity.y, self.left_s, self.decay);
        let room = (-gap.yards).clamp(0.0, p.route.latitude_yd);
        let across = (air_yd * p.arm.spread_deg.to_radians().tan()).max(1e-3);
        let along = (air_yd * p.arm.depth_spread).max(1e-3);
        // Share of a two-dimensional normal scatter inside a circle of the same area as the true ellipse's.
        let placed = 1.0 - (-room * room / (2.0 * across * along)).exp();
        Meeting { short_yd: gap.yards, late_s: gap.yards / gap.closing.max(m.least_closing()), placed }
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
        return Raced { margin_s: (limit - late).max(-limit), margin_yd: limit * p.cover.top_speed_ydps.value - short, first: 0, station: STATIONS - 1 };
    };
    // Beyond the limit the first guess already says "wide open".
    let slack = if slack > 2.0 * limit { limit } else { d.slack_at(stations, station, limit) };
    Raced {
        margin_s: (slack - late).clamp(-limit, limit),
        margin_yd: d.short_at(stations, station) - short,
        first,
        station,
    }
}
