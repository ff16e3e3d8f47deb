//! The tool's description of a file, as it writes it.

use serde::Deserialize;
use units::Rate;

#[derive(Deserialize)]
pub(crate) struct Header {
    #[serde(default)]
    pub streams: Vec<Track>,
    #[serde(default)]
    pub format: Container,
}

#[derive(Default, Deserialize)]
pub(crate) struct Container {
    #[serde(default)]
    pub format_name: String,
    duration: Option<String>,
    start_time: Option<String>,
}

impl Container {
    pub fn duration(&self) -> Option<f64> {
        number(self.duration.as_deref())
    }
    pub fn start(&self) -> f64 {
        number(self.start_time.as_deref()).unwrap_or(0.0)
    }
}

#[derive(Deserialize)]
pub(crate) struct Track {
    pub index: u32,
    #[serde(default)]
    codec_type: String,
    #[serde(default)]
    pub codec_name: String,
    #[serde(default)]
    pub width: u32,
    #[serde(default)]
    pub height: u32,
    #[serde(default)]
    sample_aspect_ratio: String,
    #[serde(default)]
    pub time_base: String,
    #[serde(default)]
    pub avg_frame_rate: String,
    #[serde(default)]
    r_frame_rate: String,
    duration: Option<String>,
    nb_frames: Option<String>,
    #[serde(default)]
    pub has_b_frames: u32,
    pub color_space: Option<String>,
    field_order: Option<String>,
    #[serde(default)]
    disposition: Disposition,
    #[serde(default)]
    side_data_list: Vec<SideData>,
}

#[derive(Default, Deserialize)]
struct Disposition {
    #[serde(default)]
    attached_pic: u8,
}

#[derive(Deserialize)]
struct SideData {
    rotation: Option<f64>,
}

impl Track {
    /// A moving picture; a cover picture in an audio file is none.
    pub fn is_picture(&self) -> bool {
        self.codec_type == "video" && self.disposition.attached_pic == 0
    }
    pub fn is_sound(&self) -> bool {
        self.codec_type == "audio"
    }
    pub fn is_interlaced(&self) -> bool {
        matches!(self.field_order.as_deref(), Some("tt" | "bb" | "tb" | "bt"))
    }
    pub fn declared_frames(&self) -> Option<u64> {
        self.nb_frames.as_deref()?.parse().ok()
    }
    pub fn duration(&self) -> Option<f64> {
        number(self.duration.as_deref())
    }
    pub fn ticks(&self) -> Option<Rate> {
        let (seconds, per) = self.time_base.split_once('/')?;
        Rate::new(per.parse().ok()?, seconds.parse().ok()?).ok()
    }
    pub fn average_rate(&self) -> Option<Rate> {
        rate(&self.avg_frame_rate)
    }
    pub fn base_rate(&self) -> Option<Rate> {
        rate(&self.r_frame_rate)
    }
    /// Degrees counter-clockwise, one of 0, 90, 180, 270.
    pub fn rotation(&self) -> u32 {
        let turn = self.side_data_list.iter().find_map(|s| s.rotation).unwrap_or(0.0);
        ((turn / 90.0).round() as i64).rem_euclid(4) as u32 * 90
    }
    /// Square pixels across and down, upright.
    pub fn display_size(&self) -> (u32, u32) {
        let aspect = self
            .sample_aspect_ratio
            .split_once(':')
            .and_then(|(n, d)| Some((n.parse::<f64>().ok()?, d.parse::<f64>().ok()?)))
            .filter(|&(n, d)| n > 0.0 && d > 0.0)
            .map_or(1.0, |(n, d)| n / d);
        let wide = (f64::from(self.width) * aspect).round().max(1.0) as u32;
        if self.rotation().is_multiple_of(180) { (wide, self.height) } else { (self.height, wide) }
    }
}

fn number(text: Option<&str>) -> Option<f64> {
    text?.parse().ok()
}

fn rate(text: &str) -> Option<Rate> {
    let (n, d) = text.split_once('/')?;
    Rate::new(n.parse().ok()?, d.parse().ok()?).ok()
}
