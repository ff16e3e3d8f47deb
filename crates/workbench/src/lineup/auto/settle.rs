//! All clips of a game together: one camera a view, one reading of the yard lines, and what is doubtful.

use super::ends::{Habit, behind};
use super::found::{Found, Reading};
use crate::lineup::cameras::field_model;
use crate::lineup::{ClipCameras, Half};
use crate::{WorkError, Workbench};
use field::{Direction, RuleBook};
use geometry::Point3;
use geometry::frame::Field;
use play::{Clip, ClipId, FieldReading, Game, GameId, Play, PlayId, View};
use register::{
    Belongs, FieldModel, FrameEvidence, GameSettings, KnownStation, SETTLED, adjust_game, agree, refit,
};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Kinds of computed things.
pub(crate) const FOUND: &str = "found";
const OVERVIEW: &str = "game-line-up";

/// Share of the frames that must be held for a clip to be sound.
const ENOUGH: f64 = 0.9;
/// Log probability of a reading that the evaluator's own word or clicks exclude.
const EXCLUDED: f64 = -60.0;
/// Log odds at which a clip's own pictures tell from which end it was taken, whatever the others say.
const PLAIN_END: f64 = 4.0;
/// Most that is believed of a clip's reading where the game's camera would allow others: what the clip itself says leaned on that camera's
/// place.
const OPEN: f64 = 0.9;

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

/// One clip as it enters the settlement.
pub(super) struct Item {
    pub clip: Clip,
    pub found: Found,
    /// Which way the offense goes, where it is charted.
    pub direction: Option<Direction>,
    /// The reading that the evaluator gave or that follows from his clicks, and whether by clicks.
    pub told: Option<(Reading, bool)>,
}

/// What a clip came to.
#[derive(Clone, Debug)]
pub(super) struct Settled {
    pub reading: Reading,
    pub belongs: Belongs,
    pub station: Option<KnownStation>,
    pub probability: Option<f64>,
    pub by: String,
    pub others: usize,
}

fn inverse(r: Reading) -> Reading {
    if r.turned { r } else { Reading { yards: -r.yards, turned: false } }
}

/// Log probability of a reading of a clip.
fn log(item: &Item, r: Reading) -> f64 {
    match item.told {
        Some((told, _)) => {
            if told == r {
                0.0
            } else {
                EXCLUDED
            }
        }
        None => item.found.votes.iter().map(|v| v.log(r)).sum(),
    }
}

/// The likeliest of the readings that any clip of a group names, once each clip is read as it agrees with the others, with its
/// probability.
fn group_reading(
    items: &[&Item],
    relative: &[Reading],
    ends: impl Fn(&Item, Reading) -> f64,
) -> (Reading, Option<f64>) {
    let turned = Reading { yards: 0, turned: true };
    let mut named: BTreeSet<Reading> = BTreeSet::from([Reading::default()]);
    for (item, &r) in items.iter().zip(relative) {
        let votes = item.found.votes.iter().flat_map(|v| v.readings.iter().map(|r| r.0));
        named.extend(votes.chain(item.told.map(|t| t.0)).map(|v| inverse(r).then(v)));
    }
    if items.iter().any(|i| ends(i, Reading::default()) != ends(i, turned)) {
        named.extend(named.clone().into_iter().map(|g| g.then(turned)));
    }
    let scores: Vec<(Reading, f64)> = named
        .into_iter()
        .map(|g| (g, items.iter().zip(relative).map(|(i, r)| log(i, r.then(g)) + ends(i, r.then(g))).sum()))
        .collect();
    let Some(&best) = scores.iter().max_by(|a, b| a.1.total_cmp(&b.1)) else { return Default::default() };
    let total: f64 = scores.iter().map(|s| (s.1 - best.1).exp()).sum();
    let heard = items.iter().any(|i| i.told.is_some() || !i.found.votes.is_empty());
    (best.0, heard.then_some(1.0 / total))
}

/// Whether the clips that are sure by themselves, before any other told where the camera stands, are filmed from behind the offense.
pub(super) fn habit(items: &[&Item], book: RuleBook) -> Habit {
    Habit::of(items.iter().filter(|i| !i.found.placed).filter_map(|i| {
        let (reading, p) = group_reading(&[i], &[Reading::default()], |_, _| 0.0);
        behind(i, reading, book).filter(|_| p.is_some_and(|p| p >= SETTLED))
    }))
}

/// The same from clips that are sure once they are settled together. One that the others turned against its own picture tells nothing.
fn habit_together(items: &[&Item], settled: &[Settled], book: RuleBook) -> Habit {
    Habit::of(items.iter().zip(settled).filter_map(|(i, s)| {
        let own = !i.found.placed && s.probability.is_some_and(|p| p >= SETTLED);
        behind(i, s.reading, book).filter(|_| own && turned_by(i, s.reading) < 0.0)
    }))
}

/// Settles the clips of one view, and says what they show of where the camera stands.
pub(super) fn settle_view(items: &[&Item], field: &FieldModel) -> (Vec<Settled>, Habit) {
    let book = field.rule_book;
    let alone = habit(items, book);
    let settled = settle_by(items, field, alone);
    if alone != Habit::default() {
        return (settled, alone);
    }
    // Clips that leave their end open can still be sure of it together.
    match habit_together(items, &settled, book) {
        together if together == alone => (settled, alone),
        together => (settle_by(items, field, together), together),
    }
}

fn settle_by(items: &[&Item], field: &FieldModel, habit: Habit) -> Vec<Settled> {
    let book = field.rule_book;
    let settings = GameSettings::known_crown(book, field.crown);
    let ends = |i: &Item, r: Reading| habit.log(i, r, book);
    let mut out: Vec<Option<Settled>> = vec![None; items.len()];
    let mut left: Vec<usize> =
        (0..items.len()).filter(|&k| !items[k].found.moves && items[k].found.evidence.len() >= 2).collect();
    // A game may have a camera behind either end: who does not agree with the first may agree among themselves.
    for _ in 0..2 {
        if left.len() < 2 {
            break;
        }
        let evidence: Vec<Vec<FrameEvidence>> =
            left.iter().map(|&k| items[k].found.evidence.iter().map(|e| e.1.clone()).collect()).collect();
        let Some(game) = agree(&evidence, &settings) else { break };
        let relative = |b: Belongs| match b {
            Belongs::Agrees => Some(Reading::default()),
            Belongs::Shifted(yards) => Some(Reading { yards, turned: false }),
            Belongs::Turned => Some(Reading { yards: 0, turned: true }),
            _ => None,
        };
        let members: Vec<(usize, Reading)> =
            left.iter().zip(&game.clips).filter_map(|(&k, &b)| Some((k, relative(b)?))).collect();
        if members.len() < 2 {
            break;
        }
        let (members, common, probability) = sharing(members, items, &habit, book);
        let station = moved(&game.adjustment.station, common, book);
        for &(k, r) in &members {
            let reading = r.then(common);
            let by = match items[k].told {
                Some((_, true)) => "your clicks".to_owned(),
                Some((_, false)) => "your word".to_owned(),
                None => grounds(items[k], reading),
            };
            let told = items[k].told.is_some_and(|t| t.0 == reading);
            out[k] = Some(Settled {
                reading,
                belongs: Belongs::Agrees,
                station: Some(station.clone()),
                probability: if told { Some(1.0) } else { probability },
                by,
                others: members.len() - 1,
            });
        }
        for (&k, &b) in left.iter().zip(&game.clips) {
            if out[k].is_none() {
                // One clip against all others in which end it was taken from may err, unless the offense's way speaks for it.
                let spoken_for = habit.broken(items[k], Reading { yards: 0, turned: true }, book);
                let b = if b == Belongs::Turned && !spoken_for { Belongs::Open } else { b };
                out[k] = Some(alone(items[k], b, ends));
            }
        }
        left.retain(|&k| out[k].as_ref().is_some_and(|s| s.station.is_none()));
    }
    out.into_iter()
        .enumerate()
        .map(|(k, s)| s.unwrap_or_else(|| alone(items[k], Belongs::Unknown, ends)))
        .collect()
}

/// Of clips that agree once each is read as its number says, those that can share one reading, that reading and its probability.
fn sharing(
    mut members: Vec<(usize, Reading)>,
    items: &[&Item],
    habit: &Habit,
    book: RuleBook,
) -> (Vec<(usize, Reading)>, Reading, Option<f64>) {
    let together = |members: &[(usize, Reading)]| {
        let those: Vec<&Item> = members.iter().map(|m| items[m.0]).collect();
        let readings: Vec<Reading> = members.iter().map(|m| m.1).collect();
        group_reading(&those, &readings, |i, r| habit.log(i, r, book))
    };
    let (mut common, mut probability) = together(&members);
    // Cameras behind both ends look like one that was turned round: who would stand before the offense belongs to the other, and so does
    // whose own pictures say plainly from which end they were taken. And however many clips say otherwise, what the evaluator said of one
    // is not overturned.
    loop {
        let stays = |m: &(usize, Reading)| {
            let (item, reading) = (items[m.0], m.1.then(common));
            match item.told {
                Some((told, _)) => told == reading,
                None => !habit.broken(item, reading, book) && !turned_against(item, reading),
            }
        };
        if members.iter().all(stays) || !members.iter().any(stays) {
            break;
        }
        members.retain(stays);
        (common, probability) = together(&members);
    }
    members.retain(|m| items[m.0].told.is_none_or(|t| t.0 == m.1.then(common)));
    (members, common, probability)
}

/// Whether a clip's own pictures say plainly that it was taken from the other end than a reading has it.
fn turned_against(item: &Item, reading: Reading) -> bool {
    turned_by(item, reading) > PLAIN_END
}

/// Log odds in a clip's own pictures that it was taken from the other end than a reading has it.
fn turned_by(item: &Item, reading: Reading) -> f64 {
    let own = item.found.votes.iter().flat_map(|v| v.readings.iter().map(|r| r.0));
    let likeliest = |turned: bool| {
        own.clone().filter(|r| r.turned == turned).map(|r| log(item, r)).fold(f64::NEG_INFINITY, f64::max)
    };
    likeliest(!reading.turned) - log(item, reading).max(likeliest(reading.turned))
}

/// A clip that stands by itself.
fn alone(item: &Item, belongs: Belongs, ends: impl Fn(&Item, Reading) -> f64) -> Settled {
    let belongs = if item.found.moves { Belongs::Moves } else { belongs };
    let (reading, mut probability) = group_reading(&[item], &[Reading::default()], ends);
    if belongs == Belongs::Open && item.told.is_none() {
        probability = probability.map(|p| p.min(OPEN));
    }
    let by = match item.told {
        Some((_, true)) => "your clicks".to_owned(),
        Some((_, false)) => "your word".to_owned(),
        None => grounds(item, reading),
    };
    Settled { reading, belongs, station: None, probability, by, others: 0 }
}

/// What told the reading in the clip itself.
fn grounds(item: &Item, reading: Reading) -> String {
    let vote = item.found.votes.iter().find(|v| {
        let best = v.readings.iter().max_by(|a, b| a.1.total_cmp(&b.1));
        best.is_some_and(|b| b.0 == reading) && v.grounds.is_some()
    });
    vote.and_then(|v| v.grounds.clone()).unwrap_or_default()
}

/// A station by another reading.
fn moved(k: &KnownStation, r: Reading, book: RuleBook) -> KnownStation {
    let mut out = k.clone();
    let c = k.station.centre;
    if r.turned {
        out.station.centre = Point3::new(book.length() - c.x, book.width() - c.y, c.z);
        for (i, v) in out.covariance.iter_mut().enumerate() {
            let flips = usize::from(i / 4 < 2) + usize::from(i % 4 < 2);
            if flips == 1 {
                *v = -*v;
            }
        }
    }
    out.station.centre.x += f64::from(r.yards);
    out
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
        crate::key_of(&(parts, record.rule_book, record.crown))
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

#[cfg(test)]
mod tests {
    use super::super::found::Vote;
    use super::*;
    use camera::Station;

    fn item(readings: &[(i16, f64)], told: Option<i16>) -> Item {
        let clip = Clip {
            id: "c".into(),
            film: "f".into(),
            first: 0,
            end: 10,
            view: Some(View::Sideline),
            play: None,
            snap_frame: None,
        };
        let vote = Vote {
            frame: 0,
            readings: readings.iter().map(|&(yards, p)| (Reading { yards, turned: false }, p)).collect(),
            grounds: None,
        };
        let found = Found {
            cameras: ClipCameras::of(&clip),
            evidence: Vec::new(),
            votes: if readings.is_empty() { Vec::new() } else { vec![vote] },
            moves: false,
            clicked: false,
            placed: false,
            findings: Vec::new(),
        };
        let told = told.map(|yards| (Reading { yards, turned: false }, false));
        Item { clip, found, direction: None, told }
    }

    fn pinhole(x: f64) -> camera::CameraEstimate {
        let station = Station { centre: Point3::new(x, 26.0, 14.0), k1: 0.0, width: 1280, height: 720 };
        let aim = camera::Aim { pan: 0.0, tilt: 0.1, roll: 0.0, focal: 2000.0 };
        camera::CameraEstimate {
            camera: camera::FieldCamera::Pinhole(camera::Pinhole { station, aim }),
            covariance: vec![0.0; 64],
            quality: camera::FrameQuality { rms_px: 0.3, evidence: 90, coverage: 0.8, trusted: true },
        }
    }

    /// The camera stood behind the offense whenever that was plain; an open clip is read so, too.
    #[test]
    fn the_end_follows_the_offense_where_the_game_shows_that_habit() {
        let turned = Reading { yards: 0, turned: true };
        let clip = |x: f64, direction: Direction, votes: &[(Reading, f64)]| {
            let mut i = item(&[(0, 0.5)], None);
            i.clip.view = Some(View::EndZone);
            i.direction = Some(direction);
            i.found.cameras.frames[0] = Some(pinhole(x));
            i.found.votes[0].readings = votes.to_vec();
            i
        };
        let sure = [(Reading::default(), 0.999)];
        let open = [(Reading::default(), 0.5), (turned, 0.5)];
        let (a, b) = (clip(-30.0, Direction::Up, &sure), clip(130.0, Direction::Down, &sure));
        let book = RuleBook::College;
        let h = habit(&[&a, &b, &a, &b], book);
        let doubtful = clip(-30.0, Direction::Down, &open);
        let (reading, p) = group_reading(&[&doubtful], &[shift(0)], |i, r| h.log(i, r, book));
        assert_eq!(reading, turned);
        assert!(p.unwrap() > 0.9 && p.unwrap() < SETTLED, "likely, not settled: {p:?}");
        // A game filmed from one end only has no such habit.
        let front = clip(-30.0, Direction::Down, &sure);
        assert_eq!(habit(&[&a, &front, &a, &front], book), Habit::default());
    }

    fn shift(yards: i16) -> Reading {
        Reading { yards, turned: false }
    }

    /// Three clips that agree once the second is read five yards back: each weakly for the place that the third is sure of.
    #[test]
    fn clips_that_agree_vote_together() {
        let clips = [
            item(&[(0, 0.5), (5, 0.4)], None),
            item(&[(-5, 0.5), (0, 0.4)], None),
            item(&[(0, 0.002), (5, 0.99)], None),
        ];
        let those: Vec<&Item> = clips.iter().collect();
        let relative = [shift(0), shift(-5), shift(0)];
        let (reading, probability) = group_reading(&those, &relative, |_, _| 0.0);
        assert_eq!(reading, shift(5));
        assert!(probability.unwrap() > 0.99);
        // By itself the first would have it otherwise, and would say how unsure it is.
        let (alone, p) = group_reading(&those[..1], &relative[..1], |_, _| 0.0);
        assert_eq!(alone, shift(0));
        assert!((p.unwrap() - 0.5 / 0.9).abs() < 1e-9);
    }

    #[test]
    fn the_evaluators_word_outweighs_every_picture() {
        let clips = [item(&[(0, 0.999)], None), item(&[(0, 0.999)], Some(-10))];
        let those: Vec<&Item> = clips.iter().collect();
        let (reading, p) = group_reading(&those, &[shift(0), shift(0)], |_, _| 0.0);
        assert_eq!(reading, shift(-10));
        assert!(p.unwrap() > 0.99);
    }

    /// A camera behind the other end looks like this one turned round: twelve sure clips do not turn the one that was clicked.
    #[test]
    fn what_was_said_of_a_clip_is_not_outvoted() {
        let turned = Reading { yards: 0, turned: true };
        let mut clips: Vec<Item> = (0..12).map(|_| item(&[(0, 0.9999)], None)).collect();
        clips.push(item(&[], Some(0)));
        let those: Vec<&Item> = clips.iter().collect();
        let members: Vec<_> = (0..13).map(|k| (k, if k == 12 { turned } else { shift(0) })).collect();
        let (kept, common, p) = sharing(members, &those, &Habit::default(), RuleBook::College);
        assert_eq!((kept.len(), common), (12, shift(0)));
        assert!(kept.iter().all(|m| m.0 != 12) && p.unwrap() > SETTLED);
    }

    /// The same with a clip whose own pictures show the end it was taken from; one that shows nothing of it goes with the others.
    #[test]
    fn a_clip_that_shows_its_own_end_belongs_to_the_camera_there() {
        let turned = Reading { yards: 0, turned: true };
        let mut clips: Vec<Item> = (0..3).map(|_| item(&[(0, 0.9999)], None)).collect();
        clips.push(item(&[(0, 0.99)], None));
        clips.push(item(&[(0, 0.5)], None));
        clips[4].found.votes[0].readings.push((turned, 0.5));
        let those: Vec<&Item> = clips.iter().collect();
        let members = vec![(0, shift(0)), (1, shift(0)), (2, shift(0)), (3, turned), (4, turned)];
        let (kept, common, p) = sharing(members, &those, &Habit::default(), RuleBook::College);
        assert_eq!(common, shift(0));
        assert_eq!(kept.iter().map(|m| m.0).collect::<Vec<_>>(), [0, 1, 2, 4]);
        assert!(p.unwrap() > SETTLED);
    }

    #[test]
    fn where_nothing_is_said_nothing_is_claimed() {
        let clip = item(&[], None);
        assert_eq!(group_reading(&[&clip], &[shift(0)], |_, _| 0.0), (shift(0), None));
    }

    #[test]
    fn a_station_turned_twice_is_itself() {
        let station = Station { centre: Point3::new(131.0, 27.0, 13.0), k1: -0.01, width: 1280, height: 720 };
        let k = KnownStation { station, covariance: std::array::from_fn(|i| 0.01 * i as f64) };
        let round = Reading { yards: 0, turned: true };
        let back = moved(&moved(&k, round, RuleBook::College), round, RuleBook::College);
        assert!(back.station.centre.distance(station.centre) < 1e-12);
        assert_eq!(back.covariance, k.covariance);
    }
}
