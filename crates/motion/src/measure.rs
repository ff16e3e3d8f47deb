//! All figures of a play from its marks and cameras.

use crate::agreement::named_apart;
use crate::alone::Alone;
use crate::feet::{FeetErrors, FeetInputs, feet};
use crate::flight_fit::{BallObservation, FlightFit, FlightInputs, FlightPriors, Stand, fit};
use crate::given::Given;
use crate::ground::{Turf, ViewInput};
use crate::moments::{self, MomentErrors};
use crate::placement::{Thrown, near, place};
use crate::pressure::{REACH_YD, pressure};
use crate::tracks::{MarkErrors, Running, observe, smooth};
use field::RuleBook;
use geometry::{Covariance2, Vector2};
use play::{
    Air, BallMark, Finding, FootMark, HipMark, Measurement, MomentKind, MomentMark, Person, PersonId,
    PersonMark, Role, Seen, Severity, Situation, ThrowResult, Track, Unit, View,
};
use stats::Estimate;

/// Everything that measuring may be told to do otherwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Errors of person marks.
    pub marks: MarkErrors,
    /// How people run.
    pub running: Running,
    /// What is known of throws.
    pub flight: FlightPriors,
    /// Errors of moment marks.
    pub moments: MomentErrors,
    /// Errors of foot and hip marks.
    pub feet: FeetErrors,
    /// Distance at which a rusher presses, yd.
    pub reach_yd: f64,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            marks: MarkErrors::default(),
            running: Running::default(),
            flight: FlightPriors::default(),
            moments: MomentErrors::default(),
            feet: FeetErrors::default(),
            reach_yd: REACH_YD,
        }
    }
}

/// A play's marks and what they are seen through.
#[derive(Clone, Debug)]
pub struct Inputs<'a> {
    /// Markings.
    pub book: RuleBook,
    /// Rise of the field's middle over its sidelines, yd; 0 for a flat field.
    pub crown_yd: f64,
    /// Air.
    pub air: &'a Air,
    /// Down, spot and direction.
    pub situation: &'a Situation,
    /// Which arm throws.
    pub right_handed: bool,
    /// Who is in the play.
    pub people: &'a [Person],
    /// Whom the ball was thrown to, where charted.
    pub target: Option<&'a PersonId>,
    /// What came of the play, where charted.
    pub result: Option<ThrowResult>,
    /// Moments as marked.
    pub moments: &'a [MomentMark],
    /// People as marked.
    pub persons: &'a [PersonMark],
    /// Ball as marked.
    pub balls: &'a [BallMark],
    /// Feet as marked.
    pub feet: &'a [FootMark],
    /// Hips as marked.
    pub hips: &'a [HipMark],
    /// The views, at most one of each kind.
    pub views: &'a [ViewInput<'a>],
    /// What came ready-made.
    pub given: Given<'a>,
}

/// Measures a play. Windows stay empty: they belong to a layer above. Every figure that cannot be had says why, and so
/// do the findings. Where two views contradict each other the play is measured from the sideline alone, whose yard lines are read
/// more surely.
pub fn measure(inputs: &Inputs<'_>, settings: &Settings) -> Measurement {
    let Some(contradiction) = contradiction(inputs, settings) else { return measure_from(inputs, settings) };
    let alone = Alone::of(inputs, View::Sideline);
    let mut m = measure_from(&alone.inputs(inputs), settings);
    let said = "all but the clock is measured from the sideline view alone, as long as the views contradict each other";
    m.findings.splice(0..0, [contradiction, Finding::new(Severity::Weak, "one-view", said)]);
    m
}

/// In what the two views contradict each other, by the men who were marked or named in both.
fn contradiction(inputs: &Inputs<'_>, settings: &Settings) -> Option<Finding> {
    let [one, other] = inputs.views else { return None };
    let turf = Turf::new(inputs.book, inputs.crown_yd);
    let (mut observations, _) = observe(inputs.persons, inputs.views, &turf, &settings.marks);
    for (person, seen) in inputs.given.found {
        observations.entry(person.clone()).or_default().extend(seen);
    }
    let apart = named_apart(&observations, [one.view, other.view], inputs.book)?;
    Some(apart.finding(other.view))
}

fn measure_from(inputs: &Inputs<'_>, settings: &Settings) -> Measurement {
    let turf = Turf::new(inputs.book, inputs.crown_yd);
    let mut findings = untrusted(inputs);
    let (mut moments, more) = moments::combine(inputs.moments, inputs.views, &settings.moments);
    findings.extend(more);
    inputs.given.add_moments(&mut moments);
    let (mut observations, more) = observe(inputs.persons, inputs.views, &turf, &settings.marks);
    findings.extend(more);
    for (person, seen) in inputs.given.found {
        observations.entry(person.clone()).or_default().extend(seen);
    }
    let (corrected, untouched): (Vec<&Track>, Vec<&Track>) =
        inputs.given.tracks.iter().partition(|t| observations.contains_key(&t.person));
    for track in corrected {
        observations.entry(track.person.clone()).or_default().extend(Given::observations(track));
    }
    let mut tracks: Vec<Track> = observations
        .iter()
        .filter_map(|(person, seen)| smooth(person, seen, &frame_times(inputs, seen), &settings.running))
        .collect();
    tracks.extend(untouched.into_iter().cloned());
    let passer = track_of(inputs, &tracks, |p| p.role == Role::Passer)
        .or_else(|| tracks.iter().find(|t| t.person.as_str() == PersonId::PASSER));
    let target = inputs.target.and_then(|id| tracks.iter().find(|t| t.person == *id));
    let release = moments::at(&moments, MomentKind::Release);
    let arrival = moments::at(&moments, MomentKind::Arrival);

    let stand = |track: Option<&Track>, t: Option<Estimate>| {
        let p = near(track?, t?.value)?;
        Some(Stand { point: p.position, covariance: p.position_covariance })
    };
    let catcher = stand(target, arrival);
    let flight = throw(inputs, settings, turf, stand(passer, release), catcher, &mut findings);
    let target = target.or_else(|| guess_target(inputs, &tracks, &flight, &mut findings));
    let (feet, more) = match release {
        Some(release_s) => feet(
            &FeetInputs {
                feet: inputs.feet,
                hips: inputs.hips,
                views: inputs.views,
                turf,
                release_s,
                set_s: moments::at(&moments, MomentKind::Set),
                target: catch_point(&flight, catcher, settings),
                right_handed: inputs.right_handed,
            },
            &settings.feet,
        ),
        None => (Seen::not("the release is not marked"), Vec::new()),
    };
    findings.extend(more);
    let placement = match (&flight, target) {
        (Seen::NotSeen(why), _) => Seen::not(why),
        (_, None) => Seen::not("no receiver is charted as the target, or he is not marked"),
        (Seen::Seen(f), Some(receiver)) => {
            let defenders: Vec<&Track> =
                tracks.iter().filter(|t| unit(inputs, t) == Some(Unit::Defense)).collect();
            let release_s = f.throw.release_s.value;
            let ball = Thrown {
                landing: &f.landing,
                height_ft: &f.throw.arrival_height_ft,
                path: &f.throw.path,
                release_s,
                arrival_s: release_s + f.throw.flight_s.value,
            };
            place(&ball, receiver, &defenders)
        }
    };
    let rushers: Vec<&Track> = tracks.iter().filter(|t| role(inputs, t) == Some(Role::Rusher)).collect();
    let mut pressure = pressure(passer, &rushers, settings.reach_yd, release.map(|r| r.value));
    if let Seen::Seen(e) = &mut pressure.at_s {
        e.se = e.se.hypot(snap_sd_s(inputs, settings));
    }
    let throw = match flight {
        Seen::Seen(f) => Seen::Seen(f.throw),
        Seen::NotSeen(why) => Seen::NotSeen(why),
    };
    let mut m =
        Measurement { moments, tracks, throw, feet, placement, windows: Vec::new(), pressure, findings };
    name_missing(inputs, &mut m);
    m
}

/// Standard error of the clock's zero, which is itself a mark in each view or a given moment, s.
fn snap_sd_s(inputs: &Inputs<'_>, settings: &Settings) -> f64 {
    let information: f64 = inputs.views.iter().map(|v| settings.moments.sd_s(v).powi(-2)).sum();
    if information > 0.0 {
        return information.powf(-0.5);
    }
    moments::at(inputs.given.moments, MomentKind::Snap).map_or(0.0, |s| s.se)
}

fn person<'a>(inputs: &'a Inputs<'_>, track: &Track) -> Option<&'a Person> {
    inputs.people.iter().find(|p| p.id == track.person)
}
fn unit(inputs: &Inputs<'_>, track: &Track) -> Option<Unit> {
    person(inputs, track).map(|p| p.unit)
}
fn role(inputs: &Inputs<'_>, track: &Track) -> Option<Role> {
    person(inputs, track).map(|p| p.role)
}
fn track_of<'t>(
    inputs: &Inputs<'_>,
    tracks: &'t [Track],
    wanted: impl Fn(&Person) -> bool,
) -> Option<&'t Track> {
    tracks.iter().find(|t| person(inputs, t).is_some_and(&wanted))
}

/// The film's frame times, in the finer view, from a person's first to his last observation.
fn frame_times(inputs: &Inputs<'_>, seen: &[crate::tracks::GroundObservation]) -> Vec<f64> {
    let times = || seen.iter().map(|o| o.t_s);
    let (first, last) = (times().fold(f64::INFINITY, f64::min), times().fold(f64::NEG_INFINITY, f64::max));
    let finest = inputs.views.iter().min_by(|a, b| a.clock.interval_s().total_cmp(&b.clock.interval_s()));
    let mut out = vec![first];
    if let Some(v) = finest {
        let (a, b) = (v.clock.position(first).ceil() as u32, v.clock.position(last).floor() as u32);
        let inside = |t: &f64| *t > first + 1e-3 && *t < last - 1e-3;
        out.extend((a..=b).map(|f| v.clock.seconds(f64::from(f))).filter(inside));
    }
    if last > first {
        out.push(last);
    }
    out
}

fn throw(
    inputs: &Inputs<'_>,
    settings: &Settings,
    turf: Turf,
    passer: Option<Stand>,
    catcher: Option<Stand>,
    findings: &mut Vec<Finding>,
) -> Seen<FlightFit> {
    let mut lost = 0;
    let mut balls = Vec::new();
    for m in inputs.balls {
        let seen = inputs.views.iter().find(|v| v.view == m.view).and_then(|v| {
            let camera = v.camera(m.frame)?;
            let t_s = v.clock.seconds(f64::from(m.frame));
            Some(BallObservation { view: m.view, t_s, pixel: m.pixel, camera })
        });
        match seen {
            Some(b) => balls.push(b),
            None => lost += 1,
        }
    }
    if lost > 0 {
        let text = format!("{lost} ball marks are in frames where the field is not lined up");
        findings.push(Finding::new(Severity::Weak, "ball-marks-without-field", text));
    }
    let marks = |kind| {
        let marked = moments::time_marks(kind, inputs.moments, inputs.views, &settings.moments);
        if marked.is_empty() { inputs.given.time_mark(kind).into_iter().collect() } else { marked }
    };
    let (release, arrival) = (marks(MomentKind::Release), marks(MomentKind::Arrival));
    // Marks of the ball in a picture see its height; a ball followed on the ground only steps in without them.
    let followed = inputs.given.ball.filter(|_| balls.is_empty());
    let (passer, catcher, priors) = match &followed {
        Some(b) => (Some(b.release), Some(b.arrival), Given::priors(&settings.flight)),
        None => (passer, catcher, settings.flight),
    };
    let downfield = inputs.situation.direction.map_or(1.0, field::Direction::sign);
    let flight = FlightInputs {
        air: inputs.air,
        turf,
        downfield: Vector2::new(downfield, 0.0),
        balls: &balls,
        release: &release,
        arrival: &arrival,
        passer,
        catcher,
    };
    match fit(&flight, &priors) {
        Ok(Seen::Seen(mut f)) => {
            findings.append(&mut f.findings);
            if let Some(b) = followed {
                f.landing = Seen::Seen(b.arrival);
            }
            f.throw.release_s.se = f.throw.release_s.se.hypot(snap_sd_s(inputs, settings));
            if inputs.situation.direction.is_none() {
                f.throw.side_deg = Seen::not("which way the offense goes is not charted");
            }
            Seen::Seen(f)
        }
        Ok(Seen::NotSeen(why)) => Seen::NotSeen(why),
        Err(e) => Seen::NotSeen(e.to_string()),
    }
}

/// Where the feet should point: where the ball arrived, else where the charted target was.
fn catch_point(flight: &Seen<FlightFit>, catcher: Option<Stand>, settings: &Settings) -> Option<Stand> {
    match flight {
        Seen::Seen(f) => {
            Some(Stand { point: f.throw.arrival.ground(), covariance: f.throw.arrival_covariance })
        }
        Seen::NotSeen(_) => catcher.map(|c| Stand {
            covariance: c.covariance.plus(Covariance2::isotropic(settings.flight.catch_reach_yd)),
            ..c
        }),
    }
}

/// The eligible man nearest to where the ball came down, when nobody is charted and he is within three yards.
fn guess_target<'t>(
    inputs: &Inputs<'_>,
    tracks: &'t [Track],
    flight: &Seen<FlightFit>,
    findings: &mut Vec<Finding>,
) -> Option<&'t Track> {
    let f = flight.get().filter(|_| inputs.target.is_none())?;
    let at = f.throw.release_s.value + f.throw.flight_s.value;
    let away = |t: &Track| Some(near(t, at)?.position.distance(f.throw.arrival.ground()));
    let (track, d) = tracks
        .iter()
        .filter(|t| person(inputs, t).is_some_and(Person::eligible))
        .filter_map(|t| Some((t, away(t)?)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|(_, d)| *d <= 3.0)?;
    let text = format!("no target is charted; {} was {d:.1} yd from where the ball arrived", track.person);
    findings.push(Finding::new(Severity::Note, "target-guessed", text));
    Some(track)
}

fn untrusted(inputs: &Inputs<'_>) -> Vec<Finding> {
    inputs
        .views
        .iter()
        .filter_map(|v| {
            let doubtful = v.cameras.iter().flatten().filter(|c| !c.quality.trusted).count();
            (doubtful > 0).then(|| {
                let text = format!(
                    "{doubtful} frames of the {} view are not lined up with trust and give no figures; click the field in one of them",
                    crate::tracks::view_name(v.view)
                );
                Finding::new(Severity::Weak, "line-up-doubtful", text)
            })
        })
        .collect()
}

/// In words, why there is nothing to measure of a throw.
fn unthrown(result: Option<ThrowResult>) -> Option<&'static str> {
    match result? {
        ThrowResult::Sacked => Some("no throw was made: sacked"),
        ThrowResult::Scrambled => Some("no throw was made: he ran"),
        _ => None,
    }
}

fn name_missing(inputs: &Inputs<'_>, m: &mut Measurement) {
    if let Some(why) = unthrown(inputs.result).filter(|_| m.throw.get().is_none()) {
        (m.throw, m.feet, m.placement) = (Seen::not(why), Seen::not(why), Seen::not(why));
        m.findings.push(Finding::new(Severity::Note, "no-throw-made", why));
        return;
    }
    let mut missing: Vec<(&str, String)> = Vec::new();
    for (kind, code, word) in [
        (MomentKind::Release, "no-release", "release"),
        (MomentKind::Arrival, "no-arrival-moment", "arrival"),
    ] {
        if moments::at(&m.moments, kind).is_none() {
            missing.push((code, format!("the {word} is not marked in any view")));
        }
    }
    if inputs.views.is_empty() && inputs.given.tracks.is_empty() {
        missing.push(("no-view", "no view is lined up and synchronised".into()));
    }
    if m.tracks.is_empty() {
        missing.push(("no-people", "nobody is marked in a frame where the field is lined up".into()));
    }
    if let Seen::NotSeen(why) = &m.throw {
        missing.push(("no-throw", format!("the throw is not measured: {why}")));
    }
    if let Seen::NotSeen(why) = &m.feet {
        missing.push(("no-feet", format!("the feet are not measured: {why}")));
    }
    if let Seen::NotSeen(why) = &m.placement {
        missing.push(("no-placement", format!("the placement is not measured: {why}")));
    }
    if let Seen::NotSeen(why) = &m.pressure.at_s {
        missing.push(("no-pressure", format!("no time to pressure: {why}")));
    }
    let severity = |code: &str| if code == "no-pressure" { Severity::Note } else { Severity::Missing };
    m.findings.extend(missing.into_iter().map(|(code, text)| Finding::new(severity(code), code, text)));
}
