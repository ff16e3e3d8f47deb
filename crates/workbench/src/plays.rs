//! Plays: made, listed, shown whole, edited.

use crate::games::in_range;
use crate::{WorkError, Workbench, views};
use play::{
    BallMark, Chart, Clip, ClipId, Finding, FootMark, Game, GameId, HipMark, MomentMark, OwnCall, Person,
    PersonId, PersonMark, Play, PlayId, Role, Situation, Tracked, Unit, View,
};
use serde::{Deserialize, Serialize};
use std::collections::{HashMap, HashSet};
use store::{Change, Kind, OfPlay, PlayPart, Record};

/// Something for each view.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub struct ByView<T> {
    /// From the sideline.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sideline: Option<T>,
    /// From behind the end zone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub end_zone: Option<T>,
}

impl<T> Default for ByView<T> {
    fn default() -> Self {
        Self { sideline: None, end_zone: None }
    }
}

impl<T> ByView<T> {
    /// Sets a view's value.
    pub fn set(&mut self, view: View, value: T) {
        match view {
            View::Sideline => self.sideline = Some(value),
            View::EndZone => self.end_zone = Some(value),
        }
    }
}

/// A play in the list.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct PlaySummary {
    /// Unique in the study.
    pub id: PlayId,
    /// Order within the game, from 1.
    pub number: u32,
    /// Its game.
    pub game: GameId,
    /// Situation.
    pub situation: Situation,
    /// Its clips.
    pub clips: ByView<ClipId>,
    /// Whether a result is charted.
    pub charted: bool,
    /// Share of each view's frames whose camera can be trusted, 0 to 1.
    pub lined_up: ByView<f64>,
    /// Whether the release is marked, or the contact that kept the ball in his hands, or a table gave the play.
    pub measured: bool,
    /// Whether a table of positions gave the play.
    pub tracked: bool,
    /// Whether the evaluator made a call.
    pub judged: bool,
}

/// Everything the evaluator made of one play.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct PlayDetail {
    /// The play.
    pub play: Play,
    /// Its clips.
    pub clips: Vec<Clip>,
    /// Its chart.
    pub chart: Chart,
    /// Who is in it.
    pub people: Vec<Person>,
    /// Its marks.
    pub marks: Marks,
    /// The evaluator's calls.
    pub calls: Vec<OwnCall>,
}

/// The marks of a play.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Marks {
    /// Moments.
    pub moments: Vec<MomentMark>,
    /// People.
    pub people: Vec<PersonMark>,
    /// Ball.
    pub ball: Vec<BallMark>,
    /// Feet.
    pub feet: Vec<FootMark>,
    /// Hips.
    pub hips: Vec<HipMark>,
}

/// A new play.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct NewPlay {
    /// Its game.
    pub game: GameId,
    /// What is known of it.
    #[serde(default)]
    pub situation: Situation,
}

/// What pairing made.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Paired {
    /// The game's plays.
    pub plays: Vec<PlaySummary>,
    /// What should be checked.
    pub findings: Vec<Finding>,
}

impl Workbench {
    /// All plays by game and number.
    ///
    /// # Errors
    /// `Store`.
    pub async fn plays(&self) -> Result<Vec<PlaySummary>, WorkError> {
        let mut plays: Vec<Play> = self.store.list().await?;
        plays.sort_by(|a, b| (a.game.0.len(), &a.game, a.number).cmp(&(b.game.0.len(), &b.game, b.number)));
        let mut clips: HashMap<PlayId, Vec<Clip>> = HashMap::new();
        for clip in self.store.list::<Clip>().await? {
            if let Some(play) = clip.play.clone() {
                clips.entry(play).or_default().push(clip);
            }
        }
        let charts: Vec<OfPlay<Chart>> = self.store.list().await?;
        let moments: Vec<OfPlay<MomentMark>> = self.store.list().await?;
        let tracked: HashSet<String> = self.store.owners::<OfPlay<Tracked>>().await?.into_iter().collect();
        let calls: Vec<OfPlay<OwnCall>> = self.store.list().await?;
        let mut out = Vec::new();
        for p in plays {
            let (mut by_view, mut lined_up) = (ByView::default(), ByView::default());
            for clip in clips.get(&p.id).into_iter().flatten() {
                let Some(view) = clip.view else { continue };
                by_view.set(view, clip.id.clone());
                if let Some(share) = self.lined_up(clip).await? {
                    lined_up.set(view, share);
                }
            }
            out.push(PlaySummary {
                charted: charts.iter().any(|c| c.play == p.id && c.part.result.is_some()),
                measured: tracked.contains(p.id.as_str())
                    || moments.iter().any(|m| m.play == p.id && ends(&m.part)),
                tracked: tracked.contains(p.id.as_str()),
                judged: calls.iter().any(|c| c.play == p.id),
                id: p.id,
                number: p.number,
                game: p.game,
                situation: p.situation,
                clips: by_view,
                lined_up,
            });
        }
        Ok(out)
    }
    /// Everything the evaluator made of one play.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn play(&self, id: &PlayId) -> Result<PlayDetail, WorkError> {
        Ok(PlayDetail {
            play: self.store.get(id.as_str()).await?,
            clips: self.clips_of(id).await?,
            chart: self.chart_of(id).await?,
            people: self.parts(id).await?,
            marks: Marks {
                moments: self.parts(id).await?,
                people: self.parts(id).await?,
                ball: self.parts(id).await?,
                feet: self.parts(id).await?,
                hips: self.parts(id).await?,
            },
            calls: self.parts(id).await?,
        })
    }
    /// A kind of part of a play.
    pub(crate) async fn parts<T: PlayPart>(&self, play: &PlayId) -> Result<Vec<T>, WorkError> {
        let all: Vec<OfPlay<T>> = self.store.list_of(play.as_str()).await?;
        Ok(all.into_iter().map(|p| p.part).collect())
    }
    pub(crate) async fn chart_of(&self, play: &PlayId) -> Result<Chart, WorkError> {
        let found: Option<OfPlay<Chart>> = self.store.find(play.as_str()).await?;
        Ok(found.map(|c| c.part).unwrap_or_default())
    }
    /// The game of a play.
    pub(crate) async fn game_of(&self, play: &Play) -> Result<Game, WorkError> {
        Ok(self.store.get(play.game.as_str()).await?)
    }
    /// Makes a play at the end of its game.
    ///
    /// # Errors
    /// `Invalid` for a situation that cannot be; `Store` with `NoRecord` for no such game.
    pub async fn add_play(&self, new: NewPlay) -> Result<Play, WorkError> {
        let _guard = self.editing.lock().await;
        self.store.get::<Game>(new.game.as_str()).await?;
        check_situation(&new.situation)?;
        let last = self.store.list_of::<Play>(new.game.as_str()).await?.iter().map(|p| p.number).max();
        let id = PlayId(self.id("p").await?);
        let play = Play { id, game: new.game, number: last.unwrap_or(0) + 1, situation: new.situation };
        let mut changes = vec![Change::put(&play)];
        changes.push(Change::put(&OfPlay { play: play.id.clone(), part: passer() }));
        self.change("add a play", Some(&play.id), &changes).await?;
        Ok(play)
    }
    /// Deletes a play with its chart, people, marks and calls. Its clips stay.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn delete_play(&self, id: &PlayId) -> Result<(), WorkError> {
        let _guard = self.editing.lock().await;
        self.store.get::<Play>(id.as_str()).await?;
        let mut changes = Vec::new();
        for clip in self.clips_of(id).await? {
            changes.push(Change::put(&Clip { play: None, ..clip }));
        }
        changes.push(Change::delete(Kind::Chart, id.as_str()));
        self.deletions::<Person>(id, &mut changes).await?;
        self.deletions::<MomentMark>(id, &mut changes).await?;
        self.deletions::<PersonMark>(id, &mut changes).await?;
        self.deletions::<BallMark>(id, &mut changes).await?;
        self.deletions::<FootMark>(id, &mut changes).await?;
        self.deletions::<HipMark>(id, &mut changes).await?;
        self.deletions::<OwnCall>(id, &mut changes).await?;
        self.deletions::<Tracked>(id, &mut changes).await?;
        changes.push(Change::delete(Kind::Play, id.as_str()));
        self.change("delete a play", Some(id), &changes).await
    }
    async fn deletions<T: PlayPart>(&self, play: &PlayId, out: &mut Vec<Change>) -> Result<(), WorkError> {
        let all: Vec<OfPlay<T>> = self.store.list_of(play.as_str()).await?;
        out.extend(all.iter().map(|p| Change::delete(T::KIND, p.id())));
        Ok(())
    }
    /// Changes a play's situation.
    ///
    /// # Errors
    /// `Invalid`, naming the value that cannot be.
    pub async fn edit_situation(&self, id: &PlayId, situation: Situation) -> Result<Play, WorkError> {
        let _guard = self.editing.lock().await;
        check_situation(&situation)?;
        let play = Play { situation, ..self.store.get(id.as_str()).await? };
        self.change_merging("change the situation", Some(id), Some("situation"), &[Change::put(&play)])
            .await?;
        Ok(play)
    }
    /// Ties the clips of a game into plays, making plays where there are none yet. Clips tied already keep their play.
    ///
    /// # Errors
    /// `Store` with `NoRecord`; `NotReady` when the game has no clips.
    pub async fn pair(&self, game: &GameId) -> Result<Paired, WorkError> {
        let guard = self.editing.lock().await;
        self.store.get::<Game>(game.as_str()).await?;
        let all = self.clips().await?;
        let free: Vec<_> =
            all.iter().filter(|c| c.game.as_ref() == Some(game) && c.clip.play.is_none()).collect();
        if free.is_empty() {
            return Err(WorkError::NotReady(
                "the game has no clips left to pair; import its films first".into(),
            ));
        }
        let named: Vec<views::Named<'_>> =
            free.iter().map(|c| views::Named { clip: &c.clip, film: &c.film_name }).collect();
        let (pairs, mut findings) = views::pair(&named);
        let mut plays: Vec<Play> = self.store.list_of(game.as_str()).await?;
        plays.sort_by_key(|p| p.number);
        let busy: HashSet<PlayId> = all.iter().filter_map(|c| c.clip.play.clone()).collect();
        let mut open =
            plays.iter().filter(|p| !busy.contains(&p.id)).cloned().collect::<Vec<_>>().into_iter();
        let waiting = open.len();
        let mut last = plays.last().map_or(0, |p| p.number);
        let new_ids = self.ids("p", pairs.len().saturating_sub(waiting)).await?;
        let mut new_ids = new_ids.into_iter();
        let mut changes = Vec::new();
        for pair in &pairs {
            let play = match open.next() {
                Some(p) => p,
                None => {
                    last += 1;
                    let id = PlayId(new_ids.next().expect("one id per play that is missing"));
                    let play = Play { id, game: game.clone(), number: last, situation: Situation::default() };
                    changes.push(Change::put(&play));
                    changes.push(Change::put(&OfPlay { play: play.id.clone(), part: passer() }));
                    play
                }
            };
            for view in View::ALL {
                if let Some(k) = pair.get(view) {
                    let clip = Clip { play: Some(play.id.clone()), view: Some(view), ..free[k].clip.clone() };
                    changes.push(Change::put(&clip));
                }
            }
        }
        if waiting > 0 && waiting != pairs.len() {
            let said =
                format!("{} clips or pairs for {waiting} plays without film; check the order", pairs.len());
            findings.push(Finding::new(play::Severity::Weak, "counts-differ", said));
        }
        self.change("pair the views", None, &changes).await?;
        drop(guard);
        let plays = self.plays().await?.into_iter().filter(|p| p.game == *game).collect();
        Ok(Paired { plays, findings })
    }
}

/// Whether a mark says when the passer's work ended.
fn ends(m: &MomentMark) -> bool {
    matches!(m.moment, play::MomentKind::Release | play::MomentKind::FirstContact)
}

/// The passer, whom every play has.
pub(crate) fn passer() -> Person {
    Person {
        id: PersonId::PASSER.into(),
        unit: Unit::Offense,
        role: Role::Passer,
        shirt: None,
        name: String::new(),
    }
}

/// Refuses what no scoreboard shows.
pub(crate) fn check_situation(s: &Situation) -> Result<(), WorkError> {
    let check = |what: &str, value: Option<f64>, unit: &str, limits| {
        value.map_or(Ok(()), |v| in_range(what, v, unit, limits))
    };
    check("the quarter", s.quarter.map(f64::from), "", (1.0, 20.0))?;
    check("the clock", s.clock_s, "s", (0.0, 15.0 * 60.0))?;
    check("the down", s.down.map(f64::from), "", (1.0, 4.0))?;
    check("the distance", s.distance_yd, "yd", (0.0, 99.0))?;
    check("the ball's line", s.line_x, "yd from the left goal line", (0.0, 100.0))?;
    check("the margin", s.margin.map(f64::from), "points", (-200.0, 200.0))
}
