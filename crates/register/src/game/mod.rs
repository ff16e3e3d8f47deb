//! One camera through a whole game: its centre, distortion, the field's crown and where the paint really lies, from a few frames of every
//! clip; then which clips do not belong.

mod adjust;
mod border;
mod clip;
mod consensus;
mod evidence;

pub use adjust::{GameAdjustment, GameSettings, adjust_game};
pub use clip::{OneCentre, freed, one_centre, refit, shifted_along, turned_round};
pub use consensus::{Belongs, GameStation, agree};
pub use evidence::{FrameEvidence, PaintSeen, PaintString};
