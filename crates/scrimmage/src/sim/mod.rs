//! Invented plays as functions of time: formations, routes, coverages, a passer with faults, bodies, and the ball.

pub mod catching;
pub mod concept;
pub mod coverage;
pub mod defense;
pub mod dice;
pub mod engine;
pub mod flight;
pub mod formation;
pub mod gait;
pub mod mover;
pub mod offense;
pub mod passer;
pub mod people;
pub mod plane;
pub mod pose;
pub mod protection;
pub mod reading;
pub mod release;
pub mod route;
pub mod script;
pub mod staged;
pub mod throwing;
pub mod track;
pub mod world;
