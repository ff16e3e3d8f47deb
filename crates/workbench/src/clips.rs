//! Clips: proposed from scene cuts, edited by hand.

use crate::films::Film;
use crate::{WorkError, Workbench, views};
use film::CutRules;
use play::{Clip, ClipId, FilmId, GameId, PlayId, View};
use serde::{Deserialize, Serialize};
use std::ops::Range;
use store::{Change, Kind};

/// A clip as it is listed.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ClipSummary {
    /// The clip.
    #[serde(flatten)]
    pub clip: Clip,
    /// Name of its film.
    pub film_name: String,
    /// Its film's game.
    pub game: Option<GameId>,
    /// How much of it has a camera to be trusted, 0 to 1; `None` when it was never lined up.
    pub lined_up: Option<f64>,
}

/// New facts of a clip.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ClipEdit {
    /// First frame of the film.
    pub first: u32,
    /// One past the last frame.
    pub end: u32,
    /// View.
    pub view: Option<View>,
    /// Play.
    pub play: Option<PlayId>,
    /// Film frame of the snap.
    pub snap_frame: Option<f64>,
}

/// Frame ranges between a film's scene cuts.
pub(crate) fn cuts_of(film: &Film) -> Vec<Range<usize>> {
    film::cuts(&film.ingested.scores, CutRules::default())
}

/// One clip per range between cuts, with the view that the film's name gives away; `ids` are as many as the cuts.
pub(crate) fn propose(film: &Film, ids: &[String]) -> Vec<Clip> {
    let view = views::by_name(&film.name);
    cuts_of(film)
        .into_iter()
        .zip(ids)
        .map(|(range, id)| Clip {
            id: ClipId(id.clone()),
            film: FilmId(film.id.clone()),
            first: range.start as u32,
            end: range.end as u32,
            view,
            play: None,
            snap_frame: None,
        })
        .collect()
}

impl Workbench {
    /// All clips in the order of their films and frames.
    ///
    /// # Errors
    /// `Store`.
    pub async fn clips(&self) -> Result<Vec<ClipSummary>, WorkError> {
        let mut clips: Vec<Clip> = self.store.list().await?;
        let order = self.store.film_ids().await?;
        let place = |f: &FilmId| order.iter().position(|o| *o == f.0).unwrap_or(usize::MAX);
        clips.sort_by_key(|c| (place(&c.film), c.first));
        let mut out = Vec::new();
        for clip in clips {
            let film = self.film(clip.film.as_str()).await?;
            let lined_up = self.lined_up(&clip).await?;
            out.push(ClipSummary { film_name: film.name.clone(), game: film.game.clone(), lined_up, clip });
        }
        Ok(out)
    }
    /// Proposes clips for a film anew from its scene cuts. Clips of the film that belong to no play give way.
    ///
    /// # Errors
    /// `Store`; `Invalid` when some clip of the film is in use already.
    pub async fn propose_clips(&self, film: &FilmId) -> Result<Vec<Clip>, WorkError> {
        let _guard = self.editing.lock().await;
        let film = self.film(film.as_str()).await?;
        let old: Vec<Clip> = self.store.list_of(&film.id).await?;
        if let Some(used) = old.iter().find(|c| c.play.is_some()) {
            return Err(WorkError::Invalid(format!(
                "clip {} of {} belongs to a play; take it off the play before cutting the film anew",
                used.id, film.name
            )));
        }
        let ids = self.ids("c", cuts_of(&film).len()).await?;
        let clips = propose(&film, &ids);
        let changes: Vec<Change> = old
            .iter()
            .map(|c| Change::delete(Kind::Clip, c.id.as_str()))
            .chain(clips.iter().map(Change::put))
            .collect();
        self.change(&format!("cut {} into clips", film.name), None, &changes).await?;
        Ok(clips)
    }
    /// Changes a clip.
    ///
    /// # Errors
    /// `Invalid` for frames outside the film, a snap outside the clip, or a view that the play has already.
    pub async fn edit_clip(&self, id: &ClipId, edit: ClipEdit) -> Result<Clip, WorkError> {
        let _guard = self.editing.lock().await;
        let clip: Clip = self.store.get(id.as_str()).await?;
        let film = self.film(clip.film.as_str()).await?;
        let clip = Clip {
            first: edit.first,
            end: edit.end,
            view: edit.view,
            play: edit.play,
            snap_frame: edit.snap_frame,
            ..clip
        };
        self.check_clip(&clip, film.len()).await?;
        let play = clip.play.clone();
        self.change("change a clip", play.as_ref(), &[Change::put(&clip)]).await?;
        Ok(clip)
    }
    /// Makes a clip.
    ///
    /// # Errors
    /// As [`Workbench::edit_clip`].
    pub async fn add_clip(&self, film: &FilmId, edit: ClipEdit) -> Result<Clip, WorkError> {
        let _guard = self.editing.lock().await;
        let held = self.film(film.as_str()).await?;
        let clip = Clip {
            id: ClipId(self.id("c").await?),
            film: film.clone(),
            first: edit.first,
            end: edit.end,
            view: edit.view,
            play: edit.play,
            snap_frame: edit.snap_frame,
        };
        self.check_clip(&clip, held.len()).await?;
        self.change("add a clip", clip.play.as_ref(), &[Change::put(&clip)]).await?;
        Ok(clip)
    }
    /// Deletes a clip with its marks on the field. The film stays.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn delete_clip(&self, id: &ClipId) -> Result<(), WorkError> {
        let _guard = self.editing.lock().await;
        let clip: Clip = self.store.get(id.as_str()).await?;
        let marks: Vec<play::FieldMark> = self.store.list_of(id.as_str()).await?;
        let mut changes: Vec<Change> =
            marks.iter().map(|m| Change::delete(Kind::FieldMark, m.id.as_str())).collect();
        if self.store.find::<play::FieldReading>(id.as_str()).await?.is_some() {
            changes.push(Change::delete(Kind::FieldReading, id.as_str()));
        }
        changes.push(Change::delete(Kind::Clip, id.as_str()));
        self.change("delete a clip", clip.play.as_ref(), &changes).await
    }
    async fn check_clip(&self, clip: &Clip, frames: usize) -> Result<(), WorkError> {
        if clip.first >= clip.end || clip.end as usize > frames {
            return Err(WorkError::Invalid(format!(
                "frames {} to {} are no stretch of the film, which has frames 0 to {}",
                clip.first,
                clip.end.saturating_sub(1),
                frames - 1
            )));
        }
        if let Some(snap) = clip.snap_frame {
            check_in_clip("the snap", snap, clip)?;
        }
        let Some(play) = &clip.play else { return Ok(()) };
        self.store.get::<play::Play>(play.as_str()).await?;
        let others: Vec<Clip> = self.store.list().await?;
        let same = others.iter().find(|o| o.id != clip.id && o.play == clip.play && o.view == clip.view);
        match (same, clip.view) {
            (Some(other), Some(_)) => Err(WorkError::Invalid(format!(
                "play {play} has a clip of that view already ({}); take that one off the play first",
                other.id
            ))),
            _ => Ok(()),
        }
    }
    /// The clips of a play that have a view.
    pub(crate) async fn clips_of(&self, play: &PlayId) -> Result<Vec<Clip>, WorkError> {
        let all: Vec<Clip> = self.store.list().await?;
        Ok(all.into_iter().filter(|c| c.play.as_ref() == Some(play)).collect())
    }
    /// The clip of a play and view.
    ///
    /// # Errors
    /// `NotReady` when the play has none.
    pub(crate) async fn clip_of(&self, play: &PlayId, view: View) -> Result<Clip, WorkError> {
        self.clips_of(play).await?.into_iter().find(|c| c.view == Some(view)).ok_or_else(|| {
            WorkError::NotReady(format!("play {play} has no clip of the {} view", views::word(view)))
        })
    }
}

/// Refuses a film frame outside a clip.
pub(crate) fn check_in_clip(what: &str, frame: f64, clip: &Clip) -> Result<(), WorkError> {
    let last = f64::from(clip.end - 1);
    if (f64::from(clip.first)..=last).contains(&frame) {
        return Ok(());
    }
    Err(WorkError::Invalid(format!(
        "{what} at frame {frame} is outside the clip's frames {} to {last}",
        clip.first
    )))
}
