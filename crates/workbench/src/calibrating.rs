//! Claimed chances of completion against what came of the study's throws, and the windows' parameters fitted to them.

use crate::error::blocking;
use crate::measuring::{MeasureInputs, flight_table};
use crate::{WorkError, Workbench};
use play::{Measurement, MomentKind, PlayId, ReachFit, Seen, ThrowResult};
use report::{Reliability, Theme};
use serde::Serialize;
use stats::{Claimed, Estimate, Scores, scores};
use std::collections::BTreeMap;
use store::Change;
use window::{
    Came, Charted, Contest, Parameters, Request, Scene, WindowDraws, contest_at, evaluate_throw, fit,
};

/// How the claims of a study's throws fared.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Calibration {
    /// Throws with target, outcome and paths.
    pub throws: usize,
    /// Plays that do not count, by reason.
    pub left_out: Vec<LeftOut>,
    /// Chance of the best ball to the target at the release, with the parameters the program comes with.
    pub ours: Option<Scores>,
    /// The same with fitted parameters, each throw by a fit that did not see it.
    pub fitted: Option<Scores>,
    /// Chance of the ball as it was thrown, with the parameters the program comes with.
    pub thrown: Option<Scores>,
    /// Log loss of a throw by our parameters less that by fitted ones that did not see it, nats.
    pub gain: Option<Estimate>,
    /// The fit, and whether windows are computed with it.
    pub fit: Option<ReachFit>,
    /// What this says, in plain words.
    pub said: String,
}

/// Plays that do not count.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct LeftOut {
    /// Why.
    pub why: String,
    /// How many.
    pub plays: usize,
}

/// Which parameters windows are computed with from now on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UseFit {
    /// As before.
    AsItWas,
    /// The program's own.
    Ours,
    /// The fitted ones.
    Fitted,
}

/// Repeats behind a claim.
const DRAWS: usize = 60;
/// Deals the folds of the cross-validation.
const SEED: u64 = 1;
/// Bins of the reliability diagram.
const BINS: usize = 10;

/// A throw that counts.
struct Thrown {
    best: Contest,
    made: Option<Contest>,
    came: Came,
}

impl Workbench {
    /// The stored fit of the windows' parameters.
    ///
    /// # Errors
    /// Those of the store.
    pub async fn reach_fit(&self) -> Result<Option<ReachFit>, WorkError> {
        Ok(self.store.find("reach fit").await?)
    }
    /// Holds claims against outcomes over every play that has both, fits the parameters, and keeps the fit. Windows use it
    /// only when `wanted` says so; a fit in use is not replaced unless asked for. `tell` hears how many plays are done.
    ///
    /// # Errors
    /// `NotReady` when the fit is wanted and there are too few throws for one; those of measuring.
    pub async fn calibrate(
        &self,
        wanted: UseFit,
        mut tell: impl FnMut(usize, usize),
    ) -> Result<Calibration, WorkError> {
        let ids: Vec<PlayId> = self.plays().await?.into_iter().map(|p| p.id).collect();
        let (mut throws, mut left_out) = (Vec::new(), BTreeMap::<String, usize>::new());
        for (k, id) in ids.iter().enumerate() {
            tell(k, ids.len());
            match self.thrown(id).await? {
                Ok(t) => throws.push(t),
                Err(why) => *left_out.entry(why).or_default() += 1,
            }
        }
        tell(ids.len(), ids.len());
        let ours = Parameters::ours();
        let (throws, fitted) = blocking(move || {
            let charted: Vec<Charted> =
                throws.iter().map(|t| Charted { contest: t.best.clone(), came: t.came }).collect();
            Ok::<_, WorkError>((throws, fit(&charted, &ours, SEED)))
        })
        .await?;
        let claims = |chances: &dyn Fn(usize, &Thrown) -> Option<f64>| {
            let claims: Vec<Claimed> = throws
                .iter()
                .enumerate()
                .filter_map(|(k, t)| {
                    Some(Claimed { probability: chances(k, t)?, came: t.came == Came::Complete })
                })
                .collect();
            scores(&claims, BINS)
        };
        let by_ours = claims(&|_, t| Some(t.best.chances(&ours.control, 1.0).complete));
        let thrown = claims(&|_, t| Some(t.made.as_ref()?.chances(&ours.control, 1.0).complete));
        let before = self.reach_fit().await?;
        let (by_fit, gain, now, mut said) = match &fitted {
            Ok(f) => {
                let kept = ReachFit {
                    values: f.values.clone(),
                    throws: throws.len(),
                    shrinkage: f.width.sd.max(f.width.claims_sd),
                    used: wanted == UseFit::Fitted,
                };
                (
                    claims(&|k, _| Some(f.unseen[k].complete)),
                    Some(f.gain),
                    Some(kept),
                    advice(f.width.is_ours(), f.gain),
                )
            }
            Err(e) if wanted == UseFit::Fitted => return Err(WorkError::NotReady(e.to_string())),
            Err(e) => (None, None, None, format!("{e}.")),
        };
        let stored = match (wanted, before, now) {
            // A fit in use stays until it is asked for anew.
            (UseFit::AsItWas, Some(old), _) if old.used => {
                said.push_str(" An earlier fit is in use and stays.");
                Some(old)
            }
            (UseFit::Ours, Some(old), None) => Some(ReachFit { used: false, ..old }),
            (_, old, now) => now.or(old),
        };
        if let Some(fit) = &stored
            && self.reach_fit().await?.as_ref() != Some(fit)
        {
            let _guard = self.editing.lock().await;
            self.change("fit the windows to the throws", None, &[Change::put(fit)]).await?;
        }
        Ok(Calibration {
            throws: throws.len(),
            left_out: left_out.into_iter().map(|(why, plays)| LeftOut { why, plays }).collect(),
            ours: by_ours,
            fitted: by_fit,
            thrown,
            gain,
            fit: stored,
            said,
        })
    }
    /// A play's throw with its races; the inner error says why it does not count.
    async fn thrown(&self, id: &PlayId) -> Result<Result<Thrown, String>, WorkError> {
        let inputs = self.measure_inputs(id).await?;
        let came = match inputs.chart.result {
            Some(ThrowResult::Complete) => Came::Complete,
            Some(ThrowResult::Intercepted) => Came::Intercepted,
            Some(ThrowResult::Incomplete) => Came::Incomplete,
            Some(_) => return Ok(Err("the ball was not thrown to a receiver".into())),
            None => return Ok(Err("the result is not charted".into())),
        };
        if inputs.chart.target.is_none() {
            return Ok(Err("the target is not charted".into()));
        }
        let measurement = self.measurement(id).await?;
        let cache = self.measuring.clone();
        blocking(move || {
            let parameters = Parameters::ours();
            let table = flight_table(&inputs.air, &parameters, &cache).map_err(WorkError::Invalid)?;
            Ok::<_, WorkError>(race(&inputs, &measurement, &table, &parameters, came))
        })
        .await
    }
}

fn race(
    inputs: &MeasureInputs,
    m: &Measurement,
    table: &window::FlightTable,
    parameters: &Parameters,
    came: Came,
) -> Result<Thrown, String> {
    let target = inputs.chart.target.as_ref().ok_or("the target is not charted")?;
    let release = m
        .moments
        .iter()
        .find(|x| x.kind == MomentKind::Release)
        .ok_or("the release is not known")?
        .at_s
        .value;
    let scene = Scene { people: &inputs.people, tracks: &m.tracks, rule_book: inputs.book };
    let request = Request { draws: DRAWS, ..Request::default() };
    let best = contest_at(&scene, table, parameters, &request, target, release)
        .map_err(|_| "the target or the passer is not seen at the release, or no throw reaches him")?;
    let none = WindowDraws { releases: Vec::new(), receivers: Vec::new(), cells: Vec::new(), draws: 0 };
    let made = match &m.throw {
        Seen::Seen(t) => evaluate_throw(&scene, table, parameters, &request, &none, target, t, 0.0).ok(),
        Seen::NotSeen(_) => None,
    };
    Ok(Thrown { best, made: made.map(|m| m.contest), came })
}

/// Whether the fit is worth using.
fn advice(ours: bool, gain: Estimate) -> String {
    let figures = format!("{:+.3} ± {:.3} nats a throw, 90%", gain.value, 1.645 * gain.se);
    if ours {
        return "The throws give no reason to leave the parameters that the program comes with.".into();
    }
    if gain.interval(0.9).low > 0.0 {
        return format!("Fitted parameters claim better on throws they did not see ({figures}).");
    }
    format!("Fitted parameters are not surely better on throws they did not see ({figures}).")
}

impl Calibration {
    /// The reliability diagram as SVG; `None` without throws.
    pub fn svg(&self, theme: Theme) -> Option<String> {
        let mut sets = vec![("parameters as they come", self.ours.as_ref()?)];
        if let Some(fitted) = &self.fitted {
            sets.push(("fitted, each throw unseen by its fit", fitted));
        }
        Some(Reliability { what: "chance of completion", sets: &sets }.svg(theme))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{GameEdit, Outside};
    use film::VideoTool;
    use play::{
        Chart, Flank, Moment, Person, PersonId, Play, Role, Situation, Study, Team, Tracked, TrackedPath,
        Unit,
    };
    use std::sync::Arc;
    use store::OfPlay;

    fn person(id: &str, unit: Unit, role: Role) -> Person {
        Person { id: id.into(), unit, role, shirt: None, name: String::new() }
    }

    /// A man who runs from `from` at `by` yd/s for four seconds, ten samples a second.
    fn path(id: &str, from: [f64; 2], by: [f64; 2]) -> TrackedPath {
        let samples = (0..=40)
            .map(|k| f64::from(k) * 0.1)
            .map(|t| [t, from[0] + by[0] * t, from[1] + by[1] * t])
            .collect();
        TrackedPath { person: id.into(), samples, velocities: Vec::new() }
    }

    /// A throw at 2 s to a man whose defender runs `gap` yards beside him.
    fn tracked(gap: f64) -> Tracked {
        let at = |kind, v| Moment { kind, at_s: Estimate::new(v, 0.03) };
        let ball = (0..=31).map(|k| f64::from(k) * 0.1).map(|t| {
            let w = ((t - 2.0) / 1.1).clamp(0.0, 1.0);
            [t, 38.0 + w * (45.0 + 6.0 * 3.1 - 38.0), 26.0 + w * 12.0]
        });
        Tracked {
            source: "positions.csv".into(),
            source_play: "1".into(),
            rate_hz: 10.0,
            sd_yd: 0.1,
            people: vec![
                path("passer", [38.0, 26.0], [0.0, 0.0]),
                path("L1", [45.0, 38.0], [6.0, 0.0]),
                path("C1", [45.0, 38.0 - gap], [6.0, 0.0]),
            ],
            ball: ball.collect(),
            moments: vec![at(MomentKind::Release, 2.0), at(MomentKind::Arrival, 3.1)],
            velocity_sd_ydps: None,
            findings: Vec::new(),
        }
    }

    async fn study(folder: &std::path::Path) -> Workbench {
        let study = Study {
            name: "Test".into(),
            passer: String::new(),
            right_handed: true,
            evaluator: String::new(),
        };
        let outside = Outside { tool: VideoTool::on_path(), now: Arc::new(|| 1_764_028_800_000) };
        let bench = Workbench::create(&folder.join("a.tape"), &study, outside).await.unwrap();
        let team = |name: &str| Team { name: name.into(), shirt: None };
        let game = GameEdit {
            name: "Game".into(),
            rule_book: field::RuleBook::College,
            offense: team("A"),
            defense: team("B"),
            air: play::Air::default(),
            crown: None,
        };
        let game = bench.add_game(game).await.unwrap().id;
        let mut changes = Vec::new();
        for k in 0..41u32 {
            let id = PlayId(format!("p{k}"));
            let situation = Situation {
                line_x: Some(43.0),
                direction: Some(field::Direction::Up),
                ..Situation::default()
            };
            changes.push(Change::put(&Play { id: id.clone(), game: game.clone(), number: k + 1, situation }));
            for p in [
                person("passer", Unit::Offense, Role::Passer),
                person("L1", Unit::Offense, Role::Receiver { flank: Flank::Left, number: 1 }),
                person("C1", Unit::Defense, Role::Cover),
            ] {
                changes.push(Change::put(&OfPlay { play: id.clone(), part: p }));
            }
            // Every gap from 0 to 6 yards; caught from 2 on, with some of either kind among the others.
            let gap = f64::from(k % 7);
            let caught = (gap >= 2.0) != (k % 5 == 0);
            let result = match k {
                40 => ThrowResult::Sacked,
                _ if caught => ThrowResult::Complete,
                _ => ThrowResult::Incomplete,
            };
            let chart =
                Chart { target: Some(PersonId::from("L1")), result: Some(result), ..Chart::default() };
            changes.push(Change::put(&OfPlay { play: id.clone(), part: chart }));
            changes.push(Change::put(&OfPlay { play: id, part: tracked(gap) }));
        }
        bench.change("import", None, &changes).await.unwrap();
        bench
    }

    #[tokio::test]
    async fn a_fit_is_kept_and_used_only_when_told_so() {
        let folder = tempfile::tempdir().unwrap();
        let bench = study(folder.path()).await;
        let chance = async |id: &str| {
            let m = bench.measurement(&PlayId(id.into())).await.unwrap();
            let cells = &m.windows.iter().find(|w| w.receiver.as_str() == "L1").unwrap().cells;
            cells.iter().find(|c| (c.release_s - 2.0).abs() < 0.06).unwrap().complete.value
        };
        let mut told = Vec::new();
        let c = bench.calibrate(UseFit::AsItWas, |done, of| told.push((done, of))).await.unwrap();
        assert_eq!(c.throws, 40, "{:?}", c.left_out);
        assert_eq!((c.left_out[0].plays, told.last()), (1, Some(&(41, 41))));
        let ours = c.ours.as_ref().unwrap();
        // The most open throws are claimed more and came more often than the most covered; how often, these outcomes made up.
        let (first, last) = (&ours.bins[0], &ours.bins[ours.bins.len() - 1]);
        assert!(first.claimed < last.claimed && first.came < last.came, "{ours:?}");
        assert_eq!(c.thrown.as_ref().unwrap().n, 40, "balls on the ground are throws too");
        assert!(c.svg(Theme::Light).unwrap().contains("40 throws"));
        let kept = bench.reach_fit().await.unwrap().unwrap();
        assert!(!kept.used && kept.throws == 40);

        let before = chance("p3").await;
        assert!(chance("p0").await < before, "a covered man is the lesser chance");
        let used = bench.calibrate(UseFit::Fitted, |_, _| ()).await.unwrap().fit.unwrap();
        assert!(used.used);
        let after = chance("p3").await;
        let changed = used.values.iter().any(|v| (v.fitted / v.ours - 1.0).abs() > 0.01);
        assert_eq!(changed, (before - after).abs() > 1e-4, "{before} {after} {used:?}");
        // In use it stays until told otherwise; one undo takes the decision back.
        bench.calibrate(UseFit::AsItWas, |_, _| ()).await.unwrap();
        assert!(bench.reach_fit().await.unwrap().unwrap().used);
        bench.calibrate(UseFit::Ours, |_, _| ()).await.unwrap();
        assert!(!bench.reach_fit().await.unwrap().unwrap().used);
        assert!((chance("p3").await - before).abs() < 1e-12);
        bench.undo().await.unwrap();
        assert!(bench.reach_fit().await.unwrap().unwrap().used);
    }

    #[tokio::test]
    async fn too_few_throws_are_refused_by_number() {
        let folder = tempfile::tempdir().unwrap();
        let bench = study(folder.path()).await;
        for k in 10..41 {
            bench.delete_play(&PlayId(format!("p{k}"))).await.unwrap();
        }
        let c = bench.calibrate(UseFit::AsItWas, |_, _| ()).await.unwrap();
        assert!(c.fit.is_none() && c.said.contains("at least 30 are needed"), "{}", c.said);
        let e = bench.calibrate(UseFit::Fitted, |_, _| ()).await.unwrap_err();
        assert!(e.to_string().contains("10 throws"), "{e}");
    }
}
