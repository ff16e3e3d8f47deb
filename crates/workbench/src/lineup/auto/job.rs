//! Lines up a whole game in the background.

use super::clip::{ClipWork, Watch};
use super::found::Found;
use super::overview::FOUND;
use crate::jobs::{Job, Ticket};
use crate::lineup::cameras::field_model;
use crate::{WorkError, Workbench};
use film::FilmError;
use geometry::Point2;
use play::{Clip, FieldMark, Game, GameId, Play, View};
use register::{BallSpot, KnownAboutClip};
use serde::{Deserialize, Serialize};
use std::collections::VecDeque;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use tokio::task::JoinSet;

/// What to line up.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(crate) struct LineUpRequest {
    pub game: GameId,
    /// Clips that were lined up already, too.
    pub again: bool,
}

/// Standard deviation of a charted ball spot, yd: play lists give whole yards, and miss some.
const SPOT_SD: f64 = 1.5;
/// Most clips at a time: each holds some seconds of film.
const MOST_AT_ONCE: usize = 4;
/// Finished clips after which the clips so far are settled together, so that the next ones know where the camera stands.
const SETTLE_AFTER: [usize; 8] = [4, 8, 12, 16, 24, 32, 48, 96];
/// Standard deviation of the ball's place as told by where another view of the play was aimed before the snap, yd. Common practice, no
/// source.
const AIM_SD: f64 = 6.0;

struct Progress {
    ticket: Arc<Ticket>,
    done: AtomicU64,
    total: u64,
}

impl Watch for Progress {
    fn frame(&self) -> Result<(), FilmError> {
        if self.ticket.cancelled() {
            return Err(FilmError::Cancelled);
        }
        let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
        if done.is_multiple_of(10) {
            self.ticket.progress(done.min(self.total), self.total);
        }
        Ok(())
    }
}

impl Workbench {
    /// Starts to line up every clip of a game that has no cameras yet; `again` takes those that have, too, except clicked ones.
    ///
    /// # Errors
    /// `NotReady` for a game whose plays have no clips.
    pub async fn line_up_game(&self, game: &GameId, again: bool) -> Result<Job, WorkError> {
        let record: Game = self.store.get(game.as_str()).await?;
        if self.clips_of_game(game).await?.is_empty() {
            return Err(WorkError::NotReady(format!(
                "no clip of {} belongs to a play yet; pair its clips into plays first",
                record.name
            )));
        }
        let request = LineUpRequest { game: game.clone(), again };
        let text = serde_json::to_string(&request)?;
        let title = format!("Line up {}", record.name);
        self.start("line-up", title, &text, move |b, t| b.run_line_up(request, t)).await
    }
    pub(crate) async fn run_line_up(
        self,
        request: LineUpRequest,
        ticket: Arc<Ticket>,
    ) -> Result<String, WorkError> {
        let game: Game = self.store.get(request.game.as_str()).await?;
        let mut queue: VecDeque<(Clip, String)> = VecDeque::new();
        let mut kept = 0;
        for clip in self.clips_of_game(&game.id).await? {
            let key = self.found_key(&clip, &game).await?;
            let old = self.store.computed(FOUND, clip.id.as_str()).await?;
            let clicked = !self.store.list_of::<FieldMark>(clip.id.as_str()).await?.is_empty();
            let lined_up = self.lined_up(&clip).await?.is_some();
            let current = old.as_ref().is_some_and(|o| o.0 == key);
            // Clicks say more than any search; they are carried by following.
            if (clicked && lined_up) || (current && !request.again) {
                kept += 1;
                continue;
            }
            if current {
                self.store.forget_computed(FOUND, clip.id.as_str()).await?;
            }
            queue.push_back((clip, key));
        }
        // The sideline view is the easier one, and tells the other where the ball lies.
        queue.make_contiguous().sort_by_key(|(c, _)| c.view != Some(View::Sideline));
        // Taken up again after a kill, what is done by then is not done twice.
        let again = serde_json::to_string(&LineUpRequest { again: false, ..request })?;
        self.store.set_job_request(ticket.id, &again).await?;
        let total: u64 = queue.iter().map(|(c, _)| u64::from(c.end - c.first)).sum();
        let progress = Arc::new(Progress { ticket: ticket.clone(), done: AtomicU64::new(0), total });
        let all = queue.len();
        self.find_all(queue, &game, &progress, all).await?;
        // What could not be settled alone often can once the others have told where the camera stands.
        let left = self.worth_another_look(&game).await?;
        if all > 0 && !left.is_empty() {
            ticket.say(format!("looking again at {} clips", left.len()));
            self.find_all(left, &game, &progress, 0).await?;
        }
        let out = self.with_views(self.settle_game(&game.id).await?).await?;
        let count = |s: super::Standing| out.clips.iter().filter(|c| c.standing == s).count();
        let (sound, doubtful, lost) = (
            count(super::Standing::Sound),
            count(super::Standing::Doubtful),
            count(super::Standing::NotFound),
        );
        let mut said = format!("{sound} of {} clips sound", out.clips.len());
        if doubtful > 0 {
            said.push_str(&format!(", {doubtful} want a look"));
        }
        if lost > 0 {
            said.push_str(&format!(", {lost} without a field"));
        }
        if kept > 0 && all == 0 {
            said.push_str("; all were lined up already");
        }
        Ok(said)
    }
    /// Finds the field in the queued clips, several at a time, and keeps each as it is done.
    async fn find_all(
        &self,
        mut queue: VecDeque<(Clip, String)>,
        game: &Game,
        progress: &Arc<Progress>,
        all: usize,
    ) -> Result<(), WorkError> {
        let ticket = &progress.ticket;
        let at_once =
            std::thread::available_parallelism().map_or(2, std::num::NonZero::get).clamp(1, MOST_AT_ONCE);
        let mut running: JoinSet<Result<(Clip, String, Found), WorkError>> = JoinSet::new();
        let mut finished = 0;
        loop {
            while running.len() < at_once
                && let Some((clip, key)) = queue.pop_front()
            {
                let work = self.clip_work(clip.clone(), game).await?;
                let watch = progress.clone();
                running.spawn_blocking(move || Ok((clip, key, work.run(&*watch)?)));
            }
            let Some(ended) = running.join_next().await else { return Ok(()) };
            let (clip, key, found) = match ended.map_err(|e| WorkError::Broken(e.to_string())) {
                Ok(Ok(done)) => done,
                Ok(Err(e)) | Err(e) => {
                    // The others notice by themselves and end soon.
                    ticket.cancel.store(true, Ordering::Relaxed);
                    running.shutdown().await;
                    return Err(e);
                }
            };
            self.store.put_computed(FOUND, clip.id.as_str(), &key, &serde_json::to_string(&found)?).await?;
            finished += 1;
            if all > 0 {
                ticket.say(format!("{finished} of {all} clips"));
            }
            if SETTLE_AFTER.contains(&finished) && finished < all {
                self.settle_game(&game.id).await?;
            }
        }
    }
    /// Clips without a settled field that were looked at before the camera's place was known.
    async fn worth_another_look(&self, game: &Game) -> Result<VecDeque<(Clip, String)>, WorkError> {
        let overview = self.settle_game(&game.id).await?;
        let mut out = VecDeque::new();
        for c in overview.clips.iter().filter(|c| c.standing != super::Standing::Sound && !c.confirmed) {
            let clip: Clip = self.store.get(c.clip.as_str()).await?;
            if self.told_station(game, &clip).await?.is_none() {
                continue;
            }
            let Some((key, body)) = self.store.computed(FOUND, c.clip.as_str()).await? else { continue };
            let found: Found = serde_json::from_str(&body)?;
            if !found.placed && !found.clicked {
                out.push_back((clip, key));
            }
        }
        Ok(out)
    }
    /// What a clip's finding follows from.
    pub(crate) async fn found_key(&self, clip: &Clip, game: &Game) -> Result<String, WorkError> {
        let marks: Vec<FieldMark> = self.store.list_of(clip.id.as_str()).await?;
        crate::key_of(&(clip.first, clip.end, &clip.film, clip.view, marks, game.rule_book, game.crown))
    }
    async fn clip_work(&self, clip: Clip, game: &Game) -> Result<ClipWork, WorkError> {
        let station = self.told_station(game, &clip).await?;
        let play = match &clip.play {
            Some(p) => self.store.find::<Play>(p.as_str()).await?,
            None => None,
        };
        let situation = play.map(|p| p.situation);
        let charted = situation.as_ref().and_then(|s| s.line_x).map(|x| BallSpot { x, sd: SPOT_SD });
        let spot = match charted {
            Some(spot) => Some(spot),
            None => self.aim_of_other_view(&clip).await?.map(|x| BallSpot { x, sd: AIM_SD }),
        };
        let known = KnownAboutClip {
            view: clip.view,
            // The near sideline is that of the sideline camera, by definition.
            beyond: (clip.view == Some(View::Sideline)).then_some(false),
            station,
            spot,
            direction: situation.and_then(|s| s.direction),
        };
        Ok(ClipWork {
            tool: self.outside.tool.clone(),
            film: self.film(clip.film.as_str()).await?,
            field: field_model(game),
            clip,
            known,
        })
    }
    /// Where along the field the play's other view is aimed as its clip begins, yd, once its yard lines are settled.
    async fn aim_of_other_view(&self, clip: &Clip) -> Result<Option<f64>, WorkError> {
        for other in self.clips().await?.into_iter().map(|c| c.clip) {
            if clip.play.is_none() || other.play != clip.play || other.view == clip.view {
                continue;
            }
            let size = self.film(other.film.as_str()).await?.size();
            let cameras = self.cameras_of(&other).await?;
            let first = cameras.frames.iter().flatten().find(|c| c.quality.trusted);
            let middle = Point2::new(0.5 * f64::from(size.0), 0.55 * f64::from(size.1));
            if let Some(ground) = first.and_then(|c| c.camera.ground_from_pixel(middle, 0.0)) {
                return Ok(Some(ground.x));
            }
        }
        Ok(None)
    }
}
