use super::{Kept, PROPOSALS, WATCHED, WATCHING};
use crate::lineup::ClipCameras;
use crate::{WorkError, Workbench};
use geometry::frame::{Ground, Pixel};
use geometry::{Point2, Vector2};
use motion::flight_find::{FindInputs, FoundFlight, Standing, find};
use motion::flight_fit::{FlightPriors, Stand};
use motion::moments::{self, MomentErrors};
use motion::{Turf, ViewInput};
use play::{
    Air, BallMark, Clip, Measurement, MomentKind, MomentMark, Person, PersonId, PlayId, Role, Seen,
    Situation, Track, View, ViewClock,
};
use serde::{Deserialize, Serialize};
use stats::Estimate;
use std::sync::Arc;

/// What the program proposes to mark of a play's moments and ball.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Proposals {
    /// Whether the film was watched.
    pub state: ProposalState,
    /// Moments that are not marked yet, each in one view; the snap in every view.
    pub moments: Vec<ProposedMoment>,
    /// The ball in flight, or why it was not found.
    pub flight: Seen<ProposedFlight>,
}

/// Whether the film was watched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ProposalState {
    /// Not yet.
    NotWatched,
    /// Yes, and the line-up has changed since.
    Stale,
    /// Yes.
    Ready,
}

/// A moment to confirm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ProposedMoment {
    /// Which.
    pub moment: MomentKind,
    /// In which view.
    pub view: View,
    /// Film frame, fractional.
    pub frame: f64,
    /// Standard deviation, frames.
    pub sd_frames: f64,
}

/// The ball in a frame, to confirm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ProposedBall {
    /// In which view.
    pub view: View,
    /// Film frame.
    pub frame: u32,
    /// Its middle, px of the film.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
}

/// The ball's flight as found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ProposedFlight {
    /// Frames that are not marked by hand.
    pub balls: Vec<ProposedBall>,
    /// Release speed that follows, mph.
    pub speed_mph: Seen<Estimate>,
    /// How far the candidates lie from the flight, px, root mean square in each direction.
    pub rms_px: f64,
}

/// A view of the play, watched.
struct WatchedView {
    clip: Clip,
    view: View,
    film: Arc<crate::films::Film>,
    cameras: Arc<ClipCameras>,
    kept: Kept,
    /// Film frame of the snap with its standard deviation when it is proposed, 0 when marked.
    snap: Option<Estimate>,
}

/// Everything a thread needs.
struct Look {
    views: Vec<WatchedView>,
    turf: Turf,
    air: Air,
    situation: Situation,
    moments: Vec<MomentMark>,
    balls: Vec<BallMark>,
    people: Vec<Person>,
    target: Option<PersonId>,
    measurement: Option<Measurement>,
    state: ProposalState,
}

impl Workbench {
    /// What is proposed of a play; nothing before it was watched. Moments and frames that are marked by hand are not
    /// proposed.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn proposals(&self, id: &PlayId) -> Result<Proposals, WorkError> {
        let detail = self.play(id).await?;
        let game = self.game_of(&detail.play).await?;
        let (mut views, mut keys) = (Vec::new(), Vec::new());
        let mut state = ProposalState::NotWatched;
        for clip in &detail.clips {
            let Some(view) = clip.view else { continue };
            let Some((key, body)) = self.store.computed(WATCHED, clip.id.as_str()).await? else { continue };
            if key != self.watch_key(clip).await? {
                state = ProposalState::Stale;
            } else if state == ProposalState::NotWatched {
                state = ProposalState::Ready;
            }
            let kept: Kept = serde_json::from_str(&body)?;
            let line = detail.play.situation.line_x;
            let snap = match clip.snap_frame {
                Some(f) => Some(Estimate::new(f, 0.0)),
                None => proposed_snap(&kept, line),
            };
            keys.push((key, clip.snap_frame, view));
            views.push(WatchedView {
                film: self.film(clip.film.as_str()).await?,
                cameras: self.cameras_of(clip).await?,
                clip: clip.clone(),
                view,
                kept,
                snap,
            });
        }
        // The passer's and receivers' places help, once they are known.
        let known = views.iter().any(|v| v.clip.snap_frame.is_some());
        let measurement = if known { Some(self.measurement(id).await?) } else { None };
        let tracks = crate::key_of(&measurement.as_ref().map(|m| &m.tracks))?;
        let key = crate::key_of(&(
            WATCHING,
            state,
            keys,
            (&detail.play.situation, &game.air, game.crown, game.rule_book),
            (&detail.marks.moments, &detail.marks.ball, &detail.people, &detail.chart.target),
            tracks,
        ))?;
        if let Some((k, body)) = self.store.computed(PROPOSALS, id.as_str()).await?
            && k == key
        {
            return Ok(serde_json::from_str(&body)?);
        }
        let look = Look {
            views,
            turf: Turf::new(game.rule_book, game.crown.unwrap_or(0.0)),
            air: game.air,
            situation: detail.play.situation,
            moments: detail.marks.moments,
            balls: detail.marks.ball,
            people: detail.people,
            target: detail.chart.target,
            measurement,
            state,
        };
        let proposals = crate::error::blocking(move || look.propose()).await?;
        self.store.put_computed(PROPOSALS, id.as_str(), &key, &serde_json::to_string(&proposals)?).await?;
        Ok(proposals)
    }
}

/// The snap in a clip from what moves about the line of scrimmage.
fn proposed_snap(kept: &Kept, line_x: Option<f64>) -> Option<Estimate> {
    let first = kept.frames.first()?.0;
    // A frame without a camera breaks the row; what follows the longest row's beginning is the play.
    let even = kept.frames.windows(2).all(|w| w[1].0 == w[0].0 + 1);
    if even { moments::onset(first, &kept.stir(line_x)) } else { None }
}

impl Look {
    fn propose(self) -> Result<Proposals, WorkError> {
        let mut proposed: Vec<ProposedMoment> = self
            .views
            .iter()
            .filter(|v| v.clip.snap_frame.is_none())
            .filter_map(|v| {
                let e = v.snap?;
                let last = f64::from(v.clip.end - 1);
                let frame = e.value.clamp(f64::from(v.clip.first), last);
                Some(ProposedMoment { moment: MomentKind::Snap, view: v.view, frame, sd_frames: e.se })
            })
            .collect();
        let on_clock: Vec<&WatchedView> = self.views.iter().filter(|v| v.snap.is_some()).collect();
        let mut inputs = Vec::new();
        for v in &on_clock {
            let frame = v.snap.map_or(0.0, |s| s.value.clamp(0.0, f64::from(v.clip.end - 1)));
            let clock = ViewClock::new(&v.film.ingested.clock.table, frame)
                .map_err(|e| WorkError::Invalid(e.to_string()))?;
            inputs.push(ViewInput {
                view: v.view,
                clock,
                cameras: &v.cameras.frames,
                first_frame: v.cameras.first,
            });
        }
        let flight = self.flight(&on_clock, &inputs);
        if let Ok(f) = &flight {
            let release = f.release_s;
            self.add(&mut proposed, &on_clock, &inputs, MomentKind::Release, release, f);
            if let Seen::Seen(arrival) = f.arrival_s {
                self.add(&mut proposed, &on_clock, &inputs, MomentKind::Arrival, arrival, f);
            }
        }
        self.add_of_people(&mut proposed, &on_clock, &inputs, flight.as_ref().ok());
        let flight = match flight {
            Ok(f) => Seen::Seen(ProposedFlight {
                balls: f
                    .balls
                    .iter()
                    .map(|b| ProposedBall { view: b.view, frame: b.frame, pixel: b.pixel })
                    .collect(),
                speed_mph: f.fit.throw.speed_mph,
                rms_px: f.fit.throw.rms_px,
            }),
            Err(why) => Seen::NotSeen(why),
        };
        Ok(Proposals { state: self.state, moments: proposed, flight })
    }
    fn flight(&self, views: &[&WatchedView], inputs: &[ViewInput<'_>]) -> Result<FoundFlight, String> {
        if self.views.is_empty() {
            return Err("the film was not watched yet".into());
        }
        if views.is_empty() {
            return Err("the snap is neither marked nor seen in the film".into());
        }
        let candidates: Vec<_> = views.iter().map(|v| v.kept.candidates()).collect();
        let errors = MomentErrors::default();
        let marks = |kind| moments::time_marks(kind, &self.moments, inputs, &errors);
        let (release, arrival) = (marks(MomentKind::Release), marks(MomentKind::Arrival));
        let find_in = FindInputs {
            air: &self.air,
            turf: self.turf,
            downfield: self.downfield(),
            views: inputs,
            candidates: &candidates,
            marks: &self.balls,
            release: &release,
            arrival: &arrival,
            priors: &FlightPriors::default(),
        };
        find(&find_in, &Known { look: self })
            .ok_or_else(|| "nothing that moves in the film flies as a ball does".into())
    }
    fn downfield<F: geometry::frame::Frame>(&self) -> Vector2<F> {
        Vector2::new(self.situation.direction.map_or(1.0, field::Direction::sign), 0.0)
    }
    /// Proposes a moment, in the first view that shows the ball there, unless it is marked.
    fn add(
        &self,
        proposed: &mut Vec<ProposedMoment>,
        views: &[&WatchedView],
        inputs: &[ViewInput<'_>],
        moment: MomentKind,
        at_s: Estimate,
        flight: &FoundFlight,
    ) {
        let shows = |v: &WatchedView| flight.balls.iter().any(|b| b.view == v.view);
        let view = views.iter().position(|v| shows(v)).unwrap_or(0);
        self.add_in(proposed, views, inputs, view, moment, at_s);
    }
    fn add_in(
        &self,
        proposed: &mut Vec<ProposedMoment>,
        views: &[&WatchedView],
        inputs: &[ViewInput<'_>],
        view: usize,
        moment: MomentKind,
        at_s: Estimate,
    ) {
        if self.moments.iter().any(|m| m.moment == moment) {
            return;
        }
        let (clip, v) = (&views[view].clip, &inputs[view]);
        let frame = v.clock.position(at_s.value);
        if frame < f64::from(clip.first) || frame > f64::from(clip.end - 1) {
            return;
        }
        let sd_frames = at_s.se / v.clock.interval_s();
        proposed.push(ProposedMoment { moment, view: v.view, frame, sd_frames });
    }
    /// Set and first contact, from people's paths.
    fn add_of_people(
        &self,
        proposed: &mut Vec<ProposedMoment>,
        views: &[&WatchedView],
        inputs: &[ViewInput<'_>],
        flight: Option<&FoundFlight>,
    ) {
        let (Some(m), false) = (&self.measurement, views.is_empty()) else { return };
        let track = |id: &PersonId| m.tracks.iter().find(|t| t.person == *id);
        let Some(passer) = self.who(|p| p.role == Role::Passer).and_then(|p| track(&p.id)) else { return };
        let release = moments::at(&m.moments, MomentKind::Release)
            .map(|e| e.value)
            .or(flight.map(|f| f.release_s.value));
        if let Some(e) = moments::set(passer, self.downfield(), release) {
            self.add_in(proposed, views, inputs, 0, MomentKind::Set, e);
        }
        let rushers: Vec<&Track> =
            self.people.iter().filter(|p| p.role == Role::Rusher).filter_map(|p| track(&p.id)).collect();
        let until = release.unwrap_or(f64::INFINITY);
        if let Some(e) = moments::first_contact(passer, &rushers, until) {
            self.add_in(proposed, views, inputs, 0, MomentKind::FirstContact, e);
        }
    }
    fn who(&self, wanted: impl Fn(&Person) -> bool) -> Option<&Person> {
        self.people.iter().find(|p| wanted(p))
    }
}

/// People whose places are measured.
struct Known<'a> {
    look: &'a Look,
}

/// A receiver farther than this from where the ball comes down does not catch it, yd.
const CATCHES_WITHIN_YD: f64 = 3.0;

impl Known<'_> {
    fn stand(track: &Track, t_s: f64) -> Option<Stand> {
        let p = track.at(t_s)?;
        Some(Stand { point: p.position, covariance: p.position_covariance })
    }
    fn tracks(&self) -> &[Track] {
        self.look.measurement.as_ref().map_or(&[], |m| &m.tracks)
    }
}

impl Standing for Known<'_> {
    fn passer(&self, t_s: f64) -> Option<Stand> {
        let passer = self.look.who(|p| p.role == Role::Passer)?;
        Self::stand(self.tracks().iter().find(|t| t.person == passer.id)?, t_s)
    }
    fn catcher(&self, t_s: f64, at: Point2<Ground>) -> Option<Stand> {
        let caught = |t: &&Track| match &self.look.target {
            Some(id) => t.person == *id,
            None => self.look.who(|p| p.id == t.person).is_some_and(Person::eligible),
        };
        self.tracks()
            .iter()
            .filter(caught)
            .filter_map(|t| Self::stand(t, t_s))
            .filter(|s| s.point.distance(at) < CATCHES_WITHIN_YD)
            .min_by(|a, b| a.point.distance(at).total_cmp(&b.point.distance(at)))
    }
}
