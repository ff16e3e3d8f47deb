//! Every frame of a clip tied to the field.

use crate::{Workbench, WorkError};
use play::Clip;
use serde::{Deserialize, Serialize};

/// What is kept beside a clip's cameras to list it without reading them.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub(crate) struct LineUpSummary {
    /// Frames with a camera to be trusted.
    pub trusted: u32,
    /// Frames of the clip.
    pub frames: u32,
}

/// Kind of [`LineUpSummary`] among computed things.
pub(crate) const SUMMARY: &str = "line-up";

impl Workbench {
    /// Share of a clip's frames whose camera can be trusted; `None` when it was never lined up.
    pub(crate) async fn lined_up(&self, clip: &Clip) -> Result<Option<f64>, WorkError> {
        let Some((_, body)) = self.store.computed(SUMMARY, clip.id.as_str()).await? else { return Ok(None) };
        let s: LineUpSummary = serde_json::from_str(&body)?;
        Ok(Some(f64::from(s.trusted) / f64::from(s.frames.max(1))))
    }
}
