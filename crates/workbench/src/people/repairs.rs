use crate::marks::check_in_picture;
use crate::{FoundPeople, WorkError, Workbench};
use play::{MarkId, Person, PersonId, Play, PlayId, Repair, TrackId, TrackRepair};
use serde::Deserialize;
use store::{Change, Kind, OfPlay};

/// Which proposals to take over.
#[derive(Clone, Copy, Debug, Default, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(default)]
pub struct TakePeople {
    /// Only those whose side is at least this likely, 0 to 1.
    pub least: f64,
}

impl Workbench {
    /// What was changed in a play's found tracks, in order.
    ///
    /// # Errors
    /// `Store`.
    pub async fn repairs(&self, id: &PlayId) -> Result<Vec<TrackRepair>, WorkError> {
        self.parts(id).await
    }
    /// Changes a play's found tracks. A second drag of the same track in the same frame continues the first.
    ///
    /// # Errors
    /// `Invalid` for a track that is not there, or a place outside clip or picture; `NotReady` before people were found.
    pub async fn repair(&self, id: &PlayId, repair: Repair) -> Result<TrackRepair, WorkError> {
        let found = self.found_people(id).await?;
        let _guard = self.editing.lock().await;
        self.check_repair(id, &found, &repair).await?;
        let old = self.repairs(id).await?;
        // Dragging on is one repair and one step of undo, as long as nothing else came between.
        let same = old.last().filter(|last| match (&last.repair, &repair) {
            (Repair::Move { track, view, frame, .. }, Repair::Move { track: t, view: v, frame: f, .. }) => {
                track == t && view == v && frame == f
            }
            _ => false,
        });
        let (mark, merge) = match same {
            Some(r) => (r.id.clone(), Some(r.id.0.clone())),
            None => {
                let new = MarkId(self.id("r").await?);
                (new.clone(), Some(new.0).filter(|_| matches!(repair, Repair::Move { .. })))
            }
        };
        let word = word(&repair);
        let record = TrackRepair { id: mark, repair };
        let mut changes = vec![put(id, &record)];
        if let Repair::Label { person: Some(person), .. } = &record.repair {
            changes.push(put(id, person));
        }
        self.change_merging(word, Some(id), merge.as_deref(), &changes).await?;
        Ok(record)
    }
    /// Takes a repair back, wherever it stands among the others.
    ///
    /// # Errors
    /// `NotFound`.
    pub async fn delete_repair(&self, id: &MarkId) -> Result<(), WorkError> {
        let _guard = self.editing.lock().await;
        let found: Option<OfPlay<TrackRepair>> = self.store.find(id.as_str()).await?;
        let found = found.ok_or_else(|| WorkError::missing("repair", id.as_str()))?;
        let changes = [Change::delete(Kind::TrackRepair, id.as_str())];
        self.change("take back a repair of the tracks", Some(&found.play), &changes).await
    }
    /// Says of every track whose proposal is likely enough that he is who he probably is, in one edit. Tracks that the
    /// evaluator labelled keep their labels, and people who are in the play keep their facts.
    ///
    /// # Errors
    /// `NotReady` before people were found or when nobody can be proposed.
    pub async fn take_people(&self, id: &PlayId, take: TakePeople) -> Result<FoundPeople, WorkError> {
        let found = self.found_people(id).await?;
        {
            let _guard = self.editing.lock().await;
            let known: Vec<Person> = self.parts(id).await?;
            let held: Vec<&PersonId> =
                found.tracks.iter().filter_map(|t| t.person.as_ref().map(|p| &p.id)).collect();
            let mut chosen: Vec<(&TrackId, &Person)> = Vec::new();
            for t in &found.tracks {
                let Some(p) = &t.proposal else { continue };
                if t.labelled || p.side < take.least || held.contains(&&p.person.id) {
                    continue;
                }
                chosen.push((&t.id, &p.person));
            }
            if chosen.is_empty() {
                return Err(WorkError::NotReady(
                    "nobody can be proposed: mark the snap, and find people in a clip that shows both teams there".into(),
                ));
            }
            let ids = self.ids("r", chosen.len()).await?;
            let mut changes = Vec::new();
            for ((track, person), mark) in chosen.into_iter().zip(ids) {
                let person = known.iter().find(|k| k.id == person.id).unwrap_or(person);
                changes.push(put(id, person));
                let repair = Repair::Label { track: track.clone(), person: Some(person.clone()) };
                changes.push(put(id, &TrackRepair { id: MarkId(mark), repair }));
            }
            self.change("take over the people found", Some(id), &changes).await?;
        }
        self.found_people(id).await
    }
    async fn check_repair(&self, id: &PlayId, found: &FoundPeople, repair: &Repair) -> Result<(), WorkError> {
        self.store.get::<Play>(id.as_str()).await?;
        let there = |t: &TrackId| {
            if found.tracks.iter().any(|f| f.id == *t) {
                return Ok(());
            }
            Err(WorkError::Invalid(format!(
                "there is no track {t} among the {} of the play",
                found.tracks.len()
            )))
        };
        let instant = |t: f64| {
            let (a, b) = found
                .tracks
                .iter()
                .fold((f64::INFINITY, f64::NEG_INFINITY), |s, t| (s.0.min(t.from_s), s.1.max(t.to_s)));
            if (a..=b).contains(&t) {
                return Ok(());
            }
            Err(WorkError::Invalid(format!("{t} s is outside what was followed, {a:.2} to {b:.2} s")))
        };
        match repair {
            Repair::Move { track, view, frame, pixel } => {
                there(track)?;
                let clip = self.clip_of(id, *view).await?;
                crate::clips::check_in_clip("the place", f64::from(*frame), &clip)?;
                check_in_picture(*pixel, self.film(clip.film.as_str()).await?.size(), 0.0)?;
                if self.cameras_of(&clip).await?.get(*frame).is_none() {
                    return Err(WorkError::NotReady(format!("frame {frame} is not lined up with the field")));
                }
            }
            Repair::Swap { track, other, from_s } => {
                there(track)?;
                there(other)?;
                instant(*from_s)?;
            }
            Repair::Merge { track, other } => {
                there(track)?;
                there(other)?;
            }
            Repair::Split { track, from_s } => {
                there(track)?;
                instant(*from_s)?;
            }
            Repair::Delete { track } => there(track)?,
            Repair::Label { track, person } => {
                there(track)?;
                if let Some(p) = person {
                    crate::marks::check_person_id(&p.id)?;
                }
            }
        }
        if let Repair::Swap { track, other, .. } | Repair::Merge { track, other } = repair
            && track == other
        {
            return Err(WorkError::Invalid(format!("{track} is named twice: two tracks are needed")));
        }
        Ok(())
    }
}

fn put<T: store::PlayPart + Clone>(play: &PlayId, part: &T) -> Change {
    Change::put(&OfPlay { play: play.clone(), part: part.clone() })
}

fn word(repair: &Repair) -> &'static str {
    match repair {
        Repair::Move { .. } => "move somebody's path",
        Repair::Swap { .. } => "swap two tracks",
        Repair::Merge { .. } => "merge two tracks",
        Repair::Split { .. } => "split a track",
        Repair::Delete { .. } => "delete a track",
        Repair::Label { .. } => "say who a track is",
    }
}
