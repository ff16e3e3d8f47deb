use units::FrameTable;

/// Ties one view's film frames to the play's clock: seconds from the snap, shared by both views.
#[derive(Clone, Debug)]
pub struct ViewClock<'a> {
    table: &'a FrameTable,
    snap_s: f64,
}

/// Why a clock was refused.
#[derive(Debug, thiserror::Error, PartialEq)]
pub enum ClockError {
    /// The snap is not in the film.
    #[error("snap at frame {snap_frame} is outside the film's frames 0 to {last}")]
    SnapOutside {
        /// Asked for.
        snap_frame: f64,
        /// Last frame.
        last: usize,
    },
}

impl<'a> ViewClock<'a> {
    /// A clock that reads 0 at film frame `snap_frame` (fractional: the snap may fall between frames).
    ///
    /// # Errors
    /// `SnapOutside` when that is no place in the film.
    pub fn new(table: &'a FrameTable, snap_frame: f64) -> Result<Self, ClockError> {
        let last = table.len() - 1;
        if !(0.0..=last as f64).contains(&snap_frame) {
            return Err(ClockError::SnapOutside { snap_frame, last });
        }
        let whole = snap_frame.floor() as usize;
        let (a, b) = (table.seconds(whole), table.seconds(whole + 1));
        Ok(Self { table, snap_s: a + (snap_frame - snap_frame.floor()) * (b - a) })
    }
    /// Seconds from the snap at which film frame `frame` (fractional) was taken.
    pub fn seconds(&self, frame: f64) -> f64 {
        let whole = frame.max(0.0).floor() as usize;
        let (a, b) = (self.table.seconds(whole), self.table.seconds(whole + 1));
        a + (frame - whole as f64) * (b - a) - self.snap_s
    }
    /// The film frame on screen at `seconds` from the snap.
    pub fn frame(&self, seconds: f64) -> usize {
        self.table.frame_at(seconds + self.snap_s)
    }
    /// The fractional film frame at `seconds` from the snap.
    pub fn position(&self, seconds: f64) -> f64 {
        self.table.position_at(seconds + self.snap_s)
    }
    /// Typical time between frames, s.
    pub fn interval_s(&self) -> f64 {
        self.table.median_interval_seconds()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::Rate;

    #[test]
    fn two_views_meet_at_the_snap() {
        let sideline = FrameTable::new(Rate::new(30, 1).unwrap(), (0..200).collect()).unwrap();
        let end_zone = FrameTable::new(Rate::new(60, 1).unwrap(), (0..400).collect()).unwrap();
        let s = ViewClock::new(&sideline, 40.5).unwrap();
        let e = ViewClock::new(&end_zone, 33.0).unwrap();
        let t = s.seconds(70.5);
        assert!((t - 1.0).abs() < 1e-12);
        assert_eq!(e.frame(t), 93);
        assert!((s.position(t) - 70.5).abs() < 1e-9);
    }

    #[test]
    fn a_snap_off_the_film_is_refused() {
        let t = FrameTable::new(Rate::new(30, 1).unwrap(), (0..10).collect()).unwrap();
        assert_eq!(
            ViewClock::new(&t, 11.0).unwrap_err().to_string(),
            "snap at frame 11 is outside the film's frames 0 to 9"
        );
    }
}
