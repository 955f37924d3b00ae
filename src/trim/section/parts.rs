//! Sections built from the mouldings of the classical books, part by part
//! from the top down: fillet, ovolo, cavetto, cyma, scotia, astragal.
//!
//! Roman mouldings are circular arcs, Greek ones conics (BTP pp. 375–376,
//! HATF arts. 313–317). A part drops by its height and draws in by its
//! projection; a negative projection flares out, and the moulding is then
//! turned over, as at a base.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

use crate::measure::SpringAngle;
use crate::trim::sheet::SectionPoint;

use super::curve::Curve;
use super::outline::{NotAnOutline, Outline};
use super::plane::{Shift, place, shift};
use super::{Back, Section};

/// Which conic a Greek moulding follows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Conic {
    /// Quarter of an ellipse.
    Ellipse,
    /// A parabola.
    Parabola,
    /// A hyperbola; the weight is more than 1 and its shoulder lies
    /// 1/(2 + 2·weight) of each side from where the tangents meet.
    Hyperbola(f64),
}

impl Conic {
    /// Weight of the rational quadratic.
    #[must_use]
    pub const fn weight(self) -> f64 {
        match self {
            Self::Ellipse => FRAC_1_SQRT_2,
            Self::Parabola => 1.0,
            Self::Hyperbola(weight) => weight,
        }
    }
}

/// How a curved moulding is struck.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Order {
    /// Circular arcs.
    Roman,
    /// A conic.
    Greek(Conic),
}

/// One moulding of a section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Part {
    /// A flat band, plumb.
    Fillet {
        /// Down, inches.
        height: f64,
    },
    /// A level face, seen from below where it draws in.
    Soffit {
        /// In; negative out.
        projection: f64,
    },
    /// A straight sloping face.
    Splay {
        /// Down.
        height: f64,
        /// In; negative out.
        projection: f64,
    },
    /// Convex, a quarter round or flatter.
    Ovolo {
        /// Down.
        height: f64,
        /// In; negative out.
        projection: f64,
        /// How it is struck.
        order: Order,
    },
    /// Concave.
    Cavetto {
        /// Down.
        height: f64,
        /// In; negative out.
        projection: f64,
        /// How it is struck.
        order: Order,
    },
    /// Double curve whose projecting half is concave.
    CymaRecta {
        /// Down.
        height: f64,
        /// In; negative out.
        projection: f64,
        /// How it is struck.
        order: Order,
        /// Two quadrants where height and projection are equal; else two
        /// 60° arcs.
        full: bool,
    },
    /// Double curve whose projecting half is convex.
    CymaReversa {
        /// Down.
        height: f64,
        /// In; negative out.
        projection: f64,
        /// How it is struck.
        order: Order,
        /// Two quadrants where height and projection are equal; else two
        /// 60° arcs.
        full: bool,
    },
    /// Hollow between two fillets.
    Scotia {
        /// Down.
        height: f64,
        /// Greek only: how deep the hollow is, measured in from the middle
        /// of the line between its ends.
        depth: f64,
        /// Greek only: in; negative out. A Roman scotia stands out a third
        /// of its height.
        projection: f64,
        /// How it is struck.
        order: Order,
    },
    /// Half round: astragal, bead or torus.
    Astragal {
        /// Down.
        height: f64,
        /// Greek only: how far it stands out.
        depth: f64,
        /// How it is struck.
        order: Order,
    },
}

/// What a moulding's back is, for building it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BuiltBack {
    /// Straight down the wall.
    Solid,
    /// Leaning from the wall by `spring`; the lower edge lies `seat` inches
    /// high against the wall.
    Sprung {
        /// Between the back and the wall.
        spring: SpringAngle,
        /// Height of the flat against the wall.
        seat: f64,
    },
}

/// Draws the parts from the top down, the top standing `projection` out from
/// the wall at v = 0, and closes them with the back and a level top.
///
/// # Errors
/// If a measure is not a number within bounds, a part cannot be struck, the
/// parts reach behind the wall, or the outline crosses itself; the message
/// names the part, counted from 1.
pub fn build(projection: f64, parts: &[Part], back: BuiltBack) -> Result<Section, NotAnOutline> {
    let mut curves = vec![];
    let mut at = place(projection, 0.0);
    for (i, part) in parts.iter().enumerate() {
        part.draw(&mut at, &mut curves)
            .map_err(|what| NotAnOutline(format!("part {}: {what}", i + 1)))?;
    }
    if at.u < -1e-9 {
        return Err(NotAnOutline(format!(
            "the parts draw in by {:.4} in more than the top projects",
            -at.u
        )));
    }
    let wall = place(0.0, at.v);
    curves.push(line(at, wall));
    let top = match back {
        BuiltBack::Solid => place(0.0, 0.0),
        BuiltBack::Sprung { spring, seat } => {
            let start = place(0.0, at.v + seat);
            let top = place((-start.v) * spring.radians().tan(), 0.0);
            if !(seat >= 0.0 && start.v < 0.0 && top.u < projection && top.u.is_finite()) {
                return Err(NotAnOutline(
                    "the sprung back leaves no wood at the top or at the wall".to_owned(),
                ));
            }
            curves.push(line(wall, start));
            curves.push(line(start, top));
            top
        }
    };
    if back == BuiltBack::Solid {
        curves.push(line(wall, top));
    }
    curves.push(line(top, place(projection, 0.0)));
    Ok(Section {
        outline: Outline::new(curves)?,
        back: match back {
            BuiltBack::Solid => Back::Solid,
            BuiltBack::Sprung { spring, .. } => Back::Sprung(spring),
        },
    })
}

const fn line(from: SectionPoint, to: SectionPoint) -> Curve {
    Curve::Line { from, to }
}

/// The two ends of a moulding: the projecting one and the one drawn in, and
/// whether the projecting one comes first.
struct Ends {
    outer: SectionPoint,
    inner: SectionPoint,
    height: f64,
    projection: f64,
    outer_first: bool,
}

impl Ends {
    fn new(at: SectionPoint, height: f64, projection: f64) -> Result<Self, String> {
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

impl Part {
    /// Draws the part down from `at` and moves `at` to its lower end.
    fn draw(&self, at: &mut SectionPoint, out: &mut Vec<Curve>) -> Result<(), String> {
        let first = out.len();
        match *self {
            Self::Fillet { height } => straight(*at, height, 0.0, out)?,
            Self::Soffit { projection } => straight(*at, 0.0, projection, out)?,
            Self::Splay { height, projection } => straight(*at, height, projection, out)?,
            Self::Ovolo {
                height,
                projection,
                order,
            } => quarter(&Ends::new(*at, height, projection)?, order, false, out)?,
            Self::Cavetto {
                height,
                projection,
                order,
            } => quarter(&Ends::new(*at, height, projection)?, order, true, out)?,
            Self::CymaRecta {
                height,
                projection,
                order,
                full,
            } => cyma(&Ends::new(*at, height, projection)?, order, full, true, out)?,
            Self::CymaReversa {
                height,
                projection,
                order,
                full,
            } => cyma(
                &Ends::new(*at, height, projection)?,
                order,
                full,
                false,
                out,
            )?,
            Self::Scotia {
                height,
                depth,
                projection,
                order,
            } => scotia(*at, height, depth, projection, order, out)?,
            Self::Astragal {
                height,
                depth,
                order,
            } => astragal(*at, height, depth, order, out)?,
        }
        if let Some(last) = out.get(first..).and_then(<[Curve]>::last) {
            *at = last.to();
        }
        Ok(())
    }
}

fn straight(
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
fn quarter(ends: &Ends, order: Order, concave: bool, out: &mut Vec<Curve>) -> Result<(), String> {
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
fn cyma(
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
fn scotia(
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
fn astragal(
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
