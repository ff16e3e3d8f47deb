//! Observations to tracks; the ball's flight and its fit; feet and placement.
