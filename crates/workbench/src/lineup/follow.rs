//! A clip followed along the chalk from the frames that were clicked.

use super::auto::{FOUND, Found};
use super::cameras::field_model;
use super::solve::{click, general_prior};
use super::source::Source;
use super::{ClipCameras, Half};
use crate::films::Film;
use crate::jobs::{Job, Ticket};
use crate::{WorkError, Workbench};
use camera::CameraEstimate;
use film::{FilmError, Picture, VideoTool};
use picture::GrayView;
use play::{Clip, ClipId, FieldMark, Finding, Severity};
use register::{
    Click, FieldModel, FollowSettings, Follower, FrameEvidence, KnownStation, PictureSize, solve_station,
};
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

/// A stretch to follow from a clicked frame; the clicked frame is its start or, backward, its last.
struct Stretch {
    anchor: u32,
    frames: Range<u32>,
    backward: bool,
}

impl Workbench {
    /// Starts to follow a clip from every frame of it that has clicks enough.
    ///
    /// # Errors
    /// `NotReady` when no frame of the clip can be solved from its clicks, with the reason.
    pub async fn follow(&self, id: &ClipId) -> Result<Job, WorkError> {
        let clip: Clip = self.store.get(id.as_str()).await?;
        self.anchors(&clip).await?;
        let title = match &clip.play {
            Some(play) => {
                let play: play::Play = self.store.get(play.as_str()).await?;
                let view = clip.view.map_or("unknown", crate::views::word);
                format!("Line up play {}, {view} view", play.number)
            }
            None => format!("Line up clip {id}"),
        };
        let request = serde_json::to_string(id)?;
        self.start("follow", title, &request, {
            let id = id.clone();
            move |bench, ticket| bench.run_follow(id, ticket)
        })
        .await
    }
    /// The clips that have clicks and whose field is not held yet.
    ///
    /// # Errors
    /// `Store`.
    pub async fn waiting_for_following(&self) -> Result<Vec<ClipId>, WorkError> {
        let mut out = Vec::new();
        for c in self.clips().await?.into_iter().map(|c| c.clip) {
            let clicked = !self.store.list_of::<FieldMark>(c.id.as_str()).await?.is_empty();
            if clicked && c.play.is_some() && !self.holds(&c).await? {
                out.push(c.id);
            }
        }
        Ok(out)
    }
    /// Cameras of the clicked frames. Frames of one clip share their camera's place where their clicks allow it.
    async fn anchors(&self, clip: &Clip) -> Result<Vec<(u32, CameraEstimate)>, WorkError> {
        let mut by_frame: BTreeMap<u32, Vec<FieldMark>> = BTreeMap::new();
        for mark in self.store.list_of::<FieldMark>(clip.id.as_str()).await? {
            if (clip.first..clip.end).contains(&mark.frame) {
                by_frame.entry(mark.frame).or_default().push(mark);
            }
        }
        let mut frames = Vec::new();
        let mut refused = None;
        for (frame, marks) in &by_frame {
            match self.solve_marks(clip, marks).await? {
                Ok(estimate) => frames.push((*frame, estimate)),
                Err(e) => refused = Some(format!("frame {frame}: {e}")),
            }
        }
        if frames.is_empty() {
            let why = refused.unwrap_or_else(|| "no frame of the clip has clicks on the field".into());
            return Err(WorkError::NotReady(format!("there is no frame to follow from: {why}")));
        }
        if frames.len() < 2 {
            return Ok(frames);
        }
        let game = self.game_of_clip(clip).await?;
        // When the frames contradict each other the camera moved, or a click is wrong that its own frame could not show;
        // then each frame stands alone and following tells.
        let solved: Vec<u32> = frames.iter().map(|f| f.0).collect();
        let clicks: Vec<Vec<Click>> =
            solved.iter().map(|f| by_frame[f].iter().map(click).collect()).collect();
        let (width, height) = self.film(clip.film.as_str()).await?.size();
        let (size, field, prior) = (PictureSize { width, height }, field_model(&game), general_prior(clip));
        let shared = crate::error::blocking(move || {
            Ok::<_, WorkError>(solve_station(&clicks, size, &field, &prior).ok())
        })
        .await?;
        Ok(match shared {
            Some(s) => solved.into_iter().zip(s.frames).collect(),
            None => frames,
        })
    }
    pub(crate) async fn run_follow(self, id: ClipId, ticket: Arc<Ticket>) -> Result<String, WorkError> {
        let clip: Clip = self.store.get(id.as_str()).await?;
        let key = self.camera_key(&clip).await?;
        let game = self.game_of_clip(&clip).await?;
        let film = self.film(clip.film.as_str()).await?;
        let anchors = self.anchors(&clip).await?;
        // A place told by a few clicks is worse than what the chalk of this clip will tell; one told by another clip's
        // chalk is better. This clip's own is left out, so that following again can correct it.
        let stands_at = anchors.iter().find_map(|a| a.1.camera.pinhole()).map(|c| c.station.centre.x);
        let station = match (clip.view, stands_at) {
            (Some(view), Some(x)) => {
                self.station(&game.id, view, Half::of(view, x, game.rule_book.length()), Some(&clip.id))
                    .await?
            }
            _ => None,
        };
        let work = Work {
            tool: self.outside.tool.clone(),
            film,
            field: field_model(&game),
            station,
            clip: clip.clone(),
            anchors,
        };
        let held = ticket.clone();
        let (cameras, learned, evidence) = crate::error::blocking(move || work.run(&held)).await?;
        let found = Found {
            cameras: cameras.clone(),
            evidence,
            votes: Vec::new(),
            moves: false,
            clicked: true,
            placed: false,
            findings: Vec::new(),
        };
        let (trusted, all) =
            (cameras.frames.iter().flatten().filter(|c| c.quality.trusted).count(), cameras.frames.len());
        if let Some(gap) = first_gap(&cameras) {
            let said = format!(
                "frames {} to {} could not be lined up with trust; click the field in one of them and follow again",
                gap.start,
                gap.end - 1
            );
            ticket.find(Finding::new(Severity::Weak, "frames-untrusted", said));
        }
        self.put_cameras(&clip, key, cameras).await?;
        if let (Some(station), Some(view)) = (learned, clip.view) {
            self.learn_station(&game, view, &clip.id, station).await?;
        }
        // What clicks told of this clip tells of the game's others.
        let key = self.found_key(&clip, &game).await?;
        self.store.put_computed(FOUND, clip.id.as_str(), &key, &serde_json::to_string(&found)?).await?;
        if self.was_settled(&game.id).await? {
            self.settle_game(&game.id).await?;
        }
        Ok(format!("{trusted} of {all} frames lined up with trust"))
    }
}

/// The first stretch of frames without a camera to be trusted.
fn first_gap(cameras: &ClipCameras) -> Option<Range<u32>> {
    let good = |c: &Option<CameraEstimate>| c.as_ref().is_some_and(|c| c.quality.trusted);
    let start = cameras.frames.iter().position(|c| !good(c))?;
    let length = cameras.frames[start..].iter().position(good).unwrap_or(cameras.frames.len() - start);
    let first = cameras.first + start as u32;
    Some(first..first + length as u32)
}

/// Cameras of a clip, the place of its camera where it was learned, and what some frames showed.
type Carried = (ClipCameras, Option<KnownStation>, Vec<(u32, FrameEvidence)>);

/// Frames of a clip that tell of the game's camera.
const TELLING: u32 = 6;

/// Everything a thread needs.
struct Work {
    tool: VideoTool,
    film: Arc<Film>,
    field: FieldModel,
    station: Option<KnownStation>,
    clip: Clip,
    anchors: Vec<(u32, CameraEstimate)>,
}

impl Work {
    fn run(self, ticket: &Ticket) -> Result<Carried, WorkError> {
        let source = Source::open(&self.tool, &self.film)?;
        let mut cameras = ClipCameras::of(&self.clip);
        cameras.solved = self.anchors.iter().map(|a| a.0).collect();
        let total = u64::from(self.clip.end - self.clip.first);
        let mut done = 0;
        let mut learned: Option<(u32, KnownStation)> = None;
        let mut evidence = Vec::new();
        let every = (self.clip.end - self.clip.first).div_ceil(TELLING).max(1);
        for s in stretches(&self.clip, &self.anchors) {
            let (_, first) =
                self.anchors.iter().find(|a| a.0 == s.anchor).expect("stretches begin at clicked frames");
            let (w, h) = self.film.size();
            let settings = FollowSettings { station: self.station.clone() };
            let mut follower =
                Follower::new(first, PictureSize { width: w, height: h }, &self.field, &settings);
            let mut each = |frame: u32, picture: &Picture| -> Result<(), WorkError> {
                if ticket.cancelled() {
                    return Err(FilmError::Cancelled.into());
                }
                let view = GrayView::new(picture.width, picture.height, &picture.data)
                    .map_err(|e| WorkError::Broken(e.to_string()))?;
                let camera = follower.next(view);
                // The clicked frame is followed in both directions; its second visit only starts the follower.
                if cameras.get(frame).is_none() {
                    done += 1;
                    if camera.quality.trusted && (frame - self.clip.first).is_multiple_of(every) {
                        evidence.extend(follower.evidence(&camera).map(|e| (frame, e)));
                    }
                    cameras.set(frame, camera);
                }
                ticket.progress(done, total);
                Ok(())
            };
            if s.backward {
                source.backward(s.frames.clone(), &mut each)?
            } else {
                source.forward(s.frames.clone(), &mut each)?
            };
            let length = s.frames.end - s.frames.start;
            if let Some(station) = follower.station()
                && learned.as_ref().is_none_or(|l| l.0 < length)
            {
                learned = Some((length, station));
            }
        }
        // A place that was given is not learned again.
        Ok((cameras, learned.map(|l| l.1).filter(|_| self.station.is_none()), evidence))
    }
}

/// The clip cut at the clicked frames and half-way between them.
fn stretches(clip: &Clip, anchors: &[(u32, CameraEstimate)]) -> Vec<Stretch> {
    let mut out = Vec::new();
    for (k, &(anchor, _)) in anchors.iter().enumerate() {
        let from = match k.checked_sub(1).map(|p| anchors[p].0) {
            Some(before) => before + (anchor - before) / 2 + 1,
            None => clip.first,
        };
        let end = match anchors.get(k + 1) {
            Some(&(after, _)) => anchor + (after - anchor) / 2 + 1,
            None => clip.end,
        };
        out.push(Stretch { anchor, frames: anchor..end, backward: false });
        if from < anchor {
            out.push(Stretch { anchor, frames: from..anchor + 1, backward: true });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use camera::{FieldCamera, FrameQuality};

    #[test]
    fn stretches_cover_the_clip_once() {
        let clip = Clip {
            id: "c".into(),
            film: "f".into(),
            first: 10,
            end: 100,
            view: None,
            play: None,
            snap_frame: None,
        };
        let camera = || CameraEstimate {
            camera: FieldCamera::Plane { pixel_from_ground: [0.0; 9] },
            covariance: vec![0.0; 64],
            quality: FrameQuality { rms_px: 0.0, evidence: 0, coverage: 0.0, trusted: false },
        };
        for frames in [vec![10], vec![50], vec![99], vec![20, 21], vec![12, 60, 90]] {
            let anchors: Vec<_> = frames.iter().map(|&f| (f, camera())).collect();
            let mut seen = [0u32; 100];
            for s in stretches(&clip, &anchors) {
                assert!(if s.backward { s.frames.end - 1 == s.anchor } else { s.frames.start == s.anchor });
                for f in s.frames {
                    // The clicked frame itself starts both directions.
                    if !(s.backward && f == s.anchor) {
                        seen[f as usize] += 1;
                    }
                }
            }
            assert!(
                seen[..10].iter().all(|&n| n == 0) && seen[10..].iter().all(|&n| n == 1),
                "{frames:?}: {seen:?}"
            );
        }
    }
}
