//! Curves turned round, cut and mapped, without leaving what they are.

use std::f64::consts::FRAC_PI_2;

use crate::trim::sheet::SectionPoint;

use super::curve::Curve::{self, Arc, Conic, Cubic, Line};
use super::curve::{pieces, ratio, share};
use super::plane::Affine;

impl Curve {
    /// The same curve walked the other way.
    #[must_use]
    pub const fn reversed(&self) -> Self {
        match *self {
            Line { from, to } => Line { from: to, to: from },
            Arc { from, to, bulge } => Arc {
                from: to,
                to: from,
                bulge: -bulge,
            },
            Conic {
                from,
                control,
                to,
                weight,
            } => Conic {
                from: to,
                control,
                to: from,
                weight,
            },
            Cubic {
                from,
                first,
                second,
                to,
            } => Cubic {
                from: to,
                first: second,
                second: first,
                to: from,
            },
        }
    }

    /// The two parts before and after `t`.
    #[must_use]
    pub fn split(&self, t: f64) -> (Self, Self) {
        let middle = self.at(t);
        match *self {
            Line { from, to } => (Line { from, to: middle }, Line { from: middle, to }),
            Arc { from, to, bulge } => {
                let quarter = bulge.atan();
                let part = |from, to, share: f64| Arc {
                    from,
                    to,
                    bulge: (quarter * share).tan(),
                };
                (part(from, middle, t), part(middle, to, 1.0 - t))
            }
            Conic {
                from,
                control,
                to,
                weight,
            } => {
                let (w1, w2) = (1.0 - t + t * weight, (1.0 - t) * weight + t);
                let w = (1.0 - t) * w1 + t * w2;
                let left = from.towards(control, ratio(t * weight, w1, t));
                let right = control.towards(to, ratio(t, w2, t));
                let part = |from, control, to, weight| Conic {
                    from,
                    control,
                    to,
                    weight,
                };
                (
                    part(from, left, middle, w1 / w.sqrt()),
                    part(middle, right, to, w2 / w.sqrt()),
                )
            }
            Cubic {
                from, second, to, ..
            } => {
                let [a, b, c, p] = self.cubic_ladder(t);
                let last = second.towards(to, t);
                (
                    Cubic {
                        from,
                        first: a,
                        second: b,
                        to: p,
                    },
                    Cubic {
                        from: p,
                        first: c,
                        second: last,
                        to,
                    },
                )
            }
        }
    }

    /// The part from `t0` to `t1`, 0 ≤ `t0` < `t1` ≤ 1; its ends are exactly
    /// the places at `t0` and `t1`, so that parts of one curve join.
    #[must_use]
    pub fn part(&self, t0: f64, t1: f64) -> Self {
        let (t0, t1) = (t0.max(0.0), t1.min(1.0));
        let head = if t1 < 1.0 { self.split(t1).0 } else { *self };
        if t0 <= 0.0 {
            return head;
        }
        let local = match *self {
            // Splitting a conic sets the end weights back to 1, which moves
            // the parameter of what is left.
            Conic { weight, .. } => {
                let s = 1.0 - t1;
                let end = (s * s + 2.0 * weight * s * t1 + t1 * t1).sqrt();
                let t = t0 / t1;
                t * end / ((1.0 - t) + t * end)
            }
            _ => t0 / t1,
        };
        head.split(local).1.with_ends(self.at(t0), head.to())
    }

    /// The same curve with ends set, which must be where they are but for
    /// rounding.
    #[must_use]
    pub(super) const fn with_ends(mut self, start: SectionPoint, end: SectionPoint) -> Self {
        match &mut self {
            Line { from, to }
            | Arc { from, to, .. }
            | Conic { from, to, .. }
            | Cubic { from, to, .. } => {
                *from = start;
                *to = end;
            }
        }
        self
    }

    /// The curve under an affine map: lines, conics and cubics stay what they
    /// are, an arc stays an arc where circles stay circles and becomes conics
    /// of at most a quarter turn elsewhere.
    pub fn map_into(&self, map: &Affine, out: &mut Vec<Self>) {
        match *self {
            Line { from, to } => out.push(Line {
                from: map.apply(from),
                to: map.apply(to),
            }),
            Arc { from, to, bulge } if map.keeps_circles() => out.push(Arc {
                from: map.apply(from),
                to: map.apply(to),
                bulge: bulge.copysign(bulge * map.determinant()),
            }),
            Arc { .. } => {
                for conic in self.conics() {
                    conic.map_into(map, out);
                }
            }
            Conic {
                from,
                control,
                to,
                weight,
            } => out.push(Conic {
                from: map.apply(from),
                control: map.apply(control),
                to: map.apply(to),
                weight,
            }),
            Cubic {
                from,
                first,
                second,
                to,
            } => out.push(Cubic {
                from: map.apply(from),
                first: map.apply(first),
                second: map.apply(second),
                to: map.apply(to),
            }),
        }
    }

    /// An arc as conics of at most a quarter turn each; anything else as it
    /// is.
    #[must_use]
    pub fn conics(&self) -> Vec<Self> {
        let Arc { bulge, .. } = *self else {
            return vec![*self];
        };
        let sweep = 4.0 * bulge.atan();
        let count = pieces(sweep.abs() / FRAC_PI_2, 4);
        let mut found = Vec::with_capacity(4);
        for i in 0..count {
            let Arc { from, to, bulge } = self.part(share(i, count), share(i + 1, count)) else {
                continue;
            };
            let half = 2.0 * bulge.atan();
            let tangent = (to - from).turned(-half) * (0.5 / half.cos());
            found.push(Conic {
                from,
                control: from + tangent,
                to,
                weight: half.cos(),
            });
        }
        found
    }
}
