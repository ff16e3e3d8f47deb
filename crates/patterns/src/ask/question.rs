//! What is asked of the plays.

use crate::facts::{Cell, Field, Line};
use play::{GameId, Only, PlayId};
use serde::{Deserialize, Serialize};

/// A fact or measure, split by another.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(default)]
pub struct Question {
    /// Field that is asked for.
    pub of: String,
    /// Of a field of many words: the one whose share is taken; the most frequent when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub word: Option<String>,
    /// Field that the plays are split by; all together when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// Only plays with these words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub only: Vec<Only>,
    /// Only these games; all when empty.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub games: Vec<GameId>,
    /// Only these plays; all when empty.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub plays: Vec<PlayId>,
    /// Plays left out by the evaluator.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub without: Vec<PlayId>,
}

/// Why a question was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum QuestionError {
    /// No such field.
    #[error("there is no fact or measure “{id}”; the list of fields names them")]
    NoField {
        /// As asked.
        id: String,
    },
    /// Split by itself.
    #[error("“{id}” cannot be split by itself")]
    Itself {
        /// As asked.
        id: String,
    },
    /// Too few or too many fields at once.
    #[error("{given} facts or measures at once: 2 to {most} can be held against a figure")]
    HowMany {
        /// As asked.
        given: usize,
        /// Most.
        most: usize,
    },
    /// A value in a filter.
    #[error("“{id}” is a number: plays can be kept by words only")]
    NotWords {
        /// As asked.
        id: String,
    },
}

impl Question {
    /// `of` over all plays.
    pub fn whole(of: &str) -> Self {
        Self { of: of.to_owned(), ..Self::default() }
    }
    /// `of` split by `by`.
    pub fn new(of: &str, by: &str) -> Self {
        Self { by: Some(by.to_owned()), ..Self::whole(of) }
    }
    /// The same over some games.
    #[must_use]
    pub fn over(mut self, games: &[GameId]) -> Self {
        self.games = games.to_vec();
        self
    }
    /// Its fields: what is asked, and what it is split by.
    ///
    /// # Errors
    /// `NoField`, `Itself`, `NotWords`.
    pub fn fields(&self) -> Result<(&'static Field, Option<&'static Field>), QuestionError> {
        let known = |id: &str| Field::by_id(id).ok_or_else(|| QuestionError::NoField { id: id.to_owned() });
        let of = known(&self.of)?;
        let by = self.by.as_deref().map(known).transpose()?;
        if by.is_some_and(|b| b.id == of.id) {
            return Err(QuestionError::Itself { id: of.id.to_owned() });
        }
        for o in &self.only {
            if known(&o.field)?.kind == crate::facts::FieldKind::Value {
                return Err(QuestionError::NotWords { id: o.field.clone() });
            }
        }
        Ok((of, by))
    }
    /// The lines it is asked of; a play whose word in a filter was not seen is counted in the number beside them.
    pub fn lines<'l>(&self, lines: &'l [Line]) -> (Vec<&'l Line>, usize) {
        let mut unseen = 0;
        let kept = lines
            .iter()
            .filter(|l| self.games.is_empty() || self.games.contains(&l.game))
            .filter(|l| self.plays.is_empty() || self.plays.contains(&l.play))
            .filter(|l| !self.without.contains(&l.play))
            .filter(|l| {
                let mut doubt = false;
                let kept = self.only.iter().all(|o| match l.cell(&o.field) {
                    Some(Cell::Word(w)) => o.words.iter().any(|x| x.eq_ignore_ascii_case(w)),
                    Some(Cell::NotSeen(_)) => {
                        doubt = true;
                        false
                    }
                    _ => false,
                });
                unseen += usize::from(doubt);
                kept
            })
            .collect();
        (kept, unseen)
    }
}
