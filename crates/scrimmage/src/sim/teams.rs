//! Two invented college teams.

use super::people::Kits;
use super::script::Arm;
use crate::stage::Kit;
use serde::{Deserialize, Serialize};

/// A team.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Team {
    /// Town and nickname.
    pub name: String,
    /// Three letters.
    pub short: String,
    /// Seeds shirt numbers.
    pub roster: u64,
    /// What it wears in this game.
    pub kit: Kit,
    /// Its passer.
    pub arm: Arm,
}

/// The home team, whose passer is filmed.
pub fn home() -> Team {
    Team {
        name: "Hollowmere Lanterns".into(),
        short: "HOL".into(),
        roster: 41,
        kit: Kit {
            shirt: [32, 58, 104],
            number: [240, 240, 236],
            trousers: [196, 160, 74],
            helmet: [32, 58, 104],
            striped: false,
        },
        arm: Arm {
            top_mph: 58.0,
            side_sd_deg: 1.5,
            lift_sd_deg: 1.0,
            feet_spread: 1.7,
            weight_sd: 0.13,
            pull: 0.4,
            rise_deg: 16.0,
        },
    }
}

/// The visitors of the first game.
pub fn away() -> Team {
    Team {
        name: "Greywater Kestrels".into(),
        short: "GRE".into(),
        roster: 77,
        kit: Kit {
            shirt: [236, 236, 232],
            number: [104, 28, 34],
            trousers: [214, 212, 206],
            helmet: [104, 28, 34],
            striped: false,
        },
        arm: Arm {
            top_mph: 55.0,
            side_sd_deg: 1.9,
            lift_sd_deg: 1.4,
            feet_spread: 1.0,
            weight_sd: 0.06,
            pull: 0.16,
            rise_deg: 5.0,
        },
    }
}

/// The visitors of the second game.
pub fn second_visitors() -> Team {
    Team {
        name: "Saltmarsh Herons".into(),
        short: "SAL".into(),
        roster: 113,
        kit: Kit {
            shirt: [232, 232, 228],
            number: [26, 92, 70],
            trousers: [26, 92, 70],
            helmet: [222, 222, 216],
            striped: false,
        },
        arm: Arm {
            top_mph: 56.0,
            side_sd_deg: 2.1,
            lift_sd_deg: 1.5,
            feet_spread: 1.0,
            weight_sd: 0.06,
            pull: 0.16,
            rise_deg: 5.0,
        },
    }
}

/// The visitors of the third game.
pub fn third_visitors() -> Team {
    Team {
        name: "Ironbridge Foxes".into(),
        short: "IRO".into(),
        roster: 151,
        kit: Kit {
            shirt: [230, 226, 214],
            number: [176, 84, 22],
            trousers: [72, 62, 56],
            helmet: [176, 84, 22],
            striped: false,
        },
        arm: Arm {
            top_mph: 54.0,
            side_sd_deg: 2.2,
            lift_sd_deg: 1.6,
            feet_spread: 1.0,
            weight_sd: 0.06,
            pull: 0.16,
            rise_deg: 5.0,
        },
    }
}

/// What both wear when `offense` has the ball.
pub fn kits(offense: &Team, defense: &Team) -> Kits {
    Kits { offense: offense.kit, defense: defense.kit, rosters: (offense.roster, defense.roster) }
}
