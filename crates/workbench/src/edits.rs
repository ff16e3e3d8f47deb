//! The history as it is shown.

use play::PlayId;
use serde::Serialize;
use store::{Past, PastState, Touched};

/// A past edit.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct PastEdit {
    /// Its number.
    pub id: i64,
    /// What it was, in plain words.
    pub label: String,
    /// The play it concerned.
    pub play: Option<PlayId>,
    /// When, ms since 1970.
    pub at_ms: i64,
    /// Where it stands.
    pub state: EditState,
}

/// Where a past edit stands.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum EditState {
    /// In force.
    Done,
    /// Undone; can be redone.
    Undone,
    /// Undone, and then something else was done.
    Dropped,
}

/// What an undo or redo did.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Stepped {
    /// What was undone or redone, in plain words.
    pub label: String,
    /// The play it concerned.
    pub play: Option<PlayId>,
    /// The records it changed.
    pub changed: Vec<ChangedRecord>,
}

/// A changed record.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ChangedRecord {
    /// Kind, for example "chart".
    pub kind: String,
    /// Id.
    pub id: String,
}

impl From<Past> for PastEdit {
    fn from(p: Past) -> Self {
        let state = match p.state {
            PastState::Done => EditState::Done,
            PastState::Undone => EditState::Undone,
            PastState::Dropped => EditState::Dropped,
        };
        Self { id: p.id, label: p.label, play: p.play, at_ms: p.at_ms, state }
    }
}

impl From<Touched> for Stepped {
    fn from(t: Touched) -> Self {
        let changed =
            t.records.into_iter().map(|(k, id)| ChangedRecord { kind: k.word().to_owned(), id }).collect();
        Self { label: t.edit.label, play: t.edit.play, changed }
    }
}
