use geometry::frame::Pixel;
use geometry::{Covariance2, Point2};
use serde::{Deserialize, Serialize};

/// A colour of cloth, freed from the light that fell on it by comparison with the ground beside it.
#[derive(Clone, Copy, Debug, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Cloth {
    /// Natural logarithm of luma over the ground's.
    pub light: f32,
    /// Red against green, natural logarithm of the ratio.
    pub red: f32,
    /// Blue against green, natural logarithm of the ratio.
    pub blue: f32,
    /// How much the light varies over the cloth: stripes vary, plain shirts do not. Interquartile range of the logarithm.
    pub contrast: f32,
}

/// Somebody as one frame shows him.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Sighted {
    /// The point of the ground under his body's middle, px of the film.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub foot: Point2<Pixel>,
    /// Covariance of `foot` from the picture alone, px².
    pub foot_covariance: Covariance2,
    /// How tall he stands in the picture, px of the film.
    pub height_px: f32,
    /// Share of his body that nobody hides, 0 to 1.
    pub seen: f32,
    /// Share of the seen body that differs from the empty field, 0 to 1.
    pub filled: f32,
    /// Shirt.
    pub shirt: Cloth,
    /// Trousers.
    pub trousers: Cloth,
}

/// Everybody in a frame.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct SightedFrame {
    /// Film frame.
    pub frame: u32,
    /// In no order.
    pub bodies: Vec<Sighted>,
}
