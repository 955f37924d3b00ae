//! Places, directions and displacements in the head's own space.
//!
//! Frame: x right along the wall, y up, z out of the wall, seen from the
//! front. Lengths are inches as `f64`; nothing is rounded in here.

use std::ops::{Add, Mul, Neg, Sub};

/// A place in space, inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Right along the wall.
    pub x: f64,
    /// Up.
    pub y: f64,
    /// Out of the wall.
    pub z: f64,
}

/// A displacement or a direction; inches when it is a displacement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vector {
    /// Right along the wall.
    pub x: f64,
    /// Up.
    pub y: f64,
    /// Out of the wall.
    pub z: f64,
}

impl Point {
    /// The place (x, y, z), inches.
    #[must_use]
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }
}

impl Vector {
    /// Right along the wall.
    pub const X: Self = Self::new(1.0, 0.0, 0.0);
    /// Up.
    pub const Y: Self = Self::new(0.0, 1.0, 0.0);
    /// Out of the wall.
    pub const Z: Self = Self::new(0.0, 0.0, 1.0);

    /// The displacement (x, y, z).
    #[must_use]
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// Scalar product.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    /// Vector product, right-handed.
    #[must_use]
    pub fn cross(self, other: Self) -> Self {
        Self::new(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )
    }

    /// Euclidean length.
    #[must_use]
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// The direction of this displacement, `None` if it has no length or is
    /// not finite.
    #[must_use]
    pub fn unit(self) -> Option<Self> {
        let length = self.length();
        (length.is_finite() && length > 0.0).then(|| self * (1.0 / length))
    }

    /// This vector mirrored in the plane through the origin with unit normal
    /// `p`: (I − 2ppᵀ) v.
    #[must_use]
    pub fn mirrored(self, p: Self) -> Self {
        self - p * (2.0 * p.dot(self))
    }
}

impl Sub for Point {
    type Output = Vector;
    fn sub(self, other: Self) -> Vector {
        Vector::new(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl Add<Vector> for Point {
    type Output = Self;
    fn add(self, v: Vector) -> Self {
        Self::new(self.x + v.x, self.y + v.y, self.z + v.z)
    }
}

impl Sub<Vector> for Point {
    type Output = Self;
    fn sub(self, v: Vector) -> Self {
        self + -v
    }
}

impl Add for Vector {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl Sub for Vector {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Neg for Vector {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x, -self.y, -self.z)
    }
}

impl Mul<f64> for Vector {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self::new(self.x * k, self.y * k, self.z * k)
    }
}
