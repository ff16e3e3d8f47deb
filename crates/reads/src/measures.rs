//! Trade measures at an instant: cushion, press, leverage, separation, spacing, stretch, box.

use crate::board::{Board, Spot};
use play::{Person, PersonId, Role};
use serde::{Deserialize, Serialize};
use stats::Estimate;

/// How close a corner lines up. Common practice, no source: press within about 2 yd, soft 3 to 5, off 6 and more.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Press {
    /// In his face.
    Press,
    /// Soft.
    Soft,
    /// Off.
    Off,
}

/// The side a defender plays from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Leverage {
    /// Between the receiver and the ball.
    Inside,
    /// Between the receiver and his sideline.
    Outside,
    /// In front.
    HeadUp,
}

/// A defender over a receiver at the snap.
#[derive(Clone, Debug, PartialEq)]
pub struct Alignment {
    /// Defender.
    pub defender: PersonId,
    /// Distance at the snap, yd.
    pub cushion_yd: Estimate,
    /// How close.
    pub press: Press,
    /// Side.
    pub leverage: Leverage,
    /// How far to that side, inside positive, yd.
    pub inside_yd: Estimate,
}

/// Boundaries between press and soft, soft and off, yd: half way between the trade's bands.
const SOFT_FROM_YD: f64 = 2.5;
const OFF_FROM_YD: f64 = 5.5;
/// Less than this to either side is head-up, yd: half a body.
const HEAD_UP_YD: f64 = 0.75;
/// A defender this far aside is not over the receiver, yd.
const OVER_YD: f64 = 5.0;

/// Distance between two, with the error along the line between them.
pub(crate) fn distance(a: &Spot, b: &Spot) -> Estimate {
    Estimate::new(a.at.distance(b.at), a.sd.hypot(b.sd))
}

/// The defender over a receiver at the snap; `None` when nobody seen is within 5 yd of his width.
pub fn alignment(board: &Board<'_>, receiver: &PersonId) -> Option<Alignment> {
    let r = board.spot(receiver, 0.0)?;
    let side = board.side(receiver)?;
    let (person, d) = board
        .covers()
        .filter_map(|p| board.spot(&p.id, 0.0).map(|s| (p, s)))
        .filter(|(_, s)| (s.at.y - r.at.y).abs() <= OVER_YD)
        .min_by(|a, b| a.1.at.distance(r.at).total_cmp(&b.1.at.distance(r.at)))?;
    let cushion_yd = distance(&r, &d);
    // Inside is toward the ball, away from his own sideline.
    let inside = (r.at.y - d.at.y) * side;
    Some(Alignment {
        defender: person.id.clone(),
        press: match cushion_yd.value {
            c if c < SOFT_FROM_YD => Press::Press,
            c if c < OFF_FROM_YD => Press::Soft,
            _ => Press::Off,
        },
        cushion_yd,
        leverage: match inside {
            i if i > HEAD_UP_YD => Leverage::Inside,
            i if i < -HEAD_UP_YD => Leverage::Outside,
            _ => Leverage::HeadUp,
        },
        inside_yd: Estimate::new(inside, r.sd.hypot(d.sd)),
    })
}

/// Distance from a receiver to the nearest defender at `t_s`, yd, and who that is.
pub fn separation(board: &Board<'_>, receiver: &PersonId, t_s: f64) -> Option<(PersonId, Estimate)> {
    let r = board.spot(receiver, t_s)?;
    board
        .covers()
        .filter_map(|p| board.spot(&p.id, t_s).map(|s| (p.id.clone(), distance(&r, &s))))
        .min_by(|a, b| a.1.value.total_cmp(&b.1.value))
}

/// Distance between two receivers at `t_s`, yd: the stretch of a defender between them.
pub fn stretch(board: &Board<'_>, a: &PersonId, b: &PersonId, t_s: f64) -> Option<Estimate> {
    Some(distance(&board.spot(a, t_s)?, &board.spot(b, t_s)?))
}

/// Smallest distance between two receivers past the line at `t_s`, yd, and whose.
pub fn spacing(board: &Board<'_>, t_s: f64) -> Option<(PersonId, PersonId, Estimate)> {
    let spots: Vec<(&Person, Spot)> = board
        .receivers()
        .filter_map(|p| board.spot(&p.id, t_s).map(|s| (p, s)))
        .filter(|(_, s)| s.at.x > 0.0)
        .collect();
    let mut least: Option<(PersonId, PersonId, Estimate)> = None;
    for (k, (p, a)) in spots.iter().enumerate() {
        for (q, b) in &spots[k + 1..] {
            let d = distance(a, b);
            if least.as_ref().is_none_or(|l| d.value < l.2.value) {
                least = Some((p.id.clone(), q.id.clone(), d));
            }
        }
    }
    least
}

/// Defenders in the box at the snap: within the tackles' width and 1.5 yd, and 7 yd deep. Without blockers on the board
/// the tackles are taken 4 yd to either side of the ball. Common practice, no source.
pub fn box_count(board: &Board<'_>) -> Option<u8> {
    const DEEP_YD: f64 = 7.0;
    const BESIDE_YD: f64 = 1.5;
    const TACKLES_YD: f64 = 4.0;
    let line: Vec<f64> = board
        .people
        .iter()
        .filter(|p| p.role == Role::Blocker)
        .filter_map(|p| board.spot(&p.id, 0.0))
        .filter(|s| s.at.x > -2.5)
        .map(|s| s.at.y)
        .collect();
    let (low, high) = if line.len() >= 5 {
        (
            line.iter().copied().fold(f64::INFINITY, f64::min),
            line.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        )
    } else {
        (-TACKLES_YD, TACKLES_YD)
    };
    let spots: Vec<Spot> = board.defenders().filter_map(|p| board.spot(&p.id, 0.0)).collect();
    if spots.is_empty() {
        return None;
    }
    let inside = |s: &&Spot| s.at.x <= DEEP_YD && (low - BESIDE_YD..=high + BESIDE_YD).contains(&s.at.y);
    Some(spots.iter().filter(inside).count() as u8)
}

/// Who rushed: defenders of role rusher, and those in coverage who cross the line within two seconds.
pub fn rushers(board: &Board<'_>) -> Vec<PersonId> {
    const ACROSS_YD: f64 = -0.5;
    let crossed = |id: &PersonId| {
        (0..=20).filter_map(|k| board.spot(id, 0.1 * f64::from(k))).any(|s| s.at.x < ACROSS_YD)
    };
    board.defenders().filter(|p| p.role == Role::Rusher || crossed(&p.id)).map(|p| p.id.clone()).collect()
}
