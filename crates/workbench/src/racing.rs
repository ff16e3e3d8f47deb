//! One race to a ball laid open on field and film, and the ball that was thrown held against the best.

use crate::measuring::{MeasureCache, Measured, flight_table, request};
use crate::{WorkError, Workbench};
use field::{Crown, RuleBook};
use geometry::frame::{Field, Ground, Pixel};
use geometry::{Point2, Point3};
use play::{Ball, MomentKind, PersonId, PlayId, Seen, View, ViewClock, WindowCell};
use serde::Serialize;
use stats::Estimate;
use std::f64::consts::TAU;
use window::{Scene, ShownRace, ShownRacer, evaluate_throw, race_shown};

/// Somebody in the race.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Racer {
    /// Who.
    pub person: PersonId,
    /// Where he is at the release, yd.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub from: Point2<Ground>,
    /// Where he would play the ball, yd.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub to: Point2<Ground>,
    /// When he could be there, s from the snap.
    pub ready_s: f64,
    /// When the ball is there, s from the snap.
    pub ball_s: f64,
}

/// The race in a frame of a view, px of the original; what is behind the camera is left out.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct RaceInView {
    /// Which view.
    pub view: View,
    /// Film frame.
    pub frame: u32,
    /// The ball's way through the air.
    #[cfg_attr(feature = "schema", schema(value_type = Vec<[f64; 2]>))]
    pub path: Vec<Point2<Pixel>>,
    /// Its shadow on the ground, straight under it.
    #[cfg_attr(feature = "schema", schema(value_type = Vec<[f64; 2]>))]
    pub shadow: Vec<Point2<Pixel>>,
    /// A ring on the ground about the catch, of a man's reach.
    #[cfg_attr(feature = "schema", schema(value_type = Vec<[f64; 2]>))]
    pub ring: Vec<Point2<Pixel>>,
    /// Each racer's way, in the race's order: from where he is to where he plays the ball.
    #[cfg_attr(feature = "schema", schema(value_type = Vec<Vec<[f64; 2]>>))]
    pub ways: Vec<Vec<Point2<Pixel>>>,
}

/// The best ball to a receiver at a release, and the race to it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Race {
    /// To whom.
    pub receiver: PersonId,
    /// When the ball leaves, s from the snap.
    pub release_s: f64,
    /// The ball.
    pub ball: Ball,
    /// The receiver first, then the defenders with a part in it, the first of them first.
    pub racers: Vec<Racer>,
    /// On film, in the frames at the instant asked for.
    pub views: Vec<RaceInView>,
}

/// The ball as thrown against the windows.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ThrowMade {
    /// To whom.
    pub receiver: PersonId,
    /// The ball as it was thrown: margin and chances; no best ball.
    pub thrown: WindowCell,
    /// The best ball to him at the same release.
    pub best: WindowCell,
    /// Margin that the ball's place and pace cost against the best ball then, s.
    pub placement_s: Estimate,
    /// Margin that waiting cost against his widest window since the set, s; absent when it was never wider.
    pub lateness_s: Option<Estimate>,
    /// Release of that widest window, s from the snap.
    pub widest_at_s: Option<f64>,
}

/// Yards about the catch that the ring on the ground shows.
const RING_YD: f64 = 1.0;
const RING_POINTS: usize = 24;
/// Points of a way over the ground: the crown and the lens bend it between.
const WAY_POINTS: usize = 6;

impl Workbench {
    /// The race to the best ball to `receiver` at `release_s`, with its drawing in the frames of the play's views at `at_s` seconds from
    /// the snap; `None` when no throw the arm allows reaches him.
    ///
    /// # Errors
    /// `NotReady` when he, the passer or every defender is not seen then.
    pub async fn race(
        &self,
        id: &PlayId,
        receiver: &PersonId,
        release_s: f64,
        at_s: f64,
    ) -> Result<Option<Race>, WorkError> {
        let Some(shown) = self.shown_race(id, receiver, release_s).await? else { return Ok(None) };
        let mut views = Vec::new();
        for view in [View::Sideline, View::EndZone] {
            views.extend(self.race_in(id, view, at_s, &shown).await?);
        }
        let racer = |r: &ShownRacer| Racer {
            person: r.person.clone(),
            from: r.from,
            to: r.to,
            ready_s: r.ready_s,
            ball_s: r.ball_s,
        };
        let racers = shown.racers.iter().map(racer).collect();
        Ok(Some(Race { receiver: receiver.clone(), release_s, ball: shown.ball, racers, views }))
    }

    pub(crate) async fn shown_race(
        &self,
        id: &PlayId,
        receiver: &PersonId,
        release_s: f64,
    ) -> Result<Option<ShownRace>, WorkError> {
        let inputs = self.measure_inputs(id).await?;
        let m = self.measurement(id).await?;
        let (cache, receiver) = (self.measuring.clone(), receiver.clone());
        crate::error::blocking(move || {
            let parameters = inputs.parameters();
            let table = flight_table(&inputs.air, &parameters, &cache).map_err(WorkError::NotReady)?;
            let scene = Scene { people: &inputs.people, tracks: &m.tracks, rule_book: inputs.book };
            race_shown(&scene, &table, &parameters, &receiver, release_s)
                .map_err(|e| WorkError::NotReady(e.to_string()))
        })
        .await
    }

    /// The drawing in a view; `None` where the view has no frame or no camera then.
    async fn race_in(
        &self,
        id: &PlayId,
        view: View,
        at_s: f64,
        race: &ShownRace,
    ) -> Result<Option<RaceInView>, WorkError> {
        let clips = self.clips_of(id).await?;
        let Some(clip) = clips.into_iter().find(|c| c.view == Some(view)) else { return Ok(None) };
        let Some(snap) = clip.snap_frame else { return Ok(None) };
        let film = self.film(clip.film.as_str()).await?;
        let clock = ViewClock::new(&film.ingested.clock.table, snap)
            .map_err(|e| WorkError::Invalid(e.to_string()))?;
        let frame = (clock.frame(at_s) as u32).clamp(clip.first, clip.end.saturating_sub(1));
        let cameras = self.cameras_of(&clip).await?;
        let Some(camera) = cameras.get(frame) else { return Ok(None) };
        let game = self.game_of_clip(&clip).await?;
        let crown = Crown { height: game.crown.unwrap_or(0.0) };
        let see = |p: Point3<Field>| {
            let q = camera.camera.pixel_from_field(p)?;
            Some(Point2::new((q.x * 10.0).round() / 10.0, (q.y * 10.0).round() / 10.0))
        };
        let bent = camera.camera.pinhole().is_some();
        let lie = |p: Point2<Ground>| see(p.at_height(grass(bent, crown, p, game.rule_book)));
        let way = |r: &ShownRacer| {
            (0..=WAY_POINTS).filter_map(|k| lie(r.from.lerp(r.to, k as f64 / WAY_POINTS as f64))).collect()
        };
        let about = |k: usize| {
            let turn = geometry::Vector2::from_angle(TAU * k as f64 / RING_POINTS as f64);
            lie(race.ball.target + turn * RING_YD)
        };
        Ok(Some(RaceInView {
            view,
            frame,
            path: race.path.iter().filter_map(|(_, p)| see(*p)).collect(),
            shadow: race.path.iter().filter_map(|(_, p)| lie(p.ground())).collect(),
            ring: (0..=RING_POINTS).filter_map(about).collect(),
            ways: race.racers.iter().map(way).collect(),
        }))
    }

    /// The ball that was thrown against the best to the same man; not seen says why.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn throw_made(&self, id: &PlayId) -> Result<Seen<ThrowMade>, WorkError> {
        let measured = self.measured(id).await?;
        let cache = self.measuring.clone();
        crate::error::blocking(move || {
            Ok::<_, WorkError>(match made(&measured, &cache) {
                Ok(m) => Seen::Seen(m),
                Err(why) => Seen::NotSeen(why),
            })
        })
        .await
    }
}

/// Height of the grass that a camera with a place sees; a free homography has the crown in it.
fn grass(bent: bool, crown: Crown, p: Point2<Ground>, book: RuleBook) -> f64 {
    if bent { crown.at(p, book) } else { 0.0 }
}

fn made(measured: &Measured, cache: &MeasureCache) -> Result<ThrowMade, String> {
    let (inputs, m) = (&measured.inputs, &measured.measurement);
    let receiver = inputs.chart.target.as_ref().ok_or("whom the ball was thrown to is not charted")?;
    let throw = match &m.throw {
        Seen::Seen(t) => t,
        Seen::NotSeen(why) => return Err(why.clone()),
    };
    let windows = measured.draws.as_ref().ok_or("the play has no windows")?;
    let parameters = inputs.parameters();
    let table = flight_table(&inputs.air, &parameters, cache)?;
    let scene = Scene { people: &inputs.people, tracks: &m.tracks, rule_book: inputs.book };
    let request = request(inputs, &measured.assumed.plans, m)?;
    // A receiver wide open at the snap says nothing against a passer still in his drop.
    let set = m.moments.iter().find(|x| x.kind == MomentKind::Set).map(|x| x.at_s.value);
    let from = set.ok_or("the set is not marked, so nothing says from when waiting counts")?;
    let e = evaluate_throw(&scene, &table, &parameters, &request, windows, receiver, throw, from)
        .map_err(|e| e.to_string())?;
    Ok(ThrowMade {
        receiver: receiver.clone(),
        thrown: e.thrown.summary(e.release_s),
        best: e.best.summary(e.release_s),
        placement_s: e.lost_to_placement_s,
        lateness_s: e.lost_to_lateness_s,
        widest_at_s: e.widest_at_s,
    })
}
