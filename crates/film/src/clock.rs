use crate::Finding;
use serde::{Deserialize, Serialize};
use units::{FrameTable, FrameTableError, Rate};

/// When each frame is shown, and how that ties to the times in the file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FrameClock {
    /// Frame times from the film's zero, which is its first frame.
    pub table: FrameTable,
    /// The first frame's time in the file, ticks of the picture track.
    pub origin_tick: i64,
    /// Whether the table is exactly the file's own times; otherwise some were placed by us and frames are
    /// found by counting alone.
    pub from_file: bool,
    /// Whether the time between frames is the same throughout, to the tick.
    pub constant: bool,
}

impl FrameClock {
    /// A clock from the times that the decoder gave, in ticks of `ticks`, by frame.
    pub(crate) fn build(
        times: &[Option<i64>],
        ticks: Rate,
        nominal: Option<Rate>,
    ) -> Result<(Self, Vec<Finding>), FrameTableError> {
        let mut findings = Vec::new();
        let (mut missing, mut repeated) = (Vec::new(), Vec::new());
        let mut latest = None;
        // Index and time of every frame whose own time can be kept.
        let mut good: Vec<(usize, i64)> = Vec::with_capacity(times.len());
        for (i, &time) in times.iter().enumerate() {
            match time {
                None => missing.push(i),
                Some(t) if latest.is_some_and(|l| t <= l) => repeated.push(i),
                Some(t) => {
                    latest = Some(t);
                    good.push((i, t));
                }
            }
        }
        if let Some(&first) = missing.first() {
            findings.push(Finding::MissingTimes { count: missing.len(), first });
        }
        if let Some(&first) = repeated.first() {
            findings.push(Finding::RepeatedTimes { count: repeated.len(), first });
        }
        let from_file = findings.is_empty();
        let origin_tick = good.first().map_or(0, |g| g.1);
        let table = if from_file {
            FrameTable::new(ticks, good.iter().map(|g| g.1 - origin_tick).collect())?
        } else {
            fill(times.len(), &good, ticks, nominal)?
        };
        let constant = is_constant(&table);
        if !constant && table.len() > 1 {
            let gaps = || (1..table.len()).map(|i| (table.seconds(i) - table.seconds(i - 1)) * 1000.0);
            findings.push(Finding::VariableRate {
                shortest_ms: gaps().fold(f64::INFINITY, f64::min),
                longest_ms: gaps().fold(0.0, f64::max),
            });
        }
        Ok((Self { table, origin_tick, from_file, constant }, findings))
    }
    /// The file's own time of frame `index`, ticks of the picture track; `None` past the end or where we placed it.
    pub(crate) fn file_tick(&self, index: usize) -> Option<i64> {
        if !self.from_file {
            return None;
        }
        self.table.ticks().get(index).map(|t| t + self.origin_tick)
    }
}

/// Containers of coarse ticks round a constant rate to neighbouring ticks; where a tick is not small against
/// the frame, a difference of one is a real one.
fn is_constant(table: &FrameTable) -> bool {
    let gaps = || table.ticks().windows(2).map(|w| w[1] - w[0]);
    match (gaps().min(), gaps().max()) {
        (Some(least), Some(most)) => most == least || (most - least == 1 && least >= 10),
        _ => true,
    }
}

/// Places the frames that have no usable time evenly between neighbours that have. The tick is made finer
/// when there is no room.
fn fill(
    n: usize,
    good: &[(usize, i64)],
    ticks: Rate,
    nominal: Option<Rate>,
) -> Result<FrameTable, FrameTableError> {
    let finer = good
        .windows(2)
        .map(|w| {
            let (frames, room) = ((w[1].0 - w[0].0) as i64, w[1].1 - w[0].1);
            frames.div_euclid(room) + i64::from(frames % room != 0)
        })
        .max()
        .unwrap_or(1)
        .max(1);
    let fine_rate = u32::try_from(finer)
        .ok()
        .and_then(|m| ticks.numerator().checked_mul(m))
        .and_then(|num| Rate::new(num, ticks.denominator()).ok());
    // A hole of millions of frames in one tick: give up on the file's times and count at the nominal rate.
    let (Some(rate), Some(&(first, origin))) = (fine_rate, good.first()) else {
        let rate = nominal.unwrap_or(ticks);
        return FrameTable::new(rate, (0..n as i64).collect());
    };
    let usual = usual_gap(good, finer, rate, nominal);
    let mut out = vec![0; n];
    for (i, slot) in out.iter_mut().enumerate().take(first) {
        *slot = -usual * (first - i) as i64;
    }
    for pair in good.windows(2) {
        let ((a, ta), (b, tb)) = (pair[0], pair[1]);
        let (ta, tb) = ((ta - origin) * finer, (tb - origin) * finer);
        for (i, slot) in out.iter_mut().enumerate().take(b + 1).skip(a) {
            *slot = ta + (tb - ta) * (i - a) as i64 / (b - a) as i64;
        }
    }
    let (last, t) = good[good.len() - 1];
    for (i, slot) in out.iter_mut().enumerate().skip(last) {
        *slot = (t - origin) * finer + usual * (i - last) as i64;
    }
    let zero = out.first().copied().unwrap_or(0);
    FrameTable::new(rate, out.into_iter().map(|t| t - zero).collect())
}

fn usual_gap(good: &[(usize, i64)], finer: i64, rate: Rate, nominal: Option<Rate>) -> i64 {
    let mut gaps: Vec<i64> =
        good.windows(2).filter(|w| w[1].0 == w[0].0 + 1).map(|w| (w[1].1 - w[0].1) * finer).collect();
    gaps.sort_unstable();
    gaps.get(gaps.len() / 2)
        .copied()
        .unwrap_or_else(|| nominal.map_or(1, |r| (rate.per_second() / r.per_second()).round() as i64))
        .max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rate(n: u32) -> Rate {
        Rate::new(n, 1).unwrap()
    }
    fn ticks(times: &[Option<i64>]) -> (Rate, Vec<i64>, Vec<Finding>) {
        let (clock, findings) = FrameClock::build(times, rate(100), Some(rate(25))).unwrap();
        (clock.table.rate(), clock.table.ticks().to_vec(), findings)
    }

    #[test]
    fn whole_times_are_kept_from_the_first_frame() {
        let (r, t, f) = ticks(&[Some(50), Some(54), Some(58)]);
        assert_eq!((r, t), (rate(100), vec![0, 4, 8]));
        assert!(f.is_empty());
    }

    #[test]
    fn holes_are_filled_evenly_and_reported() {
        let (_, t, f) = ticks(&[Some(0), None, Some(8), Some(8), Some(16)]);
        assert_eq!(t, [0, 4, 8, 12, 16]);
        assert_eq!(
            f[..2],
            [Finding::MissingTimes { count: 1, first: 1 }, Finding::RepeatedTimes { count: 1, first: 3 }]
        );
    }

    #[test]
    fn ends_are_extended_by_the_usual_gap() {
        assert_eq!(ticks(&[None, Some(4), Some(8), None, None]).1, [0, 4, 8, 12, 16]);
        assert_eq!(ticks(&[None, None, None]).1, [0, 1, 2]);
    }

    #[test]
    fn no_room_makes_the_tick_finer() {
        let (r, t, _) = ticks(&[Some(0), Some(0), Some(0), Some(1)]);
        assert_eq!((r, t), (rate(300), vec![0, 1, 2, 3]));
    }

    #[test]
    fn a_jump_back_keeps_order() {
        let (_, t, _) = ticks(&[Some(0), Some(4), Some(8), Some(0), Some(4)]);
        assert_eq!(t, [0, 4, 8, 12, 16]);
    }

    #[test]
    fn rounding_to_milliseconds_is_constant_and_a_skipped_frame_is_not() {
        let table = |t: Vec<i64>| FrameTable::new(rate(1000), t).unwrap();
        assert!(is_constant(&table(vec![0, 33, 67, 100])));
        assert!(!is_constant(&table(vec![0, 1, 3, 4])));
    }

    proptest::proptest! {
        /// Whatever times a broken file gives, the table is in order and has every frame.
        #[test]
        fn any_times_make_a_table(times in proptest::collection::vec(proptest::option::of(-50i64..50), 1..60)) {
            let (clock, _) = FrameClock::build(&times, rate(90), None).unwrap();
            proptest::prop_assert_eq!(clock.table.len(), times.len());
            proptest::prop_assert_eq!(clock.table.ticks()[0], 0);
        }
    }
}
