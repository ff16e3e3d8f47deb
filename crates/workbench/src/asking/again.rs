//! The same picture again.

use crate::{WorkError, Workbench};
use patterns::again::{ALIKE, Likeness, nearest};
use patterns::learn::{Learned, did, learned};
use play::{GameId, PlayId};
use serde::Serialize;

/// A play like another.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct SeenAgain {
    /// Which.
    pub play: PlayId,
    /// Its game.
    pub game: GameId,
    /// Order within the game.
    pub number: u32,
    /// Whether it came before.
    pub before: bool,
    /// Whether the two are one picture.
    pub same: bool,
    /// How alike.
    pub likeness: Likeness,
    /// What he did.
    pub did: String,
}

/// Plays named as nearest.
const NEAREST: usize = 6;

impl Workbench {
    /// The plays whose picture is nearest to this play's, in the order of time, with what he did.
    ///
    /// # Errors
    /// `Store` with `NoRecord`; what measuring the plays refused.
    pub async fn seen_again(&self, id: &PlayId) -> Result<Vec<SeenAgain>, WorkError> {
        self.store.get::<play::Play>(id.as_str()).await?;
        let asked = self.asked().await?;
        let alike = nearest(&asked.shown, id, NEAREST);
        Ok(alike
            .into_iter()
            .filter_map(|a| {
                let line = asked.lines.iter().find(|l| l.play == a.play)?;
                Some(SeenAgain {
                    play: a.play,
                    game: line.game.clone(),
                    number: line.number,
                    before: a.before,
                    same: a.likeness.distance <= ALIKE,
                    likeness: a.likeness,
                    did: did(line),
                })
            })
            .collect())
    }
    /// Pictures shown more than once, and whether a yes-or-no field was a yes more often the later times.
    ///
    /// # Errors
    /// `Invalid` for an unknown field; what measuring the plays refused.
    pub async fn learned(&self, of: &str) -> Result<Learned, WorkError> {
        let asked = self.asked().await?;
        Ok(learned(&asked.lines, &asked.shown, of)?)
    }
}
