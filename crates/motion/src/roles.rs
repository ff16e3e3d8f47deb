//! Who is who, from where people stand at the snap and what they do after it: proposals for the evaluator to correct.

use field::Direction;
use geometry::Point2;
use geometry::frame::Ground;
use play::{Flank, Role, Unit};

/// Somebody whose role is asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Starter {
    /// Side.
    pub unit: Unit,
    /// Seconds from the snap, x, y, yd in the field frame, in increasing time.
    pub samples: Vec<[f64; 3]>,
}

/// What the roles are read off against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// The ball at the snap.
    pub ball: Point2<Ground>,
    /// Which way the offense goes.
    pub direction: Direction,
    /// When the passer's work ends (release, sack, crossing the line), s from the snap.
    pub until_s: f64,
}

// Distances below are how formations are drawn up: common practice, no source.

/// A lineman is within this of the ball's line at the snap, yd.
const ON_LINE_YD: f64 = 2.6;
/// Neighbours of the line stand within this of each other, yd; a gap beyond it is a receiver split off.
const SPLIT_YD: f64 = 2.7;
/// A man this deep and this near the ball's width is a back, yd.
const BACKFIELD_YD: f64 = 2.4;
/// See [`BACKFIELD_YD`].
const BACKFIELD_HALF_WIDTH_YD: f64 = 5.0;
/// A defender within this of the line and between the tackles plays on the line, yd.
const FRONT_YD: f64 = 2.2;
/// See [`FRONT_YD`].
const FRONT_HALF_WIDTH_YD: f64 = 6.5;
/// How far toward the passer a man must have come to be a rusher, yd.
const RUSH_YD: f64 = 1.2;
/// A rush is read by this time at the latest, s: later a man breaks off his cover after the passer.
const RUSH_BY_S: f64 = 2.6;

impl Setting {
    /// Depth past the line downfield and width to the offense's left of the ball, yd.
    fn place(&self, s: [f64; 3]) -> (f64, f64) {
        let sign = self.direction.sign();
        (sign * (s[1] - self.ball.x), sign * (s[2] - self.ball.y))
    }
}

impl Starter {
    /// The sample nearest to `t_s`; `None` without samples.
    fn at(&self, t_s: f64) -> Option<[f64; 3]> {
        self.samples.iter().copied().min_by(|a, b| (a[0] - t_s).abs().total_cmp(&(b[0] - t_s).abs()))
    }
}

/// A role for each, in their order; `None` for a man who has no sample near the snap. `passer` is the index of the man
/// with the ball after the snap.
pub fn roles(people: &[Starter], passer: usize, setting: &Setting) -> Vec<Option<Role>> {
    let start: Vec<Option<(f64, f64)>> =
        people.iter().map(|p| p.at(0.0).filter(|s| s[0].abs() < 0.6).map(|s| setting.place(s))).collect();
    let mut out: Vec<Option<Role>> = vec![None; people.len()];
    let offense: Vec<usize> = (0..people.len())
        .filter(|&k| people[k].unit == Unit::Offense && k != passer && start[k].is_some())
        .collect();
    let place = |k: usize| start[k].unwrap_or_default();
    if passer < out.len() {
        out[passer] = Some(Role::Passer);
    }
    for k in line(&offense, &place) {
        out[k] = Some(Role::Blocker);
    }
    let mut wide: [Vec<usize>; 2] = [Vec::new(), Vec::new()];
    for &k in offense.iter().filter(|&&k| out[k].is_none()).collect::<Vec<_>>() {
        let (depth, width) = place(k);
        if depth < -BACKFIELD_YD && width.abs() < BACKFIELD_HALF_WIDTH_YD {
            out[k] = Some(Role::Back);
        } else {
            wide[usize::from(width < 0.0)].push(k);
        }
    }
    for (flank, group) in [Flank::Left, Flank::Right].into_iter().zip(&mut wide) {
        // Counted from the sideline inwards.
        group.sort_by(|&a, &b| place(b).1.abs().total_cmp(&place(a).1.abs()));
        for (n, &k) in group.iter().enumerate() {
            out[k] = Some(Role::Receiver { flank, number: n as u8 + 1 });
        }
    }
    for k in (0..people.len()).filter(|&k| people[k].unit == Unit::Defense) {
        if start[k].is_some() {
            out[k] = Some(if rushes(&people[k], place(k), setting) { Role::Rusher } else { Role::Cover });
        }
    }
    out
}

/// The five of the line: the man nearest the ball and his neighbours, two to each side where there are.
fn line(offense: &[usize], place: &impl Fn(usize) -> (f64, f64)) -> Vec<usize> {
    let mut on: Vec<usize> = offense.iter().copied().filter(|&k| place(k).0.abs() < ON_LINE_YD).collect();
    on.sort_by(|&a, &b| place(a).1.total_cmp(&place(b).1));
    let Some(centre) = (0..on.len()).min_by(|&a, &b| place(on[a]).1.abs().total_cmp(&place(on[b]).1.abs()))
    else {
        return Vec::new();
    };
    let near = |a: usize, b: usize| (place(on[a]).1 - place(on[b]).1).abs() < SPLIT_YD;
    let mut out = vec![on[centre]];
    let (mut low, mut high) = (centre, centre);
    while out.len() < 5 {
        let down = (low > 0 && centre - low < 2 && near(low - 1, low)).then(|| low - 1);
        let up = (high + 1 < on.len() && high - centre < 2 && near(high, high + 1)).then_some(high + 1);
        match (down, up) {
            (Some(d), _) if centre - low <= high - centre || up.is_none() => {
                low = d;
                out.push(on[d]);
            }
            (_, Some(u)) => {
                high = u;
                out.push(on[u]);
            }
            _ => break,
        }
    }
    out
}

fn rushes(man: &Starter, (depth, width): (f64, f64), setting: &Setting) -> bool {
    let by = setting.until_s.min(RUSH_BY_S);
    let Some(later) = man.at(by).filter(|s| s[0] > 0.3) else {
        return depth < FRONT_YD && width.abs() < FRONT_HALF_WIDTH_YD;
    };
    let (after, beside) = setting.place(later);
    let front = depth < FRONT_YD && width.abs() < FRONT_HALF_WIDTH_YD;
    let came = depth - after;
    // One of the front who is held up at the line still rushes; one who drops off it covers.
    (front && came > -1.0 && beside.abs() < FRONT_HALF_WIDTH_YD + 2.5) || (came > RUSH_YD && after < 0.3)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn man(unit: Unit, from: (f64, f64), to: (f64, f64)) -> Starter {
        let at = |w: f64| [2.5 * w, 40.0 + from.0 + (to.0 - from.0) * w, 26.0 + from.1 + (to.1 - from.1) * w];
        Starter { unit, samples: (0..=25).map(|k| at(f64::from(k) / 25.0)).collect() }
    }

    #[test]
    fn a_formation_is_read_as_it_is_drawn() {
        use Unit::{Defense as D, Offense as O};
        let mut people = vec![man(O, (-5.0, 0.0), (-7.0, 0.0))];
        for y in [3.0, 1.5, 0.0, -1.5, -3.0] {
            people.push(man(O, (-1.0, y), (-2.0, y)));
        }
        // Split left, slot left, tight end right, split right, back.
        people.extend([
            man(O, (-0.5, 20.0), (14.0, 20.0)),
            man(O, (-1.5, 9.0), (8.0, 5.0)),
            man(O, (-1.0, -4.6), (9.0, -6.0)),
            man(O, (-0.5, -18.0), (15.0, -12.0)),
            man(O, (-5.0, -2.0), (-3.0, -4.0)),
        ]);
        // Four rush, a linebacker blitzes, an end drops, the rest cover.
        people.extend([
            man(D, (1.0, 4.0), (-5.0, 2.0)),
            man(D, (1.0, 1.0), (0.3, 1.0)),
            man(D, (1.0, -1.0), (-1.0, -1.0)),
            man(D, (1.2, -5.0), (6.0, -8.0)),
            man(D, (4.5, 1.0), (-3.0, 1.0)),
            man(D, (4.5, -3.0), (6.0, -5.0)),
            man(D, (5.0, 20.0), (14.0, 20.0)),
        ]);
        let setting = Setting { ball: Point2::new(40.0, 26.0), direction: Direction::Up, until_s: 2.5 };
        let got: Vec<Role> = roles(&people, 0, &setting).into_iter().map(Option::unwrap).collect();
        let receiver = |flank, number| Role::Receiver { flank, number };
        assert_eq!(got[0], Role::Passer);
        assert!(got[1..6].iter().all(|r| *r == Role::Blocker));
        assert_eq!(
            got[6..11],
            [
                receiver(Flank::Left, 1),
                receiver(Flank::Left, 2),
                receiver(Flank::Right, 2),
                receiver(Flank::Right, 1),
                Role::Back
            ]
        );
        use Role::{Cover, Rusher};
        assert_eq!(got[11..], [Rusher, Rusher, Rusher, Cover, Rusher, Cover, Cover]);
        // The same play the other way gives the same roles.
        let turned: Vec<Starter> = people
            .iter()
            .map(|p| Starter {
                samples: p.samples.iter().map(|s| [s[0], 80.0 - s[1], 52.0 - s[2]]).collect(),
                ..p.clone()
            })
            .collect();
        let setting = Setting { direction: Direction::Down, ..setting };
        assert_eq!(roles(&turned, 0, &setting).into_iter().map(Option::unwrap).collect::<Vec<_>>(), got);
    }
}
