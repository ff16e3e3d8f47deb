//! What goes wrong in exports of positions.

use super::rows::{Row, Who};
use crate::sim::dice::Dice;
use serde::Serialize;

/// A fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fault {
    /// The ball has no rows.
    NoBall,
    /// Two balls.
    TwoBalls,
    /// A receiver has no rows.
    MissingReceiver,
    /// A twelfth man on defense stands by the sideline.
    TwelfthMan,
    /// Every row of a man is there twice.
    DoubleRows,
    /// A man is elsewhere for three samples.
    Teleport,
    /// A man has no rows for six tenths.
    Gap,
    /// A man has the other side's word for half of the play.
    SideSwapped,
    /// Two men share an id.
    SharedId,
    /// A man has empty places for a while.
    EmptyPlaces,
}

impl Fault {
    /// All.
    pub const ALL: [Self; 10] = [
        Self::NoBall,
        Self::TwoBalls,
        Self::MissingReceiver,
        Self::TwelfthMan,
        Self::DoubleRows,
        Self::Teleport,
        Self::Gap,
        Self::SideSwapped,
        Self::SharedId,
        Self::EmptyPlaces,
    ];
}

/// A spoilt play.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spoilt {
    /// The reader's key.
    pub key: String,
    /// How.
    pub fault: Fault,
}

/// Spoils a play's rows. `receivers` and `defenders` are indices of people; the former's first is spoilt, or the latter's.
pub(super) fn spoil(
    rows: &mut Vec<Row>,
    fault: Fault,
    receivers: &[usize],
    defenders: &[usize],
    dice: &mut Dice,
) {
    let receiver = Who::Man(receivers[dice.below(receivers.len())]);
    let defender = Who::Man(defenders[dice.below(defenders.len())]);
    let somebody = if dice.chance(0.5) { receiver } else { defender };
    match fault {
        Fault::NoBall => rows.retain(|r| r.who != Who::Ball),
        Fault::MissingReceiver => rows.retain(|r| r.who != receiver),
        Fault::TwoBalls => {
            let second: Vec<Row> = rows
                .iter()
                .filter(|r| r.who == Who::Ball)
                .map(|r| Row { at: [r.at[0] + 12.0, 1.0], ..r.clone() })
                .collect();
            rows.extend(second);
        }
        Fault::TwelfthMan => {
            let twelfth: Vec<Row> = rows
                .iter()
                .filter(|r| r.who == defender)
                .map(|r| Row {
                    who: Who::Extra,
                    at: [r.at[0].round(), -1.5],
                    velocity: [0.0; 2],
                    ..r.clone()
                })
                .collect();
            rows.extend(twelfth);
        }
        Fault::DoubleRows => {
            let again: Vec<Row> = rows.iter().filter(|r| r.who == somebody).cloned().collect();
            rows.extend(again);
        }
        Fault::Teleport => {
            let from = dice.range(0.5, 1.5);
            rows.iter_mut()
                .filter(|r| r.who == somebody && (from..from + 0.3).contains(&r.t))
                .for_each(|r| r.at = [r.at[0] + 25.0, r.at[1] - 18.0]);
        }
        Fault::Gap => {
            let from = dice.range(0.5, 1.5);
            rows.retain(|r| r.who != somebody || !(from..from + 0.6).contains(&r.t));
        }
        Fault::SideSwapped => {
            rows.iter_mut().filter(|r| r.who == somebody && r.t > 1.5).for_each(|r| r.other_side = true);
        }
        Fault::SharedId => {
            rows.iter_mut().filter(|r| r.who == receiver).for_each(|r| r.who = Who::Man(receivers[0]));
        }
        Fault::EmptyPlaces => {
            let from = dice.range(0.5, 1.5);
            rows.iter_mut()
                .filter(|r| r.who == somebody && (from..from + 0.5).contains(&r.t))
                .for_each(|r| r.at = [f64::NAN; 2]);
        }
    }
}
