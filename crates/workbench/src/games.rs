//! The study's own facts and its games.

use crate::{WorkError, Workbench};
use field::RuleBook;
use play::{Air, Clip, Game, GameId, Play, Study, Team};
use serde::{Deserialize, Serialize};
use store::{Change, Kind};

/// The study at a glance.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct StudyOverview {
    /// The study.
    pub study: Study,
    /// Its games.
    pub games: Vec<Game>,
    /// How much there is.
    pub counts: Counts,
    /// Changes with every edit, undo and redo.
    pub revision: i64,
}

/// How much a study holds.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Counts {
    /// Films.
    pub films: u32,
    /// Clips.
    pub clips: u32,
    /// Plays.
    pub plays: u32,
    /// Plays with a result charted.
    pub charted: u32,
    /// Statements of the verdict.
    pub claims: u32,
}

/// Facts of a new or changed game.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct GameEdit {
    /// Title.
    pub name: String,
    /// Markings.
    pub rule_book: RuleBook,
    /// The passer's team.
    pub offense: Team,
    /// The other.
    pub defense: Team,
    /// Air; the standard atmosphere when left out.
    #[serde(default)]
    pub air: Air,
    /// Rise of the field's middle, yd.
    #[serde(default)]
    pub crown: Option<f64>,
}

impl Workbench {
    /// The study at a glance.
    ///
    /// # Errors
    /// `Store`.
    pub async fn study(&self) -> Result<StudyOverview, WorkError> {
        let charts: Vec<store::OfPlay<play::Chart>> = self.store.list().await?;
        let counts = Counts {
            films: self.store.film_ids().await?.len() as u32,
            clips: self.store.list::<Clip>().await?.len() as u32,
            plays: self.store.list::<Play>().await?.len() as u32,
            charted: charts.iter().filter(|c| c.part.result.is_some()).count() as u32,
            claims: self.store.list::<play::Claim>().await?.len() as u32,
        };
        Ok(StudyOverview {
            study: self.store.get("study").await?,
            games: self.store.list().await?,
            counts,
            revision: self.store.revision().await?,
        })
    }
    /// Changes the study's facts.
    ///
    /// # Errors
    /// `Invalid` for an empty name.
    pub async fn edit_study(&self, study: Study) -> Result<Study, WorkError> {
        let _guard = self.editing.lock().await;
        named("the study", &study.name)?;
        self.change_merging("change the study's facts", None, Some("study"), &[Change::put(&study)]).await?;
        Ok(study)
    }
    /// Makes a game.
    ///
    /// # Errors
    /// `Invalid` for an empty name or air that no game was played in.
    pub async fn add_game(&self, edit: GameEdit) -> Result<Game, WorkError> {
        let _guard = self.editing.lock().await;
        let game = edit.checked(GameId(self.id("g").await?))?;
        self.change("add a game", None, &[Change::put(&game)]).await?;
        Ok(game)
    }
    /// Changes a game.
    ///
    /// # Errors
    /// As [`Workbench::add_game`]; `Store` with `NoRecord`.
    pub async fn edit_game(&self, id: &GameId, edit: GameEdit) -> Result<Game, WorkError> {
        let _guard = self.editing.lock().await;
        self.store.get::<Game>(id.as_str()).await?;
        let game = edit.checked(id.clone())?;
        self.change_merging("change a game", None, Some("game"), &[Change::put(&game)]).await?;
        Ok(game)
    }
    /// Deletes a game that has no plays.
    ///
    /// # Errors
    /// `Invalid` while it has plays.
    pub async fn delete_game(&self, id: &GameId) -> Result<(), WorkError> {
        let _guard = self.editing.lock().await;
        self.store.get::<Game>(id.as_str()).await?;
        let plays = self.store.list_of::<Play>(id.as_str()).await?.len();
        if plays > 0 {
            return Err(WorkError::Invalid(format!("the game has {plays} plays; delete them first")));
        }
        self.change("delete a game", None, &[Change::delete(Kind::Game, id.as_str())]).await
    }
}

/// Refuses a name of nothing or of more than a line.
pub(crate) fn named(what: &str, name: &str) -> Result<(), WorkError> {
    let length = name.trim().chars().count();
    if (1..=200).contains(&length) {
        return Ok(());
    }
    Err(WorkError::Invalid(format!("the name of {what} has {length} characters; it must have 1 to 200")))
}

/// Refuses a number outside its limits; NaN is outside.
pub(crate) fn in_range(what: &str, value: f64, unit: &str, (low, high): (f64, f64)) -> Result<(), WorkError> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(WorkError::Invalid(format!("{what} is {value} {unit}; it must be from {low} to {high} {unit}")))
}

impl GameEdit {
    fn checked(self, id: GameId) -> Result<Game, WorkError> {
        named("the game", &self.name)?;
        // No field lies outside these; they keep a slip of the finger out of the flight model.
        in_range("the field's height above the sea", self.air.altitude_m, "m", (-450.0, 5000.0))?;
        in_range("the temperature", self.air.temperature_c, "°C", (-50.0, 55.0))?;
        for w in self.air.wind.into_iter().flatten() {
            in_range("the wind", w, "yd/s", (-60.0, 60.0))?;
        }
        if let Some(crown) = self.crown {
            in_range("the rise of the field's middle", crown, "yd", (0.0, 1.0))?;
        }
        Ok(Game {
            id,
            name: self.name.trim().to_owned(),
            rule_book: self.rule_book,
            offense: self.offense,
            defense: self.defense,
            air: self.air,
            crown: self.crown,
        })
    }
}
