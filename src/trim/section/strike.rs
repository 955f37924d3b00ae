//! How each moulding is struck between its two ends: arcs and conics by the
//! books' constructions.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

use crate::trim::sheet::SectionPoint;

use super::curve::Curve;
use super::parts::{Conic, Order};
use super::plane::{Shift, place, shift};

pub(super) const fn line(from: SectionPoint, to: SectionPoint) -> Curve {
    Curve::Line { from, to }
}

/// The two ends of a moulding: the projecting one and the one drawn in, and
/// whether the projecting one comes first.
pub(super) struct Ends {
    outer: SectionPoint,
    inner: SectionPoint,
    height: f64,
    projection: f64,
    outer_first: bool,
}

impl Ends {
    pub(super) fn new(at: SectionPoint, height: f64, projection: f64) -> Result<Self, String> {
        let to = place(at.u - projection, at.v - height);
        if !(height > 0.0 && projection != 0.0 && height.is_finite() && projection.is_finite()) {
            return Err(format!(
                "height {height} and projection {projection}: a height of more than 0 and a \
                 projection other than 0 are needed"
            ));
        }
        let outer_first = projection > 0.0;
        let (outer, inner) = if outer_first { (at, to) } else { (to, at) };
        Ok(Self {
            outer,
            inner,
            height,
            projection: projection.abs(),
            outer_first,
        })
    }

    /// Level line through the outer end meets plumb line through the inner.
    const fn beside_outer(&self) -> SectionPoint {
        place(self.inner.u, self.outer.v)
    }

    /// Level line through the inner end meets plumb line through the outer.
    const fn beside_inner(&self) -> SectionPoint {
        place(self.outer.u, self.inner.v)
    }

    /// Bulge of a curve from the outer to the inner end, given as that of a
    /// concave one where the outer end is above.
    fn bulge(&self, concave: f64) -> f64 {
        if self.outer_first { concave } else { -concave }
    }

    /// Adds curves that run from the outer to the inner end.
    fn push(&self, curves: Vec<Curve>, out: &mut Vec<Curve>) {
        if self.outer_first {
            out.extend(curves);
        } else {
            out.extend(curves.iter().rev().map(Curve::reversed));
        }
    }
}

pub(super) fn straight(
    at: SectionPoint,
    height: f64,
    projection: f64,
    out: &mut Vec<Curve>,
) -> Result<(), String> {
    let fits = height.is_finite() && projection.is_finite() && height >= 0.0;
    if !fits || height + projection.abs() <= 0.0 {
        return Err("needs a height or a projection; a height may not be less than 0".to_owned());
    }
    out.push(line(at, place(at.u - projection, at.v - height)));
    Ok(())
}

/// Ovolo or cavetto. Roman: one arc with its centre on the level line through
/// one end if the projection is the smaller, r = (P² + H²)/2P, or on the
/// plumb line if the height is, r = (P² + H²)/2H (HATF art. 317; Nicholson
/// takes r = H instead). Greek: a conic tangent to the level and the plumb
/// line (HATF figs 192–199, BTP p. 375).
pub(super) fn quarter(
    ends: &Ends,
    order: Order,
    concave: bool,
    out: &mut Vec<Curve>,
) -> Result<(), String> {
    let (from, to) = (ends.outer, ends.inner);
    let curve = match order {
        Order::Roman => {
            let (p, h) = (ends.projection, ends.height);
            let radius = (p * p + h * h) / (2.0 * p.min(h));
            // Half the sweep has the half chord over the radius as its sine.
            let half = (0.5 * p.hypot(h) / radius).min(1.0).asin();
            let bulge = (half / 2.0).tan();
            Curve::Arc {
                from,
                to,
                bulge: ends.bulge(if concave { bulge } else { -bulge }),
            }
        }
        Order::Greek(conic) => Curve::Conic {
            from,
            // Convex leaves the outer end plumb, concave leaves it level.
            control: if concave {
                ends.beside_outer()
            } else {
                ends.beside_inner()
            },
            to,
            weight: checked(conic)?,
        },
    };
    ends.push(vec![curve], out);
    Ok(())
}

fn checked(conic: Conic) -> Result<f64, String> {
    match conic {
        Conic::Hyperbola(weight) if !(weight > 1.0 && weight <= 1000.0) => Err(format!(
            "a hyperbola of weight {weight}; more than 1 and at most 1000 is allowed"
        )),
        other => Ok(other.weight()),
    }
}

/// Cyma recta (projecting half concave) or reversa (projecting half convex).
/// Roman: two quadrants of radius H/2 where P = H and the full form is
/// wanted; else two 60° arcs whose radius is half the chord, tangent at its
/// middle (NICH, HATF). Greek: two quarter conics in opposite quarters of the
/// box (HATF).
pub(super) fn cyma(
    ends: &Ends,
    order: Order,
    full: bool,
    recta: bool,
    out: &mut Vec<Curve>,
) -> Result<(), String> {
    let middle = ends.outer.towards(ends.inner, 0.5);
    let halves = [(ends.outer, middle, recta), (middle, ends.inner, !recta)];
    let square = (ends.height - ends.projection).abs() <= 1e-9 * ends.height;
    let mut curves = Vec::with_capacity(2);
    for (from, to, concave) in halves {
        curves.push(match order {
            Order::Roman => {
                let sixth = if full && square { PI / 8.0 } else { PI / 12.0 };
                let bulge = sixth.tan();
                Curve::Arc {
                    from,
                    to,
                    bulge: ends.bulge(if concave { bulge } else { -bulge }),
                }
            }
            Order::Greek(conic) => Curve::Conic {
                from,
                control: if concave {
                    place(to.u, from.v)
                } else {
                    place(from.u, to.v)
                },
                to,
                weight: checked(conic)?,
            },
        });
    }
    ends.push(curves, out);
    Ok(())
}

/// Roman: height in thirds, upper quadrant of radius H/3, lower of 2H/3, the
/// lower end H/3 farther out (NICH). Greek: half of an inclined ellipse whose
/// ends have level tangents (BTP p. 375).
pub(super) fn scotia(
    at: SectionPoint,
    height: f64,
    depth: f64,
    projection: f64,
    order: Order,
    out: &mut Vec<Curve>,
) -> Result<(), String> {
    if !(height > 0.0 && height.is_finite()) {
        return Err(format!("height {height}; more than 0 is needed"));
    }
    let Order::Greek(_) = order else {
        let third = height / 3.0;
        let middle = at + shift(-third, -third);
        let bulge = (PI / 8.0).tan();
        let to = middle + shift(2.0 * third, -2.0 * third);
        out.push(Curve::Arc {
            from: at,
            to: middle,
            bulge,
        });
        out.push(Curve::Arc {
            from: middle,
            to,
            bulge,
        });
        return Ok(());
    };
    let to = at + shift(-projection, -height);
    half_ellipse(at, to, shift(-depth, 0.0), out)
}

/// Roman: half circle of radius H/2 standing out (NICH, BTP, HATF). Greek:
/// half ellipse (BTP p. 375).
pub(super) fn astragal(
    at: SectionPoint,
    height: f64,
    depth: f64,
    order: Order,
    out: &mut Vec<Curve>,
) -> Result<(), String> {
    if !(height > 0.0 && height.is_finite()) {
        return Err(format!("height {height}; more than 0 is needed"));
    }
    let to = at + shift(0.0, -height);
    match order {
        Order::Roman => {
            out.push(Curve::Arc {
                from: at,
                to,
                bulge: -1.0,
            });
            Ok(())
        }
        Order::Greek(_) => half_ellipse(at, to, shift(depth, 0.0), out),
    }
}

/// Half of the ellipse with `from`–`to` as diameter and `out_by` as the
/// half diameter conjugate to it.
fn half_ellipse(
    from: SectionPoint,
    to: SectionPoint,
    out_by: Shift,
    out: &mut Vec<Curve>,
) -> Result<(), String> {
    if !(out_by.length() > 0.0 && out_by.u.is_finite() && to.is_finite()) {
        return Err("depth 0; a Greek hollow or round needs a depth".to_owned());
    }
    let middle = from.towards(to, 0.5) + out_by;
    for (from, control, to) in [(from, from + out_by, middle), (middle, to + out_by, to)] {
        out.push(Curve::Conic {
            from,
            control,
            to,
            weight: FRAC_1_SQRT_2,
        });
    }
    Ok(())
}
