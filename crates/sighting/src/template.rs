//! The outline of an upright body, in heights.

/// A part of the outline: rows from `top` to `bottom` (0 the crown of the head, 1 the ground), columns within `half` of the
/// axis, all in heights of the body; what a differing and what an empty pixel there says for a body.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Part {
    pub top: f32,
    pub bottom: f32,
    pub half: f32,
    pub filled: f32,
    pub empty: f32,
}

/// Head, trunk with arms, legs. Weights are logarithms of the likelihood ratio for a filling of 85, 85 and 50% against
/// clutter of 5%, over the trunk's. Widths by common proportions of the body in pads; no source.
pub(crate) const PARTS: [Part; 3] = [
    Part { top: 0.0, bottom: 0.15, half: 0.065, filled: 1.0, empty: 0.65 },
    Part { top: 0.15, bottom: 0.52, half: 0.115, filled: 1.0, empty: 0.65 },
    Part { top: 0.52, bottom: 1.0, half: 0.1, filled: 0.82, empty: 0.24 },
];

/// Score of a wholly filled outline of height 1: area by weight.
pub(crate) fn whole() -> f32 {
    PARTS.iter().map(|p| (p.bottom - p.top) * 2.0 * p.half * p.filled).sum()
}
