//! The video tool's filter chains, in one place so that the proxy and the originals agree on colour.

use crate::{PixelFormat, Probe};

/// Writes a line `frame:N pts:T` for every frame to the tool's error stream. Both halves are needed: the
/// printer prints only frames that carry some metadata.
pub(crate) const STAMP: &str = "metadata=mode=add:key=i:value=1,metadata=mode=print:file='pipe\\:2':direct=1";

/// Scene-change score and time of every frame to the tool's error stream. The threshold only decides what
/// the tool itself would log; the scores are judged by [`crate::cuts`].
pub(crate) const SCORE_AND_STAMP: &str = "scdet=threshold=100,metadata=mode=print:file='pipe\\:2':direct=1";

/// The colour matrix of a film by the tool's names.
///
/// A film that does not name its matrix is taken as the standards it was shot under have it: BT.601 below
/// 720 lines, BT.709 from there (common practice, no source).
pub(crate) fn matrix(probe: &Probe) -> &'static str {
    match probe.colour_matrix.as_deref() {
        Some("bt709") => "bt709",
        Some("bt470bg" | "smpte170m") => "bt601",
        Some("fcc") => "fcc",
        Some("smpte240m") => "smpte240m",
        Some("bt2020nc" | "bt2020c") => "bt2020",
        _ if probe.coded_height < 720 => "bt601",
        _ => "bt709",
    }
}

/// Scales to `size` and converts from `matrix` to `format`.
pub(crate) fn convert(matrix: &str, size: (u32, u32), format: PixelFormat) -> String {
    let out = match format {
        PixelFormat::Gray8 | PixelFormat::Rgb24 => "out_range=pc",
        PixelFormat::Yuv420p => "out_color_matrix=bt709:out_range=tv",
    };
    // The careful chroma path is three times as slow in RGB, and colour is for looking at only.
    format!(
        "scale=w={}:h={}:flags=bicubic:in_color_matrix={matrix}:{out},format={},setsar=1",
        size.0,
        size.1,
        format.name()
    )
}

/// Output tags that say what [`convert`] made.
pub(crate) const TAGS: [&str; 8] =
    ["-colorspace", "bt709", "-color_primaries", "bt709", "-color_trc", "bt709", "-color_range", "tv"];
