//! The two views of a play against each other: clips whose men do not stand where the other view sees them want a look.

use super::{GameLineUp, Standing};
use crate::{WorkError, Workbench, key_of};
use play::{Finding, PlayId};
use std::collections::BTreeMap;

/// Kind among computed things: what a play's two views contradict each other in.
const VIEWS: &str = "views-apart";

impl Workbench {
    /// Names the cameras of a play's views.
    async fn views_key(&self, play: &PlayId) -> Result<String, WorkError> {
        let mut stamps = Vec::new();
        for clip in self.clips_of(play).await? {
            stamps.push((clip.view, clip.snap_frame, self.cameras_stamp(&clip).await?));
        }
        key_of(&stamps)
    }
    /// Keeps what the play's views, as they are lined up now, were found to contradict each other in.
    pub(crate) async fn keep_views_apart(
        &self,
        play: &PlayId,
        found: Option<&Finding>,
    ) -> Result<(), WorkError> {
        let key = self.views_key(play).await?;
        Ok(self.store.put_computed(VIEWS, play.as_str(), &key, &serde_json::to_string(&found)?).await?)
    }
    /// In what the play's views contradict each other as they are lined up; `None` also while that was not looked at.
    pub(crate) async fn views_apart(&self, play: &PlayId) -> Result<Option<Finding>, WorkError> {
        match self.store.computed(VIEWS, play.as_str()).await? {
            Some((key, body)) if key == self.views_key(play).await? => Ok(serde_json::from_str(&body)?),
            _ => Ok(None),
        }
    }
    /// The overview with the clips doubted whose play's views contradict each other. One that the evaluator confirmed is not
    /// doubted for the other's sake.
    pub(super) async fn with_views(&self, mut g: GameLineUp) -> Result<GameLineUp, WorkError> {
        let mut of: BTreeMap<PlayId, Vec<usize>> = BTreeMap::new();
        for (k, c) in g.clips.iter().enumerate() {
            if let Some(play) = c.play.clone() {
                of.entry(play).or_default().push(k);
            }
        }
        let looked: Vec<String> =
            self.store.computed_keys(VIEWS).await?.into_iter().map(|(id, _)| id).collect();
        for (play, clips) in of {
            if clips.len() < 2 || !looked.iter().any(|l| l == play.as_str()) {
                continue;
            }
            let Some(found) = self.views_apart(&play).await? else { continue };
            let open: Vec<usize> = clips.iter().copied().filter(|&k| !g.clips[k].confirmed).collect();
            for &k in if open.is_empty() { &clips } else { &open } {
                let c = &mut g.clips[k];
                c.doubts.push(found.message.clone());
                if c.standing == Standing::Sound {
                    c.standing = Standing::Doubtful;
                }
            }
        }
        g.sort();
        Ok(g)
    }
}
