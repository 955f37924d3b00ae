//! From a cut plane to the saw: how the stock is held, swing and tilt.
//!
//! The saw's frame: X right along the fence, Y towards the fence, Z up,
//! operator at −Y.

use crate::trim::sheet::{Block, Hold, Leg, SectionPoint, Setting};
use crate::trim::space::Vector;

/// Angles nearer than this, radians, count as equal: no tilt, square.
pub(super) const SAME_ANGLE: f64 = 1e-9;

/// Where a leg's own directions point at the saw. Each hold is a rigid turn
/// of the stock, never its mirror image: d × b = n here too.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SawFrame {
    /// Where **d** points.
    pub d: Vector,
    /// Where **b** points.
    pub b: Vector,
    /// Where **n** points.
    pub n: Vector,
}

impl SawFrame {
    /// How stock lies in `hold`; `spring` in radians from the wall, used by
    /// the sprung holds only.
    #[must_use]
    pub fn new(hold: Hold, spring: f64) -> Self {
        const X: Vector = Vector::X;
        const Y: Vector = Vector::Y;
        const Z: Vector = Vector::Z;
        let (sin, cos) = match hold {
            Hold::SprungFlat | Hold::SprungFlatTurned => spring.sin_cos(),
            _ => (0.0, 1.0),
        };
        let (d, b, n) = match hold {
            Hold::OnEdge => (X, -Y, -Z),
            Hold::Upright => (X, Z, -Y),
            Hold::Flat => (X, Y, Z),
            Hold::FlatTurned => (-X, -Y, Z),
            // Standing in its spring angle a sprung crown's wall side is as
            // upright, and its top as level, as a solid one's.
            Hold::Inverted | Hold::SprungNested => (-X, -Z, -Y),
            Hold::SprungFlat => (X, Y * cos - Z * sin, Y * sin + Z * cos),
            Hold::SprungFlatTurned => (-X, -(Y * cos) - Z * sin, -(Y * sin) + Z * cos),
        };
        Self { d, b, n }
    }

    /// How stock lies for a setting, against its block where it has one.
    #[must_use]
    pub fn of(setting: &Setting, spring: f64) -> Self {
        let along = Self::new(setting.hold, spring);
        setting.block.map_or(along, |block| along.against(block))
    }

    /// The stock turned a quarter about the upright, so that what faced the
    /// fence faces the block.
    #[must_use]
    pub fn against(&self, block: Block) -> Self {
        let quarter = |v: Vector| match block {
            Block::Right => Vector::new(v.y, -v.x, v.z),
            Block::Left => Vector::new(-v.y, v.x, v.z),
        };
        Self {
            d: quarter(self.d),
            b: quarter(self.b),
            n: quarter(self.n),
        }
    }

    /// A direction of the head's space at the saw.
    #[must_use]
    pub fn turn(&self, leg: &Leg, v: Vector) -> Vector {
        self.d * v.dot(leg.d) + self.b * v.dot(leg.b) + self.n * v.dot(leg.n)
    }

    /// How deep (towards the fence) and how tall stock of `section` lies.
    #[must_use]
    pub fn depth_and_height(&self, section: &[SectionPoint]) -> (f64, f64) {
        let extent = |of: fn(Vector) -> f64| {
            let at = section.iter().map(|p| of(self.n * p.u + self.b * p.v));
            let (least, most) = at.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), x| {
                (l.min(x), m.max(x))
            });
            (most - least).max(0.0)
        };
        (extent(|v| v.y), extent(|v| v.z))
    }
}

/// The setting for a cut of `leg` in the plane with the normal `plane`, held
/// as `hold`.
#[must_use]
pub fn setting(hold: Hold, spring: f64, leg: &Leg, plane: Vector) -> Setting {
    settle(SawFrame::new(hold, spring), hold, None, (leg, plane))
}

/// The setting for a cut plane in a frame.
pub(super) fn settle(
    frame: SawFrame,
    hold: Hold,
    block: Option<Block>,
    (leg, plane): (&Leg, Vector),
) -> Setting {
    let q = frame.turn(leg, plane);
    let q = if q.x < 0.0 { -q } else { q };
    Setting {
        hold,
        swing: clean(q.y.atan2(q.x)),
        tilt: clean(q.z.atan2(q.x.hypot(q.y))),
        block,
    }
}

/// The first of `holds` that needs no tilt; if none, the one with the least
/// tilt, then the least swing.
pub(super) fn best(holds: &[Hold], spring: f64, leg: &Leg, plane: Vector) -> Setting {
    let mut best: Option<Setting> = None;
    for &hold in holds {
        let this = setting(hold, spring, leg, plane);
        if this.tilt.abs() <= SAME_ANGLE {
            return this;
        }
        if best.is_none_or(|best| better(&this, &best)) {
            best = Some(this);
        }
    }
    best.unwrap_or_else(|| setting(Hold::Flat, spring, leg, plane))
}

/// Whether `this` needs less tilt, or as much and less swing.
pub(super) fn better(this: &Setting, best: &Setting) -> bool {
    let less = best.tilt.abs() - this.tilt.abs();
    less > SAME_ANGLE || (less >= -SAME_ANGLE && best.swing.abs() - this.swing.abs() > SAME_ANGLE)
}

/// What floating point leaves of nothing, as nothing.
pub(super) fn clean(x: f64) -> f64 {
    if x.abs() < 1e-12 { 0.0 } else { x }
}
