//! The cameras of a clip as kept.

use crate::{WorkError, Workbench};
use camera::{CameraEstimate, FieldCamera, FrameQuality, PARAMETERS};
use field::Crown;
use geometry::Point2;
use play::{Clip, ClipId, FieldMark, Game, GameId, View};
use register::{FieldModel, KnownStation};
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

/// A clip's cameras, one per film frame from `first` on.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(from = "Packed", into = "Packed")]
pub(crate) struct ClipCameras {
    pub first: u32,
    pub frames: Vec<Option<CameraEstimate>>,
    /// Frames that were solved from clicks.
    pub solved: Vec<u32>,
}

impl ClipCameras {
    /// Room for every frame of a clip.
    pub fn of(clip: &Clip) -> Self {
        Self { first: clip.first, frames: vec![None; (clip.end - clip.first) as usize], solved: Vec::new() }
    }
    pub fn get(&self, frame: u32) -> Option<&CameraEstimate> {
        self.frames.get(frame.checked_sub(self.first)? as usize)?.as_ref()
    }
    pub fn set(&mut self, frame: u32, camera: CameraEstimate) {
        let slot = frame.checked_sub(self.first).and_then(|k| self.frames.get_mut(k as usize));
        if let Some(slot) = slot {
            *slot = Some(camera);
        }
    }
    /// The same cameras with room for exactly the clip's frames, after its ends moved.
    fn fitted(self, clip: &Clip) -> Self {
        if self.first == clip.first && self.frames.len() == (clip.end - clip.first) as usize {
            return self;
        }
        let mut out = Self::of(clip);
        for (frame, camera) in (self.first..).zip(self.frames) {
            if let Some(c) = camera {
                out.set(frame, c);
            }
        }
        out.solved = self.solved.into_iter().filter(|f| (clip.first..clip.end).contains(f)).collect();
        out
    }
}

/// As stored: of each covariance only the upper triangle.
#[derive(Serialize, Deserialize)]
struct Packed {
    first: u32,
    solved: Vec<u32>,
    frames: Vec<Option<PackedFrame>>,
}

#[derive(Serialize, Deserialize)]
struct PackedFrame {
    camera: FieldCamera,
    upper: Vec<f64>,
    quality: FrameQuality,
}

impl From<ClipCameras> for Packed {
    fn from(c: ClipCameras) -> Self {
        let pack = |e: CameraEstimate| {
            let upper = (0..PARAMETERS)
                .flat_map(|r| (r..PARAMETERS).map(move |k| r * PARAMETERS + k))
                .map(|i| e.covariance.get(i).copied().unwrap_or(0.0))
                .collect();
            PackedFrame { camera: e.camera, upper, quality: e.quality }
        };
        Self { first: c.first, solved: c.solved, frames: c.frames.into_iter().map(|f| f.map(pack)).collect() }
    }
}

impl From<Packed> for ClipCameras {
    fn from(p: Packed) -> Self {
        let unpack = |f: PackedFrame| {
            let mut covariance = vec![0.0; PARAMETERS * PARAMETERS];
            let places = (0..PARAMETERS).flat_map(|r| (r..PARAMETERS).map(move |k| (r, k)));
            for ((r, k), v) in places.zip(f.upper) {
                covariance[r * PARAMETERS + k] = v;
                covariance[k * PARAMETERS + r] = v;
            }
            CameraEstimate { camera: f.camera, covariance, quality: f.quality }
        };
        Self {
            first: p.first,
            solved: p.solved,
            frames: p.frames.into_iter().map(|f| f.map(unpack)).collect(),
        }
    }
}

/// Cameras read from the store once; thousands of numbers a clip.
#[derive(Default)]
pub(crate) struct CameraCache(Mutex<HashMap<ClipId, (String, Arc<ClipCameras>)>>);

/// Kinds of computed things.
const CAMERAS: &str = "cameras";
const SUMMARY: &str = "line-up";
const STATION: &str = "station";

/// What is kept beside a clip's cameras to list it without reading them.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct Summary {
    trusted: u32,
    frames: u32,
    /// Names the cameras themselves, which may differ under the same clicks.
    stamp: String,
}

/// Where a game's camera stands, and from which clip that is known.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct StationRow {
    station: KnownStation,
    clip: ClipId,
}

/// How well one frame is lined up.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct FrameCamera {
    /// Film frame.
    pub frame: u32,
    /// RMS distance of the evidence from the model, px.
    pub rms_px: f64,
    /// Number of independent pieces of evidence.
    pub evidence: u32,
    /// Share of the paint that should be visible and was found, 0 to 1.
    pub coverage: f64,
    /// False when the frame should not be trusted without a look.
    pub trusted: bool,
    /// Solved from clicks, not followed.
    pub clicked: bool,
    /// Standard error of a ground point at the lower middle of the picture, RMS over both directions, yd.
    pub ground_sd_yd: Option<f64>,
}

/// How well a clip is lined up.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ClipLineUp {
    /// Frames that have a camera.
    pub frames: Vec<FrameCamera>,
    /// Share of the clip's frames whose camera can be trusted, 0 to 1.
    pub trusted: f64,
    /// Whether clicks, markings or crown changed since: solve and follow again.
    pub stale: bool,
}

impl Workbench {
    /// The game a clip belongs to.
    ///
    /// # Errors
    /// `NotReady` when the film belongs to no game.
    pub(crate) async fn game_of_clip(&self, clip: &Clip) -> Result<Game, WorkError> {
        let film = self.film(clip.film.as_str()).await?;
        let game = match (&clip.play, &film.game) {
            (Some(play), _) => self.store.get::<play::Play>(play.as_str()).await?.game,
            (None, Some(game)) => game.clone(),
            (None, None) => return Err(WorkError::NotReady(format!("{} belongs to no game", film.name))),
        };
        Ok(self.store.get(game.as_str()).await?)
    }
    /// What the cameras of a clip follow from.
    pub(crate) async fn camera_key(&self, clip: &Clip) -> Result<String, WorkError> {
        let marks: Vec<FieldMark> = self.store.list_of(clip.id.as_str()).await?;
        let game = self.game_of_clip(clip).await?;
        crate::key_of(&(marks, game.rule_book, game.crown, clip.view))
    }
    /// A clip's cameras; empty when it was never lined up.
    pub(crate) async fn cameras_of(&self, clip: &Clip) -> Result<Arc<ClipCameras>, WorkError> {
        Ok(self.keyed_cameras(clip).await?.1)
    }
    /// A clip's cameras with the key they were computed under.
    pub(crate) async fn keyed_cameras(&self, clip: &Clip) -> Result<(String, Arc<ClipCameras>), WorkError> {
        let held =
            |c: &CameraCache| c.0.lock().unwrap_or_else(PoisonError::into_inner).get(&clip.id).cloned();
        if let Some((key, cameras)) = held(&self.cameras)
            && cameras.first == clip.first
            && cameras.frames.len() == (clip.end - clip.first) as usize
        {
            return Ok((key, cameras));
        }
        let (key, cameras) = match self.store.computed(CAMERAS, clip.id.as_str()).await? {
            Some((key, body)) => (key, serde_json::from_str::<ClipCameras>(&body)?.fitted(clip)),
            None => (String::new(), ClipCameras::of(clip)),
        };
        let entry = (key, Arc::new(cameras));
        self.cameras.0.lock().unwrap_or_else(PoisonError::into_inner).insert(clip.id.clone(), entry.clone());
        Ok(entry)
    }
    pub(crate) async fn put_cameras(
        &self,
        clip: &Clip,
        key: String,
        cameras: ClipCameras,
    ) -> Result<(), WorkError> {
        let trusted = cameras.frames.iter().flatten().filter(|c| c.quality.trusted).count() as u32;
        let body = serde_json::to_string(&cameras)?;
        let summary = Summary { trusted, frames: clip.end - clip.first, stamp: crate::key_of(&body)? };
        let id = clip.id.as_str();
        self.store.put_computed(CAMERAS, id, &key, &body).await?;
        self.store.put_computed(SUMMARY, id, &key, &serde_json::to_string(&summary)?).await?;
        let mut held = self.cameras.0.lock().unwrap_or_else(PoisonError::into_inner);
        held.insert(clip.id.clone(), (key, Arc::new(cameras)));
        Ok(())
    }
    /// Names a clip's cameras; empty when it was never lined up.
    pub(crate) async fn cameras_stamp(&self, clip: &Clip) -> Result<String, WorkError> {
        let found = self.store.computed(SUMMARY, clip.id.as_str()).await?;
        let summary: Option<Summary> = found.map(|(_, body)| serde_json::from_str(&body)).transpose()?;
        Ok(summary.map(|s| s.stamp).unwrap_or_default())
    }
    /// Share of a clip's frames whose camera can be trusted; `None` when it was never lined up.
    pub(crate) async fn lined_up(&self, clip: &Clip) -> Result<Option<f64>, WorkError> {
        let Some((_, body)) = self.store.computed(SUMMARY, clip.id.as_str()).await? else { return Ok(None) };
        let s: Summary = serde_json::from_str(&body)?;
        Ok(Some(f64::from(s.trusted) / f64::from(s.frames.max(1))))
    }
    /// Where the camera of a game's view stands at one half of the field, when some clip other than `except` has told.
    pub(crate) async fn station(
        &self,
        game: &GameId,
        view: View,
        half: Half,
        except: Option<&ClipId>,
    ) -> Result<Option<KnownStation>, WorkError> {
        let found = self.store.computed(STATION, &station_id(game, view, half)).await?;
        let row: Option<StationRow> = found.map(|(_, body)| serde_json::from_str(&body)).transpose()?;
        Ok(row.filter(|r| except != Some(&r.clip)).map(|r| r.station))
    }
    /// Keeps where the camera stands, unless another clip has told it better.
    pub(crate) async fn learn_station(
        &self,
        game: &Game,
        view: View,
        clip: &ClipId,
        station: KnownStation,
    ) -> Result<(), WorkError> {
        let id =
            station_id(&game.id, view, Half::of(view, station.station.centre.x, game.rule_book.length()));
        let spread = |s: &KnownStation| s.covariance[0] + s.covariance[5] + s.covariance[10];
        if let Some((_, body)) = self.store.computed(STATION, &id).await? {
            let old: StationRow = serde_json::from_str(&body)?;
            if old.clip != *clip && spread(&old.station) <= spread(&station) {
                return Ok(());
            }
        }
        let row = StationRow { station, clip: clip.clone() };
        Ok(self.store.put_computed(STATION, &id, "", &serde_json::to_string(&row)?).await?)
    }
    /// Keeps where the camera stands as all clips of a game say together.
    pub(crate) async fn put_game_station(
        &self,
        game: &Game,
        view: View,
        station: KnownStation,
    ) -> Result<(), WorkError> {
        let id =
            station_id(&game.id, view, Half::of(view, station.station.centre.x, game.rule_book.length()));
        // Told by no single clip, so that none is left out when a clip asks what the others know.
        let row = StationRow { station, clip: ClipId(String::new()) };
        Ok(self.store.put_computed(STATION, &id, "", &serde_json::to_string(&row)?).await?)
    }
    /// How well each frame of a clip is lined up.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn line_up(&self, id: &ClipId) -> Result<ClipLineUp, WorkError> {
        let clip: Clip = self.store.get(id.as_str()).await?;
        let (key, cameras) = self.keyed_cameras(&clip).await?;
        let size = self.film(clip.film.as_str()).await?.size();
        let frames: Vec<FrameCamera> = (cameras.first..)
            .zip(&cameras.frames)
            .filter_map(|(frame, c)| Some(frame_camera(frame, c.as_ref()?, size, &cameras.solved)))
            .collect();
        let trusted = frames.iter().filter(|f| f.trusted).count() as f64 / f64::from(clip.end - clip.first);
        let stale = !frames.is_empty() && key != self.camera_key(&clip).await?;
        Ok(ClipLineUp { frames, trusted, stale })
    }
}

fn frame_camera(frame: u32, c: &CameraEstimate, size: (u32, u32), solved: &[u32]) -> FrameCamera {
    let q = &c.quality;
    FrameCamera {
        frame,
        rms_px: q.rms_px,
        evidence: q.evidence,
        coverage: q.coverage,
        trusted: q.trusted,
        clicked: solved.contains(&frame),
        ground_sd_yd: ground_sd(c, size),
    }
}

/// Standard error of a ground point a little under the middle of the picture, yd.
pub(super) fn ground_sd(c: &CameraEstimate, size: (u32, u32)) -> Option<f64> {
    let at = Point2::new(0.5 * f64::from(size.0), 0.6 * f64::from(size.1));
    let sd = c.ground_with_covariance(at, 0.0)?.1.rms();
    sd.is_finite().then_some(sd)
}

/// Which half of the field a camera stands at. A game may be filmed from behind both end zones, by the offense's direction;
/// the sideline camera has one place whichever half that is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Half {
    Lower,
    Upper,
}

impl Half {
    pub const BOTH: [Self; 2] = [Self::Lower, Self::Upper];

    /// The half of a camera at `x` yd on a field of `length` yd between the goal lines.
    pub fn of(view: View, x: f64, length: f64) -> Self {
        if view == View::EndZone && x > length / 2.0 { Self::Upper } else { Self::Lower }
    }
}

fn station_id(game: &GameId, view: View, half: Half) -> String {
    let half = match half {
        Half::Lower => "",
        Half::Upper => "/upper",
    };
    format!("{game}/{}{half}", crate::views::word(view))
}

/// The field of a game as the register layer takes it.
pub(super) fn field_model(game: &Game) -> FieldModel {
    FieldModel { rule_book: game.rule_book, crown: Crown { height: game.crown.unwrap_or(0.0) } }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn packing_loses_nothing() {
        let mut covariance = vec![0.0; 64];
        for r in 0..8 {
            for k in 0..8 {
                covariance[r * 8 + k] = 1.0 / (1.0 + (r * k) as f64 + (r as f64 - k as f64).powi(2));
            }
        }
        let camera = FieldCamera::Plane { pixel_from_ground: [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9] };
        let quality = FrameQuality { rms_px: 0.25, evidence: 9, coverage: 0.5, trusted: true };
        let c = CameraEstimate { camera, covariance, quality };
        let all = ClipCameras { first: 7, frames: vec![None, Some(c), None], solved: vec![8] };
        let back: ClipCameras = serde_json::from_str(&serde_json::to_string(&all).unwrap()).unwrap();
        assert_eq!((back.first, back.solved.clone()), (7, vec![8]));
        assert_eq!(back.frames, all.frames);
        let clip = Clip {
            id: "c".into(),
            film: "f".into(),
            first: 8,
            end: 12,
            view: None,
            play: None,
            snap_frame: None,
        };
        let fitted = back.fitted(&clip);
        assert_eq!(fitted.frames.len(), 4);
        assert_eq!(fitted.get(8), all.get(8));
    }
}
