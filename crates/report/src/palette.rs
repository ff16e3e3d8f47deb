/// Where a figure will be looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theme {
    /// On a light screen.
    Light,
    /// On a dark screen.
    Dark,
    /// In print.
    Paper,
}

/// Colours of a theme as CSS hex.
pub(crate) struct Palette {
    pub ink: &'static str,
    pub faint: &'static str,
    pub ground: &'static str,
    pub chalk: &'static str,
    pub offense: &'static str,
    pub defense: &'static str,
    pub ball: &'static str,
    pub alert: &'static str,
}

impl Theme {
    pub(crate) const fn palette(self) -> Palette {
        match self {
            Self::Light => Palette {
                ink: "#1d2a2f",
                faint: "#6b7a7e",
                ground: "#f3efe4",
                chalk: "#cfc8b4",
                offense: "#1f5f8b",
                defense: "#a8501f",
                ball: "#5b3a1a",
                alert: "#8c2f39",
            },
            Self::Dark => Palette {
                ink: "#e8e4d8",
                faint: "#93a0a2",
                ground: "#1b2528",
                chalk: "#3c4a4d",
                offense: "#7cbce6",
                defense: "#eba069",
                ball: "#e0c08f",
                alert: "#f08a94",
            },
            Self::Paper => Palette {
                ink: "#000000",
                faint: "#555555",
                ground: "#ffffff",
                chalk: "#c8c8c8",
                offense: "#1f5f8b",
                defense: "#a8501f",
                ball: "#5b3a1a",
                alert: "#8c2f39",
            },
        }
    }

    /// Colour of a window margin, s: a diverging scale from rust (the defender is first) through a neutral to blue-green (the
    /// receiver is), told apart by people with any of the common colour deficiencies, saturated at ±0.6 s.
    pub(crate) fn margin(self, margin_s: f64) -> String {
        let u = (margin_s / 0.6).clamp(-1.0, 1.0);
        let (closed, middle, open) = match self {
            Self::Light | Self::Paper => ([178.0, 84.0, 38.0], [238.0, 232.0, 216.0], [18.0, 110.0, 122.0]),
            Self::Dark => ([214.0, 110.0, 60.0], [50.0, 60.0, 62.0], [66.0, 178.0, 190.0]),
        };
        let end = if u < 0.0 { closed } else { open };
        let [r, g, b]: [u8; 3] =
            std::array::from_fn(|k| (middle[k] + (end[k] - middle[k]) * u.abs()).round() as u8);
        format!("#{r:02x}{g:02x}{b:02x}")
    }
}
