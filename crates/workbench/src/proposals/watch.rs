use super::{Kept, WATCHED, WATCHING};
use crate::films::Film;
use crate::jobs::{Job, Ticket};
use crate::lineup::{ClipCameras, Source};
use crate::{WorkError, Workbench};
use field::RuleBook;
use film::{FilmError, Picture, PixelFormat, VideoTool};
use picture::RgbView;
use play::{Clip, PlayId};
use sighting::ball::Watch;
use std::sync::Arc;

impl Workbench {
    /// Starts to watch what moves in every lined-up clip of a play. Clips that were watched already are passed over.
    ///
    /// # Errors
    /// `NotReady` when no clip of the play is lined up; `Store` with `NoRecord`.
    pub async fn watch_play(&self, id: &PlayId) -> Result<Job, WorkError> {
        let play: play::Play = self.store.get(id.as_str()).await?;
        let mut ready = false;
        for clip in self.clips_of(id).await? {
            ready |= self.cameras_of(&clip).await?.frames.iter().any(Option::is_some);
        }
        if !ready {
            let said =
                format!("no clip of play {} is lined up with the field; follow one first", play.number);
            return Err(WorkError::NotReady(said));
        }
        let title = format!("Find moments and ball, play {}", play.number);
        let request = serde_json::to_string(id)?;
        let id = id.clone();
        self.start("watch", title, &request, move |bench, ticket| bench.run_watch(id, ticket)).await
    }
    pub(crate) async fn run_watch(self, id: PlayId, ticket: Arc<Ticket>) -> Result<String, WorkError> {
        let clips = self.clips_of(&id).await?;
        let total: u64 = clips.iter().map(|c| u64::from(c.end - c.first)).sum();
        let (mut before, mut watched) = (0u64, 0usize);
        for clip in clips {
            let length = u64::from(clip.end - clip.first);
            let key = self.watch_key(&clip).await?;
            let known = self.store.computed(WATCHED, clip.id.as_str()).await?.is_some_and(|(k, _)| k == key);
            let cameras = self.cameras_of(&clip).await?;
            if !known && cameras.frames.iter().any(Option::is_some) {
                let game = self.game_of_clip(&clip).await?;
                let work = Work {
                    tool: self.outside.tool.clone(),
                    film: self.film(clip.film.as_str()).await?,
                    rule_book: game.rule_book,
                    clip: clip.clone(),
                    cameras,
                };
                let held = ticket.clone();
                let kept = crate::error::blocking(move || work.run(&held, before, total)).await?;
                watched += kept.frames.len();
                let body = serde_json::to_string(&kept)?;
                self.store.put_computed(WATCHED, clip.id.as_str(), &key, &body).await?;
            }
            before += length;
            ticket.progress(before, total);
        }
        let found = self.proposals(&id).await?;
        let flight = match &found.flight {
            play::Seen::Seen(f) => format!("the ball in {} frames", f.balls.len()),
            play::Seen::NotSeen(why) => format!("no ball: {why}"),
        };
        Ok(format!("{watched} frames watched; {} moments, {flight}", found.moments.len()))
    }
    /// Names what a clip's watching comes from.
    pub(super) async fn watch_key(&self, clip: &Clip) -> Result<String, WorkError> {
        crate::key_of(&(WATCHING, self.cameras_stamp(clip).await?, clip.first, clip.end))
    }
}

/// Everything a thread needs.
struct Work {
    tool: VideoTool,
    film: Arc<Film>,
    rule_book: RuleBook,
    clip: Clip,
    cameras: Arc<ClipCameras>,
}

impl Work {
    fn run(self, ticket: &Ticket, before: u64, total: u64) -> Result<Kept, WorkError> {
        let (size, working) = (self.film.size(), watching_size(self.film.size()));
        let source = Source::open(&self.tool, &self.film)?;
        let mut stream = source.colour(self.clip.first..self.clip.end, working)?;
        let mut picture = Picture { width: 0, height: 0, format: PixelFormat::Rgb24, data: Vec::new() };
        let mut watch = Watch::new(size.0, working.0, self.rule_book);
        let mut kept = Kept::default();
        while let Some(index) = stream.read_into(&mut picture)? {
            if ticket.cancelled() {
                return Err(FilmError::Cancelled.into());
            }
            let frame = index as u32;
            let view = RgbView::new(picture.width, picture.height, &picture.data)
                .map_err(|e| WorkError::Broken(e.to_string()))?;
            let camera = self.cameras.get(frame).filter(|c| c.quality.trusted).map(|c| &c.camera);
            if let Some(w) = watch.next(frame, view, camera) {
                kept.add(&w);
            }
            ticket.progress(before + u64::from(frame - self.clip.first), total);
        }
        Ok(kept)
    }
}

/// A working size of at most 1280 px across, even: a ball is about 9 px long in it.
fn watching_size(size: (u32, u32)) -> (u32, u32) {
    const WIDEST: u32 = 1280;
    if size.0 <= WIDEST {
        return size;
    }
    let height = (u64::from(size.1) * u64::from(WIDEST) / u64::from(size.0)) as u32;
    (WIDEST, (height / 2 * 2).max(2))
}
