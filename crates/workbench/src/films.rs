//! Films as imported: facts, frame times, proxy, exact frames.

use crate::error::blocking;
use crate::{WorkError, Workbench, paths};
use film::{Ingested, OriginalReader, Picture, PixelFormat, Probe};
use play::{Finding, GameId, Severity};
use serde::Serialize;
use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};
use units::Rate;

/// Films read from the store once: a long film's frame table is megabytes of JSON.
#[derive(Default)]
pub(crate) struct FilmCache(Mutex<HashMap<String, Arc<Film>>>);

/// A film with everything known of it.
#[derive(Debug)]
pub(crate) struct Film {
    pub id: String,
    pub game: Option<GameId>,
    pub name: String,
    pub original: PathBuf,
    pub proxy: PathBuf,
    pub probe: Probe,
    pub ingested: Ingested,
}

impl Film {
    pub fn len(&self) -> usize {
        self.ingested.clock.table.len()
    }
    /// Square pixels across and down, as every mark counts them.
    pub fn size(&self) -> (u32, u32) {
        (self.probe.display_width, self.probe.display_height)
    }
}

/// Whether a film's original can be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum FilmState {
    /// It can.
    Ready,
    /// The file is gone; the proxy still shows.
    Missing,
    /// Another file is in its place.
    Changed,
}

/// Size of a picture, px.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Size {
    /// Across.
    pub width: u32,
    /// Down.
    pub height: u32,
}

/// A film in the list.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct FilmSummary {
    /// Unique in the study.
    pub id: String,
    /// File name.
    pub name: String,
    /// Where the original is.
    pub path: String,
    /// Its game.
    pub game: Option<GameId>,
    /// Size of the original as shown, in square pixels; marks count these.
    pub size: Size,
    /// Frames per second.
    pub rate: Rate,
    /// Number of frames.
    pub frames: u32,
    /// Whether there is sound.
    pub audio: bool,
    /// Whether the original can be read.
    pub state: FilmState,
    /// What is odd about it.
    pub findings: Vec<Finding>,
}

/// Times of a film's frames, and where each lies in the proxy.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct FilmFrames {
    /// Ticks per second.
    pub rate: Rate,
    /// When each frame is shown, ticks after the film's first frame.
    pub ticks: Vec<i64>,
    /// Square pixels across of the original; marks count these.
    pub width: u32,
    /// Square pixels down of the original.
    pub height: u32,
    /// The proxy.
    pub proxy: ProxyFrames,
}

/// Where each frame lies in the proxy, an H.264 byte stream by ITU-T H.264 Annex B.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ProxyFrames {
    /// Codec string by RFC 6381.
    pub codec: String,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Byte at which each frame begins, and the file's length last.
    pub offsets: Vec<u64>,
    /// Frames that can be decoded without any other.
    pub keys: Vec<u32>,
}

impl Workbench {
    /// A film, from memory when it was read before.
    pub(crate) async fn film(&self, id: &str) -> Result<Arc<Film>, WorkError> {
        let held = |c: &FilmCache| c.0.lock().unwrap_or_else(PoisonError::into_inner).get(id).cloned();
        if let Some(film) = held(&self.films) {
            return Ok(film);
        }
        let row = self.store.film(id).await?;
        let original = paths::from_text(&row.path)?;
        let film = Arc::new(Film {
            id: row.id.clone(),
            game: row.game.map(GameId),
            name: row.name,
            original: if row.copied { self.place().folder().join(original) } else { original },
            proxy: self.proxy_path(&row.id),
            probe: serde_json::from_str(&row.probe)?,
            ingested: serde_json::from_str(&row.ingested)?,
        });
        self.films.0.lock().unwrap_or_else(PoisonError::into_inner).insert(row.id, film.clone());
        Ok(film)
    }
    /// Drops what is remembered of a film, after it was stored anew.
    pub(crate) fn forget_film(&self, id: &str) {
        self.films.0.lock().unwrap_or_else(PoisonError::into_inner).remove(id);
    }
    pub(crate) fn proxy_path(&self, film: &str) -> PathBuf {
        self.place().proxies().join(format!("{film}.h264"))
    }
    /// All films in the order they were imported.
    ///
    /// # Errors
    /// `Store`.
    pub async fn films(&self) -> Result<Vec<FilmSummary>, WorkError> {
        let mut out = Vec::new();
        for id in self.store.film_ids().await? {
            let film = self.film(&id).await?;
            out.push(blocking(move || Ok::<_, WorkError>(summary(&film))).await?);
        }
        Ok(out)
    }
    /// Frame times and the proxy's index.
    ///
    /// # Errors
    /// `Store` with `NoFilm`.
    pub async fn film_frames(&self, id: &str) -> Result<FilmFrames, WorkError> {
        let film = self.film(id).await?;
        let (table, proxy) = (&film.ingested.clock.table, film.ingested.proxy.clone());
        Ok(FilmFrames {
            rate: table.rate(),
            ticks: table.ticks().to_vec(),
            width: film.size().0,
            height: film.size().1,
            proxy: ProxyFrames {
                codec: proxy.codec,
                width: proxy.width,
                height: proxy.height,
                offsets: proxy.offsets,
                keys: proxy.keys,
            },
        })
    }
    /// The proxy's file, within the study.
    ///
    /// # Errors
    /// `Store` with `NoFilm`.
    pub async fn proxy_file(&self, id: &str) -> Result<PathBuf, WorkError> {
        Ok(self.film(id).await?.proxy.clone())
    }
    /// A frame of the original as PNG, exactly the one named.
    ///
    /// # Errors
    /// `Store` with `NoFilm`; `Film` with `FrameRange`, `Missing`, `Changed`, `NotDecoded`.
    pub async fn exact_frame_png(&self, id: &str, index: usize) -> Result<Vec<u8>, WorkError> {
        let film = self.film(id).await?;
        let tool = self.outside.tool.clone();
        blocking(move || {
            let reader = OriginalReader::open(&tool, &film.original, &film.probe, &film.ingested.clock)?;
            png(&reader.frame(index, PixelFormat::Rgb24)?)
        })
        .await
    }
}

impl Workbench {
    /// The video tool's version line.
    ///
    /// # Errors
    /// `Film` with `ToolMissing` or `ToolUnfit`.
    pub async fn check_tool(&self) -> Result<String, WorkError> {
        let tool = self.outside.tool.clone();
        blocking(move || tool.check()).await
    }
}

fn png(picture: &Picture) -> Result<Vec<u8>, WorkError> {
    use image::ImageEncoder;
    let mut out = Vec::new();
    image::codecs::png::PngEncoder::new(&mut out)
        .write_image(&picture.data, picture.width, picture.height, image::ExtendedColorType::Rgb8)
        .map_err(|e| WorkError::Broken(format!("a picture could not be written as PNG: {e}")))?;
    Ok(out)
}

fn summary(film: &Film) -> FilmSummary {
    let state = match std::fs::metadata(&film.original) {
        Err(_) => FilmState::Missing,
        Ok(m) if m.len() != film.probe.size_bytes => FilmState::Changed,
        Ok(_) => FilmState::Ready,
    };
    let (width, height) = film.size();
    let mut findings = film_findings(&film.ingested.findings);
    match state {
        FilmState::Ready => {}
        FilmState::Missing => findings.push(Finding::new(
            Severity::Weak,
            "film-missing",
            format!(
                "the file is no longer at {}; the proxy still shows, full pictures do not",
                film.original.display()
            ),
        )),
        FilmState::Changed => findings.push(Finding::new(
            Severity::Weak,
            "film-changed",
            format!(
                "{} is not the file that was imported (it had {} bytes)",
                film.original.display(),
                film.probe.size_bytes
            ),
        )),
    }
    FilmSummary {
        id: film.id.clone(),
        name: film.name.clone(),
        path: film.original.display().to_string(),
        game: film.game.clone(),
        size: Size { width, height },
        rate: film.ingested.rate,
        frames: film.len() as u32,
        audio: film.probe.has_audio,
        state,
        findings,
    }
}

/// The film layer's findings in the words all layers share.
pub(crate) fn film_findings(findings: &[film::Finding]) -> Vec<Finding> {
    use film::Finding as F;
    findings
        .iter()
        .map(|f| {
            let (severity, code) = match f {
                F::HeaderRate { .. } => (Severity::Note, "header-rate"),
                F::MissingTimes { .. } => (Severity::Weak, "missing-times"),
                F::RepeatedTimes { .. } => (Severity::Weak, "repeated-times"),
                F::Short { .. } => (Severity::Weak, "short"),
                F::Damage { .. } => (Severity::Weak, "damage"),
                F::Interlaced => (Severity::Weak, "interlaced"),
                F::VariableRate { .. } => (Severity::Note, "variable-rate"),
            };
            Finding::new(severity, code, f.to_string())
        })
        .collect()
}
