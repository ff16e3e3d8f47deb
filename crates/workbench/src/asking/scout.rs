//! What is recognised of a play for its line: coverage, picture, depth, and its result against expectation.

use super::expect::expected;
use crate::measuring::{MeasureCache, MeasureInputs};
use crate::recognising::kind as family_word;
use patterns::again::{Picture, SHAPE_S, STEP_S, UNTIL_S};
use patterns::facts::Scouted;
use play::{Measurement, MomentKind, PlanKind};
use reads::board::Board;
use reads::concepts::routes;
use reads::judge::plans_for;
use reads::playbook::{Coverage, Family, Middle, Playbook};
use reads::{key, measures, picture, recognise};
use serde::{Deserialize, Serialize};
use stats::Estimate;

/// A play as scouted.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct Scouting {
    pub scouted: Scouted,
    pub picture: Picture,
}

/// Share of a recognised route from which on it stands in for a charted one.
const ROUTE_SURE: f64 = 0.6;
/// End of what is looked at when no release is marked, s from the snap.
const WITHOUT_RELEASE_S: f64 = 3.0;

/// Scouts a play.
pub(super) fn scout(
    inputs: &MeasureInputs,
    m: Option<&Measurement>,
    book: &Playbook,
    cache: &MeasureCache,
) -> Scouting {
    let chart = &inputs.chart;
    let mut s = Scouted::default();
    let mut p = Picture { coverage: chart.coverage_after.trim().to_owned(), ..Picture::default() };
    if let Some(c) = charted(&chart.coverage_after, book) {
        s.family = Some(family_word(c.family).to_owned());
        s.charted_man = Some(c.man);
        s.charted_closed = Some(c.middle == Middle::Closed);
    }
    s.drop_out_s = book.drop(chart.drop.trim()).map(|d| (d.out[0], d.out[1]));
    let plans = plans_for(chart, book);
    if let Some((_, plan)) = plans.first() {
        for look in &plan.looks {
            if !s.looks.contains(&look.slot) {
                s.looks.push(look.slot.clone());
            }
        }
    }
    for r in chart.routes.iter().filter(|r| !r.route.trim().is_empty()) {
        p.routes.insert(r.slot.clone(), r.route.trim().to_owned());
    }
    let empty = Vec::new();
    let tracks = m.map_or(&empty, |m| &m.tracks);
    let board = Board::new(&inputs.people, tracks, &inputs.situation, inputs.book).ok();
    if let (Some(m), Some(board)) = (m, &board) {
        let release = m.moments.iter().find(|x| x.kind == MomentKind::Release).map(|x| x.at_s.value);
        let until = release.unwrap_or(WITHOUT_RELEASE_S);
        if let Some(middle) = picture::deep_middle(board, until) {
            s.seen_closed = Some(middle.closed);
        }
        let families = picture::families(board, until);
        if let Some(first) = families.first() {
            s.seen_family = Some((family_word(first.0).to_owned(), first.1));
            let man = [Family::Zero, Family::OneHighMan, Family::TwoHighMan];
            s.seen_man = Some(families.iter().filter(|f| man.contains(&f.0)).map(|f| f.1).sum());
        }
        s.shell = picture::shell(board).map(|x| (x.deep, x.sure));
        let rushing = measures::rushers(board).len() as u8;
        s.rushers = (rushing > 0).then_some(rushing);
        if let Some(t) = m.throw.get() {
            let at = board.place(geometry::Point2::new(t.arrival.x, t.arrival.y));
            let c = t.arrival_covariance;
            s.depth_yd = Some(Estimate::new(at.x, c.xx.max(0.0).sqrt()));
            s.left_yd = Some(Estimate::new(at.y, c.yy.max(0.0).sqrt()));
        }
        ran(board, until, release, book, &mut p);
        p.key = plans.iter().find(|x| x.1.kind == PlanKind::Key).and_then(|x| went_with(board, &x.1, until));
    }
    match m
        .ok_or_else(|| "the play is not measured".to_owned())
        .and_then(|m| expected(inputs, m, board.as_ref(), cache))
    {
        Ok(e) => s.expected = Some(e),
        Err(why) => s.not_expected = why,
    }
    let sure = s.seen_family.clone().filter(|f| f.1 >= 0.8).map(|f| f.0);
    p.family = s.family.clone().or(sure);
    p.shell = s.shell.map(|x| x.0);
    p.rushers = chart.rushers.or(s.rushers);
    Scouting { scouted: s, picture: p }
}

fn charted<'b>(word: &str, book: &'b Playbook) -> Option<&'b Coverage> {
    let plain = |t: &str| -> String {
        t.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
    };
    let word = plain(word);
    if word.is_empty() {
        return None;
    }
    book.coverages.iter().find(|c| plain(&c.id) == word || plain(&c.name) == word)
}

/// Who ran where.
fn ran(board: &Board<'_>, until: f64, released: Option<f64>, book: &Playbook, p: &mut Picture) {
    if p.routes.is_empty() {
        for (slot, guess) in routes(board, until, released, &[], book) {
            if let Some((id, share)) = guess.routes.into_iter().next()
                && share >= ROUTE_SURE
            {
                p.routes.insert(slot, book.route(&id).map_or(id, |r| r.name.clone()));
            }
        }
    }
    for who in board.receivers() {
        let Some(slot) = recognise::slot_of(board, &who.id) else { continue };
        let steps = (UNTIL_S / STEP_S) as usize;
        let path: Vec<[f64; 2]> = (0..=steps)
            .map_while(|k| board.spot(&who.id, STEP_S * k as f64).map(|s| [s.at.x, s.at.y]))
            .collect();
        if path.len() > 1 {
            p.paths.insert(slot, path);
        }
    }
    p.shape = board.covers().filter_map(|d| board.spot(&d.id, SHAPE_S)).map(|s| [s.at.x, s.at.y]).collect();
}

/// The slot of the receiver with whom the plan's key went.
fn went_with(board: &Board<'_>, plan: &play::Plan, until: f64) -> Option<String> {
    const FROM_S: f64 = 0.5;
    let look = plan.looks.iter().find(|l| l.against.is_some())?;
    let against = look.against.as_ref()?;
    let (a, b) = (recognise::in_slot(board, &look.slot)?, recognise::in_slot(board, against)?);
    let key = key::find(board, a, b, FROM_S, until)?;
    let declared = key::declared(board, &key, a, b, FROM_S, until)?;
    Some(if declared.to_first { look.slot.clone() } else { against.clone() })
}
