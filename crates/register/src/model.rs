use camera::{FieldCamera, PARAMETERS, Pinhole, PosedPinhole};
use field::{Crown, RuleBook};
use geometry::frame::{Ground, Pixel};
use geometry::{Homography, Point2};
use nalgebra as na;

pub(crate) type Vector8 = na::SVector<f64, PARAMETERS>;
pub(crate) type Matrix8 = na::SMatrix<f64, PARAMETERS, PARAMETERS>;

/// A field painted by a rule book on ground of a given crown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Surface {
    pub book: RuleBook,
    pub crown: Crown,
}

impl Surface {
    pub fn height(&self, p: Point2<Ground>) -> f64 {
        self.crown.at(p, self.book)
    }
    /// Slope of the height along y (the crown does not change along x).
    pub fn slope(&self, p: Point2<Ground>) -> f64 {
        let half = self.book.width() / 2.0;
        let u = (p.y - half) / half;
        if u.abs() >= 1.0 { 0.0 } else { -2.0 * self.crown.height * u / half }
    }
}

/// A camera in the form the solvers step through: pinholes by the parameters of [`camera::PARAMETERS`], homographies by
/// the eight generators of projective maps of the picture, in pixels scaled to the picture's half width.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Model {
    Pinhole(Pinhole),
    Plane(PlaneModel),
}

/// `pixel_from_ground`, and the scaling its steps are taken in.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PlaneModel {
    pub h: na::Matrix3<f64>,
    pub half: na::Vector2<f64>,
}

impl PlaneModel {
    pub fn new(h: Homography<Pixel, Ground>, width: u32, height: u32) -> Self {
        Self { h: h.matrix(), half: na::Vector2::new(f64::from(width) / 2.0, f64::from(height) / 2.0) }
    }
    fn scale(&self) -> na::Matrix3<f64> {
        let s = 1.0 / self.half.x;
        na::Matrix3::new(s, 0.0, -1.0, 0.0, s, -self.half.y * s, 0.0, 0.0, 1.0)
    }
    fn stepped(&self, d: &Vector8) -> Self {
        let n = self.scale();
        let back = n.try_inverse().expect("a similarity with positive scale inverts");
        let step = na::Matrix3::new(1.0 + d[0], d[1], d[2], d[3], 1.0 + d[4], d[5], d[6], d[7], 1.0);
        let h = back * step * n * self.h;
        Self { h: h / h.norm(), half: self.half }
    }
    /// The step that takes this map to `to`.
    pub fn step_to(&self, to: &Self) -> Option<Vector8> {
        let n = self.scale();
        let m = n * to.h * self.h.try_inverse()? * n.try_inverse()?;
        let m = m / m[(2, 2)];
        Some(Vector8::from_fn(|k, _| m[(k / 3, k % 3)] - if k % 4 == 0 { 1.0 } else { 0.0 }))
    }
    fn w(&self, p: Point2<Ground>) -> f64 {
        self.h[(2, 0)] * p.x + self.h[(2, 1)] * p.y + self.h[(2, 2)]
    }
    /// Sign of [`Self::w`] in front of the camera: the lower middle of the picture always shows ground in front.
    fn front_sign(&self) -> f64 {
        let g = self.h.try_inverse().map(|i| i * na::Vector3::new(self.half.x, 1.6 * self.half.y, 1.0));
        match g {
            Some(g) if g.z.abs() > 1e-15 => self.w(Point2::new(g.x / g.z, g.y / g.z)).signum(),
            _ => 1.0,
        }
    }
    /// Covariance of the entries but the last, with the last held, from the covariance of the steps.
    pub fn entry_covariance(&self, steps: &Matrix8) -> Matrix8 {
        let n = self.scale();
        let back = n.try_inverse().expect("a similarity with positive scale inverts");
        let mut j = Matrix8::zeros();
        let last = self.h[(2, 2)];
        let last = if last.abs() < 1e-12 { 1e-12 } else { last };
        for k in 0..PARAMETERS {
            let mut e = na::Matrix3::zeros();
            e[(k / 3, k % 3)] = 1.0;
            let d = back * e * n * self.h;
            for r in 0..PARAMETERS {
                j[(r, k)] = d[(r / 3, r % 3)] - self.h[(r / 3, r % 3)] / last * d[(2, 2)];
            }
        }
        j * steps * j.transpose()
    }
    /// The inverse map: covariance of the steps from that of the entries.
    pub fn step_covariance(&self, entries: &Matrix8) -> Option<Matrix8> {
        let n = self.scale();
        let back = n.try_inverse()?;
        let mut j = Matrix8::zeros();
        let last = self.h[(2, 2)];
        let last = if last.abs() < 1e-12 { 1e-12 } else { last };
        for k in 0..PARAMETERS {
            let mut e = na::Matrix3::zeros();
            e[(k / 3, k % 3)] = 1.0;
            let d = back * e * n * self.h;
            for r in 0..PARAMETERS {
                j[(r, k)] = d[(r / 3, r % 3)] - self.h[(r / 3, r % 3)] / last * d[(2, 2)];
            }
        }
        let i = j.try_inverse()?;
        Some(i * entries * i.transpose())
    }
}

/// A projected ground point: pixel, its derivatives by the step and by the ground point.
pub(crate) struct Projected {
    pub pixel: Point2<Pixel>,
    pub by_step: na::SMatrix<f64, 2, PARAMETERS>,
    pub by_ground: na::Matrix2<f64>,
}

impl Model {
    pub fn from_camera(c: &FieldCamera, width: u32, height: u32) -> Self {
        match c {
            FieldCamera::Pinhole(p) => Self::Pinhole(*p),
            FieldCamera::Plane { pixel_from_ground } => Self::Plane(PlaneModel::new(
                Homography::from_matrix(na::Matrix3::from_row_slice(pixel_from_ground)),
                width,
                height,
            )),
        }
    }
    pub fn camera(&self) -> FieldCamera {
        match self {
            Self::Pinhole(p) => FieldCamera::Pinhole(*p),
            Self::Plane(p) => FieldCamera::plane(Homography::from_matrix(p.h)),
        }
    }
    pub fn stepped(&self, d: &Vector8) -> Self {
        match self {
            Self::Pinhole(p) => Self::Pinhole(p.stepped(d)),
            Self::Plane(p) => Self::Plane(p.stepped(d)),
        }
    }
    /// Covariance in the parameters of [`FieldCamera::ground_jacobians`].
    pub fn published_covariance(&self, steps: &Matrix8) -> Matrix8 {
        match self {
            Self::Pinhole(_) => *steps,
            Self::Plane(p) => p.entry_covariance(steps),
        }
    }
    /// Covariance of the steps from a published covariance.
    pub fn step_covariance(&self, published: &Matrix8) -> Option<Matrix8> {
        match self {
            Self::Pinhole(_) => Some(*published),
            Self::Plane(p) => p.step_covariance(published),
        }
    }
    /// The model over a surface, ready to project many points.
    pub fn posed<'a>(&'a self, surface: &'a Surface) -> Posed<'a> {
        let eye = match self {
            Self::Pinhole(c) => Eye::Pinhole(c.posed()),
            Self::Plane(c) => Eye::Plane { plane: c, front: c.front_sign() },
        };
        Posed { surface, eye }
    }
    pub fn pixel(&self, s: &Surface, g: Point2<Ground>) -> Option<Point2<Pixel>> {
        self.posed(s).pixel(g)
    }
    pub fn ground(&self, s: &Surface, p: Point2<Pixel>) -> Option<Point2<Ground>> {
        match self {
            Self::Pinhole(c) => c.surface_from_pixel(p, |g| s.height(g)),
            Self::Plane(c) => {
                let g = Homography::<Pixel, Ground>::from_matrix(c.h).inverse()?.apply(p)?;
                // Above the horizon the map lands behind the camera.
                (c.w(g) * c.front_sign() > 0.0).then_some(g)
            }
        }
    }
    pub fn project(&self, s: &Surface, g: Point2<Ground>) -> Option<Projected> {
        let posed = self.posed(s);
        let (pixel, by_ground) = posed.map(g)?;
        let (_, by_step) = posed.moved(g)?;
        Some(Projected { pixel, by_step, by_ground })
    }
}

/// A model over a surface with all that does not change from point to point worked out.
pub(crate) struct Posed<'a> {
    surface: &'a Surface,
    eye: Eye<'a>,
}

enum Eye<'a> {
    Pinhole(PosedPinhole),
    Plane { plane: &'a PlaneModel, front: f64 },
}

impl Posed<'_> {
    /// Where a ground point appears.
    pub fn pixel(&self, g: Point2<Ground>) -> Option<Point2<Pixel>> {
        match &self.eye {
            Eye::Pinhole(c) => c.pixel_from_field(g.at_height(self.surface.height(g))),
            Eye::Plane { plane, front } => {
                // The scale's sign is free.
                (plane.w(g) * front > 1e-9 * plane.h.norm()).then(|| {
                    let v = plane.h * na::Vector3::new(g.x, g.y, 1.0);
                    Point2::new(v.x / v.z, v.y / v.z)
                })
            }
        }
    }
    /// The same, and its derivative by the ground point.
    pub fn map(&self, g: Point2<Ground>) -> Option<(Point2<Pixel>, na::Matrix2<f64>)> {
        match &self.eye {
            Eye::Pinhole(c) => {
                let q = c.project(g.at_height(self.surface.height(g)))?;
                let by_point = q.by_point();
                let mut by_ground: na::Matrix2<f64> = by_point.fixed_columns::<2>(0).into_owned();
                let slope = self.surface.slope(g);
                by_ground[(0, 1)] += by_point[(0, 2)] * slope;
                by_ground[(1, 1)] += by_point[(1, 2)] * slope;
                Some((q.pixel, by_ground))
            }
            Eye::Plane { plane, .. } => {
                Some((self.pixel(g)?, Homography::<Pixel, Ground>::from_matrix(plane.h).jacobian(g)?))
            }
        }
    }
    /// Where a ground point appears, and how that moves with a step of the model.
    pub fn moved(&self, g: Point2<Ground>) -> Option<(Point2<Pixel>, na::SMatrix<f64, 2, PARAMETERS>)> {
        match &self.eye {
            Eye::Pinhole(c) => {
                let q = c.project(g.at_height(self.surface.height(g)))?;
                Some((q.pixel, q.by_parameters()))
            }
            Eye::Plane { plane, .. } => {
                let pixel = self.pixel(g)?;
                let half = plane.half;
                let (u, v) = (pixel.x / half.x - 1.0, (pixel.y - half.y) / half.x);
                let z = 0.0;
                let by_step = na::SMatrix::<f64, 2, PARAMETERS>::from_row_slice(&[
                    u,
                    v,
                    1.0,
                    z,
                    z,
                    z,
                    -u * u,
                    -u * v, //
                    z,
                    z,
                    z,
                    u,
                    v,
                    1.0,
                    -u * v,
                    -v * v,
                ]) * half.x;
                Some((pixel, by_step))
            }
        }
    }
}

/// Covariance, px², of where ground point `g` appears.
pub(crate) fn pixel_covariance(
    m: &Model,
    s: &Surface,
    g: Point2<Ground>,
    steps: &Matrix8,
) -> Option<na::Matrix2<f64>> {
    let p = m.project(s, g)?;
    Some(p.by_step * steps * p.by_step.transpose())
}

/// RMS ground error, yd, at pixel `p` from the camera's own uncertainty.
pub(crate) fn ground_covariance(
    m: &Model,
    s: &Surface,
    p: Point2<Pixel>,
    steps: &Matrix8,
) -> Option<geometry::Covariance2> {
    let g = m.ground(s, p)?;
    let q = m.project(s, g)?;
    let inverse = q.by_ground.try_inverse()?;
    let px = q.by_step * steps * q.by_step.transpose();
    Some(geometry::Covariance2::from_matrix(inverse * px * inverse.transpose()))
}
