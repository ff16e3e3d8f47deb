use super::{Kept, SIGHTINGS};
use crate::lineup::ClipCameras;
use crate::{WorkError, Workbench};
use field::{Crown, RuleBook};
use geometry::Point2;
use geometry::frame::{Ground, Pixel};
use motion::agreement::found_apart;
use motion::found::{
    FoundTrack, PropositionInput, Repaired, Side, SightErrors, SpottedView, follow, propose, repair, sides,
    spots,
};
use motion::tracks::{GroundObservation, MarkErrors, Origin, Running, observe, smooth};
use motion::{Turf, ViewInput};
use play::{
    Clip, Finding, Person, PersonId, PersonMark, PlayId, Repair, SightedFrame, Situation, Track, TrackId,
    TrackRepair, View, ViewClock,
};
use serde::Serialize;
use std::sync::{Arc, PoisonError};

/// The people found in a play's film.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct FoundPeople {
    /// Whether people were looked for.
    pub state: FoundState,
    /// Everybody followed, as repaired.
    pub tracks: Vec<FoundPath>,
    /// What was changed, in order.
    pub repairs: Vec<TrackRepair>,
    /// What should be known.
    pub findings: Vec<Finding>,
}

/// Whether people were looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum FoundState {
    /// Not yet.
    NotLooked,
    /// Yes, and the line-up has changed since.
    Stale,
    /// Yes.
    Ready,
}

/// Somebody followed.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct FoundPath {
    /// Names the track in repairs.
    pub id: TrackId,
    /// Whether the evaluator said who he is; with no person that is nobody who matters.
    pub labelled: bool,
    /// Who he is.
    pub person: Option<Person>,
    /// Who he probably is; absent for officials and others.
    pub proposal: Option<ProposedPerson>,
    /// Which of the two kinds of shirt he wears, 0 or 1; absent for neither.
    pub team: Option<u8>,
    /// First instant of the path, s from the snap.
    pub from_s: f64,
    /// Last instant.
    pub to_s: f64,
    /// The path on the ground, at the frames of the finer view.
    pub points: Vec<PathPoint>,
    /// The path in each view's picture.
    pub views: Vec<ViewPath>,
    /// Where the evaluator put him.
    pub hand: Vec<HandPlace>,
}

/// A guess.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ProposedPerson {
    /// Who.
    pub person: Person,
    /// That his side is right, 0 to 1.
    pub side: f64,
    /// That side and role are right, 0 to 1.
    pub role: f64,
}

/// A place of a path.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct PathPoint {
    /// Seconds from the snap.
    pub t_s: f64,
    /// Where, yd.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub at: Point2<Ground>,
    /// Standard deviation along the less certain direction, yd.
    pub sd_yd: f64,
    /// Seen or put there within a quarter of a second; otherwise the path is a guess between what was seen.
    pub seen: bool,
}

/// A path in a view's picture.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ViewPath {
    /// Which view.
    pub view: View,
    /// One per film frame that shows him.
    pub points: Vec<ViewPoint>,
}

/// A point of a path in a picture.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ViewPoint {
    /// Film frame.
    pub frame: u32,
    /// Where on the ground he stands, px of the film.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub pixel: Point2<Pixel>,
    /// As [`PathPoint::sd_yd`].
    pub sd_yd: f64,
    /// As [`PathPoint::seen`].
    pub seen: bool,
}

/// Where the evaluator put somebody.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct HandPlace {
    /// In which view.
    pub view: View,
    /// Seconds from the snap.
    pub t_s: f64,
    /// Where, yd.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub at: Point2<Ground>,
}

/// A path is a guess when nothing was seen for this long on either side, s.
const GUESSED_S: f64 = 0.25;

/// A play's views as far as they can be measured.
pub(crate) struct Seen {
    clips: Vec<SeenClip>,
    book: RuleBook,
    crown: Crown,
    situation: Situation,
    key: String,
    state: FoundState,
}

struct SeenClip {
    clip: Clip,
    view: View,
    film: Arc<crate::films::Film>,
    snap_frame: f64,
    cameras: Arc<ClipCameras>,
    sighted: Vec<SightedFrame>,
}

impl Seen {
    fn inputs(&self) -> Result<Vec<ViewInput<'_>>, WorkError> {
        self.clips
            .iter()
            .map(|c| {
                let clock = ViewClock::new(&c.film.ingested.clock.table, c.snap_frame)
                    .map_err(|e| WorkError::Invalid(e.to_string()))?;
                Ok(ViewInput {
                    view: c.view,
                    clock,
                    cameras: &c.cameras.frames,
                    first_frame: c.cameras.first,
                })
            })
            .collect()
    }
    fn turf(&self) -> Turf {
        Turf::new(self.book, self.crown.height)
    }
    fn spotted(&self) -> Result<Vec<SpottedView>, WorkError> {
        let inputs = self.inputs()?;
        let turf = self.turf();
        let errors = SightErrors::default();
        Ok(self.clips.iter().zip(&inputs).map(|(c, v)| spots(&c.sighted, v, &turf, &errors)).collect())
    }
    fn followed(&self) -> Result<Vec<FoundTrack>, WorkError> {
        Ok(follow(&self.spotted()?))
    }
    /// In what the views contradict each other, if they do.
    pub(super) fn contradiction(&self) -> Result<Option<Finding>, WorkError> {
        let views = self.spotted()?;
        Ok(found_apart(&views, self.book).zip(views.get(1)).map(|(apart, second)| apart.finding(second.view)))
    }
    fn repaired(
        &self,
        tracks: Vec<FoundTrack>,
        repairs: &[TrackRepair],
    ) -> Result<(Vec<Repaired>, Vec<Finding>), WorkError> {
        let inputs = self.inputs()?;
        let turf = self.turf();
        let place = |r: &Repair| {
            let Repair::Move { view, frame, pixel, .. } = r else { return None };
            let person = PersonId("hand".into());
            let mark = PersonMark {
                id: "hand".into(),
                person: person.clone(),
                view: *view,
                frame: *frame,
                pixel: *pixel,
            };
            observe(&[mark], &inputs, &turf, &MarkErrors::default()).0.remove(&person)?.pop()
        };
        Ok(repair(tracks, repairs, place))
    }
}

impl Workbench {
    /// The people found in a play's film as repaired: paths with their uncertainty, who they are or probably are. Empty
    /// before people were looked for.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn found_people(&self, id: &PlayId) -> Result<FoundPeople, WorkError> {
        let seen = self.seen(id).await?;
        let repairs = self.repairs(id).await?;
        let tracks = self.followed(id, &seen).await?;
        let mut shown = crate::error::blocking(move || show(&seen, tracks.as_ref().clone(), repairs)).await?;
        shown.findings.extend(self.views_apart(id).await?);
        Ok(shown)
    }
    /// What was found of the people of a play, for its measurement, and the key of what that follows from.
    pub(crate) async fn found_observations(
        &self,
        id: &PlayId,
    ) -> Result<(String, Vec<(PersonId, Vec<GroundObservation>)>), WorkError> {
        let repairs = self.repairs(id).await?;
        // Nobody counts before somebody said who he is.
        if !repairs.iter().any(|r| matches!(&r.repair, Repair::Label { person: Some(_), .. })) {
            return Ok((String::new(), Vec::new()));
        }
        let seen = self.seen(id).await?;
        let tracks = self.followed(id, &seen).await?;
        let key = crate::key_of(&(&seen.key, &repairs))?;
        let (repaired, _) = seen.repaired(tracks.as_ref().clone(), &repairs)?;
        let of = |r: Repaired| {
            let person = r.label.clone()??.id;
            Some((person, r.observations()))
        };
        Ok((key, repaired.into_iter().filter_map(of).collect()))
    }
    pub(super) async fn seen(&self, id: &PlayId) -> Result<Seen, WorkError> {
        let play: play::Play = self.store.get(id.as_str()).await?;
        let game = self.game_of(&play).await?;
        let (mut clips, mut keys) = (Vec::new(), Vec::new());
        let mut state = FoundState::NotLooked;
        for clip in self.clips_of(id).await? {
            let (Some(view), Some(snap_frame)) = (clip.view, clip.snap_frame) else { continue };
            let Some((key, body)) = self.store.computed(SIGHTINGS, clip.id.as_str()).await? else { continue };
            if key != self.sighting_key(&clip).await? {
                state = FoundState::Stale;
            } else if state == FoundState::NotLooked {
                state = FoundState::Ready;
            }
            let kept: Kept = serde_json::from_str(&body)?;
            keys.push((key, snap_frame, view));
            clips.push(SeenClip {
                film: self.film(clip.film.as_str()).await?,
                cameras: self.cameras_of(&clip).await?,
                sighted: kept.frames(),
                clip,
                view,
                snap_frame,
            });
        }
        let situation = play.situation;
        let crown = Crown { height: game.crown.unwrap_or(0.0) };
        let key = crate::key_of(&(keys, crown.height, game.rule_book))?;
        Ok(Seen { clips, book: game.rule_book, crown, situation, key, state })
    }
    async fn followed(&self, id: &PlayId, seen: &Seen) -> Result<Arc<Vec<FoundTrack>>, WorkError> {
        let held = || self.found.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((key, tracks)) = held().get(id)
            && *key == seen.key
        {
            return Ok(tracks.clone());
        }
        let tracks = Arc::new(seen.followed()?);
        let mut cache = held();
        if cache.len() > 24 {
            cache.clear();
        }
        cache.insert(id.clone(), (seen.key.clone(), tracks.clone()));
        Ok(tracks)
    }
}

/// Everything the screens need of a play's tracks.
fn show(seen: &Seen, tracks: Vec<FoundTrack>, repairs: Vec<TrackRepair>) -> Result<FoundPeople, WorkError> {
    let (repaired, findings) = seen.repaired(tracks, &repairs)?;
    let tracks: Vec<FoundTrack> = repaired.iter().map(|r| r.track.clone()).collect();
    let sides = sides(&tracks);
    let input =
        PropositionInput { tracks: &tracks, sides: &sides, situation: &seen.situation, book: seen.book };
    let proposals = propose(&input);
    let inputs = seen.inputs()?;
    let finest = inputs.iter().min_by(|a, b| a.clock.interval_s().total_cmp(&b.clock.interval_s()));
    let mut out = Vec::new();
    for (r, side) in repaired.iter().zip(&sides) {
        let observations = r.observations();
        let times = || observations.iter().map(|o| o.t_s);
        let (from_s, to_s) =
            (times().fold(f64::INFINITY, f64::min), times().fold(f64::NEG_INFINITY, f64::max));
        let Some(clock) = finest.map(|v| &v.clock) else { continue };
        let (a, b) =
            (clock.position(from_s).ceil().max(0.0) as u32, clock.position(to_s).floor().max(0.0) as u32);
        let grid: Vec<f64> = (a..=b).map(|f| clock.seconds(f64::from(f))).collect();
        let Some(track) = smooth(&PersonId(r.track.id.0.clone()), &observations, &grid, &Running::default())
        else {
            continue;
        };
        // That somebody stood still before he was seen is known, not seen.
        let near = |t: f64| {
            let spotted = r.track.spots.iter().map(|s| s.at.t_s).chain(r.hand.iter().map(|h| h.t_s));
            spotted.into_iter().any(|o| (o - t).abs() <= GUESSED_S)
        };
        let points = track
            .points
            .iter()
            .map(|p| PathPoint {
                t_s: round(p.t_s, 1e4),
                at: Point2::new(round(p.position.x, 1e3), round(p.position.y, 1e3)),
                sd_yd: round(p.position_covariance.ellipse().0, 1e3),
                seen: near(p.t_s),
            })
            .collect();
        let views =
            seen.clips.iter().zip(&inputs).map(|(c, v)| view_path(seen, c, v, &track, &near)).collect();
        let proposal = proposals.iter().find(|p| p.track == r.track.id);
        out.push(FoundPath {
            id: r.track.id.clone(),
            labelled: r.label.is_some(),
            person: r.label.clone().flatten(),
            proposal: proposal.map(|p| ProposedPerson {
                person: p.person.clone(),
                side: round(p.side, 1e3),
                role: round(p.role, 1e3),
            }),
            team: match side {
                Side::Team(k, _) => Some(*k),
                Side::Other => None,
            },
            from_s,
            to_s,
            points,
            views,
            hand: r
                .hand
                .iter()
                .filter(|o| o.origin == Origin::Mark)
                .map(|o| HandPlace { view: o.view, t_s: o.t_s, at: o.position })
                .collect(),
        });
    }
    Ok(FoundPeople { state: seen.state, tracks: out, repairs, findings })
}

fn view_path(
    seen: &Seen,
    c: &SeenClip,
    v: &ViewInput<'_>,
    track: &Track,
    near: &dyn Fn(f64) -> bool,
) -> ViewPath {
    let (w, h) = c.film.size();
    let points = (c.clip.first..c.clip.end)
        .filter_map(|frame| {
            let t_s = v.clock.seconds(f64::from(frame));
            let p = track.at(t_s)?;
            let camera = &c.cameras.get(frame)?.camera;
            let z = if camera.pinhole().is_some() { seen.crown.at(p.position, seen.book) } else { 0.0 };
            let pixel = camera.pixel_from_field(p.position.at_height(z))?;
            let inside = (0.0..=f64::from(w)).contains(&pixel.x) && (0.0..=f64::from(h)).contains(&pixel.y);
            inside.then(|| ViewPoint {
                frame,
                pixel: Point2::new(round(pixel.x, 10.0), round(pixel.y, 10.0)),
                sd_yd: round(p.position_covariance.ellipse().0, 1e3),
                seen: near(t_s),
            })
        })
        .collect();
    ViewPath { view: c.view, points }
}

/// Rounded to one part in `parts`: digits beyond what a screen shows only make answers longer.
fn round(v: f64, parts: f64) -> f64 {
    (v * parts).round() / parts
}
