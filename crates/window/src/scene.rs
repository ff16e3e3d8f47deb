use crate::WindowError;
use crate::parameters::Parameters;
use field::RuleBook;
use geometry::frame::Ground;
use geometry::{Covariance2, Point2, Vector2};
use play::{Finding, Person, PersonId, Role, Severity, Track, TrackPoint};

/// A play as the engine looks at it.
#[derive(Clone, Copy, Debug)]
pub struct Scene<'a> {
    /// Everybody with his role. Defenders of role `Cover` race for the ball; rushers, busy with blockers, do not.
    pub people: &'a [Person],
    /// Their paths.
    pub tracks: &'a [Track],
    /// Bounds of the field.
    pub rule_book: RuleBook,
}

/// Which throws to look at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Request {
    /// First release, s from the snap.
    pub from_s: f64,
    /// Last release, s from the snap.
    pub until_s: f64,
    /// Releases per second.
    pub rate_hz: f64,
    /// Perturbed repeats behind every error bar.
    pub draws: usize,
    /// Seed of the repeats.
    pub seed: u64,
}

impl Default for Request {
    fn default() -> Self {
        Self { from_s: 0.0, until_s: 3.5, rate_hz: 30.0, draws: 200, seed: 1 }
    }
}

/// Square root of a covariance: lower triangle (xx, yx, yy).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Root(pub [f64; 3]);

impl Root {
    pub fn of(c: Covariance2) -> Self {
        let a = c.xx.max(0.0).sqrt();
        let b = if a > 0.0 { c.xy / a } else { 0.0 };
        Self([a, b, (c.yy - b * b).max(0.0).sqrt()])
    }
    pub fn times(self, z: [f64; 2]) -> Vector2<Ground> {
        Vector2::new(self.0[0] * z[0], self.0[1] * z[0] + self.0[2] * z[1])
    }
}

/// Where somebody is, how fast he runs, and how well that is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct State {
    pub position: Point2<Ground>,
    pub velocity: Vector2<Ground>,
    pub position_root: Root,
    pub velocity_root: Root,
}

impl From<TrackPoint> for State {
    fn from(p: TrackPoint) -> Self {
        Self {
            position: p.position,
            velocity: p.velocity,
            position_root: Root::of(p.position_covariance),
            velocity_root: Root::of(p.velocity_covariance),
        }
    }
}

impl State {
    fn is_finite(&self) -> bool {
        let roots = self.position_root.0.iter().chain(&self.velocity_root.0).all(|v| v.is_finite());
        self.position.is_finite() && self.velocity.x.is_finite() && self.velocity.y.is_finite() && roots
    }
}

/// A receiver's expected way from a release on: his route where it is known, straight on after that.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Way<'a> {
    track: &'a Track,
    last: TrackPoint,
}

impl<'a> Way<'a> {
    fn of(track: &'a Track) -> Option<Self> {
        Some(Self { track, last: *track.points.last()? })
    }
    /// State at `t_s` from the snap; `None` before the track begins.
    pub fn at(&self, t_s: f64) -> Option<State> {
        if t_s <= self.last.t_s {
            return self.track.at(t_s).map(State::from);
        }
        let mut state = State::from(self.last);
        state.position = state.position + state.velocity * (t_s - self.last.t_s);
        Some(state)
    }
    /// Last instant at which the route is known, s.
    pub fn known_until(&self) -> f64 {
        self.last.t_s
    }
}

/// Somebody who races, with his place in `Scene::people`.
pub(crate) struct Runner<'a> {
    pub id: &'a PersonId,
    pub index: usize,
    pub way: Way<'a>,
}

/// The scene with tracks beside people.
pub(crate) struct Cast<'a> {
    pub passer: Way<'a>,
    pub receivers: Vec<Runner<'a>>,
    pub covers: Vec<Runner<'a>>,
    pub rule_book: RuleBook,
    pub findings: Vec<Finding>,
}

impl<'a> Cast<'a> {
    pub fn new(scene: &Scene<'a>) -> Result<Self, WindowError> {
        let mut cast = Vec::new();
        let mut findings = Vec::new();
        for (index, person) in scene.people.iter().enumerate() {
            let wanted = person.eligible() || matches!(person.role, Role::Passer | Role::Cover);
            if !wanted {
                continue;
            }
            let track = scene.tracks.iter().find(|t| t.person == person.id);
            match track.and_then(Way::of) {
                Some(way) if sane(way.track) => {
                    if let Some((t_s, speed)) = impossible(way.track) {
                        findings.push(Finding::new(
                            Severity::Weak,
                            "too-fast",
                            format!("{} runs {speed:.0} yd/s at {t_s:.2} s, over {FASTEST_YDPS} yd/s: his track jumps, or two men are mixed up; windows about him there mean little", person.id),
                        ));
                    }
                    cast.push((person, Runner { id: &person.id, index, way }));
                }
                Some(_) => findings.push(Finding::new(
                    Severity::Missing,
                    "bad-track",
                    format!("{}'s track has times that do not increase or figures that are not numbers; he is left out", person.id),
                )),
                None => findings.push(Finding::new(
                    Severity::Weak,
                    "no-track",
                    format!("{} has no track; the windows are computed without him", person.id),
                )),
            }
        }
        let mut passer = None;
        let (mut receivers, mut covers) = (Vec::new(), Vec::new());
        for (person, runner) in cast {
            match person.role {
                Role::Passer => passer = Some(runner.way),
                Role::Cover => covers.push(runner),
                _ => receivers.push(runner),
            }
        }
        let passer = passer.ok_or(WindowError::NoTrack { who: "the passer" })?;
        if receivers.is_empty() {
            return Err(WindowError::NoTrack { who: "any eligible receiver" });
        }
        if covers.is_empty() {
            return Err(WindowError::NoTrack { who: "any defender in coverage" });
        }
        Ok(Self { passer, receivers, covers, rule_book: scene.rule_book, findings })
    }

    /// Whether a catch at `p` is inside the field and its end zones.
    pub fn in_bounds(&self, p: Point2<Ground>) -> bool {
        const FOOT: f64 = 1.0 / 3.0; // both feet down
        let book = self.rule_book;
        (FOOT..=book.width() - FOOT).contains(&p.y)
            && (-book.end_zone() + FOOT..=book.length() + book.end_zone() - FOOT).contains(&p.x)
    }
}

fn sane(track: &Track) -> bool {
    track.points.windows(2).all(|w| w[1].t_s > w[0].t_s)
        && track.points.iter().all(|p| p.t_s.is_finite() && State::from(*p).is_finite())
}

/// Nobody runs faster, yd/s (25.6 mph).
const FASTEST_YDPS: f64 = 12.5;

/// First instant at which a track moves or claims to move faster than anybody runs, and how fast.
fn impossible(track: &Track) -> Option<(f64, f64)> {
    let speeds = track.points.iter().map(|p| (p.t_s, p.velocity.norm()));
    let steps = track.points.windows(2).map(|w| {
        // A step's speed carries the two places' errors.
        let sd = w[0].position_covariance.rms().hypot(w[1].position_covariance.rms());
        let run = ((w[1].position - w[0].position).norm() - 3.0 * sd).max(0.0);
        (w[1].t_s, run / (w[1].t_s - w[0].t_s))
    });
    speeds.chain(steps).find(|s| s.1 > FASTEST_YDPS)
}

/// Release instants of a request, s.
///
/// # Errors
/// `OutOfRange` for a request that makes no sense.
pub(crate) fn releases(request: &Request) -> Result<Vec<f64>, WindowError> {
    let range = |name, value: f64, unit, low, high| {
        if (low..=high).contains(&value) {
            Ok(())
        } else {
            Err(WindowError::OutOfRange { name, value, unit, low, high })
        }
    };
    range("first release", request.from_s, "s", -5.0, 15.0)?;
    range("last release", request.until_s, "s", request.from_s, request.from_s + 15.0)?;
    range("release rate", request.rate_hz, "1/s", 1.0, 240.0)?;
    range("repeats", request.draws as f64, "", 2.0, 100_000.0)?;
    let n = ((request.until_s - request.from_s) * request.rate_hz + 1e-9).floor() as usize + 1;
    Ok((0..n).map(|k| request.from_s + k as f64 / request.rate_hz).collect())
}

/// When the receiver leaves his route for a ball of `flight_s`, s after release.
pub(crate) fn leaves_route(p: &Parameters, flight_s: f64) -> f64 {
    (p.route.share * flight_s).max(p.route.look_s).min(flight_s)
}
