//! What is known of plays, as a table: one line a play, one cell a field.

use play::{GameId, PlayId};
use serde::{Deserialize, Serialize};
use stats::Estimate;
use std::collections::BTreeMap;

/// One play's answer to one field.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case", tag = "cell", content = "content")]
pub enum Cell {
    /// A word.
    Word(String),
    /// A number with its standard error, in the field's unit.
    Value(Estimate),
    /// It should have one but was not seen or charted, and why.
    NotSeen(String),
}

/// One play. A field without a cell does not apply to it: a sack has no placement.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Line {
    /// Which.
    pub play: PlayId,
    /// Its game.
    pub game: GameId,
    /// Order within the game, from 1.
    pub number: u32,
    /// By field.
    pub cells: BTreeMap<String, Cell>,
}

impl Line {
    /// The cell of a field; `None` where the field does not apply.
    pub fn cell(&self, field: &str) -> Option<&Cell> {
        self.cells.get(field)
    }
    /// The word of a field.
    pub fn word(&self, field: &str) -> Option<&str> {
        match self.cell(field)? {
            Cell::Word(w) => Some(w),
            _ => None,
        }
    }
    /// The number of a field.
    pub fn value(&self, field: &str) -> Option<Estimate> {
        match self.cell(field)? {
            Cell::Value(v) => Some(*v),
            _ => None,
        }
    }
    /// Puts a cell.
    pub fn put(&mut self, field: &str, cell: Cell) {
        self.cells.insert(field.to_owned(), cell);
    }
}

/// Chance that a value lies in the band it is said to lie in, from which on it is said. Ours: one in five such words at a
/// border may be wrong, none far from it.
const SURE: f64 = 0.8;

/// The band in which a measured value surely enough lies; a value too near a border for its error is not seen.
pub(crate) fn banded(v: Estimate, bands: &[(f64, &str)]) -> Cell {
    let mut low = f64::NEG_INFINITY;
    for &(high, word) in bands {
        let above = if low.is_finite() { v.probability_above(low) } else { 1.0 };
        let past = if high.is_finite() { v.probability_above(high) } else { 0.0 };
        if above - past >= SURE {
            return Cell::Word(word.to_owned());
        }
        low = high;
    }
    // One reason for all, so that they are counted together.
    Cell::NotSeen("it is too near a border for its error".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    const BANDS: &[(f64, &str)] = &[(-10.0, "closed"), (10.0, "at"), (f64::INFINITY, "open")];

    /// By the normal table: −14 ± 3 is below −10 with 0.91, −11 ± 3 with 0.63.
    #[test]
    fn a_word_is_said_of_a_measured_value_only_away_from_the_borders() {
        let said = |v, se| banded(Estimate::new(v, se), BANDS);
        assert_eq!(said(-14.0, 3.0), Cell::Word("closed".into()));
        assert!(matches!(said(-11.0, 3.0), Cell::NotSeen(_)));
        assert_eq!(said(0.0, 5.0), Cell::Word("at".into()));
        assert!(matches!(said(0.0, 12.0), Cell::NotSeen(_)), "too coarse to say anything");
        assert_eq!(said(-11.0, 0.0), Cell::Word("closed".into()));
    }
}
