//! Several facts and measures held against a figure at once.

use crate::{WorkError, Workbench};
use patterns::several::{Several, SeveralAsked, several};

impl Workbench {
    /// What each of several facts and measures goes with in a figure while the others are held even.
    ///
    /// # Errors
    /// `Invalid` for unknown fields, the same one twice, too few or too many; what measuring the plays refused.
    pub async fn several(&self, asked: SeveralAsked) -> Result<Several, WorkError> {
        // A wrong field is told before the plays are measured.
        asked.fields()?;
        let lines = self.asked().await?;
        // The sampler takes a second and more.
        crate::error::blocking(move || Ok::<_, WorkError>(several(&lines.lines, &asked)?)).await
    }
}
