//! The planes in which a rake meets its returns and its twin, and the saw's
//! settings for a sprung raking crown laid on its back.

use crate::trim::sheet::{Hold, Leg, Setting};
use crate::trim::solve::setting;
use crate::trim::space::{Point, Vector};

use super::RakeCorner;

/// Unit normal of the plumb plane that halves the plan corner at a rake's
/// lower end, in the head's frame, for a rake that rises to the right.
#[must_use]
pub fn eave_plane(corner: &RakeCorner) -> Vector {
    let turn = std::f64::consts::PI - corner.plan_corner;
    let (sin, cos) = (turn / 2.0).sin_cos();
    // The return comes along (cos turn, 0, sin turn), the rake goes on along x.
    Vector::new(cos, 0.0, sin)
}

/// The same at the upper end of a rake that rises to the right.
#[must_use]
pub fn upper_plane(corner: &RakeCorner) -> Vector {
    let p = eave_plane(corner);
    Vector::new(p.x, 0.0, -p.z)
}

/// Saw settings of a raking crown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RakeCuts {
    /// At the lower end, against the level return.
    pub eave: Setting,
    /// At the peak, plumb.
    pub peak: Setting,
    /// At the upper end of a broken gable, against the upper return.
    pub upper: Setting,
}

/// Settings for a rake that rises to the right, its lower end on the left,
/// held as `hold`; `spring` is the raking section's own spring angle from
/// the wall, radians (used by the sprung holds only). A rake that rises to
/// the left has the same settings with the other sign of the swing in
/// [`Hold::Flat`] and mirrored ends elsewhere.
#[must_use]
pub fn rake_cuts(corner: &RakeCorner, hold: Hold, spring: f64) -> RakeCuts {
    let (sin, cos) = corner.pitch.sin_cos();
    let d = Vector::new(cos, sin, 0.0);
    let leg = Leg {
        start: Point::new(0.0, 0.0, 0.0),
        end: Point::new(cos, sin, 0.0),
        d,
        n: Vector::Z,
        b: Vector::Z.cross(d),
    };
    let cut = |plane| setting(hold, spring, &leg, plane);
    RakeCuts {
        eave: cut(eave_plane(corner)),
        peak: cut(Vector::X),
        upper: cut(upper_plane(corner)),
    }
}
