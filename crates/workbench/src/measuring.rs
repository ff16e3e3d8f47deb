//! What follows from a play's marks and cameras: computed when asked for, kept until its inputs change.

use crate::lineup::{ClipCameras, Witness};
use crate::{WorkError, Workbench, key_of};
use field::RuleBook;
use motion::agreement::VIEWS_APART;
use motion::{Given, Inputs, Settings, ViewInput, measure, sampled};
use play::{
    Air, BallMark, Chart, Finding, FootMark, HipMark, Measurement, MomentKind, MomentMark, Person, PersonId,
    PersonMark, Plan, PlayId, ReachFit, Role, Severity, Situation, Study, ThrowResult, Tracked, View,
    ViewClock,
};
use reads::board::Board;
use reads::judge::{Assumed, Basis, assumed};
use reads::playbook::Playbook;
use serde::Serialize;
use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use window::{FlightTable, Parameters, Request, Scene, WindowDraws};

/// Kind among computed things.
const MEASUREMENT: &str = "measurement";
/// Changes when a model changes, so that figures of an older program are computed again.
pub(crate) const MODELS: u32 = 8;

/// Everything that a measurement follows from.
#[derive(Serialize)]
pub(crate) struct MeasureInputs {
    models: u32,
    pub book: RuleBook,
    crown_yd: f64,
    pub air: Air,
    pub situation: Situation,
    right_handed: bool,
    pub people: Vec<Person>,
    target: Option<PersonId>,
    result: Option<ThrowResult>,
    /// For judging; of the chart only target and plans bear on the figures.
    #[serde(skip)]
    pub chart: Chart,
    /// Plans of the chart; windows reach past their last look.
    pub plans: Vec<Plan>,
    /// Names the playbook while no plan is charted: what is recognised follows from it.
    book_stamp: Option<String>,
    moments: Vec<MomentMark>,
    persons: Vec<PersonMark>,
    balls: Vec<BallMark>,
    feet: Vec<FootMark>,
    hips: Vec<HipMark>,
    views: Vec<ViewKey>,
    /// What a table gave.
    tracked: Option<Tracked>,
    /// Names the people found in film, as repaired.
    found_key: String,
    #[serde(skip)]
    found: Vec<(PersonId, Vec<motion::tracks::GroundObservation>)>,
    /// The fit of the windows' parameters, if the evaluator wants it used.
    reach: Option<ReachFit>,
    #[serde(skip)]
    seen: Vec<SeenView>,
    #[serde(skip)]
    findings: Vec<Finding>,
}

/// What names a view's part in the inputs.
#[derive(Serialize)]
struct ViewKey {
    view: View,
    film: String,
    snap_frame: f64,
    cameras: String,
}

/// A view's film and cameras.
struct SeenView {
    view: View,
    film: Arc<crate::films::Film>,
    snap_frame: f64,
    cameras: Arc<ClipCameras>,
}

/// A measured play with the repeats behind its windows, which are not stored.
pub(crate) struct Measured {
    pub key: String,
    pub inputs: MeasureInputs,
    pub measurement: Measurement,
    pub draws: Option<WindowDraws>,
    /// Plans to judge under: charted, recognised or generic.
    pub assumed: Assumed,
}

/// Measurements of this run, and what they share.
#[derive(Default)]
pub(crate) struct MeasureCache {
    plays: Mutex<HashMap<PlayId, Arc<Measured>>>,
    tables: Mutex<HashMap<String, Arc<FlightTable>>>,
    /// One play is measured at a time: each uses all cores.
    turn: tokio::sync::Mutex<()>,
}

/// Most plays whose repeats are remembered; each holds megabytes.
const REMEMBERED: usize = 12;

impl Workbench {
    /// Everything measured of a play. Kept until marks, cameras, chart or game change.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn measurement(&self, id: &PlayId) -> Result<Measurement, WorkError> {
        let inputs = self.measure_inputs(id).await?;
        let key = key_of(&inputs)?;
        if let Some((kept, body)) = self.store.computed(MEASUREMENT, id.as_str()).await?
            && kept == key
        {
            return Ok(serde_json::from_str(&body)?);
        }
        Ok(self.measured(id).await?.measurement.clone())
    }
    /// The measurement with its repeats, computed anew unless this run has it.
    pub(crate) async fn measured(&self, id: &PlayId) -> Result<Arc<Measured>, WorkError> {
        let _turn = self.measuring.turn.lock().await;
        let inputs = self.measure_inputs(id).await?;
        let key = key_of(&inputs)?;
        let plays = || self.measuring.plays.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(m) = plays().get(id)
            && m.key == key
        {
            return Ok(m.clone());
        }
        let (cache, book) = (self.measuring.clone(), self.playbook().await);
        let measured = crate::error::blocking(move || compute(inputs, key, &cache, &book.book)).await?;
        let body = serde_json::to_string(&measured.measurement)?;
        self.store.put_computed(MEASUREMENT, id.as_str(), &measured.key, &body).await?;
        let apart = measured.measurement.findings.iter().find(|f| f.code == VIEWS_APART);
        self.keep_views_apart(id, Witness::Marked, apart).await?;
        let measured = Arc::new(measured);
        self.judge_measured(id, &measured).await?;
        let mut held = plays();
        if held.len() >= REMEMBERED {
            held.clear();
        }
        held.insert(id.clone(), measured.clone());
        Ok(measured)
    }
    pub(crate) async fn measure_inputs(&self, id: &PlayId) -> Result<MeasureInputs, WorkError> {
        let detail = self.play(id).await?;
        let game = self.game_of(&detail.play).await?;
        let study: Study = self.store.get("study").await?;
        let (mut views, mut seen, mut findings) = (Vec::new(), Vec::new(), Vec::new());
        for clip in &detail.clips {
            let Some(view) = clip.view else { continue };
            let word = crate::views::word(view);
            let Some(snap_frame) = clip.snap_frame else {
                let said = format!("the {word} view is not used: its snap is not marked");
                findings.push(Finding::new(Severity::Weak, "no-snap", said));
                continue;
            };
            let (key, cameras) = self.keyed_cameras(clip).await?;
            if cameras.frames.iter().all(Option::is_none) {
                let said = format!("the {word} view gives no places: it is not lined up with the field");
                findings.push(Finding::new(Severity::Weak, "not-lined-up", said));
            } else if key != self.camera_key(clip).await? {
                let said =
                    format!("clicks of the {word} view changed since it was lined up; follow it again");
                findings.push(Finding::new(Severity::Weak, "line-up-stale", said));
            }
            let film = self.film(clip.film.as_str()).await?;
            views.push(ViewKey {
                view,
                film: film.id.clone(),
                snap_frame,
                // Following a clip again may change cameras under the same clicks.
                cameras: self.cameras_stamp(clip).await?,
            });
            seen.push(SeenView { view, film, snap_frame, cameras });
        }
        let (found_key, found) = self.found_observations(id).await?;
        let playbook = self.playbook().await;
        let plans: Vec<Plan> =
            reads::judge::plans_for(&detail.chart, &playbook.book).into_iter().map(|p| p.1).collect();
        Ok(MeasureInputs {
            models: MODELS,
            book: game.rule_book,
            crown_yd: game.crown.unwrap_or(0.0),
            air: game.air,
            situation: detail.play.situation,
            right_handed: study.right_handed,
            people: detail.people,
            book_stamp: plans.is_empty().then(|| playbook.stamp.clone()),
            plans,
            target: detail.chart.target.clone(),
            result: detail.chart.result,
            chart: detail.chart,
            moments: detail.marks.moments,
            persons: detail.marks.people,
            balls: detail.marks.ball,
            feet: detail.marks.feet,
            hips: detail.marks.hips,
            views,
            tracked: self.parts(id).await?.pop(),
            found_key,
            found,
            reach: self.reach_fit().await?.filter(|f| f.used),
            seen,
            findings,
        })
    }
}

impl MeasureInputs {
    /// Parameters of the windows: ours, or fitted where the evaluator said so.
    pub fn parameters(&self) -> Parameters {
        let ours = Parameters::ours();
        self.reach.as_ref().map_or(ours, |fit| ours.with(&fit.values))
    }
}

fn compute(
    inputs: MeasureInputs,
    key: String,
    cache: &MeasureCache,
    book: &Playbook,
) -> Result<Measured, WorkError> {
    let mut views = Vec::new();
    for v in &inputs.seen {
        let clock = ViewClock::new(&v.film.ingested.clock.table, v.snap_frame)
            .map_err(|e| WorkError::Invalid(e.to_string()))?;
        views.push(ViewInput {
            view: v.view,
            clock,
            cameras: &v.cameras.frames,
            first_frame: v.cameras.first,
        });
    }
    let settings = Settings::default();
    let followed = inputs.tracked.as_ref().map(|t| sampled::follow(t, &settings.running));
    let given = match (&inputs.tracked, &followed) {
        (Some(t), Some(f)) => {
            Given { tracks: &f.tracks, moments: &t.moments, ball: f.ball, found: &inputs.found }
        }
        _ => Given { found: &inputs.found, ..Given::default() },
    };
    let mut measurement = measure(
        &Inputs {
            book: inputs.book,
            crown_yd: inputs.crown_yd,
            air: &inputs.air,
            situation: &inputs.situation,
            right_handed: inputs.right_handed,
            people: &inputs.people,
            target: inputs.target.as_ref(),
            result: inputs.result,
            moments: &inputs.moments,
            persons: &inputs.persons,
            balls: &inputs.balls,
            feet: &inputs.feet,
            hips: &inputs.hips,
            views: &views,
            given,
        },
        &settings,
    );
    drop(views);
    measurement.findings.extend(followed.into_iter().flat_map(|f| f.findings));
    measurement.findings.extend(inputs.findings.iter().cloned());
    let assumed = assume(&inputs, &measurement, book);
    let draws = windows(&inputs, &assumed.plans, &mut measurement, cache);
    Ok(Measured { key, inputs, measurement, draws, assumed })
}

/// The plans to judge under; where the board cannot be set up they are the chart's, and the judgement says why it fails.
fn assume(inputs: &MeasureInputs, m: &Measurement, book: &Playbook) -> Assumed {
    let moment = |kind| m.moments.iter().find(|x| x.kind == kind).map(|x| x.at_s.value);
    match Board::new(&inputs.people, &m.tracks, &inputs.situation, inputs.book) {
        Ok(board) => {
            let set = moment(MomentKind::Set).unwrap_or(WITHOUT_SET_S);
            assumed(&board, &inputs.chart, routes_until(m), moment(MomentKind::Release), set, book)
        }
        Err(_) if inputs.plans.is_empty() => Assumed::default(),
        Err(_) => Assumed { plans: inputs.plans.clone(), basis: Basis::Charted },
    }
}

/// Until when routes are read off, s from the snap: a ball in the air bends the route of the man it is thrown to only at
/// its end.
pub(crate) fn routes_until(m: &Measurement) -> f64 {
    let moment = |kind| m.moments.iter().find(|x| x.kind == kind).map(|x| x.at_s.value);
    let end = moment(MomentKind::Arrival).or(moment(MomentKind::Release));
    end.or(moment(MomentKind::FirstContact)).unwrap_or(WITHOUT_RELEASE_S)
}

/// Where no set is known plans count from here, s from the snap: a short drop; common practice, no source.
const WITHOUT_SET_S: f64 = 1.4;
/// Seconds of windows past the release, for what would have come open.
const AFTER_RELEASE_S: f64 = 1.0;
/// Windows of a play whose release is not marked end here, s.
const WITHOUT_RELEASE_S: f64 = 3.5;

fn windows(
    inputs: &MeasureInputs,
    plans: &[Plan],
    m: &mut Measurement,
    cache: &MeasureCache,
) -> Option<WindowDraws> {
    match try_windows(inputs, plans, m, cache) {
        Ok((draws, findings)) => {
            m.windows = draws.windows();
            m.findings.extend(findings);
            Some(draws)
        }
        Err(why) => {
            m.findings.push(Finding::new(Severity::Missing, "no-windows", format!("no windows: {why}")));
            None
        }
    }
}

fn try_windows(
    inputs: &MeasureInputs,
    plans: &[Plan],
    m: &Measurement,
    cache: &MeasureCache,
) -> Result<(WindowDraws, Vec<Finding>), String> {
    let parameters = inputs.parameters();
    let table = flight_table(&inputs.air, &parameters, cache)?;
    let scene = Scene { people: &inputs.people, tracks: &m.tracks, rule_book: inputs.book };
    let request = request(inputs, plans, m)?;
    window::windows(&scene, &table, &parameters, &request).map_err(|e| e.to_string())
}

/// The releases looked at: from the snap to past the release and past the plans' last look.
pub(crate) fn request(inputs: &MeasureInputs, plans: &[Plan], m: &Measurement) -> Result<Request, String> {
    let moment = |kind| m.moments.iter().find(|x| x.kind == kind).map(|x| x.at_s.value);
    let (release, set) = (moment(MomentKind::Release), moment(MomentKind::Set));
    let passer = inputs.people.iter().find(|p| p.role == Role::Passer).map(|p| &p.id);
    let span = m.tracks.iter().find(|t| Some(&t.person) == passer).and_then(|t| t.span());
    let (first, last) = span.ok_or("the passer is not marked in a frame that is lined up")?;
    let mut wanted = release.map_or(WITHOUT_RELEASE_S, |r| r + AFTER_RELEASE_S);
    if let Some(set) = set {
        let judging = reads::judge::Parameters::default();
        wanted = wanted.max(reads::judge::windows_until(plans, set, release, &judging));
    }
    let (from_s, until_s) = (first.max(0.0), wanted.min(last).max(first.max(0.0)));
    let mut request = Request { from_s, until_s, ..Request::default() };
    if let Some(t) = &inputs.tracked {
        // Between a table's samples nothing new is known.
        request.rate_hz = request.rate_hz.min(t.rate_hz);
    }
    Ok(request)
}

/// The table of flights in this air, made once a run.
pub(crate) fn flight_table(
    air: &Air,
    parameters: &Parameters,
    cache: &MeasureCache,
) -> Result<Arc<FlightTable>, String> {
    let key = format!("{air:?}");
    let tables = || cache.tables.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(t) = tables().get(&key) {
        return Ok(t.clone());
    }
    let table = Arc::new(FlightTable::new(air, parameters).map_err(|e| e.to_string())?);
    tables().insert(key, table.clone());
    Ok(table)
}
