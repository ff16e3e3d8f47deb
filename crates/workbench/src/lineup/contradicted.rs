//! The two views of a play against each other: clips whose men do not stand where the other view sees them want a look.

use super::{GameLineUp, Standing};
use crate::{WorkError, Workbench, key_of};
use play::{Finding, PlayId};
use std::collections::BTreeMap;

/// Kind among computed things: what a play's two views contradict each other in.
const VIEWS: &str = "views-apart";

/// Whose places told: each takes back only what it said itself.
#[derive(Clone, Copy)]
pub(crate) enum Witness {
    /// Men found in the film.
    Found,
    /// Men whom the evaluator marked or named.
    Marked,
}

impl Witness {
    fn id(self, play: &PlayId) -> String {
        match self {
            Self::Found => format!("{play}/found"),
            Self::Marked => format!("{play}/marked"),
        }
    }
}

impl Workbench {
    /// Names the cameras of a play's views.
    async fn views_key(&self, play: &PlayId) -> Result<String, WorkError> {
        let mut stamps = Vec::new();
        for clip in self.clips_of(play).await? {
            stamps.push((clip.view, clip.snap_frame, self.cameras_stamp(&clip).await?));
        }
        key_of(&stamps)
    }
    /// Keeps what one witness found the play's views, as they are lined up now, to contradict each other in; `None` takes it back.
    pub(crate) async fn keep_views_apart(
        &self,
        play: &PlayId,
        by: Witness,
        found: Option<&Finding>,
    ) -> Result<(), WorkError> {
        let id = by.id(play);
        if found.is_none() && self.store.computed(VIEWS, &id).await?.is_none() {
            return Ok(());
        }
        let key = self.views_key(play).await?;
        Ok(self.store.put_computed(VIEWS, &id, &key, &serde_json::to_string(&found)?).await?)
    }
    /// In what the play's views contradict each other as they are lined up; `None` also while that was not looked at.
    pub(crate) async fn views_apart(&self, play: &PlayId) -> Result<Option<Finding>, WorkError> {
        for by in [Witness::Found, Witness::Marked] {
            if let Some((key, body)) = self.store.computed(VIEWS, &by.id(play)).await?
                && key == self.views_key(play).await?
                && let Some(found) = serde_json::from_str(&body)?
            {
                return Ok(Some(found));
            }
        }
        Ok(None)
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
        for (play, clips) in of {
            if clips.len() < 2 {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lineup::ClipStanding;
    use crate::{GameEdit, NewPlay, Outside};
    use film::VideoTool;
    use play::{Clip, Severity, Study, Team, View};
    use std::sync::Arc;
    use store::Change;

    fn standing(clip: &Clip, confirmed: bool) -> ClipStanding {
        ClipStanding {
            clip: clip.id.clone(),
            play: clip.play.clone(),
            play_number: Some(1),
            view: clip.view,
            standing: Standing::Sound,
            trusted: 1.0,
            held: 1.0,
            settled_by: String::new(),
            probability: Some(1.0),
            doubts: Vec::new(),
            confirmed,
            moves: false,
            stand: None,
            look_at: 0,
        }
    }

    /// Both clips are doubted, or the one that nobody confirmed; what marks said is not taken back by looking again, nor the other way
    /// round; and a play synchronised anew is not held to what was said of it before.
    #[tokio::test]
    async fn a_contradiction_stands_until_its_witness_takes_it_back() {
        let dir = tempfile::tempdir().unwrap();
        let outside = Outside { tool: VideoTool::on_path(), now: Arc::new(|| 1_764_028_800_000) };
        let study =
            Study { name: "T".into(), passer: String::new(), right_handed: true, evaluator: String::new() };
        let bench = Workbench::create(&dir.path().join("a.tape"), &study, outside).await.unwrap();
        let team = || Team { name: String::new(), shirt: None };
        let edit = GameEdit {
            name: "G".into(),
            rule_book: field::RuleBook::College,
            offense: team(),
            defense: team(),
            air: play::Air::default(),
            crown: None,
        };
        let game = bench.add_game(edit).await.unwrap().id;
        let play = bench.add_play(NewPlay { game, situation: Default::default() }).await.unwrap().id;
        let clip = |id: &str, view: View, snap: f64| Clip {
            id: id.into(),
            film: "f".into(),
            first: 0,
            end: 90,
            view: Some(view),
            play: Some(play.clone()),
            snap_frame: Some(snap),
        };
        let (side, end) = (clip("a", View::Sideline, 20.0), clip("b", View::EndZone, 22.0));
        bench.change("clips", None, &[Change::put(&side), Change::put(&end)]).await.unwrap();
        let doubted = async |confirmed: bool| {
            let clips = vec![standing(&side, confirmed), standing(&end, false)];
            let g = GameLineUp { clips, crown: None, behind_offense: false };
            let shown = bench.with_views(g).await.unwrap();
            let doubtful = shown.clips.iter().filter(|c| c.standing == Standing::Doubtful);
            doubtful.map(|c| c.clip.to_string()).collect::<Vec<_>>()
        };
        assert!(doubted(false).await.is_empty());
        let found = Finding::new(Severity::Weak, "views-apart", "five yards");
        bench.keep_views_apart(&play, Witness::Marked, Some(&found)).await.unwrap();
        assert_eq!(doubted(false).await, ["a", "b"]);
        assert_eq!(doubted(true).await, ["b"], "one was confirmed");
        bench.keep_views_apart(&play, Witness::Found, None).await.unwrap();
        assert_eq!(doubted(false).await, ["a", "b"], "looking for men says nothing of marks");
        bench.keep_views_apart(&play, Witness::Marked, None).await.unwrap();
        assert!(doubted(false).await.is_empty());
        bench.keep_views_apart(&play, Witness::Found, Some(&found)).await.unwrap();
        assert_eq!(doubted(false).await.len(), 2);
        bench.change("sync", None, &[Change::put(&clip("b", View::EndZone, 25.0))]).await.unwrap();
        assert!(doubted(false).await.is_empty(), "another clock");
    }
}
