use crate::{MediaTime, Rate};
use serde::{Deserialize, Serialize};

/// When each decoded frame of a film is shown: the one source of truth that ties a frame's index to
/// its time, for constant and variable rates alike.
///
/// Shape: one strictly increasing tick per frame, at least one frame. Unit: ticks of `rate`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "RawTable", into = "RawTable")]
pub struct FrameTable {
    rate: Rate,
    ticks: Vec<i64>,
}

#[derive(Serialize, Deserialize)]
struct RawTable {
    rate: Rate,
    ticks: Vec<i64>,
}
impl TryFrom<RawTable> for FrameTable {
    type Error = FrameTableError;
    fn try_from(r: RawTable) -> Result<Self, FrameTableError> {
        Self::new(r.rate, r.ticks)
    }
}
impl From<FrameTable> for RawTable {
    fn from(t: FrameTable) -> Self {
        Self { rate: t.rate, ticks: t.ticks }
    }
}

/// Why a frame table was refused.
#[derive(Debug, thiserror::Error, PartialEq, Eq)]
pub enum FrameTableError {
    /// No frame at all.
    #[error("the film has no frame")]
    Empty,
    /// Two frames share a time or go backwards.
    #[error("frame {index} is shown at tick {tick}, not after frame {} at tick {before}", index - 1)]
    NotIncreasing {
        /// Index of the later frame.
        index: usize,
        /// Its tick.
        tick: i64,
        /// The tick of the frame before it.
        before: i64,
    },
}

impl FrameTable {
    /// A table from presentation ticks in order of frame index.
    ///
    /// # Errors
    /// `Empty`, or `NotIncreasing` naming the first frame that does not come after its neighbour.
    pub fn new(rate: Rate, ticks: Vec<i64>) -> Result<Self, FrameTableError> {
        if ticks.is_empty() {
            return Err(FrameTableError::Empty);
        }
        if let Some(i) = ticks.windows(2).position(|w| w[1] <= w[0]) {
            return Err(FrameTableError::NotIncreasing {
                index: i + 1,
                tick: ticks[i + 1],
                before: ticks[i],
            });
        }
        Ok(Self { rate, ticks })
    }
    /// Number of frames, at least one.
    #[allow(clippy::len_without_is_empty)] // never empty by construction
    pub fn len(&self) -> usize {
        self.ticks.len()
    }
    /// Ticks per second.
    pub fn rate(&self) -> Rate {
        self.rate
    }
    /// The ticks, in order of frame index.
    pub fn ticks(&self) -> &[i64] {
        &self.ticks
    }
    /// When frame `index` is shown; `None` past the end.
    pub fn time(&self, index: usize) -> Option<MediaTime> {
        self.ticks.get(index).map(|&t| MediaTime::new(t, self.rate))
    }
    /// Seconds at which frame `index` is shown; the last frame's for a larger index.
    pub fn seconds(&self, index: usize) -> f64 {
        MediaTime::new(self.ticks[index.min(self.ticks.len() - 1)], self.rate).seconds()
    }
    /// The frame on screen at `seconds`: the last whose time is not after it (the first frame before the film begins).
    pub fn frame_at(&self, seconds: f64) -> usize {
        self.ticks
            .partition_point(|&t| MediaTime::new(t, self.rate).seconds() <= seconds + 1e-9)
            .saturating_sub(1)
    }
    /// The fractional frame index at `seconds`, linear between frames and clamped to the film.
    pub fn position_at(&self, seconds: f64) -> f64 {
        let i = self.frame_at(seconds);
        if i + 1 >= self.ticks.len() {
            return (self.ticks.len() - 1) as f64;
        }
        let (a, b) = (self.seconds(i), self.seconds(i + 1));
        i as f64 + ((seconds - a) / (b - a)).clamp(0.0, 1.0)
    }
    /// Median time between frames, s; 1/30 for a single frame, which has none.
    pub fn median_interval_seconds(&self) -> f64 {
        let mut gaps: Vec<i64> = self.ticks.windows(2).map(|w| w[1] - w[0]).collect();
        if gaps.is_empty() {
            return 1.0 / 30.0;
        }
        gaps.sort_unstable();
        MediaTime::new(gaps[gaps.len() / 2], self.rate).seconds()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn variable_rate_maps_both_ways() {
        let t = FrameTable::new(Rate::new(1000, 1).unwrap(), vec![0, 33, 100, 133]).unwrap();
        for i in 0..4 {
            assert_eq!(t.frame_at(t.seconds(i)), i);
        }
        assert_eq!(t.frame_at(0.05), 1);
        assert_eq!(t.frame_at(-1.0), 0);
        assert_eq!(t.frame_at(9.0), 3);
        assert!((t.position_at(0.0665) - 1.5).abs() < 1e-9);
    }

    #[test]
    fn backward_time_is_refused_by_frame() {
        let e = FrameTable::new(Rate::new(25, 1).unwrap(), vec![0, 1, 1]).unwrap_err();
        assert_eq!(e, FrameTableError::NotIncreasing { index: 2, tick: 1, before: 1 });
    }
}
