//! Questions of the plays: any fact or measure split by any other, with intervals and control over many comparisons.

mod against;
mod answer;
mod asked;
mod dots;
mod doubt;
mod groups;
mod pooled;
mod question;
mod ready;
mod worth;

pub(crate) use against::measured_against;
pub use answer::{Answer, AnswerKind, Difference, Dot, Group, Left, Ranged, Slope};
pub use asked::{ask, ask_all, ask_among, figures};
pub(crate) use doubt::{adjusted, fisher};
pub(crate) use groups::chance;
pub use play::Only;
pub use question::{Question, QuestionError};
pub use ready::{MEASURES, Ready, ready};
pub use worth::{BORNE, Needed, Worth};
