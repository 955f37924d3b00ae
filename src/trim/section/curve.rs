//! One stretch of an outline, kept as the curve it is.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::trim::sheet::SectionPoint;

use super::plane::{Shift, place, shift};

/// One stretch of an outline. Conics are rational quadratics, so that an
/// affine map (a raked section) stays exact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Curve {
    /// A straight line.
    Line {
        /// Start.
        from: SectionPoint,
        /// End.
        to: SectionPoint,
    },
    /// A circular arc.
    Arc {
        /// Start.
        from: SectionPoint,
        /// End.
        to: SectionPoint,
        /// Tangent of a quarter of the swept angle, positive anticlockwise
        /// with u to the right and v up; ±1 is a half circle.
        bulge: f64,
    },
    /// Part of an ellipse, a parabola or a hyperbola.
    Conic {
        /// Start.
        from: SectionPoint,
        /// Where the tangents at both ends meet.
        control: SectionPoint,
        /// End.
        to: SectionPoint,
        /// Below 1 an ellipse, 1 a parabola, above 1 a hyperbola; more than 0.
        weight: f64,
    },
    /// A cubic, as drawing files hold it.
    Cubic {
        /// Start.
        from: SectionPoint,
        /// Handle of the start.
        first: SectionPoint,
        /// Handle of the end.
        second: SectionPoint,
        /// End.
        to: SectionPoint,
    },
}

use Curve::{Arc, Conic, Cubic, Line};

impl Curve {
    /// Where it starts.
    #[must_use]
    pub const fn from(&self) -> SectionPoint {
        match *self {
            Line { from, .. } | Arc { from, .. } | Conic { from, .. } | Cubic { from, .. } => from,
        }
    }

    /// Where it ends.
    #[must_use]
    pub const fn to(&self) -> SectionPoint {
        match *self {
            Line { to, .. } | Arc { to, .. } | Conic { to, .. } | Cubic { to, .. } => to,
        }
    }

    /// The place at `t`: the start at 0, the end at 1, both exact.
    #[must_use]
    pub fn at(&self, t: f64) -> SectionPoint {
        if t <= 0.0 {
            return self.from();
        }
        if t >= 1.0 {
            return self.to();
        }
        let s = 1.0 - t;
        match *self {
            Line { from, to } => from.towards(to, t),
            Arc { from, to, bulge } => {
                // The chord from the start to the point, so that a flat arc
                // loses nothing to a far centre.
                let half = 2.0 * bulge.atan();
                let grow = ratio((half * t).sin(), half.sin(), t);
                from + (to - from).turned(half * t - half) * grow
            }
            Conic {
                from,
                control,
                to,
                weight,
            } => {
                let (a, b, c) = (s * s, 2.0 * weight * s * t, t * t);
                let below = a + b + c;
                place(
                    (a * from.u + b * control.u + c * to.u) / below,
                    (a * from.v + b * control.v + c * to.v) / below,
                )
            }
            Cubic { .. } => {
                let [_, _, _, p] = self.cubic_ladder(t);
                p
            }
        }
    }

    /// How the place moves for each unit of `t`.
    #[must_use]
    pub fn slope(&self, t: f64) -> Shift {
        let s = 1.0 - t;
        match *self {
            Line { from, to } => to - from,
            Arc { from, to, bulge } => {
                let half = 2.0 * bulge.atan();
                let grow = ratio(half, half.sin(), 1.0);
                (to - from).turned(2.0 * half * t - half) * grow
            }
            Conic {
                from,
                control,
                to,
                weight,
            } => {
                let below = s * s + 2.0 * weight * s * t + t * t;
                let above = (control - from) * (weight * s * s)
                    + (to - from) * (s * t)
                    + (to - control) * (weight * t * t);
                above * (2.0 / (below * below))
            }
            Cubic {
                from,
                first,
                second,
                to,
            } => {
                (first - from) * (3.0 * s * s)
                    + (second - first) * (6.0 * s * t)
                    + (to - second) * (3.0 * t * t)
            }
        }
    }

    /// The direction in which it leaves its start, unit; `None` if it has no
    /// length.
    #[must_use]
    pub fn leaving(&self) -> Option<Shift> {
        self.slope(0.0)
            .unit()
            .or_else(|| (self.at(1e-3) - self.from()).unit())
    }

    /// The direction in which it reaches its end, unit; `None` if it has no
    /// length.
    #[must_use]
    pub fn reaching(&self) -> Option<Shift> {
        self.slope(1.0)
            .unit()
            .or_else(|| (self.to() - self.at(1.0 - 1e-3)).unit())
    }

    /// Where along the curve (0 < t < 1) it runs square to the direction
    /// (`per_u`, `per_v`): the only places inside it where
    /// `per_u`·u + `per_v`·v can be greatest or least. In rising order.
    #[must_use]
    pub fn turning(&self, per_u: f64, per_v: f64) -> Vec<f64> {
        let g = shift(per_u, per_v);
        let mut found = match *self {
            Line { .. } => Vec::new(),
            Arc { from, to, bulge } => arc_turning(to - from, bulge, g),
            Conic {
                from,
                control,
                to,
                weight,
            } => quadratic(
                weight * g.dot(control - from),
                g.dot(to - from),
                weight * g.dot(to - control),
            ),
            Cubic {
                from,
                first,
                second,
                to,
            } => quadratic(
                g.dot(first - from),
                2.0 * g.dot(second - first),
                g.dot(to - second),
            ),
        };
        found.retain(|t| *t > 0.0 && *t < 1.0);
        found.sort_by(f64::total_cmp);
        found
    }

    /// Least and greatest `per_u`·u + `per_v`·v over the whole curve, exact.
    #[must_use]
    pub fn reach(&self, per_u: f64, per_v: f64) -> (f64, f64) {
        let (a, b) = (
            self.from().along(per_u, per_v),
            self.to().along(per_u, per_v),
        );
        let mut reach = (a.min(b), a.max(b));
        for t in self.turning(per_u, per_v) {
            let value = self.at(t).along(per_u, per_v);
            reach = (reach.0.min(value), reach.1.max(value));
        }
        reach
    }

    /// Rungs of the cubic's ladder at `t`: the handles of both parts, inner
    /// ones in the middle, and the place.
    pub(super) fn cubic_ladder(&self, t: f64) -> [SectionPoint; 4] {
        let Cubic {
            from,
            first,
            second,
            to,
        } = *self
        else {
            return [self.from(); 4];
        };
        let (a, m, c) = (
            from.towards(first, t),
            first.towards(second, t),
            second.towards(to, t),
        );
        let (b, d) = (a.towards(m, t), m.towards(c, t));
        [a, b, d, b.towards(d, t)]
    }

    /// Radius and centre of an arc; `None` for anything else.
    #[must_use]
    pub fn circle(&self) -> Option<(SectionPoint, f64)> {
        let Arc { from, to, bulge } = *self else {
            return None;
        };
        let chord = to - from;
        let centre = from.towards(to, 0.5) + chord.left() * ((1.0 - bulge * bulge) / (4.0 * bulge));
        let radius = chord.length() * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
        (radius.is_finite() && centre.is_finite()).then_some((centre, radius))
    }

    /// Swept angle of an arc, radians, positive anticlockwise; 0 for anything
    /// else.
    #[must_use]
    pub fn sweep(&self) -> f64 {
        match *self {
            Arc { bulge, .. } => 4.0 * bulge.atan(),
            _ => 0.0,
        }
    }
}

/// above / below, or `limit` where below is too small to divide by.
pub(super) fn ratio(above: f64, below: f64, limit: f64) -> f64 {
    if below.abs() < 1e-150 {
        limit
    } else {
        above / below
    }
}

/// A count of equal parts, at least 1 and at most `most`.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to a small whole number first"
)]
pub(super) fn pieces(wanted: f64, most: u32) -> u32 {
    // A hair below a whole number is that number.
    (wanted - 1e-9).ceil().clamp(1.0, f64::from(most)) as u32
}

/// i / n.
pub(super) fn share(i: u32, n: u32) -> f64 {
    f64::from(i) / f64::from(n)
}

/// Shares of an arc's sweep at which its tangent is square to `g`.
fn arc_turning(chord: Shift, bulge: f64, g: Shift) -> Vec<f64> {
    let half = 2.0 * bulge.atan();
    if half.abs() < 1e-150 {
        return Vec::new();
    }
    let first = g.v.atan2(g.u) + FRAC_PI_2 - chord.v.atan2(chord.u) + half;
    (-4..=4)
        .map(|k| (first + f64::from(k) * PI) / (2.0 * half))
        .collect()
}

/// Roots in 0 < t < 1 of a(1−t)² + b·t(1−t) + c·t².
fn quadratic(a: f64, b: f64, c: f64) -> Vec<f64> {
    let scale = a.abs().max(b.abs()).max(c.abs());
    if scale == 0.0 || !scale.is_finite() {
        return Vec::new();
    }
    let (a, b, c) = (a / scale, b / scale, c / scale);
    let under = b * b - 4.0 * a * c;
    if under < 0.0 {
        return Vec::new();
    }
    // With s = t/(1−t): c·s² + b·s + a = 0; q avoids cancellation.
    let q = -0.5 * (b + under.sqrt().copysign(b));
    // t = s/(1+s) for s = q/c and s = a/q.
    [(q, c), (a, q)]
        .into_iter()
        .filter(|(above, below)| above * below > 0.0)
        .map(|(above, below)| above / (above + below))
        .collect()
}
