use crate::model::Matrix8;
use crate::rows::Normal;
use camera::{Aim, Pinhole, Station};
use geometry::Point3;
use nalgebra as na;

/// What all frames share, with a Gaussian belief (centre x, y, z, k1).
#[derive(Clone, Debug)]
pub(crate) struct Shared {
    pub station: Station,
    pub belief: na::Matrix4<f64>,
    pub mean: Station,
}

/// One frame's result.
#[derive(Clone, Debug)]
pub(crate) struct Frame {
    pub aim: Aim,
    /// Covariance of all eight parameters.
    pub covariance: Matrix8,
}

/// Where the block-sparse solver came to rest.
pub(crate) struct ArrowRest {
    pub shared: Shared,
    pub frames: Vec<Frame>,
    pub station_covariance: na::Matrix4<f64>,
    /// Half the weighted sum of squares of the evidence.
    pub evidence_cost: f64,
}

struct Blocks {
    normals: Vec<Normal>,
    cost: f64,
    evidence_cost: f64,
}

fn vector(s: &Station) -> na::Vector4<f64> {
    na::Vector4::new(s.centre.x, s.centre.y, s.centre.z, s.k1)
}

/// Levenberg-Marquardt for many aims and one station. The normal equations are an arrow: a 4×4 block per frame and a border of
/// width 4; each frame is eliminated on its own (Schur complement; Hartley & Zisserman, appendix 6.3), so that cost grows with
/// the number of frames only. `roll` is the information of the belief that the camera is level, 1/rad².
pub(crate) fn settle_arrow(
    shared: Shared,
    starts: Vec<Aim>,
    roll: f64,
    steps: usize,
    evidence: impl Fn(usize, &Pinhole) -> Option<Normal>,
) -> Option<ArrowRest> {
    let mut shared = shared;
    let mut aims = starts;
    let gather = |shared: &Shared, aims: &[Aim]| -> Option<Blocks> {
        let mut out = Blocks { normals: Vec::with_capacity(aims.len()), cost: 0.0, evidence_cost: 0.0 };
        for (k, aim) in aims.iter().enumerate() {
            let mut n = evidence(k, &Pinhole { station: shared.station, aim: *aim })?;
            out.evidence_cost += n.cost;
            n.pull[2] -= roll * aim.roll;
            n.information[(2, 2)] += roll;
            out.cost += n.cost + 0.5 * roll * aim.roll * aim.roll;
            out.normals.push(n);
        }
        let d = vector(&shared.mean) - vector(&shared.station);
        out.cost += 0.5 * d.dot(&(shared.belief * d));
        out.cost.is_finite().then_some(out)
    };
    let mut at = gather(&shared, &aims)?;
    let mut damping = 1e-4;
    for _ in 0..steps {
        let Some((border, inner)) = step(&shared, &at, damping) else { break };
        let mut next = shared.clone();
        let v = vector(&shared.station) + border;
        next.station = Station { centre: Point3::new(v[0], v[1], v[2]), k1: v[3], ..shared.station };
        let moved: Vec<Aim> = aims
            .iter()
            .zip(&inner)
            .map(|(a, d)| Aim {
                pan: a.pan + d[0],
                tilt: a.tilt + d[1],
                roll: a.roll + d[2],
                focal: a.focal * d[3].exp(),
            })
            .collect();
        let small = border.amax() < 1e-9 && inner.iter().all(|d| d.amax() < 1e-10);
        match gather(&next, &moved) {
            Some(b) if b.cost <= at.cost => {
                let gain = at.cost - b.cost;
                (shared, aims) = (next, moved);
                let done = small || gain < 1e-11 * (1.0 + at.cost);
                at = b;
                damping = (damping * 0.2).max(1e-9);
                if done {
                    break;
                }
            }
            _ => {
                if small || damping > 1e8 {
                    break;
                }
                damping *= 8.0;
            }
        }
    }
    let (schur, _) = reduced(&shared, &at, 0.0)?;
    let station_covariance = schur.try_inverse()?;
    let frames = aims
        .iter()
        .zip(&at.normals)
        .map(|(aim, n)| {
            let (a, c) = parts(&n.information);
            let inverse = a.try_inverse()?;
            let gain = -inverse * c;
            let mut covariance = Matrix8::zeros();
            covariance
                .fixed_view_mut::<4, 4>(0, 0)
                .copy_from(&(inverse + gain * station_covariance * gain.transpose()));
            let cross = gain * station_covariance;
            covariance.fixed_view_mut::<4, 4>(0, 4).copy_from(&cross);
            covariance.fixed_view_mut::<4, 4>(4, 0).copy_from(&cross.transpose());
            covariance.fixed_view_mut::<4, 4>(4, 4).copy_from(&station_covariance);
            Some(Frame { aim: *aim, covariance })
        })
        .collect::<Option<Vec<_>>>()?;
    Some(ArrowRest { shared, frames, station_covariance, evidence_cost: at.evidence_cost })
}

/// The aim's own block and its coupling to the station.
fn parts(i: &Matrix8) -> (na::Matrix4<f64>, na::Matrix4<f64>) {
    (i.fixed_view::<4, 4>(0, 0).into_owned(), i.fixed_view::<4, 4>(0, 4).into_owned())
}

/// The station's equations with every aim eliminated.
fn reduced(shared: &Shared, at: &Blocks, damping: f64) -> Option<(na::Matrix4<f64>, na::Vector4<f64>)> {
    let damp =
        |m: na::Matrix4<f64>| m + na::Matrix4::from_diagonal(&(m.diagonal() * damping).add_scalar(1e-12));
    let mut own = shared.belief;
    let mut pull = shared.belief * (vector(&shared.mean) - vector(&shared.station));
    let mut taken = na::Matrix4::zeros();
    let mut drawn = na::Vector4::zeros();
    for n in &at.normals {
        let (a, c) = parts(&n.information);
        let inverse = damp(a).try_inverse()?;
        own += n.information.fixed_view::<4, 4>(4, 4);
        pull += n.pull.fixed_rows::<4>(4);
        taken += c.transpose() * inverse * c;
        drawn += c.transpose() * inverse * n.pull.fixed_rows::<4>(0);
    }
    Some((damp(own) - taken, pull - drawn))
}

fn step(shared: &Shared, at: &Blocks, damping: f64) -> Option<(na::Vector4<f64>, Vec<na::Vector4<f64>>)> {
    let (schur, pull) = reduced(shared, at, damping)?;
    let border = schur.cholesky()?.solve(&pull);
    let inner = at
        .normals
        .iter()
        .map(|n| {
            let (a, c) = parts(&n.information);
            let a = a + na::Matrix4::from_diagonal(&(a.diagonal() * damping).add_scalar(1e-12));
            Some(a.cholesky()?.solve(&(n.pull.fixed_rows::<4>(0) - c * border)))
        })
        .collect::<Option<Vec<_>>>()?;
    let finite = border.iter().chain(inner.iter().flat_map(|v| v.iter())).all(|v| v.is_finite());
    finite.then_some((border, inner))
}
