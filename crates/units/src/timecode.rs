use std::fmt;

/// Drop-frame time code at 30000/1001 or 60000/1001 frames per second (SMPTE ST 12-1): numbers are left out, never
/// frames, so that an hour of code is an hour of clock to within 4 ms.
///
/// A display of a frame index; times are computed from [`crate::MediaTime`], never from this.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DropFrameTimecode {
    /// Hours, not wrapped at a day.
    pub hours: u64,
    /// Minutes, 0 to 59.
    pub minutes: u8,
    /// Seconds, 0 to 59.
    pub seconds: u8,
    /// Frame of the second, 0 to 29 or 0 to 59.
    pub frame: u8,
}

/// The two rates that drop-frame time code is defined for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DropFrameRate {
    /// 30000/1001 frames per second; two numbers are left out.
    Ntsc30,
    /// 60000/1001 frames per second; four numbers are left out.
    Ntsc60,
}

impl DropFrameTimecode {
    /// The time code of frame `index`, counted from zero at 00:00:00;00.
    pub const fn from_frame(index: u64, rate: DropFrameRate) -> Self {
        let scale = match rate {
            DropFrameRate::Ntsc30 => 1,
            DropFrameRate::Ntsc60 => 2,
        };
        // The first numbers of every minute but each tenth are left out.
        let (per_second, dropped) = (30 * scale, 2 * scale);
        let per_minute = 60 * per_second - dropped;
        let per_ten = 10 * per_minute + dropped;
        let (tens, within) = (index / per_ten, index % per_ten);
        // The tenth minute itself is a full one, `dropped` longer than the nine after it.
        let minutes_dropped = if within < dropped { 0 } else { (within - dropped) / per_minute };
        let number = index + dropped * (9 * tens + minutes_dropped);
        let seconds = number / per_second;
        Self {
            hours: seconds / 3600,
            minutes: (seconds / 60 % 60) as u8,
            seconds: (seconds % 60) as u8,
            frame: (number % per_second) as u8,
        }
    }
}

/// As the standard writes it, with a semicolon before the frame.
impl fmt::Display for DropFrameTimecode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}:{:02}:{:02};{:02}", self.hours, self.minutes, self.seconds, self.frame)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at_30(index: u64) -> String {
        DropFrameTimecode::from_frame(index, DropFrameRate::Ntsc30).to_string()
    }

    /// Values of the PyPI reference library `timecode` at 29.97 frames per second; those at 59.94 follow by doubling.
    #[test]
    fn published_frames() {
        for (index, code) in [
            (0, "00:00:00;00"),
            (1799, "00:00:59;29"),
            (1800, "00:01:00;02"),
            (17_981, "00:09:59;29"),
            (17_982, "00:10:00;00"),
            (107_892, "01:00:00;00"),
        ] {
            assert_eq!(at_30(index), code);
        }
        let at_60 = |i| DropFrameTimecode::from_frame(i, DropFrameRate::Ntsc60).to_string();
        assert_eq!([at_60(3599), at_60(3600), at_60(215_784)], ["00:00:59;59", "00:01:00;04", "01:00:00;00"]);
    }

    /// SMPTE ST 12-1: counting by ones, frame numbers 00 and 01 are skipped at the start of every minute not
    /// divisible by ten; checked against that rule applied one frame at a time over two hours.
    #[test]
    fn every_frame_follows_the_counting_rule() {
        let (mut h, mut m, mut s, mut f) = (0u64, 0u8, 0u8, 0u8);
        for index in 0..215_784 {
            let code = DropFrameTimecode::from_frame(index, DropFrameRate::Ntsc30);
            assert_eq!(
                code,
                DropFrameTimecode { hours: h, minutes: m, seconds: s, frame: f },
                "frame {index}"
            );
            f += 1;
            if f == 30 {
                (f, s) = (0, s + 1);
            }
            if s == 60 {
                (s, m) = (0, m + 1);
                if m == 60 {
                    (m, h) = (0, h + 1);
                }
                if m % 10 != 0 {
                    f = 2;
                }
            }
        }
    }
}
