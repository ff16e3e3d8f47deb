//! People, tracks and situation of a generated play as they would stand in a study.

use crate::support::{Dice, measured, person, receiver};
use play::{Hash, Person, Role, Situation, Track};
use scrimmage::sim::coverage::Task;
use scrimmage::sim::game::HashSpot;
use scrimmage::sim::staged::StagedPlay;
use scrimmage::sim::world::{Job, PASSER};
use scrimmage::truth::{PlayTruth, TRACK_RATE};

fn role(stage: &StagedPlay, i: usize, slot: Option<&str>) -> Role {
    match (&stage.world.men[i].job, slot) {
        _ if i == PASSER => Role::Passer,
        (_, Some("B")) => Role::Back,
        (_, Some(slot)) => receiver(slot).role,
        (Job::Defend(Task::Rush { .. }), _) => Role::Rusher,
        (Job::Defend(_), _) => Role::Cover,
        _ => Role::Blocker,
    }
}

/// Everybody with his track as a tracker would measure it, until the play is dead.
pub fn people(truth: &PlayTruth, stage: &StagedPlay, dice: &mut Dice) -> (Vec<Person>, Vec<Track>) {
    let mut people = Vec::new();
    let mut tracks = Vec::new();
    for (i, p) in truth.people.iter().enumerate() {
        let id = p.slot.clone().unwrap_or_else(|| p.id.clone());
        people.push(person(&id, role(stage, i, p.slot.as_deref())));
        let places: Vec<(f64, [f64; 2])> = p
            .hips
            .iter()
            .enumerate()
            .map(|(k, h)| (truth.tracks_from_s + k as f64 / TRACK_RATE, [h.x, h.y]))
            .filter(|x| x.0 <= truth.moments.dead)
            .collect();
        tracks.push(measured(&id, &places, dice));
    }
    (people, tracks)
}

/// What the scoreboard and the chains say.
pub fn situation(truth: &PlayTruth) -> Situation {
    let scene = &truth.scene;
    Situation {
        down: Some(scene.down),
        distance_yd: Some(scene.distance),
        line_x: Some(scene.line_x()),
        hash: Some(match scene.hash {
            HashSpot::Near => Hash::Near,
            HashSpot::Middle => Hash::Middle,
            HashSpot::Far => Hash::Far,
        }),
        direction: Some(scene.direction),
        ..Default::default()
    }
}
