//! Sections built from the mouldings of the classical books, part by part
//! from the top down: fillet, ovolo, cavetto, cyma, scotia, astragal.
//!
//! Roman mouldings are circular arcs, Greek ones conics (BTP pp. 375–376,
//! HATF arts. 313–317). A part drops by its height and draws in by its
//! projection; a negative projection flares out, and the moulding is then
//! turned over, as at a base.

use std::f64::consts::FRAC_1_SQRT_2;

use crate::measure::SpringAngle;
use crate::trim::sheet::SectionPoint;

use super::curve::Curve;
use super::outline::{NotAnOutline, Outline};
use super::plane::place;
use super::strike::{Ends, astragal, cyma, line, quarter, scotia, straight};
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
