use crate::{GameId, PersonId};
use field::RuleBook;
use serde::{Deserialize, Serialize};

/// What is being judged: one passer over some games.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Study {
    /// Title.
    pub name: String,
    /// The passer as the evaluator calls him.
    pub passer: String,
    /// True for a right-handed passer.
    pub right_handed: bool,
    /// Who judges.
    pub evaluator: String,
}

/// A team as it looks on film.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Team {
    /// Name.
    pub name: String,
    /// Shirt colour, sRGB, where known.
    pub shirt: Option<[u8; 3]>,
}

/// The air that balls fly through.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Air {
    /// Height of the field above the sea, m.
    pub altitude_m: f64,
    /// Temperature, °C.
    pub temperature_c: f64,
    /// Wind along the field frame's x and y, yd/s; `None` when unknown, which widens the figures.
    pub wind: Option<[f64; 2]>,
}

impl Default for Air {
    /// The standard atmosphere at sea level, no wind known.
    fn default() -> Self {
        Self { altitude_m: 0.0, temperature_c: 15.0, wind: None }
    }
}

/// A game.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Game {
    /// Unique in the study.
    pub id: GameId,
    /// Title, for example the date and the two teams.
    pub name: String,
    /// Markings.
    pub rule_book: RuleBook,
    /// The passer's team.
    pub offense: Team,
    /// The other.
    pub defense: Team,
    /// Air.
    pub air: Air,
    /// Rise of the middle of the field over the sidelines, yd, when known.
    pub crown: Option<f64>,
}

impl PersonId {
    /// The id every play gives its passer.
    pub const PASSER: &'static str = "passer";
}
