use crate::frame::Frame;
use nalgebra as na;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::marker::PhantomData;
use std::ops::{Add, Mul, Neg, Sub};

macro_rules! typed {
    ($point:ident, $vector:ident, $na:ident, $n:literal, [$($c:ident $i:tt),*]) => {
        /// A place in frame `F`; unit as the frame says. Serialised as an array of its coordinates.
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub struct $point<F: Frame> {
            $(#[doc = concat!("Coordinate ", stringify!($c), ".")] pub $c: f64,)*
            frame: PhantomData<F>,
        }
        /// A displacement in frame `F`; unit as the frame says. Serialised as an array.
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub struct $vector<F: Frame> {
            $(#[doc = concat!("Component ", stringify!($c), ".")] pub $c: f64,)*
            frame: PhantomData<F>,
        }
        impl<F: Frame> $point<F> {
            /// From coordinates.
            pub const fn new($($c: f64),*) -> Self { Self { $($c,)* frame: PhantomData } }
            /// From a column of coordinates.
            pub fn from_column(v: na::$na<f64>) -> Self { Self::new($(v[$i]),*) }
            /// As a column of coordinates, frame dropped.
            pub fn column(self) -> na::$na<f64> { na::$na::new($(self.$c),*) }
            /// Distance to another point of the same frame.
            pub fn distance(self, other: Self) -> f64 { (self - other).norm() }
            /// The point `t` of the way to `other` (0 here, 1 there).
            pub fn lerp(self, other: Self, t: f64) -> Self { self + (other - self) * t }
            /// Whether every coordinate is finite.
            pub fn is_finite(self) -> bool { $(self.$c.is_finite())&&* }
        }
        impl<F: Frame> $vector<F> {
            /// From components.
            pub const fn new($($c: f64),*) -> Self { Self { $($c,)* frame: PhantomData } }
            /// No displacement.
            pub const ZERO: Self = Self { $($c: 0.0,)* frame: PhantomData };
            /// From a column of components.
            pub fn from_column(v: na::$na<f64>) -> Self { Self::new($(v[$i]),*) }
            /// As a column of components, frame dropped.
            pub fn column(self) -> na::$na<f64> { na::$na::new($(self.$c),*) }
            /// Euclidean length.
            pub fn norm(self) -> f64 { self.dot(self).sqrt() }
            /// Scalar product.
            pub fn dot(self, other: Self) -> f64 { 0.0 $(+ self.$c * other.$c)* }
            /// The unit vector along it; `None` for one too short to have a direction.
            pub fn unit(self) -> Option<Self> {
                let n = self.norm();
                (n > 1e-12).then(|| self * (1.0 / n))
            }
        }
        impl<F: Frame> Sub for $point<F> { type Output = $vector<F>; fn sub(self, o: Self) -> $vector<F> { $vector::new($(self.$c - o.$c),*) } }
        impl<F: Frame> Add<$vector<F>> for $point<F> { type Output = Self; fn add(self, o: $vector<F>) -> Self { Self::new($(self.$c + o.$c),*) } }
        impl<F: Frame> Sub<$vector<F>> for $point<F> { type Output = Self; fn sub(self, o: $vector<F>) -> Self { Self::new($(self.$c - o.$c),*) } }
        impl<F: Frame> Add for $vector<F> { type Output = Self; fn add(self, o: Self) -> Self { Self::new($(self.$c + o.$c),*) } }
        impl<F: Frame> Sub for $vector<F> { type Output = Self; fn sub(self, o: Self) -> Self { Self::new($(self.$c - o.$c),*) } }
        impl<F: Frame> Neg for $vector<F> { type Output = Self; fn neg(self) -> Self { Self::new($(-self.$c),*) } }
        impl<F: Frame> Mul<f64> for $vector<F> { type Output = Self; fn mul(self, k: f64) -> Self { Self::new($(self.$c * k),*) } }
        impl<F: Frame> Default for $vector<F> { fn default() -> Self { Self::ZERO } }
        impl<F: Frame> Serialize for $point<F> { fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> { [$(self.$c),*].serialize(s) } }
        impl<F: Frame> Serialize for $vector<F> { fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> { [$(self.$c),*].serialize(s) } }
        impl<'de, F: Frame> Deserialize<'de> for $point<F> { fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> { let a = <[f64; $n]>::deserialize(d)?; Ok(Self::new($(a[$i]),*)) } }
        impl<'de, F: Frame> Deserialize<'de> for $vector<F> { fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> { let a = <[f64; $n]>::deserialize(d)?; Ok(Self::new($(a[$i]),*)) } }
    };
}

typed!(Point2, Vector2, Vector2, 2, [x 0, y 1]);
typed!(Point3, Vector3, Vector3, 3, [x 0, y 1, z 2]);

impl<F: Frame> Vector2<F> {
    /// Signed area of the parallelogram with `other`: positive when `other` lies counter-clockwise.
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }
    /// Direction from the x axis towards y, radians in (−π, π].
    pub fn angle(self) -> f64 {
        self.y.atan2(self.x)
    }
    /// The vector turned by `radians` from x towards y.
    pub fn rotated(self, radians: f64) -> Self {
        let (s, c) = radians.sin_cos();
        Self::new(c * self.x - s * self.y, s * self.x + c * self.y)
    }
    /// The unit vector at `radians` from x towards y.
    pub fn from_angle(radians: f64) -> Self {
        Self::new(radians.cos(), radians.sin())
    }
}
impl<F: Frame> Vector3<F> {
    /// Vector product, right-handed.
    pub fn cross(self, o: Self) -> Self {
        Self::new(self.y * o.z - self.z * o.y, self.z * o.x - self.x * o.z, self.x * o.y - self.y * o.x)
    }
}

use crate::frame::{Field, Ground};
impl Point3<Field> {
    /// The point of the ground plane straight below.
    pub fn ground(self) -> Point2<Ground> {
        Point2::new(self.x, self.y)
    }
}
impl Point2<Ground> {
    /// The same place at height `z` yards above the ground plane.
    pub fn at_height(self, z: f64) -> Point3<Field> {
        Point3::new(self.x, self.y, z)
    }
}
