//! Which end a camera behind an end zone stands at: seen from either, the field looks the same but for its arrows and the ball.

use super::found::Reading;
use super::settle::Item;
use camera::FieldCamera;
use field::{Direction, RuleBook};
use play::View;

/// Clips by themselves sure of their end before a game's habit is believed.
const ENOUGH: usize = 3;
/// Share of those that must stand behind the offense.
const MOSTLY: f64 = 0.9;
/// Log probability of a clip against the game's habit.
const AGAINST: f64 = -3.5;

/// Whether a game's end-zone film is shot from behind the offense, whichever way it goes. Many are (common practice, no source), some have
/// one camera at one end; the clips that are sure of themselves tell.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Habit {
    behind: bool,
}

impl Habit {
    /// From clips that are each sure by themselves: whether each stands behind the offense.
    pub fn of(sure: impl IntoIterator<Item = bool>) -> Self {
        let (mut n, mut held) = (0, 0);
        for behind in sure {
            n += 1;
            held += usize::from(behind);
        }
        Self { behind: n >= ENOUGH && held as f64 >= MOSTLY * n as f64 }
    }
    /// As it was shown before.
    pub fn known(behind: bool) -> Self {
        Self { behind }
    }
    /// Whether the film is shot from behind the offense.
    pub fn is_behind(self) -> bool {
        self.behind
    }
    /// Log weight of a clip's reading.
    pub fn log(self, item: &Item, reading: Reading, book: RuleBook) -> f64 {
        match behind(item, reading, book) {
            Some(false) if self.behind => AGAINST,
            _ => 0.0,
        }
    }
    /// Whether a reading goes against the habit.
    pub fn broken(self, item: &Item, reading: Reading, book: RuleBook) -> bool {
        self.log(item, reading, book) < 0.0
    }
    /// Whether the habit tells where the camera stands when the offense goes one way: at the high end?
    pub fn high_end(self, direction: Option<Direction>) -> Option<bool> {
        direction.filter(|_| self.behind).map(|d| d == Direction::Down)
    }
}

/// Whether a clip's camera, read so, stands behind the offense; `None` for other views, unknown directions and moving cameras.
pub(super) fn behind(item: &Item, reading: Reading, book: RuleBook) -> Option<bool> {
    if item.clip.view != Some(View::EndZone) {
        return None;
    }
    let direction = item.direction?;
    let x = item.found.cameras.frames.iter().flatten().find_map(|c| match &c.camera {
        FieldCamera::Pinhole(p) => Some(p.station.centre.x),
        FieldCamera::Plane { .. } => None,
    })?;
    let high = (x > book.length() / 2.0) != reading.turned;
    Some(high == (direction == Direction::Down))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_habit_needs_clips_that_are_sure_and_agree() {
        assert_eq!(Habit::of([true, true]).high_end(Some(Direction::Up)), None);
        let held = Habit::of([true, true, true, true]);
        assert_eq!(held.high_end(Some(Direction::Up)), Some(false));
        assert_eq!(held.high_end(Some(Direction::Down)), Some(true));
        assert_eq!(held.high_end(None), None);
        // One camera at one end films from the front whenever the ball comes its way.
        assert_eq!(Habit::of([true, false, true, true]).high_end(Some(Direction::Up)), None);
    }
}
