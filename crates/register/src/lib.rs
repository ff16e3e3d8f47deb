//! Pictures to cameras.
