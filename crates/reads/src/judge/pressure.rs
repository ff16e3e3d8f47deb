//! When pressure came, and whether more came than were blocked.

use crate::board::Board;
use crate::measures;
use play::{Chart, Role};
use stats::Estimate;

/// When a rusher first came within reach of the passer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Contact {
    /// Then, s from the snap.
    At(Estimate),
    /// Not before this, s from the snap.
    NotBefore(f64),
    /// Neither marked nor seen.
    Unknown,
}

/// Pressure as far as it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressure {
    /// First contact.
    pub contact: Contact,
    /// Rush count.
    pub rushers: Option<u8>,
    /// Blockers.
    pub blockers: Option<u8>,
}

/// A rusher this near to the passer is within reach, yd: an arm and a stride; common practice, no source.
const REACH_YD: f64 = 1.5;

impl Pressure {
    /// From the marked first contact if there is one, otherwise from the rushers' tracks up to `until_s`, otherwise from
    /// a pocket charted as clean. Counts are the chart's where they are charted.
    pub fn of(board: &Board<'_>, chart: &Chart, marked: Option<Estimate>, until_s: Option<f64>) -> Self {
        let rushing = measures::rushers(board);
        let blocking =
            board.people.iter().filter(|p| p.role == Role::Blocker && board.track(&p.id).is_some()).count();
        let count = |n: usize| (n > 0).then_some(n as u8);
        let contact = match (marked, until_s) {
            (Some(at), _) => Contact::At(at),
            (None, Some(until)) => first_reach(board, &rushing, until).unwrap_or(
                if chart.pocket.trim().eq_ignore_ascii_case("clean") {
                    Contact::NotBefore(until)
                } else {
                    Contact::Unknown
                },
            ),
            (None, None) => Contact::Unknown,
        };
        Self {
            contact,
            rushers: chart.rushers.or_else(|| count(rushing.len())),
            blockers: chart.blockers.or_else(|| count(blocking)),
        }
    }

    /// Whether more rushed than blocked; `None` when either count is not known.
    pub fn outnumbered(&self) -> Option<bool> {
        Some(self.rushers? > self.blockers?)
    }
}

/// First reach of any of the rushers, from their tracks; `None` when passer or rushers are not tracked.
fn first_reach(board: &Board<'_>, rushers: &[play::PersonId], until_s: f64) -> Option<Contact> {
    const STEP_S: f64 = 1.0 / 30.0;
    let passer = &board.people.iter().find(|p| p.role == Role::Passer)?.id;
    let mut seen_until = None;
    for k in 0..=(until_s / STEP_S).floor().max(0.0) as usize {
        let t = k as f64 * STEP_S;
        let Some(p) = board.spot(passer, t) else { continue };
        for id in rushers {
            let Some(r) = board.spot(id, t) else { continue };
            seen_until = Some(t);
            if r.at.distance(p.at) <= REACH_YD {
                let closing = (r.velocity - p.velocity).norm().max(1.0);
                let se = (p.sd.hypot(r.sd) / closing).hypot(STEP_S);
                return Some(Contact::At(Estimate::new(t, se)));
            }
        }
    }
    seen_until.map(Contact::NotBefore)
}
