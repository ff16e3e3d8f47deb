//! Two passers, each from his own study. The other study is only read.

use crate::{WorkError, Workbench};
use patterns::passers::{PasserRow, passers, passers_said};
use patterns::rating::{Rated, rated};
use play::{Only, Study};
use serde::Serialize;
use std::path::Path;
use store::{Place, Store};

/// Two passers compared.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct PassersCompared {
    /// This study's passer, as it calls him.
    pub one: String,
    /// The other's.
    pub other: String,
    /// In one sentence.
    pub said: String,
    /// What a difference may come of besides the passers.
    pub cautions: Vec<String>,
    /// By measure.
    pub rows: Vec<PasserRow>,
    /// This passer's official ratings.
    pub one_rated: Rated,
    /// The other's.
    pub other_rated: Rated,
}

impl Workbench {
    /// This study's passer beside another's, whose study lies in a named folder or beside this one.
    ///
    /// # Errors
    /// `Outside`, and those of [`Workbench::compare_passers`].
    pub async fn compare_passers_listed(
        &self,
        path: &Path,
        only: &[Only],
    ) -> Result<PassersCompared, WorkError> {
        self.compare_passers(&self.listed_study(path).await?, only).await
    }
    /// This study's passer beside another's on the same measures, over the plays that `only` keeps.
    ///
    /// # Errors
    /// `Invalid` when it is this study, or for an unknown fact; `Store` when it is no study of this format.
    pub async fn compare_passers(&self, path: &Path, only: &[Only]) -> Result<PassersCompared, WorkError> {
        if self.is_this(path) {
            return Err(WorkError::Invalid("a study cannot be compared with itself".into()));
        }
        let store = Store::open_to_read(Place::new(path)?).await?;
        let other = Self::over(store, self.outside.clone());
        let both = async {
            let theirs: Study = other.store.get("study").await?;
            Ok::<_, WorkError>((theirs, other.asked().await?))
        };
        let both = both.await;
        other.close().await;
        let (theirs, their_plays) = both?;
        let study: Study = self.store.get("study").await?;
        let our_plays = self.asked().await?;
        let (one, two) = named(&study, &theirs);
        let mut cautions = vec![
            "What each had around him, in front of him and against him is not the same; these figures do not take it out."
                .to_owned(),
        ];
        if study.evaluator != theirs.evaluator {
            cautions.push(
                "The studies are by two evaluators: what they charted and marked may differ by habit."
                    .to_owned(),
            );
        }
        if study.right_handed != theirs.right_handed {
            cautions
                .push("One throws with the left hand: left and right are not the same for both.".to_owned());
        }
        let only = only.to_vec();
        crate::error::blocking(move || {
            let rows = passers(&our_plays.lines, &their_plays.lines, (&one, &two), &only)?;
            let kept = patterns::ask::Question { only, ..Default::default() };
            Ok::<_, WorkError>(PassersCompared {
                said: passers_said(&rows),
                cautions,
                one_rated: rated(kept.lines(&our_plays.lines).0),
                other_rated: rated(kept.lines(&their_plays.lines).0),
                one,
                other: two,
                rows,
            })
        })
        .await
    }
}

/// What to call the two, so that they can be told apart.
fn named(ours: &Study, theirs: &Study) -> (String, String) {
    let name = |s: &Study, otherwise: &str| match s.passer.trim() {
        "" => otherwise.to_owned(),
        p => p.to_owned(),
    };
    let (one, two) = (name(ours, "this passer"), name(theirs, "the other passer"));
    if one.eq_ignore_ascii_case(&two) {
        return (format!("{one} of {}", ours.name), format!("{two} of {}", theirs.name));
    }
    (one, two)
}
