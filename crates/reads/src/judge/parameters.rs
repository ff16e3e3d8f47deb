//! Thresholds.

use serde::{Deserialize, Serialize};

/// Thresholds of the judgement. Ours, from common practice, no source; a caller may hand in a changed copy.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Parameters {
    /// A look's window is open from this margin on, s.
    pub open_s: f64,
    /// Below this margin a window is not there, s.
    pub there_s: f64,
    /// From this margin on a receiver is as open as a throw needs; more does not make it better, s.
    pub ample_s: f64,
    /// How long a look lasts after its rhythm: half a hitch, s.
    pub linger_s: f64,
    /// How long a key read waits for a key who has not declared: a hitch, s.
    pub key_wait_s: f64,
    /// Behind: the ball left later than this after the plan's rhythm (more than one hitch), s.
    pub behind_s: f64,
    /// Ahead: the ball left earlier than this before the plan's rhythm, s.
    pub ahead_s: f64,
    /// The answer to pressure is looked for this long before contact, s.
    pub hot_within_s: f64,
    /// Without a throw: how long a window must have stayed open to have been there, s.
    pub sustained_s: f64,
    /// Seed of the repeats' draws of moments, key and picture.
    pub seed: u64,
}

impl Default for Parameters {
    fn default() -> Self {
        Self {
            open_s: 0.1,
            there_s: 0.0,
            ample_s: 0.8,
            linger_s: 0.2,
            key_wait_s: 0.4,
            behind_s: 0.45,
            ahead_s: 0.25,
            hot_within_s: 0.5,
            sustained_s: 0.2,
            seed: 1,
        }
    }
}
