//! How the crown ends at the bottom of rakes that run out at the board's
//! ends: cut plumb, returned square to the rake, or returned level with a
//! raked section.

use crate::measure::Rounding;
use crate::trim::design::{End, LowerEnd};
use crate::trim::raked::{Form, RakeCorner, map_points};
use crate::trim::section::{Affine, Shift};
use crate::trim::sheet::{Finding, Joint, Severity};
use crate::trim::space::{Point, Vector};

use super::parts::Profile;
use super::{Mate, RunPlan, path::Path};

/// The plane in which a level return and its rake are both cut: upright, half
/// way round the corner of the wall.
pub(super) const LEFT_CORNER: End = End::Plane([1.0, 0.0, 1.0]);
/// Its mirror image.
pub(super) const RIGHT_CORNER: End = End::Plane([1.0, 0.0, -1.0]);

/// How far down the rake past the board's end a return square to it must
/// stand, so that no part of it reaches into the board.
pub(super) fn past(crown: &Profile, pitch: f64) -> f64 {
    let (sin, cos) = pitch.sin_cos();
    (crown.largest(-cos, -sin) / cos).max(0.0)
}

/// The section of the level return of a rake that keeps its own.
pub(super) fn return_profile(rake: &Profile, pitch: f64) -> Profile {
    let corner = RakeCorner {
        pitch,
        plan_corner: std::f64::consts::FRAC_PI_2,
    };
    mapped(rake, &corner.map(Form::Rake, Form::Return))
}

/// A profile under an affine map; a flat back turns with it.
fn mapped(profile: &Profile, map: &Affine) -> Profile {
    Profile {
        section: map_points(&profile.section, map),
        curves: profile.curves.as_ref().map(|curves| curves.mapped(map)),
        spring: profile.spring.map(|spring| mapped_spring(spring, map)),
    }
}

/// The spring angle of a back that an affine map has turned.
pub(in crate::trim) fn mapped_spring(spring: f64, map: &Affine) -> f64 {
    let (sin, cos) = spring.sin_cos();
    let back = map.apply_shift(Shift { u: sin, v: cos });
    back.u.atan2(back.v)
}

/// The level return at the left end of a rake that starts at `corner`, and at
/// the right end of one that ends there.
pub(super) fn level_return(
    left: bool,
    corner: Point,
    thickness: f64,
    profile: &Profile,
    mate: String,
) -> RunPlan {
    let wall = corner - Vector::Z * thickness;
    let meets = Some(Mate {
        label: mate,
        joint: Joint::PlanOutside,
    });
    if left {
        let path = Path::from(wall).to(corner, -Vector::X);
        let mut run = path.run("left-return", profile, End::Square, LEFT_CORNER);
        run.meets = [None, meets];
        run
    } else {
        let path = Path::from(corner).to(wall, Vector::X);
        let mut run = path.run("right-return", profile, RIGHT_CORNER, End::Square);
        run.meets = [meets, None];
        run
    }
}

/// What the rake closes on at its left (`true`) or right end.
pub(super) fn mate(left: bool) -> Option<Mate> {
    let side = if left { "left" } else { "right" };
    Some(Mate {
        label: format!("{side}-return-1"),
        joint: Joint::PlanOutside,
    })
}

/// What must be said about the way the crown ends.
pub(super) fn say(lower: LowerEnd, crown: &Profile, pitch: f64, say: Rounding) -> Finding {
    let (code, text) = match lower {
        LowerEnd::Plumb => return super::gable::raked_return(),
        LowerEnd::Return => (
            "return-past-board",
            format!(
                "The crown returns square to the rake {} past the board's ends, where nothing \
                 is behind it: glue a block there before the return goes on.",
                say.words(past(crown, pitch))
            ),
        ),
        LowerEnd::RakedReturn => (
            "raked-section",
            "The level returns have another section than the rakes: a section drawn for this \
             pitch, made by a knife grinder or with a router and a template."
                .to_owned(),
        ),
    };
    Finding {
        severity: Severity::Note,
        code,
        piece: None,
        text,
    }
}
