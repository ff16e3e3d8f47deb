//! The snap from the film alone: twenty-two people who stood still begin to move at once.

use stats::Estimate;

/// Share of the clip's greatest stir from which a play is certainly on.
const ON: f64 = 0.3;
/// Frames before the start that say how restless the waiting is: a man in motion, a crowd, compression.
const WAITING: std::ops::Range<usize> = 6..36;
/// How far above the waiting's middle the start must be, in its standard deviations.
const CLEAR_SD: f64 = 4.5;
/// The same at least, share of the greatest stir: noise that happens to be very even is no measure.
const CLEAR_SHARE: f64 = 0.012;
/// Frames from the ball's first move to the first frame that shows it, and their standard deviation: any part of a frame
/// before the exposure, and as much again until it has left its own outline.
const LATE_FRAMES: Estimate = Estimate::new(0.75, 0.6);

/// When a stir begins that then carries through: film frame, fractional. `stir` holds the changed area (any unit) of frames
/// that follow each other from `first` on. `None` when nothing begins in it, or what begins does so from a waiting too
/// short to judge.
pub fn onset(first: u32, stir: &[f64]) -> Option<Estimate> {
    let most = stir.iter().copied().fold(0.0, f64::max);
    let on = stir.iter().position(|s| *s >= ON * most).filter(|_| most > 0.0)?;
    if on < WAITING.start + 6 {
        return None;
    }
    // The waiting may end anywhere before that: begin with what is surely waiting, and come nearer.
    let mut start = on;
    for _ in 0..3 {
        let waiting = &stir[start.saturating_sub(WAITING.end)..start.saturating_sub(WAITING.start)];
        if waiting.len() < 6 {
            return None;
        }
        let middle = median(waiting);
        let spread = 1.48 * median(&waiting.iter().map(|s| (s - middle).abs()).collect::<Vec<_>>());
        let clear = middle + (CLEAR_SD * spread).max(CLEAR_SHARE * most);
        // Back from where the play is on until two frames in a row are quiet.
        let mut k = on;
        while k > 1 && (stir[k - 1] > clear || stir[k - 2] > clear) {
            k -= 1;
        }
        while k < on && stir[k] <= clear {
            k += 1;
        }
        if k == start {
            break;
        }
        start = k;
    }
    Some(Estimate::new(f64::from(first) + start as f64 - LATE_FRAMES.value, LATE_FRAMES.se))
}

fn median(values: &[f64]) -> f64 {
    let mut v = values.to_vec();
    v.sort_by(f64::total_cmp);
    v[v.len() / 2]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Waiting at `level` with a little noise, then a rise that takes a third of a second.
    fn clip(level: f64, at: usize) -> Vec<f64> {
        (0..120usize)
            .map(|k| {
                let noise = 0.05 * f64::from((k * 7919 % 13) as u8);
                level + noise + 30.0 * (k.saturating_sub(at) as f64 / 10.0).clamp(0.0, 1.0)
            })
            .collect()
    }

    #[test]
    fn the_start_is_found_over_a_quiet_and_a_restless_waiting() {
        for level in [0.0, 3.0] {
            let e = onset(100, &clip(level, 45)).unwrap();
            assert!((e.value - 145.0).abs() < 3.0 * e.se, "{e:?}");
        }
    }

    #[test]
    fn a_clip_that_begins_late_or_shows_nothing_has_no_start() {
        assert!(onset(0, &clip(0.0, 3)).is_none());
        assert!(onset(0, &[0.0; 90]).is_none());
        assert!(onset(0, &[]).is_none());
    }
}
