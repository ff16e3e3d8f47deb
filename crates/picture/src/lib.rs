//! Pixel buffers, gradients and ridges; no codecs, no football.
