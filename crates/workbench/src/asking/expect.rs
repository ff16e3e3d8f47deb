//! A thrown ball held against the windows that were there.

use crate::measuring::MeasureCache;
use crate::measuring::{MeasureInputs, flight_table};
use patterns::facts::{Expected, Steps};
use play::{Measurement, MomentKind, ReceiverWindows, Seen, ThrowResult, WindowCell};
use reads::board::Board;
use reads::value::Standing;
use stats::Estimate;
use window::{Draw, Request, Scene, WindowDraws, evaluate_throw};

/// Repeats behind the ball as thrown.
const DRAWS: usize = 60;
/// Windows count from the set on, or from here where it is not marked, s: a quick throw's release.
const FROM_S: f64 = 1.0;

/// What a cell is worth on a scale.
type Scale<'s> = &'s dyn Fn(&WindowCell) -> Estimate;

/// The throw against the windows; the error says why there is none.
pub(super) fn expected(
    inputs: &MeasureInputs,
    m: &Measurement,
    board: Option<&Board<'_>>,
    cache: &MeasureCache,
) -> Result<Expected, String> {
    let came = match inputs.chart.result {
        Some(ThrowResult::Complete) => 1.0,
        Some(ThrowResult::Incomplete | ThrowResult::Intercepted) => 0.0,
        Some(_) => return Err("the ball was not thrown to a receiver".into()),
        None => return Err("the result is not charted".into()),
    };
    let target = inputs.chart.target.as_ref().ok_or("whom the ball was thrown to is not charted")?;
    let at = |kind| m.moments.iter().find(|x| x.kind == kind).map(|x| x.at_s.value);
    let release = at(MomentKind::Release).ok_or("the release is not marked")?;
    if m.windows.is_empty() {
        return Err("the play has no windows".into());
    }
    let his =
        m.windows.iter().find(|w| w.receiver == *target).ok_or("the receiver thrown to has no windows")?;
    let from = at(MomentKind::Set).unwrap_or(FROM_S).min(release);
    let thrown = thrown(inputs, m, cache, release);
    let chance = steps(m, his, from, release, &|c| c.complete, came)
        .map(|s| Steps { thrown: thrown.as_ref().map(|c| c.complete), ..s })
        .ok_or("his window at the release is not known")?;
    let standing = Standing::of(&inputs.situation).zip(board);
    let points = standing.and_then(|(standing, board)| {
        let depth_of = |c: &WindowCell| c.ball.map(|b| board.place(b.target).x);
        let worth = |c: &WindowCell, depth: f64| {
            let at = |complete: f64| {
                let draw = Draw {
                    margin_s: c.margin_s.value,
                    margin_yd: c.margin_yd.value,
                    complete: complete.clamp(0.0, 1.0),
                    intercept: c.intercept.value.min(1.0 - complete.clamp(0.0, 1.0)),
                };
                standing.throw(depth, &draw)
            };
            let value = at(c.complete.value);
            Estimate::new(value, (at(c.complete.value + c.complete.se) - value).abs())
        };
        // A throw that reaches nobody gains nothing.
        let scale = |c: &WindowCell| {
            depth_of(c).map_or_else(|| Estimate::new(standing.after(0.0), 0.0), |d| worth(c, d))
        };
        let depth = m.throw.get().map(|t| board.place(geometry::Point2::new(t.arrival.x, t.arrival.y)).x);
        let came = match inputs.chart.result {
            Some(ThrowResult::Complete) => standing.after(inputs.chart.gain_yd?),
            Some(ThrowResult::Intercepted) => {
                standing.intercepted(depth.or_else(|| depth_of(his.nearest(release)?))?)
            }
            _ => standing.after(0.0),
        };
        let ball = thrown.as_ref().zip(depth).map(|(c, d)| worth(c, d));
        steps(m, his, from, release, &scale, came).map(|s| Steps { thrown: ball, ..s })
    });
    Ok(Expected { chance, points })
}

/// From the best window between two instants to the target's at the release.
fn steps(
    m: &Measurement,
    his: &ReceiverWindows,
    from: f64,
    release: f64,
    scale: Scale<'_>,
    came: f64,
) -> Option<Steps> {
    const SLACK_S: f64 = 1e-6;
    let at_release = scale(his.nearest(release)?);
    let best_of = |w: &ReceiverWindows| {
        w.cells
            .iter()
            .filter(|c| (from - SLACK_S..=release + SLACK_S).contains(&c.release_s))
            .map(scale)
            .chain((w.receiver == his.receiver).then_some(at_release))
            .max_by(|a, b| a.value.total_cmp(&b.value))
    };
    let target = best_of(his)?;
    let best = m.windows.iter().filter_map(best_of).max_by(|a, b| a.value.total_cmp(&b.value))?;
    Some(Steps { best, target, release: at_release, thrown: None, came })
}

/// The ball as thrown, by the windows' own model; `None` when it was not measured.
fn thrown(inputs: &MeasureInputs, m: &Measurement, cache: &MeasureCache, release: f64) -> Option<WindowCell> {
    let Seen::Seen(throw) = &m.throw else { return None };
    let parameters = inputs.parameters();
    let table = flight_table(&inputs.air, &parameters, cache).ok()?;
    let scene = Scene { people: &inputs.people, tracks: &m.tracks, rule_book: inputs.book };
    let request = Request { draws: DRAWS, ..Request::default() };
    let none = WindowDraws { releases: Vec::new(), receivers: Vec::new(), cells: Vec::new(), draws: 0 };
    let target = inputs.chart.target.as_ref()?;
    let made = evaluate_throw(&scene, &table, &parameters, &request, &none, target, throw, 0.0).ok()?;
    Some(made.thrown.summary(release))
}
