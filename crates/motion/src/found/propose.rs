//! Who is probably who, from where everybody stands at the snap and goes after it.

use super::{FoundTrack, Side};
use field::RuleBook;
use geometry::{Point2, frame::Ground};
use play::{Flank, Person, PersonId, Role, Situation, TrackId, Unit};

/// A guess at who a track is.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// Whose track.
    pub track: TrackId,
    /// Who he is, probably.
    pub person: Person,
    /// That his side is right, 0 to 1.
    pub side: f64,
    /// That side and role are right, 0 to 1.
    pub role: f64,
}

/// What proposals follow from.
#[derive(Clone, Copy, Debug)]
pub struct PropositionInput<'a> {
    /// Everybody found; the clock's zero is the snap.
    pub tracks: &'a [FoundTrack],
    /// Their shirts, one per track.
    pub sides: &'a [Side],
    /// Line of scrimmage, hash and direction, where charted.
    pub situation: &'a Situation,
    /// Markings.
    pub book: RuleBook,
}

/// Somebody at the snap.
#[derive(Clone, Copy, Debug)]
struct Man {
    track: usize,
    at: Point2<Ground>,
    later: Option<Point2<Ground>>,
    sure: f64,
    seen_s: f64,
}

/// Seconds after the snap at which rushers have shown themselves. Common practice, no source.
const LATER_S: f64 = 1.3;
/// Men of a side.
const ELEVEN: usize = 11;

/// Proposals for players; nobody is proposed who was not seen near the snap or wears no team's shirt. Probabilities come
/// from rules of alignment (common practice, no source).
pub fn propose(input: &PropositionInput<'_>) -> Vec<Proposal> {
    let teams: [Vec<Man>; 2] = [0, 1].map(|team| men(input, team));
    if teams.iter().any(|t| t.len() < 3) {
        return Vec::new();
    }
    let Some(front) = Front::find(&teams, input.situation) else { return Vec::new() };
    let middle =
        input.situation.spot(input.book).map_or_else(|| front.middle(&teams[front.offense]), |s| s.y);
    let mut out = offense(input, &teams[front.offense], &front, middle);
    out.extend(defense(input, &teams[1 - front.offense], &front, middle));
    out
}

/// The men of a team, at most eleven: those seen longest.
fn men(input: &PropositionInput<'_>, team: u8) -> Vec<Man> {
    let mut out: Vec<Man> = input
        .tracks
        .iter()
        .zip(input.sides)
        .enumerate()
        .filter_map(|(track, (t, side))| {
            let Side::Team(of, sure) = side else { return None };
            let (first, last) = t.span()?;
            (*of == team).then_some(())?;
            Some(Man { track, at: near(t, 0.0)?, later: near(t, LATER_S), sure: *sure, seen_s: last - first })
        })
        .collect();
    out.sort_by(|a, b| b.seen_s.total_cmp(&a.seen_s));
    out.truncate(ELEVEN);
    out
}

/// Mean place within .3 s of an instant, weighed by certainty; of the nearest sighting within a second when there is none.
fn near(t: &FoundTrack, at: f64) -> Option<Point2<Ground>> {
    let within = |s: f64| t.spots.iter().filter(move |p| (p.at.t_s - at).abs() <= s);
    let (mut x, mut y, mut n) = (0.0, 0.0, 0.0);
    for s in within(0.3) {
        let w = 1.0 / s.at.noise.plus(s.at.common).rms().powi(2).max(1e-4);
        x += w * s.at.position.x;
        y += w * s.at.position.y;
        n += w;
    }
    if n > 0.0 {
        return Some(Point2::new(x / n, y / n));
    }
    within(1.0).min_by(|a, b| (a.at.t_s - at).abs().total_cmp(&(b.at.t_s - at).abs())).map(|s| s.at.position)
}

/// The line of scrimmage between two fronts.
struct Front {
    line_x: f64,
    /// +1 when the offense goes towards larger x.
    downfield: f64,
    /// Which team has the ball, and how sure that is.
    offense: usize,
    sure: f64,
}

impl Front {
    fn find(teams: &[Vec<Man>; 2], situation: &Situation) -> Option<Self> {
        // Which team stands at smaller x, and the line that parts them best.
        let mut best: Option<(f64, usize, f64)> = None;
        let all: Vec<f64> = teams.iter().flatten().map(|m| m.at.x).collect();
        for low in [0, 1] {
            for &x in &all {
                for line in [x - 0.3, x + 0.3] {
                    let wrong = |m: &Man, side: f64| (side * (m.at.x - line)).clamp(0.0, 3.0);
                    let cost: f64 = teams[low].iter().map(|m| wrong(m, 1.0)).sum::<f64>()
                        + teams[1 - low].iter().map(|m| wrong(m, -1.0)).sum::<f64>();
                    if best.is_none_or(|b| cost < b.0) {
                        best = Some((cost, low, line));
                    }
                }
            }
        }
        let (_, low, between) = best?;
        let depths = |team: usize| {
            let sign = if team == low { -1.0 } else { 1.0 };
            let mut d: Vec<f64> = teams[team].iter().map(|m| sign * (m.at.x - between)).collect();
            d.sort_by(f64::total_cmp);
            d
        };
        // The defense stands deep, the offense has its seven on the line (rule book: at least seven, formation).
        let evidence = |team: usize| {
            let d = depths(team);
            let on_line = d.iter().filter(|d| **d < d_front(&depths(team)) + 1.3).count() as f64;
            let deep = d[d.len().saturating_sub(2)];
            on_line - 0.6 * deep
        };
        let mut odds = evidence(0) - evidence(1);
        if let Some(direction) = situation.direction {
            // Charted: the offense stands behind its line.
            let first_is_offense = (direction.sign() > 0.0) == (low == 0);
            odds = if first_is_offense { 8.0 } else { -8.0 };
        }
        let offense = usize::from(odds < 0.0);
        let downfield = if offense == low { 1.0 } else { -1.0 };
        let line_x = situation.line_x.unwrap_or(between);
        Some(Self { line_x, downfield, offense, sure: 1.0 / (1.0 + (-0.7 * odds.abs()).exp()) })
    }
    /// Yards behind the line for the offense, beyond it for the defense.
    fn depth(&self, p: Point2<Ground>) -> f64 {
        self.downfield * (p.x - self.line_x)
    }
    /// Where the ball lies across the field: the middle of the five nearest together on the offense's line.
    fn middle(&self, offense: &[Man]) -> f64 {
        let mut y: Vec<f64> = offense.iter().filter(|m| self.depth(m.at) > -2.3).map(|m| m.at.y).collect();
        y.sort_by(f64::total_cmp);
        let n = y.len().min(5);
        y.windows(n.max(1))
            .min_by(|a, b| (a[a.len() - 1] - a[0]).total_cmp(&(b[b.len() - 1] - b[0])))
            .map_or(26.67, |w| w[w.len() / 2])
    }
}

/// Depth of a team's front: its third nearest man.
fn d_front(sorted: &[f64]) -> f64 {
    sorted.get(2).or(sorted.last()).copied().unwrap_or(0.0)
}

fn offense(input: &PropositionInput<'_>, men: &[Man], front: &Front, middle: f64) -> Vec<Proposal> {
    let behind = |m: &Man| -front.depth(m.at);
    // The passer stands behind the ball; of two in a row the nearer to it.
    let aligned = |m: &Man| {
        let (dy, d) = (m.at.y - middle, behind(m));
        let depth = if d < 0.9 { 0.05 } else { (-0.05 * d).exp() };
        let beyond = if d > 9.0 { 0.1 } else { 1.0 };
        (-0.5 * (dy / 0.9).powi(2)).exp() * depth * beyond + 1e-6
    };
    let total: f64 = men.iter().map(aligned).sum();
    let Some(passer) = (0..men.len()).max_by(|&a, &b| aligned(&men[a]).total_cmp(&aligned(&men[b]))) else {
        return Vec::new();
    };
    let mut rest: Vec<usize> = (0..men.len()).filter(|&k| k != passer).collect();
    // The five on the line nearest to the ball protect.
    rest.sort_by(|&a, &b| (men[a].at.y - middle).abs().total_cmp(&(men[b].at.y - middle).abs()));
    let line: Vec<usize> = rest.iter().copied().filter(|&k| behind(&men[k]) < 2.4).take(5).collect();
    let widest = line.iter().map(|&k| (men[k].at.y - middle).abs()).fold(0.0, f64::max);
    rest.retain(|k| !line.contains(k));
    let in_backfield = |m: &Man| behind(m) > 2.4 && (m.at.y - middle).abs() < widest.max(3.0) + 1.5;
    let (backs, wide): (Vec<usize>, Vec<usize>) = rest.into_iter().partition(|&k| in_backfield(&men[k]));
    let mut out = Vec::new();
    let mut say = |k: usize, id: String, role: Role, chance: f64| {
        let side = men[k].sure * front.sure;
        out.push(Proposal {
            track: input.tracks[men[k].track].id.clone(),
            person: Person { id: PersonId(id), unit: Unit::Offense, role, shirt: None, name: String::new() },
            side,
            role: side * chance,
        });
    };
    say(passer, PersonId::PASSER.to_owned(), Role::Passer, aligned(&men[passer]) / total);
    // Sure when the sixth is clearly farther from the ball than the fifth.
    let line_chance = if line.len() == 5 { 0.93 } else { 0.7 };
    let left = |k: usize| front.downfield * men[k].at.y;
    let mut line = line;
    line.sort_by(|&a, &b| left(b).total_cmp(&left(a)));
    for (n, &k) in line.iter().enumerate() {
        say(k, format!("O{}", n + 1), Role::Blocker, line_chance);
    }
    let many = backs.len() > 1;
    for (n, &k) in backs.iter().enumerate() {
        say(k, if many { format!("B{}", n + 1) } else { "B".into() }, Role::Back, 0.9);
    }
    for flank in [Flank::Left, Flank::Right] {
        let on_left = flank == Flank::Left;
        let mut here: Vec<usize> =
            wide.iter().copied().filter(|&k| (left(k) > front.downfield * middle) == on_left).collect();
        // From the sideline inwards.
        here.sort_by(|&a, &b| (men[b].at.y - middle).abs().total_cmp(&(men[a].at.y - middle).abs()));
        let places: Vec<f64> = here.iter().map(|&k| (men[k].at.y - middle).abs()).collect();
        for (n, &k) in here.iter().enumerate() {
            // A neighbour nearly as wide makes the count a coin's throw.
            let gap = places
                .iter()
                .enumerate()
                .filter(|(m, _)| *m != n)
                .map(|(_, w)| (w - places[n]).abs())
                .fold(f64::INFINITY, f64::min);
            let chance = 1.0 - 0.5 * (-(gap / 0.6).powi(2)).exp();
            let letter = if on_left { 'L' } else { 'R' };
            let role = Role::Receiver { flank, number: (n + 1) as u8 };
            say(k, format!("{letter}{}", n + 1), role, 0.95 * chance);
        }
    }
    out
}

fn defense(input: &PropositionInput<'_>, men: &[Man], front: &Front, middle: f64) -> Vec<Proposal> {
    let mut order: Vec<usize> = (0..men.len()).collect();
    // As the offense sees them, from its left.
    order.sort_by(|&a, &b| (front.downfield * men[b].at.y).total_cmp(&(front.downfield * men[a].at.y)));
    order
        .into_iter()
        .enumerate()
        .map(|(n, k)| {
            let m = &men[k];
            let (depth, wide) = (front.depth(m.at), (m.at.y - middle).abs());
            let near_line = depth < 2.5 && wide < 7.0;
            // Who has come through the line towards the ball is a rusher; who went back is none.
            let rushes = match m.later.map(|p| front.depth(p)) {
                Some(later) => 1.0 / (1.0 + (2.5 * (later - 0.8)).exp()),
                None if near_line => 0.75,
                None => 0.1,
            };
            let rusher = rushes > 0.5;
            let deep = depth > 9.0;
            let side = m.sure * front.sure;
            Proposal {
                track: input.tracks[m.track].id.clone(),
                person: Person {
                    id: PersonId(format!("D{}", n + 1)),
                    unit: Unit::Defense,
                    role: if rusher { Role::Rusher } else { Role::Cover },
                    shirt: None,
                    name: if deep && !rusher { "deep".into() } else { String::new() },
                },
                side,
                role: side * if rusher { rushes } else { 1.0 - rushes },
            }
        })
        .collect()
}
