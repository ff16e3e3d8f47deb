use crate::model::Matrix8;
use crate::prior::KnownStation;
use camera::{Pinhole, Station};
use geometry::Point3;
use nalgebra as na;

/// What is known of the centre and k1, as mean and information; grows as new parts of the field come into the picture.
#[derive(Clone, Debug)]
pub(crate) struct StationBelief {
    mean: na::Vector4<f64>,
    information: na::Matrix4<f64>,
    /// Fixed beforehand: not to be learned again from this clip.
    fixed: bool,
    /// Aim when evidence was last taken in.
    last: Option<Pinhole>,
}

/// Share of a frame's evidence about the station that counts as new after the picture moved by an eighth of its width: the
/// same lines keep their paint error. Chosen so that a pan over the whole width counts for about two frames.
const NEW_SHARE: f64 = 0.25;

fn vector(p: &Pinhole) -> na::Vector4<f64> {
    let c = p.station.centre;
    na::Vector4::new(c.x, c.y, c.z, p.station.k1)
}

impl StationBelief {
    pub fn known(k: &KnownStation) -> Self {
        let c = na::Matrix4::from_row_slice(&k.covariance)
            + na::Matrix4::from_diagonal(&na::Vector4::new(1e-8, 1e-8, 1e-8, 1e-12));
        let centre = k.station.centre;
        Self {
            mean: na::Vector4::new(centre.x, centre.y, centre.z, k.station.k1),
            information: c.try_inverse().unwrap_or_else(na::Matrix4::zeros),
            fixed: true,
            last: None,
        }
    }

    /// From a camera with a full covariance: the aim is integrated out.
    pub fn from_estimate(p: &Pinhole, covariance: &Matrix8) -> Self {
        let c: na::Matrix4<f64> = covariance.fixed_view::<4, 4>(4, 4).into_owned();
        // Clicks miss by more than they say where the ground is crowned or the lens is not as modelled: what they say of the
        // centre counts for a quarter, and the chalk soon says it better.
        let c = 4.0 * c + na::Matrix4::from_diagonal(&na::Vector4::new(1e-6, 1e-6, 1e-6, 1e-10));
        Self {
            mean: vector(p),
            information: c.try_inverse().unwrap_or_else(na::Matrix4::zeros),
            fixed: false,
            last: None,
        }
    }

    pub fn information(&self) -> na::Matrix4<f64> {
        self.information
    }

    /// The station as believed, with the picture size of `p`.
    pub fn station(&self, p: &Pinhole) -> Station {
        Station {
            centre: Point3::new(self.mean[0], self.mean[1], self.mean[2]),
            k1: self.mean[3],
            ..p.station
        }
    }

    /// With its covariance.
    pub fn known_station(&self, p: &Pinhole) -> KnownStation {
        let c = self.information.try_inverse().unwrap_or_else(na::Matrix4::zeros);
        KnownStation { station: self.station(p), covariance: std::array::from_fn(|k| c[(k / 4, k % 4)]) }
    }

    /// Takes in what a frame's fit (`information` includes this belief) says about the station, if the picture has moved enough to
    /// say something new.
    pub fn absorb(&mut self, p: &Pinhole, information: &Matrix8, width: f64) {
        if self.fixed {
            return;
        }
        let share = match &self.last {
            None => 1.0,
            Some(l) => {
                let d = crate::prior::difference(p, l);
                let moved = p.aim.focal * (d[0] * p.aim.tilt.cos()).hypot(d[1]) + 0.5 * width * d[3].abs();
                if moved < width / 8.0 {
                    return;
                }
                NEW_SHARE
            }
        };
        let aim: na::Matrix4<f64> = information.fixed_view::<4, 4>(0, 0).into_owned();
        let cross: na::Matrix4<f64> = information.fixed_view::<4, 4>(4, 0).into_owned();
        let own: na::Matrix4<f64> = information.fixed_view::<4, 4>(4, 4).into_owned();
        let Some(inverse) = aim.try_inverse() else { return };
        let posterior = own - cross * inverse * cross.transpose();
        let gained = (posterior - self.information) * share;
        let gained = 0.5 * (gained + gained.transpose());
        // Rounding must not take away what was known.
        if gained.symmetric_eigenvalues().min() < -1e-6 * posterior.norm() {
            return;
        }
        let pulled = posterior * vector(p) - self.information * self.mean;
        let total = self.information + gained;
        let Some(cov) = total.try_inverse() else { return };
        self.mean = cov * (self.information * self.mean + pulled * share);
        self.information = total;
        self.last = Some(*p);
    }
}
