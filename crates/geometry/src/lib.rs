//! Typed points, vectors, transforms and least squares; knows nothing of football.
