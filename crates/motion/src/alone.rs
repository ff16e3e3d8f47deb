//! A play seen by one of its views alone, where the two contradict each other.
//!
//! A view that is read a yard line off shifts everybody in it alike: within it, who is how far from whom stays right. The mean of two such
//! views is right nowhere, with an interval that says otherwise.

use crate::ground::ViewInput;
use crate::measure::Inputs;
use crate::tracks::GroundObservation;
use play::{BallMark, FootMark, HipMark, PersonId, PersonMark, View};

/// What is left of a play's marks for one view. The other keeps its clock: the moments in it tell when, not where.
pub(crate) struct Alone<'a> {
    views: Vec<ViewInput<'a>>,
    persons: Vec<PersonMark>,
    balls: Vec<BallMark>,
    feet: Vec<FootMark>,
    hips: Vec<HipMark>,
    found: Vec<(PersonId, Vec<GroundObservation>)>,
}

impl<'a> Alone<'a> {
    pub fn of(all: &Inputs<'a>, kept: View) -> Self {
        let blind = |v: &ViewInput<'a>| ViewInput {
            cameras: if v.view == kept { v.cameras } else { &[] },
            ..v.clone()
        };
        let seen = |(id, at): &(PersonId, Vec<GroundObservation>)| {
            (id.clone(), at.iter().filter(|o| o.view == kept).copied().collect())
        };
        Self {
            views: all.views.iter().map(blind).collect(),
            persons: all.persons.iter().filter(|m| m.view == kept).cloned().collect(),
            balls: all.balls.iter().filter(|m| m.view == kept).cloned().collect(),
            feet: all.feet.iter().filter(|m| m.view == kept).cloned().collect(),
            hips: all.hips.iter().filter(|m| m.view == kept).cloned().collect(),
            found: all.given.found.iter().map(seen).filter(|f: &(_, Vec<_>)| !f.1.is_empty()).collect(),
        }
    }
    /// The play with these in place of all.
    pub fn inputs<'b>(&'b self, all: &Inputs<'b>) -> Inputs<'b> {
        let mut given = all.given;
        given.found = &self.found;
        Inputs {
            views: &self.views,
            persons: &self.persons,
            balls: &self.balls,
            feet: &self.feet,
            hips: &self.hips,
            given,
            ..all.clone()
        }
    }
}
