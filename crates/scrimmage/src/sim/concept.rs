//! Route combinations, with the ways they are read. The trade's usual ones; common practice, no source.

use super::formation::{Set, Who};
use super::route::Route;
use Route::{
    Bubble, Check, Comeback, Corner, Crosser, Curl, DeepOut, Dig, Fade, Flat, Go, Hitch, Mesh, Pivot, Post,
    QuickOut, Seam, Shallow, Slant, SlotFade, Spot, Stick, Swing, Wheel,
};
use Who::{Back, Strong, Weak};
use serde::{Deserialize, Serialize};

/// A named route combination.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the trade's words")]
pub enum Concept {
    Smash,
    Stick,
    SlantFlat,
    CurlFlat,
    FourVerticals,
    Dagger,
    Flood,
    Mesh,
    Snag,
    ShallowDig,
    PostDig,
    Screen,
    DoubleSlants,
    SlotFade,
    Drive,
    Hitches,
}

/// How long the passer holds it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Drop {
    /// Three steps, or one from the gun.
    Quick,
    /// Five steps, or three from the gun.
    Medium,
    /// Seven steps, or five from the gun.
    Deep,
}

/// How a plan is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reading {
    /// One after the other on the rhythm of the feet.
    Progression,
    /// One defender in conflict between the first two looks.
    Key,
}

/// A way to read a concept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ReadPlan {
    /// Unique within the concept.
    pub id: String,
    /// How.
    pub reading: Reading,
    /// Looks in order: whom, and seconds after the set when the ball should leave for him.
    pub looks: Vec<(Who, f64)>,
    /// Answer to pressure.
    pub hot: Who,
}

/// A concept's parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Scheme {
    /// Sets it is run from.
    pub sets: Vec<Set>,
    /// Route of each eligible man.
    pub routes: Vec<(Who, Route)>,
    /// Drop.
    pub drop: Drop,
    /// Read plans, the one the simulated passer follows first.
    pub plans: Vec<ReadPlan>,
}

impl Concept {
    /// All.
    pub const ALL: [Self; 16] = [
        Self::Smash,
        Self::Stick,
        Self::SlantFlat,
        Self::CurlFlat,
        Self::FourVerticals,
        Self::Dagger,
        Self::Flood,
        Self::Mesh,
        Self::Snag,
        Self::ShallowDig,
        Self::PostDig,
        Self::Screen,
        Self::DoubleSlants,
        Self::SlotFade,
        Self::Drive,
        Self::Hitches,
    ];
    /// The trade's word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Smash => "smash",
            Self::Stick => "stick",
            Self::SlantFlat => "slant-flat",
            Self::CurlFlat => "curl-flat",
            Self::FourVerticals => "four verticals",
            Self::Dagger => "dagger",
            Self::Flood => "flood",
            Self::Mesh => "mesh",
            Self::Snag => "snag",
            Self::ShallowDig => "shallow cross with a dig",
            Self::PostDig => "post-dig",
            Self::Screen => "screen",
            Self::DoubleSlants => "double slants",
            Self::SlotFade => "slot fade",
            Self::Drive => "drive",
            Self::Hitches => "hitches",
        }
    }
    /// Its parts.
    pub fn scheme(self) -> Scheme {
        let two = vec![Set::TwoByTwo, Set::Stack, Set::TightEnd];
        let three = vec![Set::ThreeByOne, Set::Bunch];
        let wide = vec![Set::ThreeByOne, Set::Empty];
        let (sets, drop, routes) = match self {
            Self::Smash => (
                vec![Set::TwoByTwo, Set::TightEnd, Set::Stack],
                Drop::Medium,
                vec![
                    (Strong(1), Hitch),
                    (Strong(2), Corner),
                    (Weak(1), Hitch),
                    (Weak(2), Corner),
                    (Back, Check),
                ],
            ),
            Self::Stick => (
                wide,
                Drop::Quick,
                vec![
                    (Strong(1), Fade),
                    (Strong(2), QuickOut),
                    (Strong(3), Stick),
                    (Weak(1), Slant),
                    (Weak(2), Slant),
                    (Back, Swing),
                ],
            ),
            Self::SlantFlat => (
                two.clone(),
                Drop::Quick,
                vec![
                    (Strong(1), Slant),
                    (Strong(2), Flat),
                    (Weak(1), Slant),
                    (Weak(2), Flat),
                    (Back, Route::Block),
                ],
            ),
            Self::CurlFlat => (
                two.clone(),
                Drop::Medium,
                vec![(Strong(1), Curl), (Strong(2), Flat), (Weak(1), Curl), (Weak(2), Flat), (Back, Check)],
            ),
            Self::FourVerticals => (
                vec![Set::TwoByTwo],
                Drop::Medium,
                vec![(Strong(1), Go), (Strong(2), Seam), (Weak(1), Go), (Weak(2), Seam), (Back, Check)],
            ),
            Self::Dagger => (
                vec![Set::TwoByTwo, Set::ThreeByOne],
                Drop::Deep,
                vec![
                    (Strong(1), Dig),
                    (Strong(2), Seam),
                    (Strong(3), Shallow),
                    (Weak(1), Go),
                    (Weak(2), Shallow),
                    (Back, Check),
                ],
            ),
            Self::Flood => (
                three.clone(),
                Drop::Medium,
                vec![
                    (Strong(1), Go),
                    (Strong(2), DeepOut),
                    (Strong(3), Flat),
                    (Weak(1), Crosser),
                    (Back, Route::Block),
                ],
            ),
            Self::Mesh => (
                vec![Set::TwoByTwo, Set::TightEnd],
                Drop::Medium,
                vec![(Strong(1), Corner), (Strong(2), Mesh), (Weak(1), Mesh), (Weak(2), Curl), (Back, Wheel)],
            ),
            Self::Snag => (
                three.clone(),
                Drop::Quick,
                vec![
                    (Strong(1), Spot),
                    (Strong(2), Corner),
                    (Strong(3), Flat),
                    (Weak(1), Slant),
                    (Back, Check),
                ],
            ),
            Self::ShallowDig => (
                vec![Set::TwoByTwo, Set::ThreeByOne],
                Drop::Medium,
                vec![
                    (Strong(1), Go),
                    (Strong(2), Dig),
                    (Strong(3), Curl),
                    (Weak(1), Shallow),
                    (Weak(2), Corner),
                    (Back, Check),
                ],
            ),
            Self::PostDig => (
                vec![Set::TwoByTwo, Set::TightEnd],
                Drop::Deep,
                vec![
                    (Strong(1), Post),
                    (Strong(2), Dig),
                    (Weak(1), Comeback),
                    (Weak(2), Shallow),
                    (Back, Check),
                ],
            ),
            Self::Screen => (
                vec![Set::TwoByTwo, Set::ThreeByOne],
                Drop::Quick,
                vec![
                    (Strong(1), Go),
                    (Strong(2), Hitch),
                    (Strong(3), Hitch),
                    (Weak(1), Go),
                    (Weak(2), Hitch),
                    (Back, Route::Screen),
                ],
            ),
            Self::DoubleSlants => (
                vec![Set::TwoByTwo, Set::Empty],
                Drop::Quick,
                vec![
                    (Strong(1), Slant),
                    (Strong(2), Slant),
                    (Strong(3), Flat),
                    (Weak(1), Slant),
                    (Weak(2), Slant),
                    (Back, Swing),
                ],
            ),
            Self::SlotFade => (
                vec![Set::TwoByTwo, Set::Stack],
                Drop::Quick,
                vec![
                    (Strong(1), Hitch),
                    (Strong(2), SlotFade),
                    (Weak(1), Hitch),
                    (Weak(2), SlotFade),
                    (Back, Check),
                ],
            ),
            Self::Drive => (
                three,
                Drop::Medium,
                vec![
                    (Strong(1), Shallow),
                    (Strong(2), Corner),
                    (Strong(3), Dig),
                    (Weak(1), Post),
                    (Back, Swing),
                ],
            ),
            Self::Hitches => (
                wide_hitches(),
                Drop::Quick,
                vec![
                    (Strong(1), Hitch),
                    (Strong(2), Pivot),
                    (Strong(3), Hitch),
                    (Weak(1), Hitch),
                    (Weak(2), Bubble),
                    (Back, Route::Block),
                ],
            ),
        };
        let plan = |id: &str, reading, looks: &[(Who, f64)], hot| ReadPlan {
            id: id.to_owned(),
            reading,
            looks: looks.to_vec(),
            hot,
        };
        use Reading::{Key, Progression};
        let plans = match self {
            Self::Smash => vec![
                plan(
                    "progression",
                    Progression,
                    &[(Strong(2), 0.35), (Strong(1), 0.75), (Back, 1.25)],
                    Strong(1),
                ),
                plan("corner-key", Key, &[(Strong(2), 0.5), (Strong(1), 0.5), (Back, 1.25)], Strong(1)),
            ],
            Self::Stick => vec![
                plan(
                    "inside-linebacker",
                    Key,
                    &[(Strong(3), 0.3), (Strong(2), 0.3), (Weak(1), 0.9)],
                    Strong(3),
                ),
                plan(
                    "outside-in",
                    Progression,
                    &[(Strong(2), 0.2), (Strong(3), 0.5), (Weak(1), 1.0)],
                    Strong(3),
                ),
            ],
            Self::SlantFlat => vec![
                plan("flat-defender", Key, &[(Strong(1), 0.3), (Strong(2), 0.3), (Weak(1), 0.9)], Strong(1)),
                plan(
                    "slant-first",
                    Progression,
                    &[(Strong(1), 0.25), (Strong(2), 0.55), (Weak(1), 0.9)],
                    Strong(1),
                ),
            ],
            Self::CurlFlat => vec![
                plan("flat-defender", Key, &[(Strong(1), 0.75), (Strong(2), 0.6), (Back, 1.3)], Strong(2)),
                plan(
                    "flat-curl-check",
                    Progression,
                    &[(Strong(2), 0.3), (Strong(1), 0.75), (Back, 1.25)],
                    Strong(2),
                ),
            ],
            Self::FourVerticals => {
                vec![plan("check-down", Progression, &[(Strong(2), 0.5), (Weak(2), 0.85), (Back, 1.3)], Back)]
            }
            Self::Dagger => vec![plan(
                "seam-dig-check",
                Progression,
                &[(Strong(2), 0.25), (Strong(1), 0.7), (Back, 1.2)],
                Back,
            )],
            Self::Flood => vec![
                plan(
                    "high-to-low",
                    Progression,
                    &[(Strong(1), 0.3), (Strong(2), 0.6), (Strong(3), 0.95)],
                    Strong(3),
                ),
                plan("flat-defender", Key, &[(Strong(2), 0.6), (Strong(3), 0.6)], Strong(3)),
            ],
            Self::Mesh => vec![plan(
                "corner-mesh",
                Progression,
                &[(Strong(1), 0.5), (Strong(2), 0.75), (Weak(1), 0.9), (Back, 1.3)],
                Strong(2),
            )],
            Self::Snag => vec![plan(
                "corner-flat-spot",
                Progression,
                &[(Strong(2), 0.9), (Strong(3), 1.1), (Strong(1), 1.3)],
                Strong(1),
            )],
            Self::ShallowDig => vec![plan(
                "shallow-dig-check",
                Progression,
                &[(Weak(1), 0.35), (Strong(2), 0.8), (Back, 1.25)],
                Weak(1),
            )],
            Self::PostDig => vec![
                plan(
                    "post-dig-check",
                    Progression,
                    &[(Strong(1), 0.35), (Strong(2), 0.7), (Back, 1.2)],
                    Back,
                ),
                plan("safety-key", Key, &[(Strong(1), 0.45), (Strong(2), 0.7), (Back, 1.2)], Back),
            ],
            Self::Screen => vec![plan("only", Progression, &[(Back, 0.7)], Back)],
            Self::DoubleSlants => vec![plan(
                "inside-out",
                Progression,
                &[(Strong(2), 0.2), (Strong(1), 0.5), (Weak(1), 0.9)],
                Strong(2),
            )],
            Self::SlotFade => vec![plan(
                "fade-hitch",
                Progression,
                &[(Strong(2), 0.45), (Strong(1), 0.75), (Back, 1.3)],
                Strong(1),
            )],
            Self::Drive => vec![plan(
                "shallow-dig",
                Progression,
                &[(Strong(1), 0.35), (Strong(3), 0.8), (Back, 1.25)],
                Strong(1),
            )],
            Self::Hitches => vec![plan(
                "soft-corner",
                Progression,
                &[(Strong(1), 0.25), (Strong(2), 0.6), (Weak(1), 0.9)],
                Strong(1),
            )],
        };
        Scheme { sets, routes, drop, plans }
    }
}

fn wide_hitches() -> Vec<Set> {
    vec![Set::TwoByTwo, Set::ThreeByOne, Set::Empty]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_eligible_man_of_every_set_has_a_route_and_every_look_a_runner() {
        for concept in Concept::ALL {
            let s = concept.scheme();
            for set in &s.sets {
                let (strong, weak, backs) = set.counts();
                let mut who: Vec<Who> =
                    (1..=strong as u8).map(Strong).chain((1..=weak as u8).map(Weak)).collect();
                if backs == 1 {
                    who.push(Back);
                }
                for w in &who {
                    assert_eq!(s.routes.iter().filter(|r| r.0 == *w).count(), 1, "{concept:?} {set:?} {w:?}");
                }
                for plan in &s.plans {
                    let looks = plan.looks.iter().filter(|l| who.contains(&l.0)).count();
                    assert!(looks >= 1, "{concept:?} {set:?} {}", plan.id);
                    assert!(
                        plan.looks
                            .iter()
                            .all(|(w, _)| s.routes.iter().any(|r| r.0 == *w && r.1 != Route::Block))
                    );
                }
            }
        }
    }
}
