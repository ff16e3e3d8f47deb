//! Everything known of many plays at once: what measures, claims and reports are made from.

use crate::{WorkError, Workbench};
use play::{GameId, Judgement, Measurement};

/// A play with what was made and what was computed.
pub(crate) struct PlayKnown {
    pub detail: crate::PlayDetail,
    pub measurement: Option<Measurement>,
    pub judgements: Vec<Judgement>,
}

/// The plays of a study or game in order.
pub(crate) struct StudyFacts(pub Vec<PlayKnown>);

impl Workbench {
    /// Measures and judges every play of a game, or of the study. A play that cannot be measured yet counts as unmeasured.
    pub(crate) async fn facts(&self, game: Option<&GameId>) -> Result<StudyFacts, WorkError> {
        let mut known = Vec::new();
        for p in self.plays().await?.into_iter().filter(|p| game.is_none_or(|g| *g == p.game)) {
            let detail = self.play(&p.id).await?;
            let measurement = ready(self.measurement(&p.id).await)?;
            let judgements = ready(self.judgements(&p.id).await)?.unwrap_or_default();
            known.push(PlayKnown { detail, measurement, judgements });
        }
        Ok(StudyFacts(known))
    }
}

/// A play that cannot be measured yet is no error here.
pub(crate) fn ready<T>(result: Result<T, WorkError>) -> Result<Option<T>, WorkError> {
    match result {
        Ok(t) => Ok(Some(t)),
        Err(WorkError::NotReady(_)) => Ok(None),
        Err(e) => Err(e),
    }
}
