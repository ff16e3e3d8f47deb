use crate::PersonId;
use serde::{Deserialize, Serialize};

/// With the ball or without.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Unit {
    /// With.
    Offense,
    /// Without.
    Defense,
}

/// Left or right as the offense faces downfield.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Flank {
    /// The offense's left.
    Left,
    /// The offense's right.
    Right,
}

/// What somebody does in the play.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case", tag = "role")]
pub enum Role {
    /// Throws.
    Passer,
    /// Eligible, counted from his sideline inwards.
    Receiver {
        /// From which sideline he is counted.
        flank: Flank,
        /// 1, 2, 3 ...
        number: u8,
    },
    /// Eligible from the backfield.
    Back,
    /// Protects.
    Blocker,
    /// Comes after the passer.
    Rusher,
    /// Covers.
    Cover,
}

/// Somebody in a play.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Person {
    /// Unique within the play.
    pub id: PersonId,
    /// Side.
    pub unit: Unit,
    /// Role.
    pub role: Role,
    /// Number on the shirt, where read.
    pub shirt: Option<u8>,
    /// What the evaluator calls him, for example "field corner"; may be empty.
    #[serde(default)]
    pub name: String,
}

impl Person {
    /// Whether a pass may be thrown to him.
    pub fn eligible(&self) -> bool {
        matches!(self.role, Role::Receiver { .. } | Role::Back)
    }
}
