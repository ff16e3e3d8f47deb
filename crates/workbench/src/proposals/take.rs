use super::{Proposals, ProposedBall};
use crate::{WorkError, Workbench};
use play::{BallMark, Clip, MarkId, MomentKind, MomentMark, PlayId, Seen};
use serde::Deserialize;
use store::{Change, OfPlay, PlayPart};

/// Which proposals to confirm.
#[derive(Clone, Copy, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct TakeProposals {
    /// The moments.
    pub moments: bool,
    /// The ball.
    pub ball: bool,
}

impl Workbench {
    /// Confirms proposals: they become marks like those made by hand, in one edit. Gives what is proposed then.
    ///
    /// # Errors
    /// `NotReady` when nothing of what is asked for is proposed.
    pub async fn take_proposals(&self, id: &PlayId, take: TakeProposals) -> Result<Proposals, WorkError> {
        let proposals = self.proposals(id).await?;
        {
            let _guard = self.editing.lock().await;
            let marked: Vec<MomentMark> = self.parts(id).await?;
            let balls: Vec<BallMark> = self.parts(id).await?;
            // Somebody may have marked by hand since: his marks stay.
            let moments: Vec<_> = proposals
                .moments
                .iter()
                .filter(|p| take.moments && !marked.iter().any(|m| m.moment == p.moment && m.view == p.view))
                .collect();
            let seen: Vec<&ProposedBall> = match &proposals.flight {
                Seen::Seen(f) if take.ball => f
                    .balls
                    .iter()
                    .filter(|p| !balls.iter().any(|b| b.view == p.view && b.frame == p.frame))
                    .collect(),
                _ => Vec::new(),
            };
            if moments.is_empty() && seen.is_empty() {
                return Err(WorkError::NotReady(nothing(&proposals, take)));
            }
            let mut ids = self.ids("m", moments.len() + seen.len()).await?.into_iter().map(MarkId);
            let mut changes = Vec::new();
            for (p, mark) in moments.iter().zip(ids.by_ref()) {
                changes
                    .push(put(id, &MomentMark { id: mark, moment: p.moment, view: p.view, frame: p.frame }));
                if p.moment == MomentKind::Snap {
                    let clip = self.clip_of(id, p.view).await?;
                    changes.push(Change::put(&Clip { snap_frame: Some(p.frame), ..clip }));
                }
            }
            for (p, mark) in seen.iter().zip(ids) {
                changes.push(put(id, &BallMark { id: mark, view: p.view, frame: p.frame, pixel: p.pixel }));
            }
            let label = match (moments.is_empty(), seen.is_empty()) {
                (false, true) => "confirm the moments",
                (true, false) => "confirm the ball",
                _ => "confirm moments and ball",
            };
            self.change(label, Some(id), &changes).await?;
        }
        self.proposals(id).await
    }
}

/// Why there is nothing to confirm.
fn nothing(p: &Proposals, take: TakeProposals) -> String {
    match (&p.flight, take.ball) {
        (Seen::NotSeen(why), true) => format!("there is nothing to confirm: {why}"),
        _ => "there is nothing to confirm: what was found is marked already".into(),
    }
}

fn put<T: PlayPart + Clone>(play: &PlayId, part: &T) -> Change {
    Change::put(&OfPlay { play: play.clone(), part: part.clone() })
}
