//! The coverage's picture: shell before the snap, middle after it, man or zone, and what family that points to.

use crate::board::Board;
use crate::playbook::{Family, Middle};
use play::{PersonId, Role};
use stats::Estimate;

/// Deep safeties before the snap.
#[derive(Clone, Debug, PartialEq)]
pub struct Shell {
    /// How many: 0, 1, 2 and more.
    pub deep: u8,
    /// Who.
    pub safeties: Vec<PersonId>,
    /// Probability that nobody near the border of "deep" is counted wrongly.
    pub sure: f64,
}

/// Depth from which a defender is deep before the snap, yd; common practice, no source.
const DEEP_YD: f64 = 8.5;
/// Deep after the snap, yd past the line.
const DEEP_AFTER_YD: f64 = 11.0;
/// Deeper than whoever robs or carries a route underneath: the depth of deep help in the middle, yd past the line. Ours, by
/// generated games set apart for that.
const DEEP_HELP_YD: f64 = 13.0;
/// Deep help is taken where it will be so soon, s: who still backs into the middle holds it. Ours, likewise.
const SOON_S: f64 = 0.2;
/// With less room than this to the end line everybody deep plays nearer in proportion, yd; common practice, no source.
const FULL_ROOM_YD: f64 = 20.0;
/// A defender this near in width to an outside receiver is a corner, however deep, yd.
const CORNER_YD: f64 = 4.0;
/// Half width of the deep middle, yd: about between college hashes.
const MIDDLE_YD: f64 = 6.5;
/// Two deep men on either side who are no farther apart than this share the middle, yd; neither stands nearer to it than
/// [`BESIDE_MIDDLE_YD`], and they are level to [`LEVEL_YD`]. Common practice, no source.
const SHARED_YD: f64 = 18.0;
/// See [`SHARED_YD`].
const BESIDE_MIDDLE_YD: f64 = 3.0;
/// See [`SHARED_YD`].
const LEVEL_YD: f64 = 4.0;
/// When the picture after the snap is taken, s: the drop's first steps are over, the deep men have opened.
const AFTER_S: f64 = 2.0;

/// Where a depth begins in the room that there is, yd past the line: nobody plays deeper than the end line.
fn deep_yd(board: &Board<'_>, usual: f64) -> f64 {
    usual * (board.room_yd() / FULL_ROOM_YD).clamp(0.0, 1.0)
}

/// Deep safeties at the snap; `None` when no defender is seen then.
pub fn shell(board: &Board<'_>) -> Option<Shell> {
    let outside: Vec<f64> = board
        .receivers()
        .filter(|p| matches!(p.role, Role::Receiver { number: 1, .. }))
        .filter_map(|p| board.spot(&p.id, 0.0))
        .map(|s| s.at.y)
        .collect();
    let mut safeties = Vec::new();
    let mut sure = 1.0;
    let mut seen = false;
    let border = deep_yd(board, DEEP_YD);
    for p in board.covers() {
        let Some(s) = board.spot(&p.id, 0.0) else { continue };
        seen = true;
        if outside.iter().any(|y| (s.at.y - y).abs() < CORNER_YD) {
            continue;
        }
        let deep = Estimate::new(s.at.x, s.sd).probability_above(border);
        sure *= deep.max(1.0 - deep);
        if deep >= 0.5 {
            safeties.push(p.id.clone());
        }
    }
    seen.then_some(Shell { deep: safeties.len() as u8, safeties, sure })
}

/// The deep middle after the snap.
#[derive(Clone, Debug, PartialEq)]
pub struct DeepMiddle {
    /// Probability that somebody is there.
    pub closed: f64,
    /// Who would be.
    pub by: Option<PersonId>,
    /// When the picture was taken, s from the snap.
    pub at_s: f64,
}

impl DeepMiddle {
    /// The likelier picture.
    pub fn picture(&self) -> Middle {
        if self.closed >= 0.5 { Middle::Closed } else { Middle::Open }
    }
}

/// Whether somebody holds the deep middle at two seconds, or at `until_s` if that is sooner; `None` when no defender is
/// seen then.
pub fn deep_middle(board: &Board<'_>, until_s: f64) -> Option<DeepMiddle> {
    let at_s = AFTER_S.min(until_s);
    let middle = board.middle_y();
    let soon = |mut s: crate::board::Spot| {
        s.at = s.at + s.velocity * SOON_S;
        s
    };
    let spots: Vec<_> =
        board.covers().filter_map(|p| board.spot(&p.id, at_s).map(|s| (p, soon(s)))).collect();
    if spots.is_empty() {
        return None;
    }
    // Body lean and where exactly "deep" and "the middle" end blur the border by about a yard.
    let above = |v: f64, s: &crate::board::Spot, border: f64| {
        Estimate::new(v, s.sd.hypot(1.0)).probability_above(border)
    };
    let help_yd = deep_yd(board, DEEP_HELP_YD);
    let deep = |s: &crate::board::Spot| above(s.at.x, s, help_yd);
    let off = |s: &crate::board::Spot| s.at.y - middle;
    let inside = |s: &crate::board::Spot| deep(s) * above(MIDDLE_YD - off(s).abs(), s, 0.0);
    let empty: f64 = spots.iter().map(|(_, s)| 1.0 - inside(s)).product();
    let by = spots
        .iter()
        .map(|(p, s)| (p, inside(s)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|x| x.1 > 0.2)
        .map(|x| x.0.id.clone());
    // Two who share the middle between them leave it open, though each may stand at its border.
    let shared = |a: &crate::board::Spot, b: &crate::board::Spot| {
        let (near, apart) = (off(a).abs().min(off(b).abs()), (off(a) - off(b)).abs());
        deep(a)
            * deep(b)
            * above(near, a, BESIDE_MIDDLE_YD)
            * above(SHARED_YD - apart, a, 0.0)
            * above(LEVEL_YD - (a.at.x - b.at.x).abs(), a, 0.0)
    };
    // A man who runs deep with his receiver is no deep help.
    let styles = styles(board, until_s);
    let runs_with = |p: &play::Person| styles.iter().any(|s| s.defender == p.id && s.man > 0.5);
    let (left, right): (Vec<_>, Vec<_>) =
        spots.iter().filter(|(p, _)| !runs_with(p)).map(|x| &x.1).partition(|s| off(s) > 0.0);
    let halved = left.iter().flat_map(|a| right.iter().map(|b| shared(a, b))).fold(0.0, f64::max);
    Some(DeepMiddle { closed: (1.0 - empty) * (1.0 - halved), by, at_s })
}

/// How one defender plays.
#[derive(Clone, Debug, PartialEq)]
pub struct Style {
    /// Who.
    pub defender: PersonId,
    /// The receiver he would have.
    pub on: PersonId,
    /// A hint, 0 zone to 1 man, from how well he runs with that receiver; not a calibrated probability.
    pub man: f64,
}

/// Man or zone per defender from half a second to `until_s` (at most 3 s): how much of the receiver's running the
/// defender's repeats. `None` entries are left out where a track is too short.
pub fn styles(board: &Board<'_>, until_s: f64) -> Vec<Style> {
    let (from, until) = (0.5, until_s.min(3.0));
    if until - from < 0.7 {
        return Vec::new();
    }
    let n = ((until - from) / 0.1).floor() as usize;
    let times: Vec<f64> = (0..=n).map(|k| from + 0.1 * k as f64).collect();
    let mut out = Vec::new();
    for p in board.covers() {
        let best = board
            .receivers()
            .filter_map(|r| {
                let (mut apart, mut unlike, mut speed) = (0.0, 0.0, 0.0);
                for &t in &times {
                    let (d, r) = (board.spot(&p.id, t)?, board.spot(&r.id, t)?);
                    apart += d.at.distance(r.at);
                    unlike += (d.velocity - r.velocity).norm();
                    speed += r.velocity.norm();
                }
                let n = times.len() as f64;
                Some((r, apart / n, unlike / n, speed / n))
            })
            .min_by(|a, b| (a.1 + 0.5 * a.2).total_cmp(&(b.1 + 0.5 * b.2)));
        if let Some((r, apart, unlike, speed)) = best {
            // Half way at 5 yd apart with half of the receiver's speed not repeated.
            let z = (5.0 - apart) / 1.5 + (0.5 * speed.max(3.0) - unlike) / 1.0;
            out.push(Style { defender: p.id.clone(), on: r.id.clone(), man: 1.0 / (1.0 + (-z).exp()) });
        }
    }
    out
}

/// Share of the defenders in cover who play man under a man coverage and under a zone, the deep help aside: zones match up
/// with who stays in them. Ours.
const MAN_IN_MAN: f64 = 0.93;
/// See [`MAN_IN_MAN`].
const MAN_IN_ZONE: f64 = 0.12;
/// How far a defender's own running counts beside what the whole defense plays: hints of neighbours are not independent.
/// Ours.
const OWN_WEIGHT: f64 = 0.6;

/// Man or zone per defender in the light of what the whole defense seems to play: one man's running alone does not tell a
/// corner who runs with a deep route from one who has him.
pub fn styles_in(board: &Board<'_>, until_s: f64) -> Vec<Style> {
    let mut styles = styles(board, until_s);
    let families = families(board, until_s);
    if families.is_empty() {
        return styles;
    }
    let help = deep_middle(board, until_s).filter(|m| m.closed >= 0.5).and_then(|m| m.by);
    let deep = deep_after(board, until_s).unwrap_or_default();
    // Alone and deep: he who is deep and far from whom he would have.
    let alone: Vec<PersonId> = styles
        .iter()
        .filter(|s| s.man < 0.2 && deep.contains(&s.defender))
        .map(|s| s.defender.clone())
        .collect();
    for s in &mut styles {
        let helps = |f: Family| match f {
            Family::OneHighMan => help.as_ref() == Some(&s.defender),
            Family::TwoHighMan => alone.contains(&s.defender),
            _ => false,
        };
        let prior: f64 = families
            .iter()
            .map(|(f, share)| {
                let man = matches!(f, Family::Zero | Family::OneHighMan | Family::TwoHighMan);
                share * if man && !helps(*f) { MAN_IN_MAN } else { MAN_IN_ZONE }
            })
            .sum();
        let own = s.man.clamp(1e-6, 1.0 - 1e-6);
        let odds = prior / (1.0 - prior) * (own / (1.0 - own)).powf(OWN_WEIGHT);
        s.man = odds / (1.0 + odds);
    }
    styles
}

/// Defenders past 11 yd, nearer to the end line in proportion, at the picture after the snap; `None` when none is seen then.
pub fn deep_after(board: &Board<'_>, until_s: f64) -> Option<Vec<PersonId>> {
    let at_s = AFTER_S.min(until_s);
    let spots: Vec<_> = board.covers().filter_map(|p| board.spot(&p.id, at_s).map(|s| (p, s))).collect();
    let border = deep_yd(board, DEEP_AFTER_YD);
    let deep = spots.iter().filter(|(_, s)| s.at.x > border).map(|(p, _)| p.id.clone());
    (!spots.is_empty()).then(|| deep.collect())
}

/// Families of coverage with a share each, most likely first, summing to 1: from the deep men, the middle and the hints of
/// man or zone. A proposal for the evaluator, not a claim.
pub fn families(board: &Board<'_>, until_s: f64) -> Vec<(Family, f64)> {
    let (Some(middle), Some(deep)) = (deep_middle(board, until_s), deep_after(board, until_s)) else {
        return Vec::new();
    };
    let styles = styles(board, until_s);
    // Under man coverage three or more run with somebody; in zone two at most do, where a route stays in theirs.
    let with_somebody: f64 = styles
        .iter()
        .filter(|s| middle.by.as_ref() != Some(&s.defender))
        .map(|s| 1.0 / (1.0 + (-(s.man - 0.5) / 0.06).exp()))
        .sum();
    let man = 1.0 / (1.0 + (-(with_somebody - 2.5) / 0.4).exp());
    let (closed, zone) = (middle.closed, 1.0 - man);
    let near = |count: usize, n: f64| (-(count as f64 - n).powi(2) / 2.0).exp();
    // A man who runs deep with his receiver is no deep help.
    let runs_with = |d: &PersonId| styles.iter().any(|s| &s.defender == d && s.man > 0.5);
    let (all, free) = (deep.len(), deep.iter().filter(|d| !runs_with(d)).count());
    let mut out = vec![
        (Family::Zero, (1.0 - closed) * man * near(free, 0.0)),
        (Family::OneHighMan, closed * man * near(free, 1.0)),
        (Family::OneHighZone, closed * zone * near(all, 3.0)),
        (Family::TwoHighMan, (1.0 - closed) * man * near(free, 2.0)),
        (Family::TwoHighZone, (1.0 - closed) * zone * near(all, 2.0)),
        (Family::Split, (1.0 - closed) * zone * near(all, 3.0)),
        (Family::FourDeep, (1.0 - closed) * zone * near(all, 4.0)),
    ];
    let sum: f64 = out.iter().map(|x| x.1).sum();
    if sum <= 0.0 {
        return Vec::new();
    }
    out.iter_mut().for_each(|x| x.1 /= sum);
    out.sort_by(|a, b| b.1.total_cmp(&a.1));
    out
}
