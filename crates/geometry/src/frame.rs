//! Names of the frames that points are measured in. `docs/frames.md` draws them; only names live
//! here, so that layers that know no football can still say which frame a number belongs to.

use std::fmt::Debug;

/// A frame that a point or transform can be tagged with.
pub trait Frame: Copy + Clone + Debug + PartialEq + Default + Send + Sync + 'static {
    /// The frame's name in messages.
    const NAME: &'static str;
}

macro_rules! frames {
    ($($(#[$doc:meta])* $name:ident = $text:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Hash)]
        pub struct $name;
        impl Frame for $name { const NAME: &'static str = $text; }
    )*};
}

frames! {
    /// Yards, right-handed: x along the length from one goal line (−10 to 110), y from the near sideline, z up.
    Field = "field";
    /// The field at z = 0, yards: x and y as in [`Field`].
    Ground = "ground";
    /// Yards: origin at the ball's spot, x downfield, y to the offense's left, z up; rotated, never mirrored.
    Play = "play";
    /// Yards: origin at the camera's centre, x right, y down, z forward.
    Camera = "camera";
    /// The decoded picture, px: corner (0, 0), first pixel's centre (0.5, 0.5), y down.
    Pixel = "pixel";
}
