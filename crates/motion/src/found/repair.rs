//! What the evaluator changed, applied in order.

use super::FoundTrack;
use crate::tracks::GroundObservation;
use play::{Finding, Person, Repair, Severity, TrackId, TrackRepair};

/// A track as repaired.
#[derive(Clone, Debug, PartialEq)]
pub struct Repaired {
    /// Which, and where he was seen.
    pub track: FoundTrack,
    /// Where the evaluator put him.
    pub hand: Vec<GroundObservation>,
    /// Who the evaluator says he is: `Some(None)` for somebody who does not matter, `None` when nothing was said.
    pub label: Option<Option<Person>>,
}

impl Repaired {
    /// Everything his path follows from.
    pub fn observations(&self) -> Vec<GroundObservation> {
        let mut all = self.track.observations();
        all.extend(&self.hand);
        all
    }
}

/// Applies repairs in the order of their numbers; `place` puts a hand's pixel of a view's frame on the ground. Repairs of
/// tracks that are not there (any more) are named in the findings and change nothing.
pub fn repair(
    tracks: Vec<FoundTrack>,
    repairs: &[TrackRepair],
    place: impl Fn(&Repair) -> Option<GroundObservation>,
) -> (Vec<Repaired>, Vec<Finding>) {
    let mut all: Vec<Repaired> =
        tracks.into_iter().map(|track| Repaired { track, hand: Vec::new(), label: None }).collect();
    let mut findings = Vec::new();
    for r in repairs {
        if let Err(why) = apply(&mut all, r, &place) {
            let said = format!("a repair of the tracks is not used: {why}");
            findings.push(Finding::new(Severity::Weak, "repair-unused", said));
        }
    }
    all.retain(|r| !r.track.spots.is_empty() || !r.hand.is_empty());
    (all, findings)
}

fn index(all: &[Repaired], id: &TrackId) -> Result<usize, String> {
    all.iter().position(|r| r.track.id == *id).ok_or_else(|| format!("there is no track {id}"))
}

/// Takes what comes from `from_s` on out of a track.
fn tail(r: &mut Repaired, from_s: f64) -> Repaired {
    let late = |t: f64| t >= from_s;
    let (spots, kept) = r.track.spots.drain(..).partition(|s| late(s.at.t_s));
    r.track.spots = kept;
    let (hand, kept) = r.hand.drain(..).partition(|o| late(o.t_s));
    r.hand = kept;
    Repaired { track: FoundTrack { id: r.track.id.clone(), spots, set_from_s: None }, hand, label: None }
}

fn put(r: &mut Repaired, other: Repaired) {
    r.track.spots.extend(other.track.spots);
    r.track.spots.sort_by(|a, b| a.at.t_s.total_cmp(&b.at.t_s));
    r.hand.extend(other.hand);
}

fn apply(
    all: &mut Vec<Repaired>,
    r: &TrackRepair,
    place: &impl Fn(&Repair) -> Option<GroundObservation>,
) -> Result<(), String> {
    match &r.repair {
        Repair::Move { track, frame, view, .. } => {
            let k = index(all, track)?;
            let o = place(&r.repair).ok_or_else(|| {
                let view = crate::tracks::view_name(*view);
                format!("frame {frame} of the {view} view is not lined up")
            })?;
            // A second drag in the same frame replaces the first.
            all[k].hand.retain(|h| h.view != o.view || (h.t_s - o.t_s).abs() > 1e-6);
            all[k].hand.push(o);
        }
        Repair::Swap { track, other, from_s } => {
            let (a, b) = (index(all, track)?, index(all, other)?);
            if a == b {
                return Err(format!("{track} cannot be swapped with itself"));
            }
            let (x, y) = (tail(&mut all[a], *from_s), tail(&mut all[b], *from_s));
            put(&mut all[a], y);
            put(&mut all[b], x);
        }
        Repair::Merge { track, other } => {
            let (a, b) = (index(all, track)?, index(all, other)?);
            if a == b {
                return Err(format!("{track} cannot be merged with itself"));
            }
            let gone = all[b].clone();
            put(&mut all[a], gone);
            all.remove(b);
        }
        Repair::Split { track, from_s } => {
            let k = index(all, track)?;
            let mut new = tail(&mut all[k], *from_s);
            if new.track.spots.is_empty() && new.hand.is_empty() {
                return Err(format!("{track} has nothing from {from_s:.2} s on"));
            }
            new.track.id = TrackId(format!("{track}-{}", r.id));
            all.push(new);
        }
        Repair::Delete { track } => {
            let k = index(all, track)?;
            all.remove(k);
        }
        Repair::Label { track, person } => {
            let k = index(all, track)?;
            // One man has one track: who had this label loses it.
            if let Some(p) = person {
                for other in all.iter_mut() {
                    if other.label.as_ref().is_some_and(|l| l.as_ref().is_some_and(|q| q.id == p.id)) {
                        other.label = None;
                    }
                }
            }
            all[k].label = Some(person.clone());
        }
    }
    Ok(())
}
