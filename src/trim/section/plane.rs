//! Places and displacements in the plane of a section, and affine maps of it.

use std::ops::{Add, Mul, Neg, Sub};

use crate::trim::sheet::SectionPoint;

/// A displacement in the section's plane, inches: `u` out, `v` up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shift {
    /// Out from what the moulding is fixed to.
    pub u: f64,
    /// Across it, up.
    pub v: f64,
}

/// The place (u, v), inches.
#[must_use]
pub const fn place(u: f64, v: f64) -> SectionPoint {
    SectionPoint { u, v }
}

/// The displacement (u, v), inches.
#[must_use]
pub const fn shift(u: f64, v: f64) -> Shift {
    Shift { u, v }
}

impl Shift {
    /// Scalar product.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.u * other.u + self.v * other.v
    }

    /// Signed area of the parallelogram: positive if `other` lies
    /// anticlockwise of this one.
    #[must_use]
    pub fn cross(self, other: Self) -> f64 {
        self.u * other.v - self.v * other.u
    }

    /// Euclidean length, inches.
    #[must_use]
    pub fn length(self) -> f64 {
        self.u.hypot(self.v)
    }

    /// Turned anticlockwise by `angle` radians.
    #[must_use]
    pub fn turned(self, angle: f64) -> Self {
        let (sin, cos) = angle.sin_cos();
        shift(self.u * cos - self.v * sin, self.u * sin + self.v * cos)
    }

    /// Turned anticlockwise by a right angle.
    #[must_use]
    pub fn left(self) -> Self {
        shift(-self.v, self.u)
    }

    /// The same direction with length 1; `None` if it has no length.
    #[must_use]
    pub fn unit(self) -> Option<Self> {
        let length = self.length();
        (length.is_finite() && length > 0.0).then(|| self * (1.0 / length))
    }
}

impl SectionPoint {
    /// The place a share `t` of the way to `other`: this at 0, that at 1.
    #[must_use]
    pub fn towards(self, other: Self, t: f64) -> Self {
        self + (other - self) * t
    }

    /// Distance to `other`, inches.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        (other - self).length()
    }

    /// `per_u`·u + `per_v`·v.
    #[must_use]
    pub fn along(self, per_u: f64, per_v: f64) -> f64 {
        per_u * self.u + per_v * self.v
    }

    /// Whether both numbers are finite.
    #[must_use]
    pub const fn is_finite(self) -> bool {
        self.u.is_finite() && self.v.is_finite()
    }
}

impl Sub for SectionPoint {
    type Output = Shift;
    fn sub(self, other: Self) -> Shift {
        shift(self.u - other.u, self.v - other.v)
    }
}

impl Add<Shift> for SectionPoint {
    type Output = Self;
    fn add(self, by: Shift) -> Self {
        place(self.u + by.u, self.v + by.v)
    }
}

impl Add for Shift {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        shift(self.u + other.u, self.v + other.v)
    }
}

impl Sub for Shift {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        shift(self.u - other.u, self.v - other.v)
    }
}

impl Neg for Shift {
    type Output = Self;
    fn neg(self) -> Self {
        shift(-self.u, -self.v)
    }
}

impl Mul<f64> for Shift {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        shift(self.u * k, self.v * k)
    }
}

/// An affine map of the section's plane:
/// u' = `uu`·u + `uv`·v + `du`, v' = `vu`·u + `vv`·v + `dv`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Affine {
    /// u' for each u.
    pub uu: f64,
    /// u' for each v.
    pub uv: f64,
    /// v' for each u.
    pub vu: f64,
    /// v' for each v.
    pub vv: f64,
    /// Added to u', inches.
    pub du: f64,
    /// Added to v', inches.
    pub dv: f64,
}

impl Affine {
    /// Leaves every place where it is.
    pub const SAME: Self = Self {
        uu: 1.0,
        uv: 0.0,
        vu: 0.0,
        vv: 1.0,
        du: 0.0,
        dv: 0.0,
    };

    /// Moves every place by `by`.
    #[must_use]
    pub const fn moved(by: Shift) -> Self {
        Self {
            du: by.u,
            dv: by.v,
            ..Self::SAME
        }
    }

    /// Scales u by `u` and v by `v`; a negative factor mirrors.
    #[must_use]
    pub const fn scaled(u: f64, v: f64) -> Self {
        Self {
            uu: u,
            vv: v,
            ..Self::SAME
        }
    }

    /// Keeps u; v' = `per_u`·u + `per_v`·v. Raked sections are of this kind.
    #[must_use]
    pub const fn sheared(per_u: f64, per_v: f64) -> Self {
        Self {
            vu: per_u,
            vv: per_v,
            ..Self::SAME
        }
    }

    /// Turns every place anticlockwise about (0, 0) by `angle` radians.
    #[must_use]
    pub fn turned(angle: f64) -> Self {
        let (sin, cos) = angle.sin_cos();
        Self {
            uu: cos,
            uv: -sin,
            vu: sin,
            vv: cos,
            ..Self::SAME
        }
    }

    /// This map, then `next`.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        let u = next.apply_shift(shift(self.uu, self.vu));
        let v = next.apply_shift(shift(self.uv, self.vv));
        let origin = next.apply(place(self.du, self.dv));
        Self {
            uu: u.u,
            uv: v.u,
            vu: u.v,
            vv: v.v,
            du: origin.u,
            dv: origin.v,
        }
    }

    /// Where a place goes.
    #[must_use]
    pub fn apply(&self, p: SectionPoint) -> SectionPoint {
        let s = self.apply_shift(shift(p.u, p.v));
        place(s.u + self.du, s.v + self.dv)
    }

    /// Where a displacement goes.
    #[must_use]
    pub fn apply_shift(&self, s: Shift) -> Shift {
        shift(self.uu * s.u + self.uv * s.v, self.vu * s.u + self.vv * s.v)
    }

    /// How areas grow; negative if the map mirrors.
    #[must_use]
    pub fn determinant(&self) -> f64 {
        self.uu * self.vv - self.uv * self.vu
    }

    /// Whether circles stay circles, to 1e-12 of the scale.
    #[must_use]
    pub fn keeps_circles(&self) -> bool {
        let (a, b) = (shift(self.uu, self.vu), shift(self.uv, self.vv));
        let scale = a.dot(a) + b.dot(b);
        (a.dot(a) - b.dot(b)).abs() <= 1e-12 * scale && a.dot(b).abs() <= 1e-12 * scale
    }
}
