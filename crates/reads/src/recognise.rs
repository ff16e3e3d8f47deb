//! Routes from tracks: the break's depth and angle, and which route it looks like.

use crate::board::Board;
use crate::playbook::{Playbook, Route, Toward};
use geometry::{Vector2, frame};
use play::{PersonId, Role};
use stats::Estimate;

/// The sharpest turn of a route.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Break {
    /// When, s from the snap.
    pub at_s: f64,
    /// Past the line, yd.
    pub depth_yd: Estimate,
    /// Change of running direction, to the runner's own sideline positive, degrees.
    pub angle_deg: Estimate,
}

/// What a receiver ran.
#[derive(Clone, Debug, PartialEq)]
pub struct RouteGuess {
    /// Route ids with a share each, most likely first, summing to 1 over those shown.
    pub routes: Vec<(String, f64)>,
    /// The break; `None` for a route without one.
    pub turn: Option<Break>,
}

/// Slower than this he stands, yd/s.
const STANDS_YDPS: f64 = 1.8;
/// How much slower than its drawing lets him a man may be at the end of what was seen, as a share of his fastest. Ours, like every
/// spread and factor below without another word: by generated games set apart for that.
const SLOWER: f64 = 0.15;
/// Spread of that.
const SLOWER_SD: f64 = 0.15;
/// Spread of real routes about the drawn ones, yd.
const SPREAD_YD: f64 = 1.0;
/// Spacing of the points compared, yd.
const STEP_YD: f64 = 0.5;
/// Farthest from the ball, across, that a man sits over it, yd; common practice, no source.
const OVER_BALL_YD: f64 = 6.0;
/// Longest way compared, yd.
const LONGEST_YD: f64 = 32.0;
/// Sharpest turn under which a route has no break, degrees.
const NO_BREAK_DEG: f64 = 25.0;

struct Way {
    /// Every [`STEP_YD`] of the way: (downfield, to his own sideline) from his alignment.
    points: Vec<[f64; 2]>,
    stood: bool,
    /// Speed at the end of what was seen, as a share of his fastest.
    kept: f64,
}

/// What `receiver` ran from the snap to `until_s`; `None` when he is not seen for a second or went no farther than two
/// yards.
pub fn route(board: &Board<'_>, receiver: &PersonId, until_s: f64, book: &Playbook) -> Option<RouteGuess> {
    let person = board.person(receiver)?;
    let side = board.side(receiver)?;
    let (first, last) = board.track(receiver)?.span()?;
    let until = until_s.min(last);
    if first > 0.1 || until < 1.0 {
        return None;
    }
    let start = board.spot(receiver, first.max(0.0))?;
    let n = ((until - first.max(0.0)) * 30.0).floor() as usize;
    let spots: Vec<_> =
        (0..=n).filter_map(|k| board.spot(receiver, first.max(0.0) + k as f64 / 30.0)).collect();
    let local = |s: &crate::board::Spot| [s.at.x - start.at.x, (s.at.y - start.at.y) * side];
    let way = walked(spots.iter().map(|s| (local(s), s.velocity.norm())));
    if (way.points.len() as f64) * STEP_YD < 2.0 {
        return None;
    }
    let back = matches!(person.role, Role::Back);
    let slot = slot_of(board, receiver)?;
    let mut scored: Vec<(String, f64)> = Vec::new();
    let turn = sharpest(&spots, side, first.max(0.0));
    let peak = spots.iter().map(|s| s.at.x).fold(f64::NEG_INFINITY, f64::max);
    let ended = spots.last().map_or(peak, |s| s.at.x);
    let deepest = spots.iter().position(|s| s.at.x >= peak).unwrap_or(0);
    let past_yd = spots.last().map_or(0.0, |s| s.at.distance(spots[deepest].at));
    let setting = Setting {
        rubs: rubs(board, receiver, until),
        stayed: spots.get(24).is_none_or(|s| s.at.distance(start.at) < 1.0),
        off_ball_yd: spots.last().map_or(0.0, |s| s.at.y.abs()),
    };
    // An option, once run, is the route that it became.
    let runs = |r: &&Route| r.back == back || (back && r.id == "wheel");
    for r in book.routes.iter().filter(|r| runs(r) && !(r.toward == Toward::Either && r.depth[0] > 0.0)) {
        let (least, most) = (r.depth[0], r.depth[1]);
        let best = [-2.0, -1.0, 0.0, 0.5, 1.0, 2.0, 3.0]
            .into_iter()
            .map(|k: f64| {
                // Within the usual depths, or so many spreads short of them or past them.
                let depth = least + (most - least) * k.clamp(0.0, 1.0) + UNUSUAL_YD * (k - k.clamp(0.0, 1.0));
                let unusual = 0.8 * (k - k.clamp(0.0, 1.0)).powi(2);
                let drawn = drawn(r, depth, start.at.x);
                // Who comes back to the ball turned where he was deepest; small drifts after it are sharper turns.
                let broke = if drawn.sits && !back { Some(peak) } else { turn.map(|t| t.depth_yd.value) };
                let misplaced = broke.map_or(0.0, |d| misplaced(d - start.at.x, &drawn));
                // Running back toward the line is coming back to the ball, unless it is drawn so.
                let back_yd = if drawn.sits || back { 0.0 } else { (peak - ended).max(0.0) };
                let came_back = 0.5 * (back_yd / CAME_BACK_YD.hypot(TILT * past_yd)).powi(2).min(9.0);
                unusual + misplaced + came_back + cost(&way, &drawn)
            })
            .fold(f64::INFINITY, f64::min);
        scored.push((r.id.clone(), best - (setting.favours(&r.id) * book.usual(&r.id, &slot)).ln()));
    }
    let least = scored.iter().map(|s| s.1).fold(f64::INFINITY, f64::min);
    for s in &mut scored {
        s.1 = (least - s.1).exp();
    }
    let sum: f64 = scored.iter().map(|s| s.1).sum();
    scored.iter_mut().for_each(|s| s.1 /= sum);
    scored.sort_by(|a, b| b.1.total_cmp(&a.1));
    scored.truncate(4);
    let shown: f64 = scored.iter().map(|s| s.1).sum();
    scored.iter_mut().for_each(|s| s.1 /= shown);
    Some(RouteGuess { routes: scored, turn })
}

/// What tells apart routes of one shape.
struct Setting {
    /// Somebody from the other side crosses him closely.
    rubs: bool,
    /// He had not left his place after eight tenths of a second.
    stayed: bool,
    /// Where he ended, from the ball across, yd.
    off_ball_yd: f64,
}

impl Setting {
    /// Factor on what usually is run. Ours.
    fn favours(&self, route: &str) -> f64 {
        match route {
            // Two who cross close under the linebackers mesh, one alone runs a shallow.
            "mesh" if !self.rubs => 0.2,
            "shallow" if self.rubs => 0.3,
            // A screen begins with blocking; a swing does not.
            "slow-screen" if !self.stayed => 0.1,
            "swing" | "back-flat" if self.stayed => 0.3,
            // Over the ball is within the guards and a step.
            "hook" if self.off_ball_yd > OVER_BALL_YD => 0.1,
            _ => 1.0,
        }
    }
}

/// Two who run at each other and would meet within this are about to cross, s. Ours.
const MEET_S: f64 = 0.7;

/// Whether somebody from the other side crosses him near enough to rub: less than two and a half yards apart in depth,
/// both less than eight past the line.
fn rubs(board: &Board<'_>, receiver: &PersonId, until_s: f64) -> bool {
    let Some(side) = board.side(receiver) else { return false };
    board.receivers().filter(|p| board.side(&p.id) == Some(-side) && p.role != Role::Back).any(|p| {
        (0..=(until_s / 0.1) as usize).map(|k| 0.1 * k as f64).any(|t| {
            let (Some(a), Some(b)) = (board.spot(receiver, t), board.spot(&p.id, t)) else { return false };
            // The ball may be gone before they cross: that they run at each other tells as much.
            let closing = (b.velocity.y - a.velocity.y) * side;
            let crossed = (a.at.y - b.at.y) * side < 1.0 + MEET_S * closing.max(0.0);
            crossed && (a.at.x - b.at.x).abs() < 2.5 && a.at.x.max(b.at.x) < 8.0
        })
    })
}

/// The way in equal steps; standing about adds nothing to it.
fn walked(points: impl Iterator<Item = ([f64; 2], f64)>) -> Way {
    let mut out = vec![[0.0, 0.0]];
    let mut last = [0.0, 0.0];
    let mut slow = 0;
    let (mut fastest, mut now) = (0.0_f64, 0.0);
    for (p, speed) in points {
        (fastest, now) = (fastest.max(speed), speed);
        slow = if speed < STANDS_YDPS { slow + 1 } else { 0 };
        let mut d = (p[0] - last[0]).hypot(p[1] - last[1]);
        while d >= STEP_YD && (out.len() as f64) * STEP_YD < LONGEST_YD {
            let w = STEP_YD / d;
            last = [last[0] + w * (p[0] - last[0]), last[1] + w * (p[1] - last[1])];
            out.push(last);
            d = (p[0] - last[0]).hypot(p[1] - last[1]);
        }
    }
    // A third of a second at rest at the end of what was seen.
    Way { points: out, stood: slow >= 10, kept: now / fastest.max(1e-9) }
}

struct Drawn {
    points: Vec<[f64; 2]>,
    /// Depth past the alignment of its sharpest turn, or of the end where it comes back; `None` when it has none.
    broke: Option<f64>,
    /// Yards along after which it only runs on.
    settled: f64,
    /// Where it turns or ends: yards along, and the share of his speed that a man keeps there.
    turns: Vec<(f64, f64)>,
    /// Direction it goes on in.
    on: [f64; 2],
    /// It ends there, in a hole or coming back to the ball.
    sits: bool,
}

/// A break that is asked for ever shallower stays this far downfield, yd.
const LEAST_STEM_YD: f64 = 0.5;

/// A route drawn with its break `depth` yd past the line, from an alignment at `from` yd past the line (negative).
fn drawn(r: &Route, depth: f64, from: f64) -> Drawn {
    let usual = 0.5 * (r.depth[0] + r.depth[1]);
    // Deeper or shallower it is the stem that is longer or shorter; the break keeps its shape.
    let stem = if usual > 2.0 && r.toward != Toward::Up && !r.back { depth - usual } else { 0.0 };
    // Depths count from the line: who lines up a yard off the ball runs a yard more.
    let off = if r.back { 0.0 } else { -from };
    let corners: Vec<[f64; 2]> = r
        .waypoints
        .iter()
        .enumerate()
        .map(|(k, w)| [if k == 0 { w[0] } else { (w[0] + stem).max(w[0].min(LEAST_STEM_YD)) + off }, w[1]])
        .collect();
    let mut points = vec![corners[0]];
    let mut last = corners[0];
    for c in &corners[1..] {
        let mut d = (c[0] - last[0]).hypot(c[1] - last[1]);
        while d >= STEP_YD {
            let w = STEP_YD / d;
            last = [last[0] + w * (c[0] - last[0]), last[1] + w * (c[1] - last[1])];
            points.push(last);
            d = (c[0] - last[0]).hypot(c[1] - last[1]);
        }
    }
    let mut along = 0.0;
    let mut turns = Vec::new();
    let mut sharpest: Option<(f64, f64)> = None;
    for w in corners.windows(3) {
        let (a, b) = (chord(w[0], w[1]), chord(w[1], w[2]));
        along += a[0].hypot(a[1]);
        let turned = (a[0] * b[1] - a[1] * b[0]).atan2(a[0] * b[0] + a[1] * b[1]).abs();
        if turned > NO_BREAK_DEG.to_radians() && sharpest.is_none_or(|s| turned > s.0) {
            sharpest = Some((turned, w[1][0]));
        }
        // Half way through a turn a man runs along its bisector: what he had along it he may keep.
        turns.push((along, (0.5 * turned).cos()));
    }
    let k = corners.len() - 1;
    let d = [corners[k][0] - corners[k - 1][0], corners[k][1] - corners[k - 1][1]];
    let length = d[0].hypot(d[1]).max(1e-9);
    let sits = r.toward == Toward::Back || length < 2.0 || r.id == "block";
    if sits {
        turns.push((along + length, 0.0));
    }
    // The legs before the last are the route's shape; one that never turns is told by all of its way.
    let settled = if corners.len() > 2 { along } else { f64::INFINITY };
    let peak = corners.iter().map(|c| c[0]).fold(f64::NEG_INFINITY, f64::max);
    let broke = if sits { Some(peak) } else { sharpest.map(|s| s.1) };
    Drawn { broke, settled, points, turns, on: [d[0] / length, d[1] / length], sits }
}

/// Spread of breaks about the drawn depth, yd. Ours.
const BREAK_YD: f64 = 1.8;

/// Spread of drawn depths about the usual ones where they are not among them, yd; common practice, no source.
const UNUSUAL_YD: f64 = 0.9;

/// What a route that goes on loses in depth by bending or by a badly measured end, yd; common practice, no source.
const CAME_BACK_YD: f64 = 0.6;
/// What it loses besides for each yard run since it was deepest: who runs across tilts back toward the line. Ours.
const TILT: f64 = 0.2;

/// Minus log likelihood of a break `depth` yd past the alignment.
fn misplaced(depth: f64, drawn: &Drawn) -> f64 {
    // Beyond three spreads a break is wrong, no more; a turn that was measured badly must not decide alone.
    drawn.broke.map_or(0.0, |d| 0.5 * ((depth - d) / BREAK_YD).powi(2).min(9.0))
}

/// Minus log likelihood, up to a constant: distance and running direction at equal ways along, with what one has and the
/// other has not.
fn cost(way: &Way, drawn: &Drawn) -> f64 {
    let n = way.points.len();
    let end = drawn.points.len() - 1;
    let place = |k: usize| match drawn.points.get(k) {
        Some(q) => *q,
        None => {
            let more = (k - end) as f64 * STEP_YD;
            [drawn.points[end][0] + drawn.on[0] * more, drawn.points[end][1] + drawn.on[1] * more]
        }
    };
    let mut sum = 0.0;
    for (k, p) in way.points.iter().enumerate() {
        let q = place(k);
        // Past its last break a runner bends to grass, sideline and ball: that says ever less of the route.
        let past = (k as f64 * STEP_YD - drawn.settled).max(0.0);
        let weight = (-past / SETTLES_YD).exp();
        sum += weight * ((p[0] - q[0]).powi(2) + (p[1] - q[1]).powi(2)) / (SPREAD_YD * SPREAD_YD);
        if k >= CHORD {
            let (a, b) = (chord(way.points[k - CHORD], *p), chord(place(k - CHORD), q));
            let off = (a[0] * b[1] - a[1] * b[0]).atan2(a[0] * b[0] + a[1] * b[1]).to_degrees().abs();
            // Beyond a right angle a direction is no more wrong.
            sum += weight * (off.min(90.0) / SPREAD_DEG).powi(2);
        }
    }
    // Coming back to the ball takes a sitting man a few yards; then he has run on.
    let ran_on = if drawn.sits { (n as f64 - end as f64 - 1.0) * STEP_YD - 3.0 } else { 0.0 }.max(0.0);
    // He stood still where the drawing still runs.
    let left = (end + 1).saturating_sub(n) as f64 * STEP_YD;
    let stopped = if way.stood { left + if drawn.sits { 0.0 } else { 4.0 } } else { 0.0 };
    // He slows where nothing is drawn to slow for.
    let walked = n as f64 * STEP_YD;
    let keeps = drawn.turns.iter().filter(|t| (t.0 - walked).abs() <= 3.0).map(|t| t.1).fold(1.0, f64::min);
    let slower = (keeps - way.kept - SLOWER).max(0.0) / SLOWER_SD;
    let unasked = 0.5 * slower.powi(2).min(9.0);
    // Neighbouring points of a way err together: about one independent look per 3 yd.
    unasked + 0.5 * sum * STEP_YD / 3.0 + (ran_on + stopped) / 2.0
}

/// Steps over which a running direction is taken: 1.5 yd.
const CHORD: usize = 3;
/// Yards past the last break over which what is run says less of the route by a factor e.
const SETTLES_YD: f64 = 8.0;
/// Spread of running directions about the drawn ones, degrees.
const SPREAD_DEG: f64 = 25.0;

fn chord(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [b[0] - a[0], b[1] - a[1]]
}

/// The sharpest turn between the running directions a quarter second before and after.
fn sharpest(spots: &[crate::board::Spot], side: f64, from_s: f64) -> Option<Break> {
    const HALF: usize = 8;
    if spots.len() < 2 * HALF + 1 {
        return None;
    }
    let mut best: Option<(f64, usize)> = None;
    for k in HALF..spots.len() - HALF {
        let before = spots[k].at - spots[k - HALF].at;
        let after = spots[k + HALF].at - spots[k].at;
        // A turn needs running on both sides of it, and does not count in the first steps.
        if before.norm() < 1.0 || after.norm() < 0.5 || spots[k].at.x < spots[0].at.x + 1.0 {
            continue;
        }
        let turn = turn_deg(before, after) * side;
        if best.is_none_or(|b: (f64, usize)| turn.abs() > b.0.abs()) {
            best = Some((turn, k));
        }
    }
    let (turn, k) = best.filter(|b| b.0.abs() >= NO_BREAK_DEG)?;
    let s = &spots[k];
    let arm = (spots[k].at - spots[k - HALF].at).norm().min((spots[k + HALF].at - spots[k].at).norm());
    Some(Break {
        at_s: from_s + k as f64 / 30.0,
        depth_yd: Estimate::new(s.at.x, s.sd.hypot(0.3)),
        // Two directions, each from two places over `arm` yards; errors of neighbouring places mostly cancel.
        angle_deg: Estimate::new(turn, (0.7 * s.sd * 2.0 / arm.max(0.5)).atan().to_degrees().max(3.0)),
    })
}

fn turn_deg(a: Vector2<frame::Play>, b: Vector2<frame::Play>) -> f64 {
    a.cross(b).atan2(a.dot(b)).to_degrees()
}

/// The route slot of a receiver by his role: `L1`, `R2`, `B`.
pub fn slot_of(board: &Board<'_>, id: &PersonId) -> Option<String> {
    Some(match board.person(id)?.role {
        Role::Receiver { flank, number } => {
            format!("{}{number}", if flank == play::Flank::Left { 'L' } else { 'R' })
        }
        Role::Back => "B".to_owned(),
        _ => return None,
    })
}

/// The receiver in a route slot.
pub fn in_slot<'a>(board: &Board<'a>, slot: &str) -> Option<&'a PersonId> {
    board.receivers().map(|p| &p.id).find(|id| slot_of(board, id).as_deref() == Some(slot))
}
