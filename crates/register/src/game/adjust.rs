use super::border::Bordered;
use super::evidence::{FrameEvidence, PaintString};
use crate::model::Surface;
use crate::prior::KnownStation;
use camera::{Aim, Pinhole, Station};
use field::{Crown, RuleBook};
use geometry::{Point2, Point3};
use nalgebra as na;
use std::collections::BTreeMap;

/// What is known before a game's adjustment.
#[derive(Clone, Debug, PartialEq)]
pub struct GameSettings {
    /// Whose markings.
    pub rule_book: RuleBook,
    /// The crown, yd, and its standard deviation; 0 holds it fast.
    pub crown: (f64, f64),
    /// Where the camera stands, when something but this evidence says so.
    pub station: Option<KnownStation>,
}

impl GameSettings {
    /// Nothing known of the ground: crowns run from none to a foot and a half, mostly a few inches. Common practice, no source.
    pub fn unknown_crown(rule_book: RuleBook) -> Self {
        Self { rule_book, crown: (0.1, 0.12), station: None }
    }
    /// The crown has been measured or told.
    pub fn known_crown(rule_book: RuleBook, crown: Crown) -> Self {
        Self { rule_book, crown: (crown.height, 0.0), station: None }
    }
}

/// What a game's frames say together.
#[derive(Clone, Debug, PartialEq)]
pub struct GameAdjustment {
    /// Centre and k1, with the covariance that refits every clip.
    pub station: KnownStation,
    /// Crown, yd, and its standard deviation.
    pub crown: (f64, f64),
    /// Standard deviation of the painter's error, yd, as the game shows it.
    pub paint_sd: f64,
    /// Where the paint lies: how far each string's two ends are from where the book puts them, yd (a row's are one).
    pub painted: BTreeMap<PaintString, [f64; 2]>,
    /// Every frame's camera, in the order given.
    pub frames: Vec<Pinhole>,
    /// Half the robust sum of squares of the evidence, and equations beyond the unknowns.
    pub cost: f64,
    /// Equations less unknowns that the evidence alone must settle.
    pub spare: f64,
    /// Factor on the stated variances that the residuals ask for; it is in the covariances already.
    pub variance_factor: f64,
}

/// First shared unknowns: centre x, y, z, k1, crown; then the painter's shifts.
const CROWN: usize = 4;
const SHIFTS: usize = 5;
/// Information of the belief that tripods are level: 2 degrees. Common practice, no source.
const LEVEL: f64 = 1.0 / (0.035 * 0.035);
/// Belief in a k1 near nothing: zoom lenses of film cameras. Common practice, no source.
const K1_SD: f64 = 0.03;
/// Where Huber's loss turns linear, standard deviations (95% efficiency; Huber & Ronchetti).
const HUBER: f64 = 1.345;
/// Correlation of a painted line's two ends: laid end by end along one string (as in following).
const TOGETHER: f64 = 0.3;
/// Bounds of the painter's error, yd: a quarter of an inch to four inches.
const PAINT: (f64, f64) = (0.007, 0.11);

#[derive(Clone)]
struct State {
    station: Station,
    crown: f64,
    shifts: na::DVector<f64>,
    aims: Vec<Aim>,
}

impl State {
    /// Frame `k`'s camera; copies of a game's film come in several sizes.
    fn camera(&self, k: usize, frames: &[FrameEvidence]) -> Pinhole {
        let own = &frames[k].camera.station;
        let station = Station { width: own.width, height: own.height, ..self.station };
        Pinhole { station, aim: self.aims[k] }
    }
    fn stepped(&self, border: &na::DVector<f64>, inner: &[na::Vector4<f64>]) -> Self {
        let c = self.station.centre;
        Self {
            station: Station {
                centre: Point3::new(c.x + border[0], c.y + border[1], c.z + border[2]),
                k1: self.station.k1 + border[3],
                ..self.station
            },
            crown: self.crown + border[CROWN],
            shifts: &self.shifts + border.rows(SHIFTS, self.shifts.len()),
            aims: self
                .aims
                .iter()
                .zip(inner)
                .map(|(a, d)| Aim {
                    pan: a.pan + d[0],
                    tilt: a.tilt + d[1],
                    roll: a.roll + d[2],
                    focal: a.focal * d[3].exp(),
                })
                .collect(),
        }
    }
}

/// The problem as posed: evidence, which shift each string has, and what is believed.
struct Problem<'a> {
    frames: &'a [FrameEvidence],
    settings: &'a GameSettings,
    places: BTreeMap<PaintString, usize>,
    shifts: usize,
    paint: f64,
    /// Shifts that are known already.
    painted: Option<&'a BTreeMap<PaintString, [f64; 2]>>,
    /// The station's belief: mean and information.
    belief: (na::Vector4<f64>, na::Matrix4<f64>),
}

/// Equations at a state.
struct At {
    normal: Bordered,
    cost: f64,
    evidence_cost: f64,
    /// Standardised residuals.
    z: Vec<f64>,
}

fn vector(s: &Station) -> na::Vector4<f64> {
    na::Vector4::new(s.centre.x, s.centre.y, s.centre.z, s.k1)
}

impl<'a> Problem<'a> {
    fn new(frames: &'a [FrameEvidence], settings: &'a GameSettings) -> Self {
        let mut places = BTreeMap::new();
        let mut shifts = 0;
        for p in frames.iter().flat_map(|f| &f.seen) {
            places.entry(p.string).or_insert_with(|| {
                let at = shifts;
                shifts += p.string.shifts();
                at
            });
        }
        let belief = match &settings.station {
            Some(k) => {
                let c = na::Matrix4::from_row_slice(&k.covariance)
                    + na::Matrix4::from_diagonal(&na::Vector4::new(1e-8, 1e-8, 1e-8, 1e-12));
                (vector(&k.station), c.try_inverse().unwrap_or_else(na::Matrix4::zeros))
            }
            None => {
                let mut i = na::Matrix4::zeros();
                i[(3, 3)] = 1.0 / (K1_SD * K1_SD);
                (na::Vector4::zeros(), i)
            }
        };
        let mut paints: Vec<f64> = frames.iter().map(|f| f.paint_sd).collect();
        paints.sort_by(f64::total_cmp);
        let paint = paints.get(paints.len() / 2).copied().unwrap_or(0.014).clamp(PAINT.0, PAINT.1);
        Self { frames, settings, places, shifts, paint, painted: None, belief }
    }

    fn at(&self, s: &State) -> Option<At> {
        let n = SHIFTS + self.shifts;
        let mut out =
            At { normal: Bordered::new(n, self.frames.len()), cost: 0.0, evidence_cost: 0.0, z: Vec::new() };
        let surface = Surface { book: self.settings.rule_book, crown: Crown { height: s.crown } };
        let unit = Surface { crown: Crown { height: 1.0 }, ..surface };
        let mut columns: Vec<(usize, f64)> = Vec::with_capacity(8);
        for (k, frame) in self.frames.iter().enumerate() {
            let camera = s.camera(k, self.frames);
            for p in &frame.seen {
                let at = SHIFTS + self.places[&p.string];
                let line = p.string.shifts() == 2;
                let shift = if line {
                    s.shifts[at - SHIFTS] * (1.0 - p.place) + s.shifts[at + 1 - SHIFTS] * p.place
                } else {
                    s.shifts[at - SHIFTS]
                };
                // Where the paint lies, on the crowned surface.
                let across = p.string.moves_across();
                let g = if across {
                    Point2::new(p.ground.x, p.ground.y + shift)
                } else {
                    Point2::new(p.ground.x + shift, p.ground.y)
                };
                let place = g.at_height(surface.height(g));
                let (q, (by_step, by_point)) = (camera.pixel_from_field(place)?, camera.jacobians(place)?);
                let normal = na::Vector2::new(p.normal[0], p.normal[1]);
                let step = by_step.transpose() * normal;
                let point = by_point.transpose() * normal;
                let by_shift = if across { point.y + point.z * surface.slope(g) } else { point.x };
                columns.clear();
                columns.extend((0..4).map(|c| (c, step[4 + c])));
                columns.push((CROWN, point.z * unit.height(g)));
                let own = if line {
                    columns.push((at, by_shift * (1.0 - p.place)));
                    columns.push((at + 1, by_shift * p.place));
                    0.0
                } else {
                    columns.push((at, by_shift));
                    // Each mark of the row is off by itself as well.
                    self.paint * by_shift
                };
                let r = normal.dot(&(na::Vector2::new(p.at[0], p.at[1]) - q.column()));
                let variance = p.sd_px * p.sd_px + own * own;
                let z = r / variance.sqrt();
                out.z.push(z);
                let (rho, weight) = if z.abs() <= HUBER {
                    (0.5 * z * z, 1.0)
                } else {
                    (HUBER * (z.abs() - 0.5 * HUBER), HUBER / z.abs())
                };
                out.evidence_cost += rho;
                let w = weight / variance;
                let aim = step.fixed_rows::<4>(0).into_owned();
                let own = &mut out.normal.own[k];
                own.information += aim * aim.transpose() * w;
                own.pull += aim * (w * r);
                for &(c, j) in &columns {
                    out.normal.pull[c] += w * j * r;
                    let mut row = own.cross.row_mut(c);
                    row += aim.transpose() * (w * j);
                    for &(d, i) in &columns {
                        out.normal.border[(c, d)] += w * j * i;
                    }
                }
            }
            let own = &mut out.normal.own[k];
            own.information[(2, 2)] += LEVEL;
            own.pull[2] -= LEVEL * s.aims[k].roll;
            out.cost += 0.5 * LEVEL * s.aims[k].roll.powi(2);
        }
        self.believe(s, &mut out);
        out.cost += out.evidence_cost;
        out.cost.is_finite().then_some(out)
    }

    /// Adds what is believed of the shared unknowns.
    fn believe(&self, s: &State, out: &mut At) {
        let n = &mut out.normal;
        let d = self.belief.0 - vector(&s.station);
        let pull = self.belief.1 * d;
        out.cost += 0.5 * d.dot(&pull);
        for r in 0..4 {
            n.pull[r] += pull[r];
            for c in 0..4 {
                n.border[(r, c)] += self.belief.1[(r, c)];
            }
        }
        // A crown that is known keeps still to a hundredth of a yard's hundredth.
        let (mean, sd) = self.settings.crown;
        let information = 1.0 / sd.max(1e-4).powi(2);
        n.border[(CROWN, CROWN)] += information;
        n.pull[CROWN] += information * (mean - s.crown);
        out.cost += 0.5 * information * (mean - s.crown).powi(2);
        for (string, &place) in &self.places {
            // Paint that is known keeps still to a hundredth of a yard's hundredth.
            let known = self.painted.map(|p| p.get(string).copied().unwrap_or_default());
            let v = if known.is_some() { 1e-8 } else { self.paint * self.paint };
            let mean = known.unwrap_or_default();
            if string.shifts() == 2 {
                let i = 1.0 / (v * (1.0 - TOGETHER * TOGETHER));
                let (a, b) = (s.shifts[place] - mean[0], s.shifts[place + 1] - mean[1]);
                for (row, this, that) in [(place, a, b), (place + 1, b, a)] {
                    n.border[(SHIFTS + row, SHIFTS + row)] += i;
                    n.pull[SHIFTS + row] -= i * (this - TOGETHER * that);
                }
                n.border[(SHIFTS + place, SHIFTS + place + 1)] -= TOGETHER * i;
                n.border[(SHIFTS + place + 1, SHIFTS + place)] -= TOGETHER * i;
                out.cost += 0.5 * i * (a * a + b * b - 2.0 * TOGETHER * a * b);
            } else {
                let d = s.shifts[place] - mean[0];
                n.border[(SHIFTS + place, SHIFTS + place)] += 1.0 / v;
                n.pull[SHIFTS + place] -= d / v;
                out.cost += 0.5 * d * d / v;
            }
        }
    }

    /// Levenberg-Marquardt from `state`.
    fn settle(&self, mut state: State, steps: usize) -> Option<(State, At)> {
        let mut at = self.at(&state)?;
        let mut damping = 1e-4;
        for _ in 0..steps {
            let Some((border, inner)) = at.normal.step(damping) else { break };
            let next = state.stepped(&border, &inner);
            let small = border.amax() < 1e-9 && inner.iter().all(|d| d.amax() < 1e-10);
            match self.at(&next) {
                Some(n) if n.cost <= at.cost => {
                    let gain = at.cost - n.cost;
                    (state, at) = (next, n);
                    damping = (damping * 0.1).max(1e-10);
                    if small || gain < 1e-10 * (1.0 + at.cost) {
                        break;
                    }
                }
                _ => {
                    if small || damping > 1e8 {
                        break;
                    }
                    damping *= 10.0;
                }
            }
        }
        Some((state, at))
    }

    /// The painter's error that the settled shifts show (expectation-maximisation: their squares and what is left unsure).
    fn shown_paint(&self, s: &State, covariance: &na::DMatrix<f64>) -> f64 {
        let n = self.shifts.max(1) as f64;
        let sum: f64 =
            (0..self.shifts).map(|k| s.shifts[k].powi(2) + covariance[(SHIFTS + k, SHIFTS + k)]).sum();
        // As much as four strings' worth of what the clips said by themselves.
        ((sum + 8.0 * self.paint * self.paint) / (n + 8.0)).sqrt().clamp(PAINT.0, PAINT.1)
    }
}

/// One centre, distortion and crown for all frames given; per frame pan, tilt, roll and focal length. The painter's errors are unknowns
/// of their own, shared by every frame that shows the paint, so that a thousand looks at one line count as one line. Block-sparse
/// Levenberg-Marquardt with Huber's loss. `None` without frames, or when they leave the station free.
pub fn adjust_game(frames: &[FrameEvidence], settings: &GameSettings) -> Option<GameAdjustment> {
    adjust(Problem::new(frames, settings))
}

/// The same on a field whose paint is known: `painted`, with marks scattered by `paint_sd` yd.
pub(super) fn adjust_on(
    frames: &[FrameEvidence],
    settings: &GameSettings,
    painted: &BTreeMap<PaintString, [f64; 2]>,
    paint_sd: f64,
) -> Option<GameAdjustment> {
    adjust(Problem { painted: Some(painted), paint: paint_sd, ..Problem::new(frames, settings) })
}

fn adjust(mut problem: Problem<'_>) -> Option<GameAdjustment> {
    let (frames, settings) = (problem.frames, problem.settings);
    let first = frames.first()?;
    let station = match &settings.station {
        Some(k) => k.station,
        None => middle_station(frames)?,
    };
    // From each frame's own camera to the common station: the aim that puts the same ground in the picture's middle.
    let aims = frames.iter().map(|f| reaim(&f.camera, station)).collect();
    let mut state =
        State { station, crown: settings.crown.0, shifts: na::DVector::zeros(problem.shifts), aims };
    let mut settled = None;
    for round in 0..3 {
        let (s, at) = problem.settle(state, 40)?;
        let covariance = at.normal.covariance()?;
        let paint = problem.shown_paint(&s, &covariance);
        state = s.clone();
        settled = Some((s, at, covariance));
        let known = problem.painted.is_some();
        if known || round == 2 || (paint / problem.paint - 1.0).abs() < 0.05 {
            break;
        }
        problem.paint = paint;
    }
    let (s, at, covariance) = settled?;
    let mut z: Vec<f64> = at.z.iter().map(|z| z.abs()).collect();
    z.sort_by(f64::total_cmp);
    let scale = 1.4826 * z.get(z.len() / 2).copied()?;
    let factor = (scale * scale).max(1.0);
    let block = covariance.view((0, 0), (4, 4)) * factor;
    Some(GameAdjustment {
        station: KnownStation {
            station: Station {
                width: first.camera.station.width,
                height: first.camera.station.height,
                ..s.station
            },
            covariance: std::array::from_fn(|k| block[(k / 4, k % 4)]),
        },
        crown: (s.crown, (covariance[(CROWN, CROWN)] * factor).sqrt()),
        paint_sd: problem.paint,
        painted: problem
            .places
            .iter()
            .map(|(string, &k)| (*string, [s.shifts[k], s.shifts[k + string.shifts() - 1]]))
            .collect(),
        frames: (0..frames.len()).map(|k| s.camera(k, frames)).collect(),
        cost: at.evidence_cost,
        spare: at.z.len() as f64 - 4.0 * frames.len() as f64 - SHIFTS as f64,
        variance_factor: factor,
    })
}

/// Median of the frames' own stations, coordinate by coordinate.
fn middle_station(frames: &[FrameEvidence]) -> Option<Station> {
    let median = |get: &dyn Fn(&Pinhole) -> f64| {
        let mut v: Vec<f64> = frames.iter().map(|f| get(&f.camera)).collect();
        v.sort_by(f64::total_cmp);
        v.get(v.len() / 2).copied()
    };
    Some(Station {
        centre: Point3::new(
            median(&|c| c.station.centre.x)?,
            median(&|c| c.station.centre.y)?,
            median(&|c| c.station.centre.z)?,
        ),
        k1: median(&|c| c.station.k1)?,
        ..frames.first()?.camera.station
    })
}

/// The aim from another station that shows the same ground in the picture's middle at the same size.
fn reaim(c: &Pinhole, station: Station) -> Aim {
    let (w, h) = (f64::from(c.station.width), f64::from(c.station.height));
    let middle = [0.5, 0.65, 0.8]
        .iter()
        .find_map(|t| Some((*t, c.ground_from_pixel(Point2::new(0.5 * w, t * h), 0.0)?)));
    let Some((t, g)) = middle else { return c.aim };
    let at = g.at_height(0.0);
    let focal = c.aim.focal * station.centre.distance(at) / c.station.centre.distance(at).max(1e-6);
    let mut aim = Pinhole::looking_at(station, at, focal).aim;
    aim.tilt -= ((t - 0.5) * h / focal).atan();
    aim.roll = c.aim.roll;
    aim
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::PaintSeen;

    fn evidence() -> Vec<FrameEvidence> {
        let station = Station { centre: Point3::new(48.0, -41.0, 21.0), k1: -0.02, width: 1280, height: 720 };
        [35.0, 55.0]
            .iter()
            .map(|&x| {
                let camera = Pinhole::looking_at(station, Point3::new(x, 25.0, 0.0), 2300.0);
                let mut seen = Vec::new();
                for line in 0..=20i16 {
                    for y in [8.0, 40.0] {
                        let g = Point2::new(5.0 * f64::from(line), y);
                        let Some(q) = camera.pixel_from_field(g.at_height(0.1)) else { continue };
                        seen.push(PaintSeen {
                            ground: g,
                            normal: [0.96, 0.28],
                            at: [q.x + 0.3 * f64::from(line % 3 - 1), q.y],
                            sd_px: 0.2,
                            string: PaintString::Across(5 * line),
                            place: y / 53.0,
                        });
                    }
                }
                for x in 20..70 {
                    let g = Point2::new(f64::from(x), 53.33);
                    let Some(q) = camera.pixel_from_field(g.at_height(0.0)) else { continue };
                    seen.push(PaintSeen {
                        ground: g,
                        normal: [0.0, 1.0],
                        at: [q.x, q.y + 0.2],
                        sd_px: 0.2,
                        string: PaintString::Along(true),
                        place: 0.5,
                    });
                }
                FrameEvidence { camera, seen, paint_sd: 0.02 }
            })
            .collect()
    }

    /// Central differences of the cost against the analytic pull, for every unknown.
    #[test]
    fn the_pull_is_the_slope_of_the_cost() {
        let frames = evidence();
        let settings = GameSettings::unknown_crown(RuleBook::College);
        let problem = Problem::new(&frames, &settings);
        let n = problem.shifts;
        let state = State {
            station: Station { centre: Point3::new(48.3, -41.2, 21.1), ..frames[0].camera.station },
            crown: 0.07,
            shifts: na::DVector::from_fn(n, |k, _| 0.01 * (k as f64).sin()),
            aims: frames.iter().map(|f| Aim { roll: 0.002, ..f.camera.aim }).collect(),
        };
        let at = problem.at(&state).unwrap();
        let cost = |border: &na::DVector<f64>, inner: &[na::Vector4<f64>]| {
            problem.at(&state.stepped(border, inner)).unwrap().cost
        };
        let still = vec![na::Vector4::zeros(); 2];
        let slope = |plus: f64, minus: f64, h: f64| (plus - minus) / (2.0 * h);
        let close = |slope: f64, pull: f64, what: &str| {
            assert!((slope + pull).abs() < 1e-4 * (1.0 + pull.abs()), "{what}: slope {slope}, pull {pull}");
        };
        for k in 0..SHIFTS + n {
            let h = 1e-6;
            let step = |s: f64| na::DVector::from_fn(SHIFTS + n, |j, _| if j == k { s } else { 0.0 });
            close(slope(cost(&step(h), &still), cost(&step(-h), &still), h), at.normal.pull[k], "shared");
        }
        let none = na::DVector::zeros(SHIFTS + n);
        for frame in 0..2 {
            for k in 0..4 {
                let h = 1e-8;
                let step = |s: f64| {
                    let mut inner = still.clone();
                    inner[frame][k] = s;
                    inner
                };
                close(
                    slope(cost(&none, &step(h)), cost(&none, &step(-h)), h),
                    at.normal.own[frame].pull[k],
                    "aim",
                );
            }
        }
    }
}
