//! What the evaluator puts on the film: moments, people, ball, feet, hips.

use crate::clips::check_in_clip;
use crate::{WorkError, Workbench};
use geometry::Point2;
use geometry::frame::Pixel;
use play::{
    BallMark, Clip, Foot, FootMark, FootPart, HipMark, MarkId, MomentKind, MomentMark, Person, PersonId,
    PersonMark, Play, PlayId, View,
};
use serde::{Deserialize, Serialize};
use store::{Change, Kind, OfPlay, PlayPart};

/// A moment to mark.
#[derive(Clone, Copy, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct NewMoment {
    /// Which.
    pub moment: MomentKind,
    /// In which view.
    pub view: View,
    /// Film frame, fractional when it falls between two.
    pub frame: f64,
}

/// Where somebody stands, to mark.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct NewPersonMark {
    /// Who.
    pub person: PersonId,
    /// In which view.
    pub view: View,
    /// Film frame.
    pub frame: u32,
    /// Where, px of the original.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
}

/// The ball or the hips, to mark.
#[derive(Clone, Copy, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct NewSpotMark {
    /// In which view.
    pub view: View,
    /// Film frame.
    pub frame: u32,
    /// Where, px of the original.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
}

/// A contact point of a foot, to mark.
#[derive(Clone, Copy, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct NewFootMark {
    /// Which foot.
    pub foot: Foot,
    /// Which part.
    pub part: FootPart,
    /// In which view.
    pub view: View,
    /// Film frame.
    pub frame: u32,
    /// Where, px of the original.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
}

/// A mark moved.
#[derive(Clone, Copy, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct MovedMark {
    /// Where to, px of the original.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
}

/// A mark of any kind.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum AnyMark {
    /// A moment.
    Moment(MomentMark),
    /// Somebody.
    Person(PersonMark),
    /// The ball.
    Ball(BallMark),
    /// A foot.
    Foot(FootMark),
    /// The hips.
    Hip(HipMark),
}

impl Workbench {
    /// Marks a moment in a view; a mark of the same moment there moves. The snap puts the view on the play's clock.
    ///
    /// # Errors
    /// `Invalid` for a frame outside the clip; `NotReady` when the play has no clip of that view.
    pub async fn mark_moment(&self, id: &PlayId, new: NewMoment) -> Result<MomentMark, WorkError> {
        let _guard = self.editing.lock().await;
        let clip = self.clip_of(id, new.view).await?;
        check_in_clip(moment_word(new.moment), new.frame, &clip)?;
        let old = self.parts::<MomentMark>(id).await?;
        let same = old.into_iter().find(|m| m.moment == new.moment && m.view == new.view);
        let mark_id = match same {
            Some(m) => m.id,
            None => MarkId(self.id("m").await?),
        };
        let mark = MomentMark { id: mark_id, moment: new.moment, view: new.view, frame: new.frame };
        let mut changes = vec![put(id, &mark)];
        if new.moment == MomentKind::Snap {
            changes.push(Change::put(&Clip { snap_frame: Some(new.frame), ..clip }));
        }
        let label = format!("mark {}", moment_word(new.moment));
        self.change(&label, Some(id), &changes).await?;
        Ok(mark)
    }
    /// Sets who somebody is in a play.
    ///
    /// # Errors
    /// `Invalid` when the id in the path is another, or there would be two passers.
    pub async fn edit_person(&self, id: &PlayId, person: Person) -> Result<Person, WorkError> {
        let _guard = self.editing.lock().await;
        self.store.get::<Play>(id.as_str()).await?;
        check_person_id(&person.id)?;
        self.change("say who is who", Some(id), &[put(id, &person)]).await?;
        Ok(person)
    }
    /// Takes somebody out of a play, with his marks.
    ///
    /// # Errors
    /// `Invalid` for the passer, whom every play has.
    pub async fn delete_person(&self, id: &PlayId, person: &PersonId) -> Result<(), WorkError> {
        let _guard = self.editing.lock().await;
        if person.as_str() == PersonId::PASSER {
            return Err(WorkError::Invalid("every play has its passer".into()));
        }
        let mut changes: Vec<Change> = self
            .parts::<PersonMark>(id)
            .await?
            .iter()
            .filter(|m| m.person == *person)
            .map(|m| Change::delete(Kind::PersonMark, m.id.as_str()))
            .collect();
        changes.push(Change::delete(Kind::Person, format!("{id}/{person}")));
        self.change("take somebody out", Some(id), &changes).await
    }
    /// Marks where somebody stands; his mark in the same frame moves.
    ///
    /// # Errors
    /// `Invalid` for somebody who is not in the play or a place outside clip or picture; `NotReady` without the clip.
    pub async fn mark_person(&self, id: &PlayId, new: NewPersonMark) -> Result<PersonMark, WorkError> {
        let _guard = self.editing.lock().await;
        self.check_spot(id, new.view, new.frame, new.pixel).await?;
        if !self.parts::<Person>(id).await?.iter().any(|p| p.id == new.person) {
            return Err(WorkError::Invalid(format!(
                "nobody called {} is in the play; add him first",
                new.person
            )));
        }
        let old = self.parts::<PersonMark>(id).await?;
        let same =
            old.into_iter().find(|m| m.person == new.person && m.view == new.view && m.frame == new.frame);
        let mark_id = self.mark_id(same.map(|m| m.id)).await?;
        let mark = PersonMark {
            id: mark_id,
            person: new.person,
            view: new.view,
            frame: new.frame,
            pixel: new.pixel,
        };
        self.change(&format!("mark {}", mark.person), Some(id), &[put(id, &mark)]).await?;
        Ok(mark)
    }
    /// Marks the ball; its mark in the same frame moves.
    ///
    /// # Errors
    /// `Invalid` for a place outside clip or picture; `NotReady` without the clip.
    pub async fn mark_ball(&self, id: &PlayId, new: NewSpotMark) -> Result<BallMark, WorkError> {
        let _guard = self.editing.lock().await;
        self.check_spot(id, new.view, new.frame, new.pixel).await?;
        let old = self.parts::<BallMark>(id).await?;
        let same = old.into_iter().find(|m| m.view == new.view && m.frame == new.frame);
        let mark_id = self.mark_id(same.map(|m| m.id)).await?;
        let mark = BallMark { id: mark_id, view: new.view, frame: new.frame, pixel: new.pixel };
        self.change("mark the ball", Some(id), &[put(id, &mark)]).await?;
        Ok(mark)
    }
    /// Marks a foot. Marks of the same point add up: repeats narrow the interval.
    ///
    /// # Errors
    /// As [`Workbench::mark_ball`].
    pub async fn mark_foot(&self, id: &PlayId, new: NewFootMark) -> Result<FootMark, WorkError> {
        let _guard = self.editing.lock().await;
        self.check_spot(id, new.view, new.frame, new.pixel).await?;
        let mark = FootMark {
            id: self.mark_id(None).await?,
            foot: new.foot,
            part: new.part,
            view: new.view,
            frame: new.frame,
            pixel: new.pixel,
        };
        self.change("mark a foot", Some(id), &[put(id, &mark)]).await?;
        Ok(mark)
    }
    /// Marks the hips. Marks in the same frame add up: repeats narrow the interval.
    ///
    /// # Errors
    /// As [`Workbench::mark_ball`].
    pub async fn mark_hip(&self, id: &PlayId, new: NewSpotMark) -> Result<HipMark, WorkError> {
        let _guard = self.editing.lock().await;
        self.check_spot(id, new.view, new.frame, new.pixel).await?;
        let mark =
            HipMark { id: self.mark_id(None).await?, view: new.view, frame: new.frame, pixel: new.pixel };
        self.change("mark the hips", Some(id), &[put(id, &mark)]).await?;
        Ok(mark)
    }
    /// Moves a mark.
    ///
    /// # Errors
    /// `NotFound`; `Invalid` for a moment, which has no place, or a place outside the picture.
    pub async fn move_mark(&self, id: &MarkId, moved: MovedMark) -> Result<AnyMark, WorkError> {
        let _guard = self.editing.lock().await;
        let (play, mark) = self.find_mark(id).await?;
        let pixel = moved.pixel;
        let (view, frame, change, mark) = match mark {
            AnyMark::Moment(_) => {
                return Err(WorkError::Invalid("a moment has no place in the picture; mark it anew".into()));
            }
            AnyMark::Person(m) => {
                let m = PersonMark { pixel, ..m };
                (m.view, m.frame, put(&play, &m), AnyMark::Person(m))
            }
            AnyMark::Ball(m) => {
                let m = BallMark { pixel, ..m };
                (m.view, m.frame, put(&play, &m), AnyMark::Ball(m))
            }
            AnyMark::Foot(m) => {
                let m = FootMark { pixel, ..m };
                (m.view, m.frame, put(&play, &m), AnyMark::Foot(m))
            }
            AnyMark::Hip(m) => {
                let m = HipMark { pixel, ..m };
                (m.view, m.frame, put(&play, &m), AnyMark::Hip(m))
            }
        };
        self.check_spot(&play, view, frame, pixel).await?;
        self.change_merging("move a mark", Some(&play), Some(id.as_str()), &[change]).await?;
        Ok(mark)
    }
    /// Deletes a mark of any kind but those on the field.
    ///
    /// # Errors
    /// `NotFound`.
    pub async fn delete_mark(&self, id: &MarkId) -> Result<(), WorkError> {
        let _guard = self.editing.lock().await;
        let (play, mark) = self.find_mark(id).await?;
        let mut changes = Vec::new();
        let kind = match &mark {
            AnyMark::Moment(m) => {
                if m.moment == MomentKind::Snap
                    && let Ok(clip) = self.clip_of(&play, m.view).await
                {
                    changes.push(Change::put(&Clip { snap_frame: None, ..clip }));
                }
                Kind::Moment
            }
            AnyMark::Person(_) => Kind::PersonMark,
            AnyMark::Ball(_) => Kind::BallMark,
            AnyMark::Foot(_) => Kind::FootMark,
            AnyMark::Hip(_) => Kind::HipMark,
        };
        changes.push(Change::delete(kind, id.as_str()));
        self.change("delete a mark", Some(&play), &changes).await
    }
    async fn find_mark(&self, id: &MarkId) -> Result<(PlayId, AnyMark), WorkError> {
        let id = id.as_str();
        if let Some(m) = self.store.find::<OfPlay<MomentMark>>(id).await? {
            return Ok((m.play, AnyMark::Moment(m.part)));
        }
        if let Some(m) = self.store.find::<OfPlay<PersonMark>>(id).await? {
            return Ok((m.play, AnyMark::Person(m.part)));
        }
        if let Some(m) = self.store.find::<OfPlay<BallMark>>(id).await? {
            return Ok((m.play, AnyMark::Ball(m.part)));
        }
        if let Some(m) = self.store.find::<OfPlay<FootMark>>(id).await? {
            return Ok((m.play, AnyMark::Foot(m.part)));
        }
        if let Some(m) = self.store.find::<OfPlay<HipMark>>(id).await? {
            return Ok((m.play, AnyMark::Hip(m.part)));
        }
        Err(WorkError::missing("mark", id))
    }
    async fn mark_id(&self, old: Option<MarkId>) -> Result<MarkId, WorkError> {
        match old {
            Some(id) => Ok(id),
            None => Ok(MarkId(self.id("m").await?)),
        }
    }
    async fn check_spot(
        &self,
        play: &PlayId,
        view: View,
        frame: u32,
        pixel: Point2<Pixel>,
    ) -> Result<(), WorkError> {
        let clip = self.clip_of(play, view).await?;
        check_in_clip("the mark", f64::from(frame), &clip)?;
        let film = self.film(clip.film.as_str()).await?;
        check_in_picture(pixel, film.size(), 0.0)
    }
}

/// Refuses an id that cannot name a person.
pub(crate) fn check_person_id(id: &PersonId) -> Result<(), WorkError> {
    let word = id.as_str();
    let plain =
        !word.is_empty() && word.len() <= 40 && word.chars().all(|c| c.is_alphanumeric() || "-_".contains(c));
    if plain {
        return Ok(());
    }
    Err(WorkError::Invalid(format!("\"{word}\" cannot name a person: 1 to 40 letters, digits, - and _ can")))
}

fn put<T: PlayPart + Clone>(play: &PlayId, part: &T) -> Change {
    Change::put(&OfPlay { play: play.clone(), part: part.clone() })
}

/// Refuses a place outside the picture by more than `margin` of its sides.
pub(crate) fn check_in_picture(p: Point2<Pixel>, size: (u32, u32), margin: f64) -> Result<(), WorkError> {
    let (w, h) = (f64::from(size.0), f64::from(size.1));
    let inside = |v: f64, side: f64| (-margin * side..=(1.0 + margin) * side).contains(&v);
    if inside(p.x, w) && inside(p.y, h) {
        return Ok(());
    }
    Err(WorkError::Invalid(format!("({}, {}) px is outside the picture of {w} x {h} px", p.x, p.y)))
}

const fn moment_word(m: MomentKind) -> &'static str {
    match m {
        MomentKind::Snap => "the snap",
        MomentKind::Set => "the set",
        MomentKind::Release => "the release",
        MomentKind::Arrival => "the arrival",
        MomentKind::FirstContact => "the first contact",
    }
}
