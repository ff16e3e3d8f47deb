use crate::frame::Frame;
use crate::{Point3, Vector3};
use nalgebra as na;
use std::marker::PhantomData;
use std::ops::Mul;

/// A rotation and a shift that takes points of frame `From` to frame `To`; name values `to_from_from`,
/// so that neighbours match when chained: `camera_from_field * ball_in_field`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rigid<To: Frame, From: Frame> {
    rotation: na::Rotation3<f64>,
    shift: na::Vector3<f64>,
    frames: PhantomData<(To, From)>,
}

impl<To: Frame, From: Frame> Rigid<To, From> {
    /// `p_to = rotation * p_from + shift`.
    pub fn new(rotation: na::Rotation3<f64>, shift: Vector3<To>) -> Self {
        Self { rotation, shift: shift.column(), frames: PhantomData }
    }
    /// From the rotation and the place of `To`'s origin in `From`.
    pub fn from_rotation_and_origin(rotation: na::Rotation3<f64>, origin: Point3<From>) -> Self {
        Self { rotation, shift: -(rotation * origin.column()), frames: PhantomData }
    }
    /// The transform the other way.
    pub fn inverse(self) -> Rigid<From, To> {
        let r = self.rotation.inverse();
        Rigid { rotation: r, shift: -(r * self.shift), frames: PhantomData }
    }
    /// The rotation part.
    pub fn rotation(self) -> na::Rotation3<f64> {
        self.rotation
    }
    /// Where `To`'s origin is, in `From`.
    pub fn origin(self) -> Point3<From> {
        Point3::from_column(-(self.rotation.inverse() * self.shift))
    }
}
impl<To: Frame, From: Frame> Mul<Point3<From>> for Rigid<To, From> {
    type Output = Point3<To>;
    fn mul(self, p: Point3<From>) -> Point3<To> {
        Point3::from_column(self.rotation * p.column() + self.shift)
    }
}
impl<To: Frame, From: Frame> Mul<Vector3<From>> for Rigid<To, From> {
    type Output = Vector3<To>;
    fn mul(self, v: Vector3<From>) -> Vector3<To> {
        Vector3::from_column(self.rotation * v.column())
    }
}
impl<A: Frame, B: Frame, C: Frame> Mul<Rigid<B, C>> for Rigid<A, B> {
    type Output = Rigid<A, C>;
    fn mul(self, o: Rigid<B, C>) -> Rigid<A, C> {
        Rigid {
            rotation: self.rotation * o.rotation,
            shift: self.rotation * o.shift + self.shift,
            frames: PhantomData,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::{Camera, Field, Play};
    proptest::proptest! {
        #[test]
        fn inverse_and_chain_round_trip(a in -3.0..3.0f64, b in -1.5..1.5f64, c in -3.0..3.0f64, x in -60.0..60.0f64, y in -60.0..60.0f64, z in -9.0..9.0f64) {
            let camera_from_field = Rigid::<Camera, Field>::new(na::Rotation3::from_euler_angles(a, b, c), Vector3::new(z, x, y));
            let play_from_field = Rigid::<Play, Field>::from_rotation_and_origin(na::Rotation3::from_euler_angles(c, b, a), Point3::new(x, y, z));
            let camera_from_play = camera_from_field * play_from_field.inverse();
            let p = Point3::<Field>::new(y, z, x);
            let direct = camera_from_field * p;
            let chained = camera_from_play * (play_from_field * p);
            proptest::prop_assert!(direct.distance(chained) < 1e-9);
            proptest::prop_assert!((play_from_field * Point3::new(x, y, z)).distance(Point3::new(0.0, 0.0, 0.0)) < 1e-9);
        }
    }
}
