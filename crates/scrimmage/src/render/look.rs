//! What the place and the film look like; every random choice follows from `seed`.

use field::{Crown, RuleBook};
use geometry::{Point3, frame::Field};
use serde::{Deserialize, Serialize};

/// Light over the field.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Light {
    /// Sun at `azimuth` (where it shines from, about z from x towards y) and `height` above the horizon, rad.
    Sun {
        /// Where it shines from, rad from x towards y.
        azimuth: f64,
        /// Above the horizon, rad.
        height: f64,
        /// Share of the light that is direct: 0 overcast, 0.6 clear.
        strength: f64,
        /// Whether a grandstand behind the sideline on the sun's side throws its shadow on the field.
        stand_shadow: bool,
    },
    /// Four lamp posts at night.
    Floodlights,
}

/// What is around the field.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Surround {
    /// Grandstands on every side, filled.
    Stadium,
    /// A running track, a low stand, trees and sky.
    SchoolGround,
}

/// Snow on the field.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Snow {
    /// Share of the ground covered, 0 to 1.
    pub cover: f64,
    /// Whether the lines were swept.
    pub lines_swept: bool,
}

/// Look of a venue and of its film.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Look {
    /// All random choices.
    pub seed: u64,
    /// Whose markings.
    pub rule_book: RuleBook,
    /// Hue of the grass, degrees (75 dry, 95 natural, 125 plastic).
    pub grass_hue: f64,
    /// Saturation of the grass, 0 to 1.
    pub grass_saturation: f64,
    /// Unevenness of the grass: 1 as it grows, 0 flat colour for exact-recovery tests.
    pub grass_texture: f64,
    /// Difference of the two greens of mown bands, as a share of their brightness; 0 for none.
    pub bands: f64,
    /// How much of the grass is worn through between the hashes, and of the paint worn off, 0 to 1.
    pub wear: f64,
    /// Standard deviation of each painted end's place, inches.
    pub paint_error_in: f64,
    /// Rise of the middle of the field over the sidelines, yd.
    pub crown_yd: f64,
    /// The sidelines and end lines are painted out to six feet.
    pub wide_border: bool,
    /// Numbers are painted.
    pub numbers: bool,
    /// Thickness of the digits' strokes as a share of their width: 0.24 block, 0.15 slim, 0.34 heavy.
    pub number_weight: f64,
    /// Width of the digits as a share of the rule book's.
    pub number_width: f64,
    /// Arrows are painted beside the numbers.
    pub arrows: bool,
    /// An emblem is painted at midfield.
    pub midfield_emblem: bool,
    /// Smaller emblems are painted near the thirties.
    pub side_emblems: bool,
    /// Colours of the home side: end zones, emblem, seats. sRGB.
    pub colours: [[u8; 3]; 2],
    /// End zones painted, with the two words; `None` leaves grass.
    pub end_zone_words: Option<[String; 2]>,
    /// Lines of a soccer pitch as well.
    pub other_lines: bool,
    /// Snow.
    pub snow: Option<Snow>,
    /// Light.
    pub light: Light,
    /// Surroundings.
    pub surround: Surround,
    /// People, benches and the chain crew beside the field.
    pub sideline_people: bool,
    /// Goal posts yellow (or white).
    pub yellow_posts: bool,
    /// Texels per yard of the painted ground.
    pub texels_per_yard: u32,
    /// Standard deviation of the lens's soft focus, px at 720 lines.
    pub soft_focus_px: f64,
    /// Standard deviation of the sensor's noise, code values of 255.
    pub noise: f64,
    /// Standard deviation of the exposure from frame to frame, share.
    pub flicker: f64,
    /// A score bug low in the picture.
    pub score_bug: bool,
    /// Frame number burned in, as digits and as a row of sixteen black or white squares (see `overlay`).
    pub counter: bool,
}

impl Look {
    /// A college stadium on a clear afternoon.
    pub fn college_day(seed: u64) -> Self {
        Self {
            seed,
            rule_book: RuleBook::College,
            grass_hue: 92.0,
            grass_saturation: 0.40,
            grass_texture: 1.0,
            bands: 0.16,
            wear: 0.25,
            paint_error_in: 0.4,
            crown_yd: 0.0,
            wide_border: true,
            numbers: true,
            number_weight: 0.24,
            number_width: 1.0,
            arrows: true,
            midfield_emblem: true,
            side_emblems: true,
            colours: [[32, 58, 104], [196, 160, 74]],
            end_zone_words: Some(["HOLLOWMERE".into(), "LANTERNS".into()]),
            other_lines: false,
            snow: None,
            light: Light::Sun { azimuth: -1.9, height: 0.75, strength: 0.5, stand_shadow: true },
            surround: Surround::Stadium,
            sideline_people: true,
            yellow_posts: true,
            texels_per_yard: 24,
            soft_focus_px: 0.65,
            noise: 1.3,
            flicker: 0.004,
            score_bug: false,
            counter: false,
        }
    }
    /// The same stadium under lamps.
    pub fn college_night(seed: u64) -> Self {
        Self {
            light: Light::Floodlights,
            noise: 2.0,
            soft_focus_px: 0.75,
            grass_hue: 98.0,
            ..Self::college_day(seed)
        }
    }
    /// A season's game, from 0: a clear afternoon, lamps at night, the same field worn and under cloud.
    pub fn of_season(game: usize, seed: u64) -> Self {
        let day = Self::college_day(seed);
        match game {
            0 => day,
            1 => Self::college_night(seed),
            _ => Self {
                wear: 0.7,
                bands: 0.06,
                grass_hue: 84.0,
                grass_saturation: 0.36,
                paint_error_in: 0.6,
                light: Light::Sun { azimuth: 2.4, height: 0.6, strength: 0.12, stand_shadow: false },
                ..day
            },
        }
    }
    /// A worn professional field under cloud.
    pub fn professional_worn(seed: u64) -> Self {
        Self {
            rule_book: RuleBook::Professional,
            wear: 0.8,
            bands: 0.05,
            grass_hue: 82.0,
            grass_saturation: 0.36,
            paint_error_in: 0.7,
            colours: [[104, 28, 34], [214, 212, 206]],
            end_zone_words: Some(["GREYWATER".into(), "KESTRELS".into()]),
            light: Light::Sun { azimuth: 2.4, height: 0.6, strength: 0.12, stand_shadow: false },
            ..Self::college_day(seed)
        }
    }
    /// A school's plastic field with a soccer pitch on it, a track around it and trees behind.
    pub fn school(seed: u64) -> Self {
        Self {
            rule_book: RuleBook::HighSchool,
            grass_hue: 112.0,
            grass_saturation: 0.42,
            bands: 0.06,
            wear: 0.05,
            wide_border: false,
            midfield_emblem: true,
            side_emblems: false,
            colours: [[28, 92, 84], [232, 232, 226]],
            end_zone_words: None,
            other_lines: true,
            light: Light::Sun { azimuth: -2.5, height: 0.5, strength: 0.55, stand_shadow: false },
            surround: Surround::SchoolGround,
            yellow_posts: false,
            ..Self::college_day(seed)
        }
    }
    /// Nothing but grass and exact paint in flat light: for exact-recovery tests.
    pub fn exact(rule_book: RuleBook, seed: u64) -> Self {
        Self {
            rule_book,
            grass_texture: 0.0,
            bands: 0.0,
            wear: 0.0,
            paint_error_in: 0.0,
            wide_border: false,
            midfield_emblem: false,
            side_emblems: false,
            end_zone_words: None,
            light: Light::Sun { azimuth: 0.0, height: 1.2, strength: 0.0, stand_shadow: false },
            sideline_people: false,
            soft_focus_px: 0.0,
            noise: 0.0,
            flicker: 0.0,
            ..Self::college_day(seed)
        }
    }
    /// The field's crown.
    pub fn crown(&self) -> Crown {
        Crown { height: self.crown_yd }
    }
    /// A point of the stage, whose ground is flat, as it stands on the crowned field.
    pub fn on_crown(&self, p: Point3<Field>) -> Point3<Field> {
        Point3::new(p.x, p.y, p.z + self.crown().at(p.ground(), self.rule_book))
    }
}
