use super::{FINDING, Kept, SIGHTINGS};
use crate::films::Film;
use crate::jobs::{Job, Ticket};
use crate::lineup::{ClipCameras, Source, Witness};
use crate::{WorkError, Workbench};
use camera::FieldCamera;
use field::{Crown, RuleBook};
use film::{FilmError, Picture, PixelFormat, VideoTool};
use picture::RgbView;
use play::{Clip, Finding, PlayId, Severity, SightedFrame};
use sighting::{EmptyFieldBuilder, Finder, working_size};
use std::sync::Arc;

/// Frames that are looked at together, one per core at a time.
const TOGETHER: usize = 8;

impl Workbench {
    /// Starts to find the people in every lined-up clip of a play. Clips whose people are known already are passed over.
    ///
    /// # Errors
    /// `NotReady` when no clip of the play is lined up; `Store` with `NoRecord`.
    pub async fn find_people(&self, id: &PlayId) -> Result<Job, WorkError> {
        let play: play::Play = self.store.get(id.as_str()).await?;
        let mut ready = 0;
        for clip in self.clips_of(id).await? {
            ready += usize::from(self.cameras_of(&clip).await?.frames.iter().any(Option::is_some));
        }
        if ready == 0 {
            return Err(WorkError::NotReady(format!(
                "no clip of play {} is lined up with the field; follow one first",
                play.number
            )));
        }
        let title = format!("Find people, play {}", play.number);
        let request = serde_json::to_string(id)?;
        let id = id.clone();
        self.start("find", title, &request, move |bench, ticket| bench.run_find(id, ticket)).await
    }
    pub(crate) async fn run_find(self, id: PlayId, ticket: Arc<Ticket>) -> Result<String, WorkError> {
        let clips = self.clips_of(&id).await?;
        let total: u64 = clips.iter().map(|c| u64::from(c.end - c.first)).sum();
        let (mut before, mut people, mut frames) = (0u64, 0usize, 0usize);
        for clip in clips {
            let length = u64::from(clip.end - clip.first);
            let key = self.sighting_key(&clip).await?;
            let known = self.store.computed(SIGHTINGS, clip.id.as_str()).await?.filter(|(k, _)| *k == key);
            let cameras = self.cameras_of(&clip).await?;
            if known.is_none() && cameras.frames.iter().any(Option::is_some) {
                let game = self.game_of_clip(&clip).await?;
                let work = Work {
                    tool: self.outside.tool.clone(),
                    film: self.film(clip.film.as_str()).await?,
                    rule_book: game.rule_book,
                    crown: Crown { height: game.crown.unwrap_or(0.0) },
                    clip: clip.clone(),
                    cameras,
                };
                let held = ticket.clone();
                let found = crate::error::blocking(move || work.run(&held, before, total)).await?;
                people += found.iter().map(|f| f.bodies.len()).sum::<usize>();
                frames += found.len();
                if found.is_empty() {
                    let said = format!(
                        "clip {} has too few frames lined up with trust to learn the empty field",
                        clip.id
                    );
                    ticket.find(Finding::new(Severity::Weak, "no-empty-field", said));
                }
                let body = serde_json::to_string(&Kept::of(&found))?;
                self.store.put_computed(SIGHTINGS, clip.id.as_str(), &key, &body).await?;
            }
            before += length;
            ticket.progress(before, total);
        }
        let seen = self.seen(&id).await?;
        let apart = crate::error::blocking(move || seen.contradiction()).await?;
        if let Some(found) = &apart {
            ticket.find(found.clone());
        }
        self.keep_views_apart(&id, Witness::Found, apart.as_ref()).await?;
        Ok(match frames {
            0 => "people were found before; nothing has changed since".into(),
            n => format!("{:.0} people a frame in {n} frames", people as f64 / n as f64),
        })
    }
    /// Names what a clip's sightings come from.
    pub(super) async fn sighting_key(&self, clip: &Clip) -> Result<String, WorkError> {
        crate::key_of(&(FINDING, self.cameras_stamp(clip).await?, clip.first, clip.end))
    }
}

/// Everything a thread needs.
struct Work {
    tool: VideoTool,
    film: Arc<Film>,
    rule_book: RuleBook,
    crown: Crown,
    clip: Clip,
    cameras: Arc<ClipCameras>,
}

impl Work {
    /// Two passes over the clip: one learns the empty field from a few dozen frames, one finds people. A handful of
    /// frames is held at a time.
    fn run(self, ticket: &Ticket, before: u64, total: u64) -> Result<Vec<SightedFrame>, WorkError> {
        let size = self.film.size();
        let working = working_size(size);
        let film = sighting::Film { size, working, rule_book: self.rule_book, crown: self.crown };
        let trusted: Vec<(u32, FieldCamera)> = (self.clip.first..self.clip.end)
            .filter_map(|f| Some((f, self.cameras.get(f).filter(|c| c.quality.trusted)?.camera)))
            .collect();
        let cameras: Vec<FieldCamera> = trusted.iter().map(|t| t.1).collect();
        let Some(mut builder) = EmptyFieldBuilder::new(film, &cameras) else { return Ok(Vec::new()) };
        let source = Source::open(&self.tool, &self.film)?;
        let wanted: Vec<(u32, FieldCamera)> =
            EmptyFieldBuilder::wanted(trusted.len()).into_iter().map(|k| trusted[k]).collect();
        let mut picture = Picture { width: 0, height: 0, format: PixelFormat::Rgb24, data: Vec::new() };
        let mut stream = source.colour(self.clip.first..self.clip.end, working)?;
        while let Some(index) = stream.read_into(&mut picture)? {
            check(ticket)?;
            if let Some((_, camera)) = wanted.iter().find(|w| w.0 as usize == index) {
                builder.add(view(&picture)?, camera);
            }
        }
        drop(stream);
        let Some(empty) = builder.finish() else { return Ok(Vec::new()) };
        let finder = Finder::new(film, empty);
        let mut out = Vec::with_capacity(trusted.len());
        let mut stream = source.colour(self.clip.first..self.clip.end, working)?;
        let mut batch: Vec<(u32, FieldCamera, Picture)> = Vec::with_capacity(TOGETHER);
        let cores = std::thread::available_parallelism().map_or(1, |n| n.get());
        loop {
            let next = stream.next().transpose()?;
            let ended = next.is_none();
            if let Some((index, picture)) = next
                && let Some((frame, camera)) = trusted.iter().find(|t| t.0 as usize == index)
            {
                batch.push((*frame, *camera, picture));
            }
            if batch.len() == TOGETHER || (ended && !batch.is_empty()) {
                check(ticket)?;
                out.extend(look(&finder, &batch, cores)?);
                let done = batch.last().map_or(0, |b| u64::from(b.0 - self.clip.first));
                ticket.progress(before + done, total);
                batch.clear();
            }
            if ended {
                return Ok(out);
            }
        }
    }
}

/// The people of a few frames, in order, on as many threads as there are cores.
fn look(
    finder: &Finder,
    batch: &[(u32, FieldCamera, Picture)],
    cores: usize,
) -> Result<Vec<SightedFrame>, WorkError> {
    let share = batch.len().div_ceil(cores.max(1));
    std::thread::scope(|scope| {
        let threads: Vec<_> = batch
            .chunks(share.max(1))
            .map(|part| {
                scope.spawn(move || {
                    part.iter()
                        .map(|(frame, camera, picture)| {
                            Ok(SightedFrame { frame: *frame, bodies: finder.find(view(picture)?, camera) })
                        })
                        .collect::<Result<Vec<_>, WorkError>>()
                })
            })
            .collect();
        let mut out = Vec::with_capacity(batch.len());
        for t in threads {
            out.extend(t.join().map_err(|_| WorkError::Broken("looking for people panicked".into()))??);
        }
        Ok(out)
    })
}

fn view(picture: &Picture) -> Result<RgbView<'_>, WorkError> {
    RgbView::new(picture.width, picture.height, &picture.data).map_err(|e| WorkError::Broken(e.to_string()))
}

fn check(ticket: &Ticket) -> Result<(), WorkError> {
    if ticket.cancelled() { Err(FilmError::Cancelled.into()) } else { Ok(()) }
}
