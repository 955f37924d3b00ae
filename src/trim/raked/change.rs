//! How a section changes between the rake and its returns: the height of
//! every arris, how each fillet and curve grows or shrinks, and what turns
//! over.

use crate::trim::section::Curve;
use crate::trim::sheet::{Finding, SectionPoint, Severity};
use crate::trim::words::{degrees_text, thirty_seconds};

use super::{Form, RakeCorner};

/// One arris on the three sections; heights in inches, in the order of
/// [`Form::ALL`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArrisRow {
    /// Projection, the same on all three.
    pub u: f64,
    /// Height on the level return, on the rake square to it, and on the
    /// upper return.
    pub heights: [f64; 3],
    /// Plumb height where the rake is cut plumb at the peak.
    pub peak: f64,
}

/// The heights of every arris of `points`, given on `given`.
#[must_use]
pub fn arris_rows(points: &[SectionPoint], given: Form, corner: &RakeCorner) -> Vec<ArrisRow> {
    let maps = Form::ALL.map(|to| corner.map(given, to));
    let peak = corner.peak_map(given);
    points
        .iter()
        .map(|p| ArrisRow {
            u: p.u,
            heights: maps.map(|map| map.apply(*p).v),
            peak: peak.apply(*p).v,
        })
        .collect()
}

/// What a part of a section is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A straight face.
    Face,
    /// Part of a circle.
    Arc,
    /// Part of an ellipse, parabola or hyperbola.
    Conic,
    /// A drawn curve.
    Cubic,
}

impl Shape {
    const fn of(curve: &Curve) -> Self {
        match curve {
            Curve::Line { .. } => Self::Face,
            Curve::Arc { .. } => Self::Arc,
            Curve::Conic { .. } => Self::Conic,
            Curve::Cubic { .. } => Self::Cubic,
        }
    }

    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Face => "flat",
            Self::Arc => "arc",
            Self::Conic => "conic",
            Self::Cubic => "curve",
        }
    }
}

/// One part of a section as it changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartRow {
    /// Index of the part in the outline.
    pub part: usize,
    /// What it is on the given section.
    pub shape: Shape,
    /// How far it goes out, inches; negative in; the same on all three.
    pub out: f64,
    /// How far it goes up on each of the three, inches; negative down; in the
    /// order of [`Form::ALL`].
    pub up: [f64; 3],
    /// Whether its rise has another sign than on the given section.
    pub turns_over: [bool; 3],
    /// Whether some of it, though not the whole, runs the other way up than
    /// on the given section.
    pub dips: [bool; 3],
}

/// Heights smaller than this, inches, count as level.
const LEVEL: f64 = 1e-9;

/// How each part changes, in the order of the outline.
#[must_use]
pub fn part_rows(curves: &[Curve], given: Form, corner: &RakeCorner) -> Vec<PartRow> {
    let maps = Form::ALL.map(|to| corner.map(given, to));
    let row = |(part, curve): (usize, &Curve)| {
        let step = curve.to() - curve.from();
        let up = maps.map(|map| map.apply_shift(step).v);
        let turns_over = up.map(|rise| other_way(step.v, rise));
        let mut dips = [false; 3];
        for ((dip, map), over) in dips.iter_mut().zip(&maps).zip(turns_over) {
            // Down the curve, the rise of the derived section is
            // vu·u' + vv·v'; it dips where that changes sign and the given
            // section's rise does not.
            let new = curve.turning(map.vu, map.vv).len();
            *dip = !over && new > curve.turning(0.0, 1.0).len();
        }
        PartRow {
            part,
            shape: Shape::of(curve),
            out: step.u,
            up,
            turns_over,
            dips,
        }
    };
    curves.iter().enumerate().map(row).collect()
}

/// Whether two rises have opposite signs, both more than nothing.
fn other_way(given: f64, derived: f64) -> bool {
    given.abs() > LEVEL && derived.abs() > LEVEL && (given > 0.0) != (derived > 0.0)
}

/// One finding for each part that turns over on a derived section.
#[must_use]
pub fn findings(rows: &[PartRow], given: Form) -> Vec<Finding> {
    let mut found = Vec::new();
    let index = |form: Form| Form::ALL.iter().position(|f| *f == form).unwrap_or(0);
    for row in rows {
        for (i, form) in Form::ALL.iter().enumerate() {
            if !row.turns_over.get(i).copied().unwrap_or(false) {
                continue;
            }
            let rise = |i: usize| row.up.get(i).copied().unwrap_or(0.0);
            found.push(Finding {
                severity: Severity::Warning,
                code: "part-turns-over",
                piece: None,
                text: turned_text(row, rise(index(given)), rise(i), given, *form),
            });
        }
    }
    found
}

fn turned_text(row: &PartRow, was: f64, is: f64, given: Form, form: Form) -> String {
    let goes = |rise: f64| if rise > 0.0 { "rises" } else { "falls" };
    let slope = is.atan2(row.out.abs());
    format!(
        "part {} turns over on the {}: on the {} it {} {} in, here it {} {} in ({} from level); \
         a knife cannot copy the {}'s form there",
        row.part + 1,
        form.words(),
        given.words(),
        goes(was),
        thirty_seconds(was.abs()),
        goes(is),
        thirty_seconds(is.abs()),
        degrees_text(slope),
        given.words(),
    )
}
