//! Who everybody is: ids and roles from where they stand at the snap.

use super::bodies::Body;
use super::{Notes, Whole};
use crate::infer::at;
use crate::rows::About;
use motion::roles::{Setting, Starter, roles};
use play::{Flank, Person, PersonId, Role, Severity, Unit};
use std::collections::{BTreeMap, HashMap};

/// Everybody with id and role, and the word of each, in the same order.
pub(super) fn people(
    bodies: &BTreeMap<u32, Body>,
    passer: u32,
    setting: &Setting,
    whole: &Whole<'_>,
    about: &HashMap<u32, About>,
    unit: impl Fn(&Body) -> Option<Unit>,
    notes: &mut Notes,
) -> (Vec<Person>, Vec<u32>) {
    // From the offense's left to its right, so that counted ids follow the picture.
    let left = |b: &Body| at(&b.path, 0.0, 0.6).map_or(0.0, |s| setting.direction.sign() * s[2]);
    let mut order: Vec<(&u32, &Body)> = bodies.iter().collect();
    order.sort_by(|a, b| left(b.1).total_cmp(&left(a.1)));
    let starters: Vec<Starter> = order
        .iter()
        .map(|(_, b)| Starter { unit: unit(b).unwrap_or(Unit::Defense), samples: b.path.clone() })
        .collect();
    let index = order.iter().position(|(k, _)| **k == passer).unwrap_or(0);
    let given = roles(&starters, index, setting);
    let (mut line, mut backs, mut defenders) = (0, 0, 0);
    let (mut people, mut keys) = (Vec::new(), Vec::new());
    for (((key, _), starter), role) in order.iter().zip(&starters).zip(given) {
        let Some(role) = role else {
            let text = format!("{} has no row at the snap and is left out", whole.words.word(**key));
            notes.add(Severity::Weak, "not-at-snap", text);
            continue;
        };
        let counted = |n: &mut u32, letter: &str| {
            *n += 1;
            format!("{letter}{n}")
        };
        let id = match role {
            Role::Passer => PersonId::PASSER.to_owned(),
            Role::Receiver { flank: Flank::Left, number } => format!("L{number}"),
            Role::Receiver { flank: Flank::Right, number } => format!("R{number}"),
            Role::Back if backs == 0 => {
                backs = 1;
                "B".to_owned()
            }
            Role::Back => counted(&mut backs, "B"),
            Role::Blocker => counted(&mut line, "O"),
            Role::Rusher | Role::Cover => counted(&mut defenders, "D"),
        };
        let a = about.get(key).cloned().unwrap_or_default();
        let name = a.name.unwrap_or_else(|| {
            let parts = [a.position, a.shirt.map(|n| n.to_string())];
            parts.into_iter().flatten().collect::<Vec<_>>().join(" ")
        });
        people.push(Person { id: id.into(), unit: starter.unit, role, shirt: a.shirt, name });
        keys.push(**key);
    }
    (people, keys)
}
