//! Projection, distortion, poses and their Jacobians.
