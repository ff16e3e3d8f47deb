//! Takes the film: every frame rendered on the thread pool, fed in order to the encoder, its true camera kept.

use super::encode::{Encode, Encoder};
use super::frame::{Exposure, Scratch, expose};
use super::lens::Frame;
use super::venue::Venue;
use super::view::ViewSetup;
use crate::stage::Stage;
use anyhow::{Context, Result, anyhow, bail};
use camera::Pinhole;
use field::RuleBook;
use geometry::{Point2, Point3, frame::Field, frame::Pixel};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::path::Path;
use std::sync::mpsc::sync_channel;
use units::Rate;

/// One frame's truth.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct FrameTruth {
    /// Play clock at the middle of the exposure (0 at the snap), s.
    pub time_s: f64,
    /// When it is shown, in frames of the film's rate since its first frame.
    pub tick: i64,
    /// The camera then.
    pub pinhole: Pinhole,
}

/// A film's truth.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FilmTruth {
    /// The view's name.
    pub view: String,
    /// Whose markings.
    pub rule_book: RuleBook,
    /// Rise of the field's middle over the sidelines, yd.
    pub crown_yd: f64,
    /// Frames, or ticks at a variable rate, per second.
    pub rate: Rate,
    /// How long the shutter was open, s.
    pub shutter_s: f64,
    /// Every frame of the file, in order.
    pub frames: Vec<FrameTruth>,
}

impl FilmTruth {
    /// Where a point of the stage (whose ground is flat) appears in a frame, on the crowned field as filmed.
    pub fn pixel(&self, frame: usize, p: Point3<Field>) -> Option<Point2<Pixel>> {
        let crown = field::Crown { height: self.crown_yd };
        let lifted = Point3::new(p.x, p.y, p.z + crown.at(p.ground(), self.rule_book));
        self.frames.get(frame)?.pinhole.pixel_from_field(lifted)
    }
}

/// Frames in flight between the renderer and the encoder.
const QUEUE: usize = 6;

/// Films `stage` from `view` at `venue` into `out`, and gives the truth.
///
/// # Errors
/// When a size is odd or tiny, the stage is shorter than a frame, or the encoder fails.
pub fn shoot(
    venue: &Venue,
    stage: &dyn Stage,
    view: &ViewSetup,
    out: &Path,
    encode: &Encode,
) -> Result<FilmTruth> {
    let (w, h) = (view.station.width as usize, view.station.height as usize);
    if w < 64 || h < 64 || w % 2 == 1 || h % 2 == 1 {
        bail!("a picture of {w} x {h} px: both must be even and at least 64");
    }
    let follow = view.follow(stage);
    let times = view.times(stage);
    let kept: Vec<usize> = (0..times.len()).filter(|&i| encode.keeps(i)).collect();
    let last = *kept.last().ok_or_else(|| anyhow!("the stage is shorter than a frame"))?;
    let mut encoder = Encoder::start(out, w, h, view.rate, encode)?;
    let (send, receive) = sync_channel::<Frame>(QUEUE);
    std::thread::scope(|scope| {
        let writer = scope.spawn(move || -> Result<()> {
            for frame in receive {
                encoder.put(&frame)?;
            }
            encoder.finish()
        });
        let batch = 2 * rayon::current_num_threads();
        let all: Vec<usize> = (0..=last).collect();
        'film: for part in all.chunks(batch) {
            let frames: Vec<Frame> = part
                .par_iter()
                .map_init(Scratch::default, |scratch, &i| {
                    if !encode.keeps(i) {
                        // The encoder throws it away: any picture will do.
                        return Frame { width: w, height: h, planes: vec![16; w * h * 3 / 2] };
                    }
                    // The burned-in number is the frame's index in the file.
                    let index = kept.partition_point(|&k| k < i);
                    expose(
                        venue,
                        stage,
                        &Exposure::following(&follow, times[i], view.shutter_s, index),
                        scratch,
                    )
                })
                .collect();
            for f in frames {
                if send.send(f).is_err() {
                    break 'film; // the writer holds the reason
                }
            }
        }
        drop(send);
        writer.join().map_err(|_| anyhow!("the writer of {} panicked", out.display()))?
    })
    .with_context(|| format!("filming {}", out.display()))?;
    let frames = kept
        .iter()
        .map(|&i| FrameTruth { time_s: times[i], tick: i as i64, pinhole: follow.at(times[i]) })
        .collect();
    Ok(FilmTruth {
        view: view.name.clone(),
        rule_book: venue.look.rule_book,
        crown_yd: venue.look.crown_yd,
        rate: view.rate,
        shutter_s: view.shutter_s,
        frames,
    })
}
