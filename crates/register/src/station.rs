use crate::arrow::{Frame, Shared, settle_arrow};
use crate::click::{Click, PictureSize, marks};
use crate::model::{Matrix8, Model};
use crate::prior::{Belief, KnownStation, StationPrior, stands};
use crate::solve::{row_major, variance_factor};
use crate::{FieldModel, RegisterError, degeneracy, solve_frame};
use camera::{CameraEstimate, FieldCamera, FrameQuality, Pinhole};
use nalgebra as na;

/// A station from several frames of one camera, and each frame's camera with it.
#[derive(Clone, Debug, PartialEq)]
pub struct StationSolution {
    /// Centre and k1 shared by all frames.
    pub station: KnownStation,
    /// Each frame's camera, in the order given.
    pub frames: Vec<CameraEstimate>,
}

/// The station that several clicked frames of one still camera share (of one clip or a whole game), with each frame's aim.
///
/// # Errors
/// As [`solve_frame`] for each frame; a frame that contradicts the others is refused like a click that contradicts its frame.
pub fn solve_station(
    frames: &[Vec<Click>],
    size: PictureSize,
    field: &FieldModel,
    prior: &StationPrior,
) -> Result<StationSolution, RegisterError> {
    let s = field.surface();
    let all: Vec<_> = frames.iter().map(|f| marks(f, size, field.rule_book)).collect::<Result<_, _>>()?;
    // Start from the frame that stands best on its own, the others from its station.
    let mut singles: Vec<Option<Pinhole>> = Vec::new();
    let mut best: Option<(f64, KnownStation)> = None;
    let mut refusal = None;
    for f in frames {
        match solve_frame(f, size, field, prior) {
            Ok(e) => {
                let c = e.parameter_covariance();
                let p = e.camera.pinhole().copied();
                if let Some(p) = p {
                    let station = c.fixed_view::<4, 4>(4, 4).into_owned();
                    let spread = station[(0, 0)] + station[(1, 1)] + station[(2, 2)];
                    if best.as_ref().is_none_or(|(b, _)| spread < *b) {
                        best = Some((
                            spread,
                            KnownStation {
                                station: p.station,
                                covariance: std::array::from_fn(|k| station[(k / 4, k % 4)]),
                            },
                        ));
                    }
                }
                singles.push(p);
            }
            Err(e) => {
                refusal.get_or_insert(e);
                singles.push(None);
            }
        }
    }
    let Some((_, first)) = best else {
        return Err(refusal.unwrap_or(RegisterError::TooFew { equations: 0, needed: 7 }));
    };
    // The belief of the kind of stand the best frame came to.
    let stand = stands(prior, size, field.rule_book)
        .into_iter()
        .map(|s| s.belief)
        .min_by(|a, b| distance(a, &first).total_cmp(&distance(b, &first)))
        .ok_or(RegisterError::Degenerate {
            reason: "a moving camera has no station to solve for".to_owned(),
        })?;
    let mut starts = Vec::with_capacity(frames.len());
    for (f, single) in frames.iter().zip(&singles) {
        let known = StationPrior::Known(KnownStation {
            covariance: first.covariance.map(|v| 4.0 * v),
            ..first.clone()
        });
        let aim = match solve_frame(f, size, field, &known) {
            Ok(e) => e.camera.pinhole().map(|p| p.aim),
            Err(e) => match single {
                Some(p) => Some(p.aim),
                None => return Err(e),
            },
        };
        starts.extend(aim);
    }
    let shared = Shared { station: first.station, belief: station_block(&stand), mean: stand.mean.station };
    let roll = stand.information[(2, 2)];
    let evidence = |k: usize, p: &Pinhole| crate::rows::normal(&Model::Pinhole(*p), &s, &all[k]);
    let rest =
        settle_arrow(shared, starts, roll, 50, evidence).ok_or_else(|| degeneracy::arrangement(&all[0]))?;
    let equations: usize = all.iter().flatten().map(crate::click::Mark::equations).sum();
    let spare = equations as f64 - 4.0 * frames.len() as f64 - 4.0;
    let factor = variance_factor(rest.evidence_cost, spare);
    let covariance = rest.station_covariance * factor;
    let out = rest
        .frames
        .iter()
        .enumerate()
        .map(|(k, f)| estimate(f, &all[k], &s, &rest.shared, factor, spare))
        .collect();
    Ok(StationSolution {
        station: KnownStation {
            station: rest.shared.station,
            covariance: std::array::from_fn(|k| covariance[(k / 4, k % 4)]),
        },
        frames: out,
    })
}

fn station_block(b: &Belief) -> na::Matrix4<f64> {
    b.information.fixed_view::<4, 4>(4, 4).into_owned()
}

fn distance(b: &Belief, k: &KnownStation) -> f64 {
    let (p, q) = (b.mean.station.centre, k.station.centre);
    p.distance(q)
}

fn estimate(
    f: &Frame,
    marks: &[crate::click::Mark],
    s: &crate::model::Surface,
    shared: &Shared,
    factor: f64,
    spare: f64,
) -> CameraEstimate {
    let p = Pinhole { station: shared.station, aim: f.aim };
    let m = Model::Pinhole(p);
    let (mut sum, mut count) = (0.0, 0u32);
    for mark in marks {
        for r in crate::rows::rows(&m, s, mark).unwrap_or_default() {
            sum += r.offset * r.offset;
            count += 1;
        }
    }
    let covariance: Matrix8 = f.covariance * factor;
    CameraEstimate {
        camera: FieldCamera::Pinhole(p),
        covariance: row_major(&covariance),
        quality: FrameQuality {
            rms_px: (sum / f64::from(count.max(1))).sqrt(),
            evidence: count,
            coverage: 1.0,
            trusted: spare >= 1.0,
        },
    }
}
