use crate::PictureSize;
use crate::coarse::Thumbnail;
use crate::evidence::{Look, Looked, Seen, Smear, THINNEST, look};
use crate::game::FrameEvidence;
use crate::minimise::{AIM_ONLY, ALL, Free};
use crate::model::{Matrix8, Model, Surface, Vector8, ground_covariance};
use crate::motion::{foothold, nudge};
use crate::prior::{KnownStation, difference};
use crate::samples::{Sample, samples};
use crate::settle::{Anchor, Scales, Settled, settle};
use crate::solve::{FieldModel, row_major};
use crate::station_belief::StationBelief;
use camera::{CameraEstimate, FrameQuality, Pinhole, Station};
use geometry::Point2;
use geometry::frame::Ground;
use nalgebra as na;
use picture::{GrayView, Scratch};

/// How a clip is followed.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct FollowSettings {
    /// The station, when this game's other frames have given it; else it is learned from the clip.
    pub station: Option<KnownStation>,
}

/// Follows the chalk from frame to frame, forward or backward.
///
/// Start it from a frame whose camera is known and hand it that frame first, then its neighbours in order; each call
/// gives the camera of the frame handed in. A frame where the chalk is lost is given by prediction and not trusted; the
/// following frames look for the chalk in an ever wider neighbourhood.
#[derive(Clone, Debug)]
pub struct Follower {
    surface: Surface,
    size: PictureSize,
    samples: Vec<Sample>,
    state: State,
    scratch: Scratch,
}

#[derive(Clone, Debug)]
struct State {
    model: Model,
    /// Step per frame.
    velocity: Vector8,
    covariance: Matrix8,
    station: Option<StationBelief>,
    thumbnail: Option<Thumbnail>,
    /// Paint error of stripes, yd, running estimate.
    paint: f64,
    /// Typical contrast of chalk, grey levels, running estimate.
    contrast: f64,
    /// Where the camera was when the chalk was last held; operators swing away and come back.
    last_held: Model,
    /// What was seen when it was last held.
    seen: Vec<Seen>,
    /// Frames since the chalk was last held.
    lost: u32,
    /// More than one place fits since the last loss.
    ambiguous: bool,
    frames: u64,
}

/// Paint error of stripes before a clip has shown its own, yd (half an inch). Common practice, no source.
const USUAL_PAINT: f64 = 0.014;
/// Share of a change of speed that is believed at once; the picture's own motion corrects the rest.
const HASTE: f64 = 0.6;
/// Factor on the claimed variance for what the model of errors leaves out; set on invented film so that intervals hold.
const LEFT_OUT: f64 = 1.35;
/// Share of the expected chalk with which a frame is held.
const HELD: f64 = 0.3;
/// RMS residual above which what was found is not the field's chalk, px; beside that, what the painter's error comes to in the picture.
const LOOSE_PX: f64 = 1.0;
/// Painter's errors that a residual may show, standard deviations.
const LOOSE_PAINT: f64 = 1.5;
/// Swing between two frames from which paint is drawn out for good, px in a picture 1280 px wide; below, the usual blur covers it.
const SWING_PX: f64 = 8.0;
/// Shares of the frame's time that shutters are open: half (the film trade's usual) and a sixth.
const SHUTTERS: [f64; 2] = [0.5, 0.17];
/// Lost frames after which the wide search rests between tries.
const SEARCHED: u32 = 8;
/// Ground error over most of the visible field above which a frame is not trusted, yd.
const TRUST_GROUND: f64 = 0.3;

/// One frame's fit.
pub(crate) struct Fit {
    pub settled: Settled,
    pub expected_long: usize,
    pub expected_rows: usize,
    pub contrast: f64,
    pub seen: Vec<Seen>,
}

impl Fit {
    pub(crate) fn coverage(&self) -> f64 {
        self.settled.inliers_long as f64 / self.expected_long.max(1) as f64
    }
}

impl Follower {
    /// A follower that begins at `first`.
    pub fn new(
        first: &CameraEstimate,
        size: PictureSize,
        field: &FieldModel,
        settings: &FollowSettings,
    ) -> Self {
        let surface = field.surface();
        let mut model = Model::from_camera(&first.camera, size.width, size.height);
        let published = first.parameter_covariance();
        let covariance = model.step_covariance(&published).unwrap_or_else(Matrix8::identity);
        let station = match (&mut model, &settings.station) {
            (Model::Pinhole(p), Some(k)) => {
                // Another clip's copy may be of another size; distances are told in picture heights and not in px.
                p.station = Station { width: size.width, height: size.height, ..k.station };
                Some(StationBelief::known(k))
            }
            (Model::Pinhole(p), None) => Some(StationBelief::from_estimate(p, &covariance)),
            (Model::Plane(_), _) => None,
        };
        let state = State {
            model,
            velocity: Vector8::zeros(),
            covariance,
            station,
            thumbnail: None,
            paint: USUAL_PAINT,
            contrast: 40.0,
            last_held: model,
            seen: Vec::new(),
            lost: 0,
            ambiguous: false,
            frames: 0,
        };
        Self { surface, size, samples: samples(field.rule_book), state, scratch: Scratch::default() }
    }

    /// The station as learned so far; `None` for a camera without one.
    pub fn station(&self) -> Option<KnownStation> {
        match (&self.state.station, &self.state.model) {
            (Some(b), Model::Pinhole(p)) => Some(b.known_station(p)),
            _ => None,
        }
    }

    /// What the frame just handed in showed, for a game's adjustment; `None` when its chalk was not held or it has no station.
    pub fn evidence(&self, frame: &CameraEstimate) -> Option<FrameEvidence> {
        let camera = frame.camera.pinhole()?;
        (!self.state.seen.is_empty())
            .then(|| FrameEvidence::compress(camera, &self.surface, &self.state.seen, self.state.paint))
    }

    /// Whether the last frame's chalk was not held, and for how many frames that has been so.
    pub fn lost_for(&self) -> u32 {
        self.state.lost
    }

    /// Goes on from a camera that was found otherwise for the next frame to be handed in, with the station as learned.
    pub fn resume_at(&mut self, found: &CameraEstimate) {
        let model = Model::from_camera(&found.camera, self.size.width, self.size.height);
        let s = &mut self.state;
        s.covariance = model.step_covariance(&found.parameter_covariance()).unwrap_or_else(Matrix8::identity);
        s.model = model;
        s.last_held = model;
        s.velocity = Vector8::zeros();
        s.thumbnail = None;
        s.lost = 0;
        s.ambiguous = false;
        s.frames = 0;
    }

    /// The camera of the next frame.
    pub fn next(&mut self, frame: GrayView<'_>) -> CameraEstimate {
        let thumbnail = Thumbnail::of(frame);
        let predicted = self.predict(&thumbnail);
        let first = self.state.frames == 0;
        let radius =
            if first { self.start_radius() } else { 10.0 * f64::from(self.size.width).max(640.0) / 1280.0 };
        let mut fit = self.fit(frame, predicted, radius, 0.0);
        if !fit.as_ref().is_some_and(|f| self.is_held(f)) {
            if let Some(drawn) = self.fit_swung(frame, predicted, radius) {
                fit = Some(drawn);
            } else if (self.state.lost < SEARCHED || self.state.lost.is_multiple_of(4))
                && let Some((found, unique)) = self.reacquire(frame, predicted)
            {
                self.state.ambiguous = !unique;
                fit = Some(found);
            }
        }
        self.state.frames += 1;
        self.state.thumbnail = Some(thumbnail);
        match fit {
            Some(f) if self.is_held(&f) => self.hold(f),
            _ => self.lose(predicted),
        }
    }

    fn is_held(&self, f: &Fit) -> bool {
        f.settled.inliers_long >= 12
            && f.settled.stripes >= 4
            && f.coverage() >= HELD
            && f.settled.rms_px <= LOOSE_PX.hypot(LOOSE_PAINT * self.state.paint * f.settled.scale)
    }

    /// The fit to paint drawn out by a swing, when the picture swung.
    fn fit_swung(&mut self, frame: GrayView<'_>, predicted: Model, radius: f64) -> Option<Fit> {
        let (w, h) = (f64::from(self.size.width), f64::from(self.size.height));
        let (p, g) = foothold(&self.state.model, &self.surface, w, h)?;
        let moved = predicted.pixel(&self.surface, g)?.distance(p);
        if moved < SWING_PX * w / 1280.0 {
            return None;
        }
        SHUTTERS.into_iter().find_map(|share| {
            self.fit(frame, predicted, radius + 0.25 * moved, share).filter(|f| self.is_held(f))
        })
    }

    /// Search radius for the first frame from the start's own uncertainty, px.
    fn start_radius(&self) -> f64 {
        let (w, h) = (f64::from(self.size.width), f64::from(self.size.height));
        let sd = foothold(&self.state.model, &self.surface, w, h)
            .and_then(|(_, g)| {
                crate::model::pixel_covariance(&self.state.model, &self.surface, g, &self.state.covariance)
            })
            .map_or(8.0, |c| c.trace().max(0.0).sqrt());
        (4.0 * sd).clamp(6.0, 30.0)
    }

    /// Constant velocity, corrected by the motion of the picture as a whole where that stands out.
    fn predict(&self, now: &Thumbnail) -> Model {
        let s = &self.state;
        let steady = s.model.stepped(&s.velocity);
        let (w, h) = (f64::from(self.size.width), f64::from(self.size.height));
        let corrected = || {
            let before = s.thumbnail.as_ref()?;
            let (p, g) = foothold(&s.model, &self.surface, w, h)?;
            let moved = steady.pixel(&self.surface, g)? - p;
            let shift = now.shift_from(before, [moved.x, moved.y], 4)?;
            let (dx, dy) = (shift[0] - moved.x, shift[1] - moved.y);
            // Under half a thumbnail pixel the velocity knows better.
            if dx.hypot(dy) < 0.6 * now.reduction {
                return None;
            }
            Some(steady.stepped(&nudge(&steady, &self.surface, g, dx, dy, 0.0)?))
        };
        corrected().unwrap_or(steady)
    }

    /// Belief about this frame before it is looked at: loose about the aim, as known about the station.
    fn anchor(&self, predicted: &Model, loose: f64) -> Anchor {
        let mut information = Matrix8::zeros();
        let px = 40.0 * loose * f64::from(self.size.width) / 1280.0;
        match predicted {
            Model::Pinhole(p) => {
                let sds = [px / p.aim.focal, px / p.aim.focal, 0.006 * loose, 0.04 * loose];
                for (k, sd) in sds.into_iter().enumerate() {
                    information[(k, k)] = 1.0 / (sd * sd);
                }
                if let Some(b) = &self.state.station {
                    information.fixed_view_mut::<4, 4>(4, 4).copy_from(&b.information());
                }
            }
            Model::Plane(p) => {
                let t = px / p.half.x;
                let sds = [
                    0.03 * loose,
                    0.03 * loose,
                    t,
                    0.03 * loose,
                    0.03 * loose,
                    t,
                    0.01 * loose,
                    0.01 * loose,
                ];
                for (k, sd) in sds.into_iter().enumerate() {
                    information[(k, k)] = 1.0 / (sd * sd);
                }
            }
        }
        let mut model = *predicted;
        if let (Model::Pinhole(p), Some(b)) = (&mut model, &self.state.station) {
            p.station = b.station(p);
        }
        Anchor { model, information }
    }

    /// Belief of the first frame: the start's own uncertainty, doubled for what its claim may leave out.
    fn start_anchor(&self, predicted: &Model) -> Anchor {
        let loose = self.anchor(predicted, 1.0);
        match (self.state.covariance * 4.0).try_inverse() {
            Some(information) => Anchor { information, ..loose },
            None => loose,
        }
    }

    fn free_of(m: &Model) -> Free {
        match m {
            Model::Pinhole(_) => AIM_ONLY,
            Model::Plane(_) => ALL,
        }
    }

    /// From a rough model to the chalk: long lines within `radius`, then everything, closer and closer.
    /// `share` of the frame's time the shutter is thought to have been open; 0 for paint as sharp as usual.
    fn fit(&mut self, frame: GrayView<'_>, predicted: Model, radius: f64, share: f64) -> Option<Fit> {
        let before = self.state.model;
        let smear = (share > 0.0).then_some(Smear { before: &before, share });
        let unit = f64::from(self.size.width) / 1280.0;
        // The hand on the camera changes its speed by some px a frame; where the chalk says little, as lines alone do across the
        // field, the prediction holds.
        let anchor = if self.state.frames == 0 {
            self.start_anchor(&predicted)
        } else {
            self.anchor(&predicted, if self.state.lost > 0 { 4.0 } else { 0.25 })
        };
        let least = (0.3 * self.state.contrast).clamp(5.0, 25.0);
        let mut model = anchor.model;
        let free = Self::free_of(&model);
        let rough =
            Look { radius, rows: radius, least, spacing: 20.0, thinnest: THINNEST, long_only: true, smear };
        let seen = self.look(frame, &model, &rough);
        model = settle(model, &self.surface, &seen.seen, &anchor, free, 0.05, Scales::ByClass, 5)?.model;
        let nearer = Look {
            radius: (0.4 * radius).max(4.0),
            rows: radius.max(24.0 * unit),
            least,
            spacing: 12.0,
            thinnest: THINNEST,
            long_only: false,
            smear,
        };
        let seen = self.look(frame, &model, &nearer);
        model = settle(
            model,
            &self.surface,
            &seen.seen,
            &anchor,
            ALL,
            (2.0 * self.state.paint).clamp(0.01, 0.05),
            Scales::ByClass,
            5,
        )?
        .model;
        let close =
            Look { radius: 2.5, rows: 3.0, least, spacing: 9.0, thinnest: THINNEST, long_only: false, smear };
        let seen = self.look(frame, &model, &close);
        let mut settled =
            settle(model, &self.surface, &seen.seen, &anchor, ALL, self.state.paint, Scales::Joint, 3)?;
        // What earlier frames believed shares this frame's paint: it may steady the estimate but not the claim.
        if self.state.frames > 0 {
            settled.information += self.anchor(&predicted, 4.0).information - anchor.information;
        }
        let mut contrasts: Vec<f64> = seen.seen.iter().filter(|e| e.long).map(|e| e.contrast).collect();
        contrasts.sort_by(f64::total_cmp);
        let contrast = contrasts.get(contrasts.len() / 2).copied().unwrap_or(self.state.contrast);
        Some(Fit {
            settled,
            expected_long: seen.expected_long,
            expected_rows: seen.expected_rows,
            contrast,
            seen: seen.seen,
        })
    }

    fn look(&mut self, frame: GrayView<'_>, m: &Model, how: &Look<'_>) -> Looked {
        look(m, &self.surface, &self.samples, frame, how, &mut self.scratch)
    }

    /// Looks around the prediction by turns and zooms; the best fit, and whether it stands alone.
    fn reacquire(&mut self, frame: GrayView<'_>, predicted: Model) -> Option<(Fit, bool)> {
        let (w, h) = (f64::from(self.size.width), f64::from(self.size.height));
        let unit = w / 1280.0;
        let least = (0.3 * self.state.contrast).clamp(5.0, 25.0);
        let how = Look {
            radius: 7.0 * unit.max(0.7),
            rows: 0.0,
            least,
            spacing: 30.0,
            thinnest: THINNEST,
            long_only: true,
            smear: None,
        };
        // The neighbourhood grows while the chalk stays lost.
        let wide = (6 + 2 * self.state.lost as i32).min(16);
        let high = (2 + self.state.lost as i32 / 2).min(5);
        let mut tries: Vec<(f64, Model)> = Vec::new();
        let around: &[Model] =
            if self.state.lost < 2 { &[predicted] } else { &[predicted, self.state.last_held] };
        for middle in around {
            let Some((_, g)) = foothold(middle, &self.surface, w, h) else { continue };
            for zoom in [-0.06, 0.0, 0.06] {
                for j in -high..=high {
                    for i in -wide..=wide {
                        let (dx, dy) = (12.0 * unit * f64::from(i), 12.0 * unit * f64::from(j));
                        let Some(step) = nudge(middle, &self.surface, g, dx, dy, zoom) else { continue };
                        let m = middle.stepped(&step);
                        let l = self.look(frame, &m, &how);
                        if l.expected_long >= 15 {
                            tries.push((l.seen.len() as f64 / l.expected_long as f64, m));
                        }
                    }
                }
            }
        }
        tries.sort_by(|a, b| b.0.total_cmp(&a.0));
        tries.truncate(8);
        let mut fits: Vec<Fit> = Vec::new();
        for (_, m) in tries {
            fits.extend(self.fit(frame, m, 9.0 * unit, 0.0));
        }
        fits.retain(|f| self.is_held(f));
        fits.sort_by(|a, b| b.merit().total_cmp(&a.merit()));
        let mut fits = fits.into_iter();
        let best = fits.next()?;
        let place = |f: &Fit| f.settled.model.ground(&self.surface, Point2::new(0.5 * w, 0.7 * h));
        let here = place(&best)?;
        // Another place almost as good, half a yard or more away, leaves the yard line open.
        let rival = fits
            .any(|f| f.merit() > 0.85 * best.merit() && place(&f).is_some_and(|p| p.distance(here) > 0.5));
        Some((best, !rival))
    }

    /// Takes a good fit as the new state.
    fn hold(&mut self, f: Fit) -> CameraEstimate {
        let covariance = match f.settled.information.try_inverse() {
            Some(c) => c * LEFT_OUT,
            None => self.state.covariance * 4.0,
        };
        let (w, h) = (f64::from(self.size.width), f64::from(self.size.height));
        let s = &mut self.state;
        let now = f.settled.model;
        // Frames are compared, and the next one predicted, as seen from the station believed so far: each frame's own idea of
        // the station would pass for motion.
        let shared = s.seen_from_belief(&now, &f.settled.information);
        let steady = s.lost == 0 && s.frames > 1;
        let step = Anchor { model: shared, information: Matrix8::zeros() }.offset(&s.model);
        s.velocity = if s.frames <= 1 {
            Vector8::zeros()
        } else if steady {
            s.velocity + (step - s.velocity) * HASTE
        } else {
            step / f64::from(s.lost + 1)
        };
        if matches!(now, Model::Pinhole(_)) {
            s.velocity.fixed_rows_mut::<4>(4).fill(0.0);
        }
        s.covariance = covariance;
        s.lost = 0;
        s.contrast += 0.2 * (f.contrast - s.contrast);
        if let Some(p) = f.settled.paint {
            // The first frame counts as much as what is usual; later ones show mostly the same paint.
            let share = if s.frames <= 1 { 0.5 } else { 0.1 };
            s.paint = (s.paint * s.paint + share * (p * p - s.paint * s.paint))
                .sqrt()
                .clamp(USUAL_PAINT / 2.0, 0.1);
        }
        let ground = ground_error(&now, &self.surface, w, h, &covariance);
        let coverage = f.coverage().min(1.0);
        let trusted = ground < TRUST_GROUND && f.rows_agree() && !s.ambiguous;
        if let (true, Model::Pinhole(p), Some(b)) = (trusted, &now, &mut s.station) {
            b.absorb(p, &f.settled.information, w);
        }
        s.model = s.seen_from_belief(&now, &f.settled.information);
        s.last_held = s.model;
        s.seen = f.seen;
        CameraEstimate {
            camera: now.camera(),
            covariance: row_major(&now.published_covariance(&covariance)),
            quality: FrameQuality {
                rms_px: f.settled.rms_px,
                evidence: f.settled.inliers as u32,
                coverage,
                trusted,
            },
        }
    }

    /// Carries on by prediction.
    fn lose(&mut self, predicted: Model) -> CameraEstimate {
        let s = &mut self.state;
        s.lost += 1;
        s.model = predicted;
        s.velocity *= 0.7;
        s.seen.clear();
        // Each blind frame adds the change of velocity that operators' hands make: about 6 px and 1% of zoom.
        match predicted {
            Model::Pinhole(p) => {
                let turn = (6.0 / p.aim.focal).powi(2) * f64::from(s.lost);
                for k in 0..3 {
                    s.covariance[(k, k)] += turn;
                }
                s.covariance[(3, 3)] += 1e-4;
            }
            Model::Plane(p) => {
                let turn = (6.0 / p.half.x).powi(2) * f64::from(s.lost);
                for k in 0..6 {
                    s.covariance[(k, k)] += turn;
                }
            }
        }
        CameraEstimate {
            camera: predicted.camera(),
            covariance: row_major(&predicted.published_covariance(&s.covariance)),
            quality: FrameQuality { rms_px: 0.0, evidence: 0, coverage: 0.0, trusted: false },
        }
    }
}

impl State {
    /// The model as it would be with the station as believed: the aim that goes best with that station, by the frame's own
    /// information.
    fn seen_from_belief(&self, m: &Model, information: &Matrix8) -> Model {
        let (Model::Pinhole(p), Some(b)) = (m, &self.station) else { return *m };
        let to = Pinhole { station: b.station(p), aim: p.aim };
        let moved = difference(&to, p);
        let aim: na::Matrix4<f64> = information.fixed_view::<4, 4>(0, 0).into_owned();
        let cross: na::Matrix4<f64> = information.fixed_view::<4, 4>(0, 4).into_owned();
        let Some(inverse) = aim.try_inverse() else { return *m };
        let mut step = moved;
        step.fixed_rows_mut::<4>(0).copy_from(&(-inverse * cross * moved.fixed_rows::<4>(4)));
        Model::Pinhole(p.stepped(&step))
    }
}

/// Ground error, yd RMS, below which three quarters of the visible field lie; infinite when no field is in view.
fn ground_error(m: &Model, s: &Surface, w: f64, h: f64, covariance: &Matrix8) -> f64 {
    let mut errors: Vec<f64> = Vec::with_capacity(20);
    for (i, j) in (0..5).flat_map(|i| (0..4).map(move |j| (i, j))) {
        let p = Point2::new((f64::from(i) + 0.5) * w / 5.0, (f64::from(j) + 0.5) * h / 4.0);
        let on_field = |g: &Point2<Ground>| s.book.holds(*g);
        if m.ground(s, p).filter(on_field).is_some() {
            errors.extend(ground_covariance(m, s, p, covariance).map(|c| c.rms()));
        }
    }
    errors.sort_by(f64::total_cmp);
    errors.get(errors.len() * 3 / 4).copied().unwrap_or(f64::INFINITY)
}

impl Fit {
    /// Whether the ends of marks, where they should show, agree: they alone may tell where the picture is across the field.
    fn rows_agree(&self) -> bool {
        self.expected_rows < 8 || self.settled.inliers_rows as f64 >= 0.2 * self.expected_rows as f64
    }

    /// How well the chalk is explained: share found, less for a loose fit.
    fn merit(&self) -> f64 {
        self.coverage() / (1.0 + self.settled.rms_px)
    }
}
