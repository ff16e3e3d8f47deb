//! One clip by itself: its field found in some frame, followed both ways, found again where it was lost.

use super::colour::full_range;
use super::found::{Found, Reading, Vote, foot};
use crate::WorkError;
use crate::films::Film;
use crate::lineup::ClipCameras;
use crate::lineup::source::Source;
use camera::{CameraEstimate, FieldCamera};
use film::{FilmError, Picture, PixelFormat, VideoTool};
use picture::GrayView;
use play::{Clip, Finding, Severity};
use register::{
    FieldModel, FollowSettings, Follower, FrameView, GameSettings, KnownAboutClip, KnownStation, PictureSize,
    StartCandidate, find_field, freed, one_centre,
};
use std::collections::VecDeque;
use std::sync::Arc;

/// Everything a thread needs.
pub(super) struct ClipWork {
    pub tool: VideoTool,
    pub film: Arc<Film>,
    pub field: FieldModel,
    pub clip: Clip,
    pub known: KnownAboutClip,
}

/// Frames held to be followed backward, bytes: a few seconds at 720 lines.
const HELD_BYTES: usize = 120_000_000;
/// Frames from a clip's first try for a start to the second.
const TRY_AFTER: u32 = 12;
/// Least probability with which a start is tried.
const WORTH: f64 = 0.1;
/// After how many lost frames the field is looked for anew, and how often then.
const LOST: [u32; 4] = [3, 9, 20, 40];
/// Places of a clip where its reading is asked for again.
const AGAIN: [f64; 2] = [0.45, 0.8];
/// Frames of a clip that tell of the game's camera.
const TELLING: u32 = 6;
/// Lost frames after which following backward gives up.
const GIVE_UP: u32 = 12;
/// Factor on the variance that a start without clicks claims.
const START_DOUBT: f64 = 16.0;
/// Standard deviation with which a free homography starts, px.
const FREED_PX: f64 = 2.0;

/// Where progress goes and whether to stop.
pub(super) trait Watch: Sync {
    /// One more frame is done.
    fn frame(&self) -> Result<(), FilmError>;
}

impl ClipWork {
    fn size(&self) -> PictureSize {
        let (width, height) = self.film.size();
        PictureSize { width, height }
    }

    /// Finds and follows the clip.
    pub fn run(&self, watch: &dyn Watch) -> Result<Found, WorkError> {
        let source = Source::open(&self.tool, &self.film)?;
        let mut pass = Pass::new(self);
        pass.stream(&source, watch)?;
        let mut found = pass.end();
        let still = GameSettings::known_crown(self.field.rule_book, self.field.crown);
        let frames: Vec<_> = found.evidence.iter().map(|e| e.1.clone()).collect();
        if frames.len() >= 3 && one_centre(&frames, &still).is_some_and(|c| !c.holds()) {
            self.free(&source, &mut found)?;
        }
        Ok(found)
    }

    /// The camera moved: follows the clip again by free homographies from the frame that was held best.
    fn free(&self, source: &Source, found: &mut Found) -> Result<(), WorkError> {
        let best = (found.cameras.first..)
            .zip(&found.cameras.frames)
            .filter_map(|(k, c)| c.as_ref().filter(|c| c.quality.trusted).map(|c| (k, c)))
            .max_by(|a, b| a.1.quality.coverage.total_cmp(&b.1.quality.coverage))
            .and_then(|(k, c)| Some((k, freed(c, FREED_PX)?)));
        let Some((anchor, start)) = best else { return Ok(()) };
        let mut cameras = ClipCameras::of(&self.clip);
        for backward in [false, true] {
            let mut follower = Follower::new(&start, self.size(), &self.field, &FollowSettings::default());
            let mut each = |frame: u32, p: &Picture| -> Result<(), WorkError> {
                let view = GrayView::new(p.width, p.height, &p.data)
                    .map_err(|e| WorkError::Broken(e.to_string()))?;
                cameras.set(frame, follower.next(view));
                Ok(())
            };
            if backward {
                source.backward(self.clip.first..anchor + 1, &mut each)?;
            } else {
                source.forward(anchor..self.clip.end, &mut each)?;
            }
        }
        found.cameras = cameras;
        found.evidence.clear();
        found.moves = true;
        Ok(())
    }
}

/// One decoding of the clip.
struct Pass<'a> {
    work: &'a ClipWork,
    found: Found,
    follower: Option<Follower>,
    /// Luma of the frames since the field was last held.
    held: VecDeque<(u32, Vec<u8>)>,
    asked: Vec<u32>,
    /// Frame of the clip at which a start is tried next.
    next_try: u32,
    why: Option<Finding>,
}

impl<'a> Pass<'a> {
    fn new(work: &'a ClipWork) -> Self {
        let found = Found {
            cameras: ClipCameras::of(&work.clip),
            evidence: Vec::new(),
            votes: Vec::new(),
            moves: false,
            clicked: false,
            placed: work.known.station.is_some(),
            findings: Vec::new(),
        };
        Self {
            work,
            found,
            follower: None,
            held: VecDeque::new(),
            asked: again(&work.clip),
            next_try: 0,
            why: None,
        }
    }

    fn stream(&mut self, source: &Source, watch: &dyn Watch) -> Result<(), WorkError> {
        let clip = &self.work.clip;
        let mut stream = source.planar(clip.first..clip.end, self.work.film.size())?;
        let mut picture = Picture { width: 0, height: 0, format: PixelFormat::Yuv420p, data: Vec::new() };
        while let Some(index) = stream.read_into(&mut picture)? {
            watch.frame()?;
            self.frame(index as u32, &picture)?;
        }
        Ok(())
    }

    fn frame(&mut self, index: u32, p: &Picture) -> Result<(), WorkError> {
        let luma = luma(p)?;
        let Some(follower) = &mut self.follower else {
            if index - self.work.clip.first >= self.next_try {
                // Farther and farther apart: what the first pictures do not show, later ones rarely do.
                self.next_try = 2 * self.next_try + TRY_AFTER;
                self.begin(index, p)?;
            }
            if self.follower.is_none() {
                self.hold(index, p);
            }
            return Ok(());
        };
        let camera = follower.next(luma);
        let lost = follower.lost_for();
        let tells = camera.quality.trusted
            && (index - self.work.clip.first)
                .is_multiple_of((self.work.clip.end - self.work.clip.first).div_ceil(TELLING).max(1));
        if tells {
            self.found.evidence.extend(follower.evidence(&camera).map(|e| (index, e)));
        }
        let trusted = camera.quality.trusted;
        self.found.cameras.set(index, camera.clone());
        if lost == 0 {
            self.held.clear();
        } else {
            self.hold(index, p);
            if LOST.contains(&lost) || (lost > LOST[3] && lost.is_multiple_of(LOST[3])) {
                self.find_again(index, p)?;
            }
        }
        if trusted && self.asked.last().is_some_and(|&a| index >= a) {
            self.asked.pop();
            self.ask(index, p, &camera);
        }
        Ok(())
    }

    fn hold(&mut self, index: u32, p: &Picture) {
        let n = p.width as usize * p.height as usize;
        let most = (HELD_BYTES / n.max(1)).max(8);
        // The oldest memory is used again.
        let mut data = if self.held.len() >= most {
            self.held.pop_front().map(|h| h.1).unwrap_or_default()
        } else {
            Vec::with_capacity(n)
        };
        data.clear();
        data.extend_from_slice(&p.data[..n]);
        self.held.push_back((index, data));
    }

    fn look(&self, index: u32, p: &Picture, known: &KnownAboutClip) -> (Vec<StartCandidate>, Vec<Finding>) {
        let Some((gray, colour)) = full_range(p) else { return Default::default() };
        let view = FrameView { index, luma: gray.view(), colour: colour.as_ref().map(|c| c.view()) };
        find_field(&[view], self.work.size(), &self.work.field, known)
    }

    /// Looks for the field where nothing is known of the camera yet.
    fn begin(&mut self, index: u32, p: &Picture) -> Result<(), WorkError> {
        let (candidates, findings) = self.look(index, p, &self.work.known);
        // Where the camera is known to stand, a likelier place elsewhere is most often a misreading.
        let placed = self.work.known.station.as_ref();
        let here = placed.and_then(|k| candidates.iter().find(|c| near(&c.camera, k)));
        let Some(best) = here.or(candidates.first()).filter(|c| c.probability >= WORTH) else {
            self.why = findings.into_iter().next().or(self.why.take());
            return Ok(());
        };
        let Some((follower, camera)) = self.follow_from(&best.camera, self.work.known.station.as_ref(), p)?
        else {
            return Ok(());
        };
        self.vote(index, &candidates, &camera);
        self.found.cameras.solved.push(index);
        self.found.cameras.set(index, camera);
        self.backward(&follower, p)?;
        self.follower = Some(follower);
        Ok(())
    }

    /// A follower that holds this frame from `start`, and the frame's camera.
    fn follow_from(
        &self,
        start: &CameraEstimate,
        station: Option<&KnownStation>,
        p: &Picture,
    ) -> Result<Option<(Follower, CameraEstimate)>, WorkError> {
        // A place that the start itself contradicts is another camera's.
        let station = station.filter(|k| near(start, k)).cloned();
        // One frame's idea of the centre must not outweigh what the clip will show.
        let start = CameraEstimate {
            covariance: start.covariance.iter().map(|v| v * START_DOUBT).collect(),
            ..start.clone()
        };
        let mut follower =
            Follower::new(&start, self.work.size(), &self.work.field, &FollowSettings { station });
        let camera = follower.next(luma(p)?);
        Ok(camera.quality.trusted.then_some((follower, camera)))
    }

    /// Carries the camera back over the frames held.
    fn backward(&mut self, from: &Follower, p: &Picture) -> Result<(), WorkError> {
        let mut follower = from.clone();
        follower.next(luma(p)?);
        let (w, h) = (p.width, p.height);
        for (index, data) in self.held.drain(..).rev() {
            let view = GrayView::new(w, h, &data).map_err(|e| WorkError::Broken(e.to_string()))?;
            let camera = follower.next(view);
            if follower.lost_for() > GIVE_UP {
                break;
            }
            let better = |old: &CameraEstimate| camera.quality.trusted || !old.quality.trusted;
            if self.found.cameras.get(index).is_none_or(better) {
                self.found.cameras.set(index, camera);
            }
        }
        Ok(())
    }

    /// Looks for the field again after it was lost, from the place the clip's camera is known to have.
    fn find_again(&mut self, index: u32, p: &Picture) -> Result<(), WorkError> {
        let Some(station) = self.follower.as_ref().and_then(Follower::station) else { return Ok(()) };
        let known = KnownAboutClip { station: Some(station.clone()), ..self.work.known.clone() };
        let (candidates, _) = self.look(index, p, &known);
        // The clip's own centre tells the yard line here.
        let fitting = candidates
            .iter()
            .filter(|c| near(&c.camera, &station))
            .max_by(|a, b| a.probability.total_cmp(&b.probability));
        let Some(best) = fitting.filter(|c| c.probability >= 0.5) else { return Ok(()) };
        let Some((follower, camera)) = self.follow_from(&best.camera, Some(&station), p)? else {
            return Ok(());
        };
        self.found.cameras.set(index, camera);
        self.held.pop_back();
        self.backward(&follower, p)?;
        self.follower = Some(follower);
        Ok(())
    }

    /// Asks a frame on its own for its reading, to be held against how it was followed.
    fn ask(&mut self, index: u32, p: &Picture, camera: &CameraEstimate) {
        // What is known of the ball and of the place counted at the start already.
        let known = KnownAboutClip {
            view: self.work.known.view,
            beyond: self.work.known.beyond,
            direction: self.work.known.direction,
            ..KnownAboutClip::default()
        };
        let (candidates, _) = self.look(index, p, &known);
        self.vote(index, &candidates, camera);
    }

    fn vote(&mut self, index: u32, candidates: &[StartCandidate], camera: &CameraEstimate) {
        let at = foot(self.work.film.size());
        let book = self.work.field.rule_book;
        let Some(here) = camera.camera.ground_from_pixel(at, 0.0) else { return };
        let readings: Vec<(Reading, f64)> = candidates
            .iter()
            .filter_map(|c| {
                let there = c.camera.camera.ground_from_pixel(at, 0.0)?;
                Some((Reading::between(here, there, book, 1.5)?, c.probability))
            })
            .collect();
        let grounds = candidates.first().and_then(|c| c.grounds.yard_line.clone());
        if !readings.is_empty() {
            self.found.votes.push(Vote { frame: index, readings, grounds });
        }
    }

    fn end(mut self) -> Found {
        if self.follower.is_none() {
            let why = self.why.take().map_or_else(
                || "no frame shows enough chalk to tell where the field is".to_owned(),
                |f| f.message,
            );
            self.found.findings.push(Finding::new(Severity::Missing, "field-not-found", why));
        }
        self.found
    }
}

/// Frames at which the reading is asked for again, the last first.
fn again(clip: &Clip) -> Vec<u32> {
    let n = f64::from(clip.end - clip.first);
    AGAIN.iter().rev().map(|s| clip.first + (s * n) as u32).collect()
}

fn luma(p: &Picture) -> Result<GrayView<'_>, WorkError> {
    let n = p.width as usize * p.height as usize;
    GrayView::new(p.width, p.height, &p.data[..n]).map_err(|e| WorkError::Broken(e.to_string()))
}

/// Whether a camera found in one frame can be the one that stands at `known`. A frame by itself confuses distance with zoom by yards,
/// but never a yard line's five yards along the field.
fn near(e: &CameraEstimate, known: &KnownStation) -> bool {
    let FieldCamera::Pinhole(p) = &e.camera else { return false };
    let d = p.station.centre - known.station.centre;
    d.x.abs() < 2.4 && d.y.abs() < 6.0 && d.z.abs() < 3.0
}
