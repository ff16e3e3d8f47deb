use serde::{Deserialize, Serialize};

/// A figure, or why the film cannot give it. What cannot be seen is never a number.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case", tag = "state", content = "content")]
pub enum Seen<T> {
    /// Measured.
    Seen(T),
    /// Not to be had from this film or these marks, and why.
    NotSeen(String),
}

impl<T> Seen<T> {
    /// The figure, if there is one.
    pub fn get(&self) -> Option<&T> {
        match self {
            Self::Seen(t) => Some(t),
            Self::NotSeen(_) => None,
        }
    }
    /// "Not seen" because of `why`.
    pub fn not(why: impl Into<String>) -> Self {
        Self::NotSeen(why.into())
    }
}
