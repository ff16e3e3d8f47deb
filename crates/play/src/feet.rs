use crate::Seen;
use serde::{Deserialize, Serialize};
use stats::Estimate;

/// The passer's feet and base at release.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Feet {
    /// Signed angle from the target line to the line of the feet, back foot to front foot: closed negative, open
    /// positive, degrees.
    pub error_deg: Seen<Estimate>,
    /// Distance between the feet, yd.
    pub base_yd: Seen<Estimate>,
    /// How far the front foot moved between set and release, yd.
    pub step_yd: Seen<Estimate>,
    /// Front foot's landing before release (positive: landed first), s.
    pub front_foot_lead_s: Seen<Estimate>,
    /// Where the hips are over the base: 0 over the back foot, 1 over the front foot.
    pub weight: Seen<Estimate>,
    /// Repeats that the feet line rests on, the fewest of any of its points.
    pub repeats: u32,
}
