//! The vocabulary: game, play, view, moment, track, route, throw, chart, judgement, claim.
