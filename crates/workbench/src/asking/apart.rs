//! Results taken apart.

use crate::{WorkError, Workbench};
use patterns::apart::{Apart, apart};
use play::GameId;

impl Workbench {
    /// Results over some games (all when none is named), split by a fact and taken apart into choice, timing, placement and the
    /// rest, with the official ratings beside them.
    ///
    /// # Errors
    /// `Invalid` for an unknown fact or one that is a number; what measuring the plays refused.
    pub async fn apart(&self, by: &str, games: &[GameId]) -> Result<Apart, WorkError> {
        let asked = self.asked().await?;
        let (by, games) = (by.to_owned(), games.to_vec());
        // The ratings' intervals draw attempts a thousand times.
        crate::error::blocking(move || Ok::<_, WorkError>(apart(&asked.lines, &by, &games)?)).await
    }
}
