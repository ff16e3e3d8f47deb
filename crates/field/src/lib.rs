//! The field's markings by rule book, in yards, in the field frame (`docs/frames.md`).

mod landmark;
mod markings;
mod rule_book;

pub use landmark::{HashEnd, Landmark, LandmarkError, LandmarkShape, NumberCorner, Side};
pub use markings::{Arrow, Markings, Number, Stripe, StripeKind};
pub use rule_book::{Crown, Direction, RuleBook};
