//! Measures across plays, with intervals.
