//! Stretches of film around the throw, as one MP4: for a report's cited plays and for film sessions.

use crate::films::Film;
use crate::jobs::Ticket;
use crate::{WorkError, Workbench};
use film::{Cutup, FrameSource, Hold, Monitor, OriginalReader, ProxyReader, Segment, VideoTool, make_cutup};
use play::{Moment, MomentKind, PlayId, View, ViewClock};
use std::ops::Range;
use std::path::Path;
use std::sync::Arc;
use units::Rate;

/// Film before the snap, s: the picture is seen before the ball moves.
const BEFORE_S: f64 = 1.0;
/// Film after the ball arrived, s: what came of it is seen.
const AFTER_S: f64 = 1.5;
/// Film after the last known moment when no arrival is known, s.
const AFTER_LAST_S: f64 = 2.5;
/// Film after the snap when nothing else is known, s.
const UNKNOWN_S: f64 = 6.0;

/// A run of frames of one view of a play.
pub(crate) struct Stretch {
    film: Arc<Film>,
    frames: Range<usize>,
    /// Frame to stay on, and for how long, s.
    pause: Option<(usize, f64)>,
}

/// How a cut-up looks.
#[derive(Clone, Copy)]
pub(crate) struct Look {
    pub width: u32,
    pub height: u32,
    pub quality: u8,
    /// Frames of the originals where they can be read; else of the proxies.
    pub originals: bool,
}

impl Workbench {
    /// A play's views, sideline first, from before the snap to after the arrival; empty for a play without film. The picture stays
    /// `pause_s` on the release.
    pub(crate) async fn stretches(&self, play: &PlayId, pause_s: f64) -> Result<Vec<Stretch>, WorkError> {
        let moments =
            crate::facts::ready(self.measurement(play).await)?.map(|m| m.moments).unwrap_or_default();
        let mut clips = self.clips_of(play).await?;
        clips.retain(|c| c.view.is_some());
        clips.sort_by_key(|c| c.view != Some(View::Sideline));
        let mut out = Vec::new();
        for clip in clips {
            let film = self.film(clip.film.as_str()).await?;
            let whole = clip.first as usize..clip.end as usize;
            let (frames, pause) = match clip.snap_frame {
                None => (whole, None),
                Some(snap) => {
                    let clock = ViewClock::new(&film.ingested.clock.table, snap)
                        .map_err(|e| WorkError::Invalid(e.to_string()))?;
                    let within = |s: f64| clock.frame(s).clamp(whole.start, whole.end - 1);
                    let frames = within(-BEFORE_S)..within(end_of(&moments)) + 1;
                    let release = moments.iter().find(|m| m.kind == MomentKind::Release);
                    let pause = release.filter(|_| pause_s > 0.0).map(|m| (within(m.at_s.value), pause_s));
                    (frames, pause)
                }
            };
            out.push(Stretch { film, frames, pause });
        }
        Ok(out)
    }
}

/// When a play's film may end, s from the snap.
fn end_of(moments: &[Moment]) -> f64 {
    let at = |kind| moments.iter().find(|m| m.kind == kind).map(|m| m.at_s.value);
    let last = moments.iter().filter(|m| m.kind != MomentKind::Snap).map(|m| m.at_s.value).reduce(f64::max);
    at(MomentKind::Arrival).map(|t| t + AFTER_S).or(last.map(|t| t + AFTER_LAST_S)).unwrap_or(UNKNOWN_S)
}

/// Joins stretches into an MP4 at 30 frames per second; blocks. `done` is told the share done, 0 to 1.
pub(crate) fn cut(
    tool: &VideoTool,
    stretches: &[Stretch],
    look: Look,
    path: &Path,
    ticket: &Ticket,
    done: &mut dyn FnMut(f64),
) -> Result<(), WorkError> {
    enum Reader {
        Original(OriginalReader),
        Proxy(ProxyReader),
    }
    let mut readers = Vec::new();
    for s in stretches {
        let f = &s.film;
        let original =
            look.originals.then(|| OriginalReader::open(tool, &f.original, &f.probe, &f.ingested.clock));
        readers.push(match original {
            Some(Ok(reader)) => Reader::Original(reader),
            // An original that is gone or changed is no reason to show nothing: its proxy has every frame.
            _ => Reader::Proxy(ProxyReader::open(tool, &f.proxy, &f.ingested.proxy)?),
        });
    }
    let segments = stretches
        .iter()
        .zip(&readers)
        .map(|(s, reader)| Segment {
            source: match reader {
                Reader::Original(r) => FrameSource::Original(r),
                Reader::Proxy(r) => FrameSource::Proxy(r),
            },
            table: &s.film.ingested.clock.table,
            range: s.frames.clone(),
            speed: 1.0,
            holds: s.pause.map(|(frame, seconds)| Hold { frame, seconds }).into_iter().collect(),
            overlay: None,
        })
        .collect();
    let cutup = Cutup {
        width: look.width,
        height: look.height,
        rate: Rate::new(30, 1).expect("thirty frames per second is a rate"),
        quality: look.quality,
        segments,
        notes: Vec::new(),
    };
    let mut report = |p: film::Progress| {
        if let Some(total) = p.total.filter(|t| *t > 0) {
            done(p.done as f64 / total as f64);
        }
    };
    make_cutup(tool, cutup, path, &mut Monitor::new(&ticket.cancel, &mut report))?;
    Ok(())
}
