//! A game's overview: settles its clips from what is stored, keeps every frame's camera, and says what is doubtful.

use super::ends::Habit;
use super::found::{Found, Reading};
use super::settle::{Item, Settled, settle_view};
use crate::lineup::cameras::field_model;
use crate::lineup::{ClipCameras, Half};
use crate::{WorkError, Workbench};
use field::{Direction, RuleBook};
use geometry::Point3;
use geometry::frame::Field;
use play::{Clip, ClipId, FieldReading, Game, GameId, Play, PlayId, View};
use register::{Belongs, FrameEvidence, GameSettings, KnownStation, SETTLED, adjust_game, refit};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, HashMap};

/// Kinds of computed things.
pub(crate) const FOUND: &str = "found";
const OVERVIEW: &str = "game-line-up";
/// Changes when the settlement changes, so that what an older program called sound is settled again.
const SETTLING: u32 = 1;

/// Share of the frames that must be held for a clip to be sound.
const ENOUGH: f64 = 0.9;

/// How a clip stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// Lined up, its yard line settled.
    Sound,
    /// Wants a look: see its doubts.
    Doubtful,
    /// No field was found in it.
    NotFound,
    /// Not tried yet.
    Waiting,
}

/// A clip in a game's overview.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ClipStanding {
    /// The clip.
    pub clip: ClipId,
    /// Its play.
    pub play: Option<PlayId>,
    /// The play's number.
    pub play_number: Option<u32>,
    /// Its view.
    pub view: Option<View>,
    /// How it stands.
    pub standing: Standing,
    /// Share of its frames whose camera can be trusted, 0 to 1.
    pub trusted: f64,
    /// Share of its frames in which the chalk was held, settled or not, 0 to 1.
    pub held: f64,
    /// What settled which yard line is which.
    pub settled_by: String,
    /// Probability that the reading is right, 0 to 1; `None` where nothing can be said.
    pub probability: Option<f64>,
    /// What is doubtful, in words.
    pub doubts: Vec<String>,
    /// The evaluator said so.
    pub confirmed: bool,
    /// The camera moved while it filmed: heights cannot be measured.
    pub moves: bool,
    /// Where its camera stands in the field frame (x, y, z), yd, once settled.
    #[cfg_attr(feature = "schema", schema(value_type = Option<[f64; 3]>))]
    pub stand: Option<Point3<Field>>,
    /// A film frame worth a look.
    pub look_at: u32,
}

/// A game's clips by quality.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct GameLineUp {
    /// The doubtful first, then in the order of the film.
    pub clips: Vec<ClipStanding>,
    /// Rise of the field's middle as the chalk shows it; `None` when too little was seen.
    pub crown: Option<ShownCrown>,
    /// Its end-zone film is shot from behind the offense, whichever way that goes; false also where the clips do not tell.
    #[serde(default)]
    pub behind_offense: bool,
}

impl GameLineUp {
    /// Puts the doubtful first.
    pub(in crate::lineup) fn sort(&mut self) {
        self.clips.sort_by_key(|c| (c.standing == Standing::Sound, c.play_number, c.view));
    }
}

/// The field's crown as the chalk of a game shows it.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ShownCrown {
    /// Rise of the middle over the sidelines, in.
    pub inches: f64,
    /// Its standard error, in.
    pub sd_in: f64,
}
impl Workbench {
    /// The clips of a game with what was found in them, in the order of the films.
    async fn items(&self, game: &Game) -> Result<(Vec<Item>, Vec<Clip>), WorkError> {
        let book = game.rule_book;
        let (mut items, mut waiting) = (Vec::new(), Vec::new());
        for clip in self.clips_of_game(&game.id).await? {
            let Some((_, body)) = self.store.computed(FOUND, clip.id.as_str()).await? else {
                waiting.push(clip);
                continue;
            };
            let found: Found = serde_json::from_str(&body)?;
            let said: Option<FieldReading> = self.store.find(clip.id.as_str()).await?;
            let told = said.and_then(|s| {
                let here = found.cameras.get(s.frame)?.camera.ground_from_pixel(s.pixel, 0.0)?;
                Some((Reading::between(here, s.ground, book, 2.4)?, false))
            });
            let clicked = found.clicked.then_some((Reading::default(), true));
            let direction = self.direction_of(&clip).await?;
            items.push(Item { clip, found, direction, told: told.or(clicked) });
        }
        Ok((items, waiting))
    }
    /// A game's clips in the order of the films.
    pub(super) async fn clips_of_game(&self, game: &GameId) -> Result<Vec<Clip>, WorkError> {
        let mut out = Vec::new();
        for c in self.clips().await? {
            // Clips between plays have no field to measure on.
            if c.clip.play.is_some() && self.game_of_clip(&c.clip).await?.id == *game {
                out.push(c.clip);
            }
        }
        Ok(out)
    }
    /// Whether a clip's cameras can be trusted in frames enough.
    pub(crate) async fn holds(&self, clip: &Clip) -> Result<bool, WorkError> {
        Ok(self.lined_up(clip).await?.is_some_and(|share| share >= ENOUGH))
    }
    /// How a game's clips stand; settled again first when the evaluator's word has changed since, by an undo for example.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn game_line_up(&self, game: &GameId) -> Result<GameLineUp, WorkError> {
        self.store.get::<Game>(game.as_str()).await?;
        let key = self.settlement_key(game).await?;
        let settled = match self.store.computed(OVERVIEW, game.as_str()).await? {
            Some((k, body)) if k == key => serde_json::from_str(&body)?,
            _ => self.settle_game(game).await?,
        };
        self.with_views(settled).await
    }
    /// Whether the game's clips were ever settled together.
    pub(crate) async fn was_settled(&self, game: &GameId) -> Result<bool, WorkError> {
        Ok(self.store.computed(OVERVIEW, game.as_str()).await?.is_some())
    }
    async fn settlement_key(&self, game: &GameId) -> Result<String, WorkError> {
        let record: Game = self.store.get(game.as_str()).await?;
        let keys: HashMap<String, String> = self.store.computed_keys(FOUND).await?.into_iter().collect();
        let mut parts = Vec::new();
        for clip in self.clips_of_game(game).await? {
            let said: Option<FieldReading> = self.store.find(clip.id.as_str()).await?;
            let found = keys.get(clip.id.as_str()).cloned();
            parts.push((clip, said, found));
        }
        crate::key_of(&(SETTLING, parts, record.rule_book, record.crown))
    }
    /// Settles all clips of a game from what is stored: stations, readings, every frame's camera.
    pub(crate) async fn settle_game(&self, game: &GameId) -> Result<GameLineUp, WorkError> {
        let key = self.settlement_key(game).await?;
        let game: Game = self.store.get(game.as_str()).await?;
        let (items, waiting) = self.items(&game).await?;
        let field = field_model(&game);
        let book = game.rule_book;
        let (items, settled, cameras, crown, habit) = crate::error::blocking(move || {
            let mut settled: BTreeMap<usize, Settled> = BTreeMap::new();
            let mut habit = Habit::default();
            for view in [Some(View::Sideline), Some(View::EndZone), None] {
                let of: Vec<usize> = (0..items.len()).filter(|&k| items[k].clip.view == view).collect();
                let those: Vec<&Item> = of.iter().map(|&k| &items[k]).collect();
                let (found, shown) = settle_view(&those, &field);
                settled.extend(of.iter().copied().zip(found));
                if view == Some(View::EndZone) {
                    habit = shown;
                }
            }
            let crown = shown_crown(&items, &settled, book);
            let cameras: Vec<ClipCameras> =
                items.iter().zip(settled.values()).map(|(i, s)| read(&i.found, s, book)).collect();
            Ok::<_, WorkError>((items, settled, cameras, crown, habit))
        })
        .await?;
        let mut clips = Vec::new();
        for ((item, s), cameras) in items.iter().zip(settled.values()).zip(cameras) {
            clips.push(self.standing(item, s, &cameras).await?);
            let key = self.camera_key(&item.clip).await?;
            if !cameras.frames.iter().all(Option::is_none) {
                self.put_cameras(&item.clip, key, cameras).await?;
            }
            if let (Some(station), Some(view), true) =
                (&s.station, item.clip.view, s.probability.is_some_and(|p| p >= SETTLED))
            {
                self.put_game_station(&game, view, station.clone()).await?;
            }
        }
        for clip in waiting {
            clips.push(self.waiting(clip).await?);
        }
        let mut out = GameLineUp { clips, crown, behind_offense: habit.is_behind() };
        out.sort();
        self.store.put_computed(OVERVIEW, game.id.as_str(), &key, &serde_json::to_string(&out)?).await?;
        Ok(out)
    }
    async fn direction_of(&self, clip: &Clip) -> Result<Option<Direction>, WorkError> {
        Ok(match &clip.play {
            Some(p) => self.store.find::<Play>(p.as_str()).await?.and_then(|p| p.situation.direction),
            None => None,
        })
    }
    /// Where the camera of a clip stands, as far as the game's other clips have told with certainty.
    pub(super) async fn told_station(
        &self,
        game: &Game,
        clip: &Clip,
    ) -> Result<Option<KnownStation>, WorkError> {
        let told = |view, half| self.station(&game.id, view, half, None);
        match clip.view {
            None => Ok(None),
            Some(view @ View::Sideline) => told(view, Half::Lower).await,
            Some(view) => {
                let settled = self.store.computed(OVERVIEW, game.id.as_str()).await?;
                let settled: Option<GameLineUp> =
                    settled.map(|(_, body)| serde_json::from_str(&body)).transpose()?;
                let habit = Habit::known(settled.is_some_and(|s| s.behind_offense));
                match habit.high_end(self.direction_of(clip).await?) {
                    Some(high) => told(view, if high { Half::Upper } else { Half::Lower }).await,
                    // With nothing to tell the end by, the field would be read turned round without a sign of it.
                    None => Ok(None),
                }
            }
        }
    }
    async fn number(&self, play: Option<&PlayId>) -> Result<Option<u32>, WorkError> {
        Ok(match play {
            Some(p) => self.store.find::<Play>(p.as_str()).await?.map(|p| p.number),
            None => None,
        })
    }
    async fn waiting(&self, clip: Clip) -> Result<ClipStanding, WorkError> {
        let share = self.lined_up(&clip).await?;
        Ok(ClipStanding {
            play_number: self.number(clip.play.as_ref()).await?,
            standing: Standing::Waiting,
            trusted: share.unwrap_or(0.0),
            held: share.unwrap_or(0.0),
            settled_by: String::new(),
            probability: None,
            doubts: Vec::new(),
            confirmed: false,
            moves: false,
            stand: None,
            look_at: clip.first,
            view: clip.view,
            play: clip.play,
            clip: clip.id,
        })
    }
    async fn standing(
        &self,
        item: &Item,
        s: &Settled,
        cameras: &ClipCameras,
    ) -> Result<ClipStanding, WorkError> {
        let n = cameras.frames.len().max(1) as f64;
        let held =
            item.found.cameras.frames.iter().flatten().filter(|c| c.quality.trusted).count() as f64 / n;
        let trusted = cameras.frames.iter().flatten().filter(|c| c.quality.trusted).count() as f64 / n;
        let nothing = cameras.frames.iter().all(Option::is_none);
        let mut doubts: Vec<String> = item.found.findings.iter().map(|f| f.message.clone()).collect();
        if !nothing {
            doubts.extend(doubts_of(item, s, held));
        }
        let standing = match (nothing, doubts.is_empty()) {
            (true, _) => Standing::NotFound,
            (false, true) => Standing::Sound,
            (false, false) => Standing::Doubtful,
        };
        let agrees = match s.others {
            0 => String::new(),
            1 => "agrees with one other clip".to_owned(),
            n => format!("agrees with {n} other clips"),
        };
        let settled_by = [s.by.as_str(), &agrees].into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>();
        Ok(ClipStanding {
            clip: item.clip.id.clone(),
            play: item.clip.play.clone(),
            play_number: self.number(item.clip.play.as_ref()).await?,
            view: item.clip.view,
            standing,
            trusted,
            held,
            settled_by: settled_by.join("; "),
            probability: s.probability.filter(|_| !nothing),
            doubts,
            confirmed: item.told.is_some(),
            moves: item.found.moves,
            stand: s.station.as_ref().map(|k| k.station.centre),
            look_at: look_at(&item.clip, cameras),
        })
    }
}

/// A clip's cameras as read and with the game's station; none is trusted while the yard line is open.
fn read(found: &Found, s: &Settled, book: RuleBook) -> ClipCameras {
    let sure = s.probability.is_some_and(|p| p >= SETTLED);
    let mut out = found.cameras.clone();
    for c in out.frames.iter_mut().flatten() {
        let mut e = s.reading.camera(c, book);
        if let Some(station) = &s.station {
            e = refit(&e, station);
        }
        e.quality.trusted &= sure;
        *c = e;
    }
    out
}

fn doubts_of(item: &Item, s: &Settled, held: f64) -> Vec<String> {
    let mut out = Vec::new();
    match s.probability {
        Some(p) if p >= SETTLED => {}
        Some(p) => out.push(format!("which yard line is which is open: as shown {:.0}% likely", 100.0 * p)),
        None => out.push("nothing told which yard line is which".to_owned()),
    }
    match s.belongs {
        Belongs::Apart(yd) if yd.is_finite() => out.push(format!(
            "its camera does not stand where the other clips' does: the ground would be {yd:.1} yd off"
        )),
        Belongs::Apart(_) => out.push("its camera does not stand where the other clips' does".to_owned()),
        Belongs::Moves => out.push("the camera moved while it filmed; no heights can be measured".to_owned()),
        Belongs::Open if item.told.is_none() => {
            out.push("the game's other clips would allow other names of its yard lines".to_owned());
        }
        _ => {}
    }
    if item.told.is_none() {
        let against =
            item.found.votes.iter().filter(|v| v.readings.iter().any(|r| r.0 != s.reading && r.1 > 0.9));
        if let Some(v) = against.into_iter().next() {
            out.push(format!("frame {} by itself reads the yard lines otherwise", v.frame));
        }
    }
    if held < ENOUGH {
        out.push(format!("the field is held in {:.0}% of the frames", 100.0 * held));
    }
    out
}

/// The frame that tells most: in the middle of the longest stretch that is not trusted, or of the clip.
fn look_at(clip: &Clip, cameras: &ClipCameras) -> u32 {
    let (mut best, mut run) = ((0, clip.first + (clip.end - clip.first) / 2), 0);
    let held = cameras.frames.iter().filter(|c| c.as_ref().is_some_and(|c| c.quality.trusted)).count();
    if held * 10 < cameras.frames.len() {
        return best.1;
    }
    for (k, c) in cameras.frames.iter().enumerate() {
        run = if c.as_ref().is_some_and(|c| c.quality.trusted) { 0 } else { run + 1 };
        if run > best.0 {
            best = (run, clip.first + (k - run / 2) as u32);
        }
    }
    best.1
}

/// The crown that the sideline clips show together, in.
fn shown_crown(items: &[Item], settled: &BTreeMap<usize, Settled>, book: RuleBook) -> Option<ShownCrown> {
    const INCHES: f64 = 36.0;
    let mut frames: Vec<FrameEvidence> = Vec::new();
    for (k, item) in items.iter().enumerate() {
        if item.clip.view == Some(View::Sideline) && settled.get(&k)?.station.is_some() {
            let read =
                item.found.evidence.iter().step_by(3).map(|e| settled[&k].reading.evidence(&e.1, book));
            frames.extend(read);
        }
    }
    let every = frames.len().div_ceil(80).max(1);
    let frames: Vec<_> = frames.into_iter().step_by(every).collect();
    let a = adjust_game(&frames, &GameSettings::unknown_crown(book))?;
    (frames.len() >= 6).then_some(ShownCrown { inches: a.crown.0 * INCHES, sd_in: a.crown.1 * INCHES })
}
