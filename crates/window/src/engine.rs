use crate::candidate::{Candidate, best_throws};
use crate::contest::{Contest, Meet};
use crate::control::Chances;
use crate::draws::{CellDraws, Draw, WindowDraws};
use crate::error::WindowError;
use crate::flight_table::FlightTable;
use crate::parameters::Parameters;
use crate::perturb::{Drawn, Repeats};
use crate::pick::{Picked, pick};
use crate::race::{Meeting, Placed, Raced, Stations};
use crate::scene::{Cast, Request, Runner, Scene, State, releases};
use geometry::Point2;
use geometry::frame::Ground;
use play::{Ball, Finding, Severity};
use rayon::prelude::*;

/// The defenders of every repeat at every release, built once and shared by all receivers.
pub(crate) struct Field {
    /// By release: places in `Cast::covers` of those seen.
    pub seen: Vec<Vec<usize>>,
    /// By release: repeats (the zeroth is the measurement) by seen defender.
    pub placed: Vec<Vec<Placed>>,
}

impl Field {
    fn new(cast: &Cast<'_>, times: &[f64], repeats: &Repeats, draws: usize, p: &Parameters) -> Self {
        let movers: Vec<Vec<Drawn>> = (0..=draws)
            .map(|d| cast.covers.iter().map(|c| repeats.numbers(d, c.index).mover(&p.cover)).collect())
            .collect();
        let (seen, placed) = times
            .par_iter()
            .map(|&t| {
                // His track up to the release only: where he went later is not what the passer could see.
                let states: Vec<(usize, State)> = cast
                    .covers
                    .iter()
                    .enumerate()
                    .filter(|(_, c)| t <= c.way.known_until() + 1e-9)
                    .filter_map(|(i, c)| c.way.at(t).map(|s| (i, s)))
                    .collect();
                let mut all = Vec::with_capacity((draws + 1) * states.len());
                for (d, by_cover) in movers.iter().enumerate() {
                    for (i, state) in &states {
                        let drawn = by_cover[*i];
                        let (position, velocity) = if d == 0 {
                            (state.position, state.velocity)
                        } else {
                            repeats.numbers(d, cast.covers[*i].index).shift(state, p)
                        };
                        all.push(Placed { drawn, position, velocity });
                    }
                }
                (states.into_iter().map(|s| s.0).collect(), all)
            })
            .unzip();
        Self { seen, placed }
    }
    /// Defenders of repeat `draw` at release `k`.
    pub fn of(&self, k: usize, draw: usize) -> &[Placed] {
        let n = self.seen[k].len();
        &self.placed[k][draw * n..(draw + 1) * n]
    }
}

/// Windows of every eligible receiver at every release of `request`.
///
/// Deterministic by the request's seed. The findings tell who could not be raced and when.
///
/// # Errors
/// `NoTrack` without passer, receiver or defender; `OutOfRange` for a request or parameters outside their limits.
pub fn windows(
    scene: &Scene<'_>,
    table: &FlightTable,
    parameters: &Parameters,
    request: &Request,
) -> Result<(WindowDraws, Vec<Finding>), WindowError> {
    let stage = Stage::new(scene, table, parameters, request)?;
    let n = stage.times.len();
    let cells: Vec<Option<CellDraws>> = (0..stage.cast.receivers.len() * n)
        .into_par_iter()
        .map(|i| stage.cell(&stage.cast.receivers[i / n], i % n))
        .collect();
    let draws = WindowDraws {
        releases: stage.times.clone(),
        receivers: stage.cast.receivers.iter().map(|r| r.id.clone()).collect(),
        cells,
        draws: request.draws,
    };
    let findings = stage.findings(&draws);
    Ok((draws, findings))
}

/// Everything that the cells of a play share.
pub(crate) struct Stage<'a> {
    pub cast: Cast<'a>,
    pub times: Vec<f64>,
    pub repeats: Repeats,
    pub field: Field,
    pub table: &'a FlightTable,
    pub parameters: &'a Parameters,
    pub draws: usize,
}

impl<'a> Stage<'a> {
    pub fn new(
        scene: &Scene<'a>,
        table: &'a FlightTable,
        parameters: &'a Parameters,
        request: &Request,
    ) -> Result<Self, WindowError> {
        parameters.check()?;
        let cast = Cast::new(scene)?;
        let times = releases(request)?;
        let repeats = Repeats::new(scene.people.len(), request.draws, request.seed);
        let field = Field::new(&cast, &times, &repeats, request.draws, parameters);
        Ok(Self { cast, times, repeats, field, table, parameters, draws: request.draws })
    }

    /// The passer at release `k`.
    pub fn passer(&self, k: usize) -> Option<Point2<Ground>> {
        let t = self.times[k];
        (t <= self.cast.passer.known_until() + 1e-9).then(|| self.cast.passer.at(t))?.map(|s| s.position)
    }

    /// Draws of a receiver at release `k`; `None` where he, the passer or every defender is not seen.
    pub fn cell(&self, receiver: &Runner<'_>, k: usize) -> Option<CellDraws> {
        let p = self.parameters;
        let passer = self.passer(k)?;
        let t = self.times[k];
        if t > receiver.way.known_until() + 1e-9 {
            return None;
        }
        receiver.way.at(t)?;
        let measured = self.field.of(k, 0);
        if measured.is_empty() {
            return None;
        }
        let kept = best_throws(&self.cast, receiver, t, passer, measured, self.table, p);
        let Some(best) = kept.first() else {
            let nothing = Draw {
                margin_s: -p.limits.margin_s,
                margin_yd: -p.limits.margin_s * p.cover.top_speed_ydps.value,
                ..Draw::default()
            };
            return Some(CellDraws {
                measured: nothing,
                ball: None,
                defender: None,
                repeats: vec![nothing; self.draws],
            });
        };
        let first = &self.cast.covers[self.field.seen[k][best.raced.first]];
        let value = |c: &Candidate, m: &Meeting, r: &Raced, d: &[Placed]| {
            let Chances { complete, intercept } =
                throw_chances(p, &c.stations, m, c.near[..c.rivals].iter().map(|&i| &d[i]));
            Draw { margin_s: r.margin_s, margin_yd: r.margin_yd, complete, intercept }
        };
        let repeats = (1..=self.draws)
            .map(|d| {
                let defenders = self.field.of(k, d);
                let Picked { candidate: c, meeting, raced } =
                    pick(&kept, defenders, self.repeats.numbers(d, receiver.index), p, true)
                        .expect("one was kept");
                value(c, &meeting, &raced, defenders)
            })
            .collect();
        let cell = CellDraws {
            measured: value(best, &best.meeting, &best.raced, measured),
            ball: Some(Ball { ..best.ball }),
            defender: Some(first.id.clone()),
            repeats,
        };
        Some(cell.claimed(&p.control))
    }

    /// What decides the chances of the best ball to `receiver` at release `k`, by repeat; `None` where [`Self::cell`] has
    /// none or no throw the arm allows reaches him.
    pub fn contest(&self, receiver: &Runner<'_>, k: usize) -> Option<Contest> {
        let p = self.parameters;
        let measured = self.field.of(k, 0);
        let t = self.times[k];
        if t > receiver.way.known_until() + 1e-9 || measured.is_empty() {
            return None;
        }
        let kept = best_throws(&self.cast, receiver, t, self.passer(k)?, measured, self.table, p);
        let meets = (1..=self.draws)
            .map(|d| {
                let defenders = self.field.of(k, d);
                let picked = pick(&kept, defenders, self.repeats.numbers(d, receiver.index), p, true)?;
                let rivals = picked.candidate.near[..picked.candidate.rivals].iter().map(|&i| &defenders[i]);
                Some(Meet::new(&picked.candidate.stations, &picked.meeting, rivals))
            })
            .collect::<Option<Vec<Meet>>>()?;
        (!meets.is_empty()).then_some(Contest { meets })
    }

    fn findings(&self, draws: &WindowDraws) -> Vec<Finding> {
        // Routes that end at the same instant are told together.
        let mut ending: Vec<(String, Vec<&str>)> = Vec::new();
        let mut findings = self.cast.findings.clone();
        let n = self.times.len();
        for (r, runner) in self.cast.receivers.iter().enumerate() {
            let missing = (0..n).filter(|&k| draws.cell(r, k).is_none()).count();
            if missing > 0 {
                findings.push(Finding::new(
                    Severity::Weak,
                    "not-seen",
                    format!(
                        "{} or the passer is not seen at {missing} of {n} releases; those have no window",
                        runner.id
                    ),
                ));
            }
            let ahead = self.parameters.arm.shortest_flight_s;
            if let Some(last) = self.times.last()
                && runner.way.known_until() < last + ahead
            {
                let known = format!("{:.2}", runner.way.known_until());
                match ending.iter_mut().find(|e| e.0 == known) {
                    Some(e) => e.1.push(runner.id.as_str()),
                    None => ending.push((known, vec![runner.id.as_str()])),
                }
            }
        }
        for (known, who) in ending {
            let (whose, he) = match who[..] {
                [one] => (format!("the route of {one} is"), "he is"),
                _ => (format!("the routes of {} are", who.join(", ")), "they are"),
            };
            let text = format!("{whose} known until {known} s; later {he} taken to run straight on");
            findings.push(Finding::new(Severity::Note, "route-ends", text));
        }
        for (i, c) in self.cast.covers.iter().enumerate() {
            let missing = self.field.seen.iter().filter(|s| !s.contains(&i)).count();
            if missing > 0 {
                findings.push(Finding::new(
                    Severity::Weak,
                    "defender-not-seen",
                    format!(
                        "{} is not seen at {missing} of {n} releases; those windows are computed without him",
                        c.id
                    ),
                ));
            }
        }
        findings
    }
}

/// Chances of a throw against the defenders handed in (at most [`RIVALS`] of them count).
pub(crate) fn throw_chances<'a>(
    p: &Parameters,
    stations: &Stations,
    meeting: &Meeting,
    defenders: impl Iterator<Item = &'a Placed>,
) -> Chances {
    Meet::new(stations, meeting, defenders).chances(&p.control)
}
