//! Estimates with intervals, agreement, seeded resampling; knows nothing of football.
