//! A closed outline of curves: what a section is made of.

use std::fmt;

use crate::trim::sheet::SectionPoint;

use super::curve::Curve;
use super::measure::{Sums, flatten, mean};
use super::plane::Affine;

/// The most curves that one outline may have.
pub const MAX_CURVES: usize = 400;

/// The most corners that are compared with one another for a crossing.
const MOST_COMPARED: usize = 1200;

/// The farthest that an outline may reach from (0, 0), inches: 100 ft.
pub const MAX_REACH: f64 = 1200.0;

/// A closed outline that does not cross itself. Its curves stand end to end;
/// the last ends where the first starts.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    curves: Vec<Curve>,
}

/// Why curves are not an outline: one line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotAnOutline(pub String);

impl fmt::Display for NotAnOutline {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for NotAnOutline {}

/// Least and greatest u and v.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extents {
    /// Least u, inches.
    pub u_low: f64,
    /// Greatest u.
    pub u_high: f64,
    /// Least v.
    pub v_low: f64,
    /// Greatest v.
    pub v_high: f64,
}

impl Extents {
    /// Greatest less least u, inches.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.u_high - self.u_low
    }

    /// Greatest less least v, inches.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.v_high - self.v_low
    }
}

impl Outline {
    /// Curves end to end as a closed outline. Ends that are apart by less
    /// than 1e-6 in are joined; curves of no length are left out.
    ///
    /// # Errors
    /// If there are too few or too many curves, a number is not finite or
    /// beyond [`MAX_REACH`], a weight or bulge is out of bounds, the ends do
    /// not meet, the outline has no area or crosses itself.
    pub fn new(curves: Vec<Curve>) -> Result<Self, NotAnOutline> {
        if curves.len() > MAX_CURVES {
            return Err(no(format!(
                "has {} curves; at most {MAX_CURVES} are allowed",
                curves.len()
            )));
        }
        for (i, curve) in curves.iter().enumerate() {
            bounded(curve).map_err(|what| no(format!("curve {}: {what}", i + 1)))?;
        }
        let outline = Self {
            curves: joined(curves)?,
        };
        outline.simple()?;
        Ok(outline)
    }

    /// Straight lines from corner to corner and back to the first.
    ///
    /// # Errors
    /// As [`Outline::new`].
    pub fn polygon_of(corners: &[SectionPoint]) -> Result<Self, NotAnOutline> {
        let next = corners.iter().cycle().skip(1);
        let lines = corners.iter().zip(next).map(|(from, to)| Curve::Line {
            from: *from,
            to: *to,
        });
        Self::new(lines.collect())
    }

    /// Takes curves that are known to be an outline.
    pub(super) const fn known(curves: Vec<Curve>) -> Self {
        Self { curves }
    }

    /// The curves, end to end.
    #[must_use]
    pub fn curves(&self) -> &[Curve] {
        &self.curves
    }

    /// Least and greatest `per_u`·u + `per_v`·v over the outline, exact for
    /// curves: what the lengths of a cut piece need.
    #[must_use]
    pub fn reach(&self, per_u: f64, per_v: f64) -> (f64, f64) {
        let start = (f64::INFINITY, f64::NEG_INFINITY);
        self.curves.iter().fold(start, |(low, high), curve| {
            let (l, h) = curve.reach(per_u, per_v);
            (low.min(l), high.max(h))
        })
    }

    /// The box round it.
    #[must_use]
    pub fn extents(&self) -> Extents {
        let (u_low, u_high) = self.reach(1.0, 0.0);
        let (v_low, v_high) = self.reach(0.0, 1.0);
        Extents {
            u_low,
            u_high,
            v_low,
            v_high,
        }
    }

    fn sums(&self) -> (Sums, SectionPoint) {
        let origin = mean(self.curves.iter().map(Curve::from));
        let mut sums = Sums::default();
        for curve in &self.curves {
            sums.add(curve, origin);
        }
        (sums, origin)
    }

    /// Area, square inches, positive whichever way it is walked.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.sums().0.area.abs()
    }

    /// Whether the outline is walked anticlockwise, u right and v up.
    #[must_use]
    pub fn anticlockwise(&self) -> bool {
        self.sums().0.area > 0.0
    }

    /// Length all round, inches.
    #[must_use]
    pub fn perimeter(&self) -> f64 {
        self.sums().0.length
    }

    /// Centre of the area.
    #[must_use]
    pub fn centroid(&self) -> SectionPoint {
        let (sums, origin) = self.sums();
        SectionPoint {
            u: origin.u + sums.u / sums.area,
            v: origin.v + sums.v / sums.area,
        }
    }

    /// Corners of straight lines within `tolerance` inches of the curves; the
    /// first corner is not repeated.
    #[must_use]
    pub fn polygon(&self, tolerance: f64) -> Vec<SectionPoint> {
        let mut corners = Vec::with_capacity(self.curves.len());
        for curve in &self.curves {
            flatten(curve, tolerance, &mut corners);
        }
        // The walk ends where it began; the first corner is put in front.
        corners.rotate_right(1);
        corners
    }

    /// Corners as [`Outline::polygon`], coarser than `tolerance` where that
    /// would make more than `most`: the work of comparing or drawing them
    /// stays bounded. An outline of more curves than `most` keeps one a curve.
    #[must_use]
    pub fn corners(&self, tolerance: f64, most: usize) -> Vec<SectionPoint> {
        let extents = self.extents();
        let size = extents.width().max(extents.height());
        let mut tolerance = tolerance;
        let mut corners = self.polygon(tolerance);
        while corners.len() > most && tolerance <= size {
            tolerance *= 4.0;
            corners = self.polygon(tolerance);
        }
        corners
    }

    /// The outline under an affine map that keeps areas from vanishing;
    /// curves stay curves.
    #[must_use]
    pub fn mapped(&self, map: &Affine) -> Self {
        let mut curves = Vec::with_capacity(self.curves.len() + 4);
        for curve in &self.curves {
            curve.map_into(map, &mut curves);
        }
        Self { curves }
    }

    /// The same outline walked the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self {
            curves: self.curves.iter().rev().map(Curve::reversed).collect(),
        }
    }

    /// Refuses an outline without area or one that crosses itself, judged on
    /// straight lines close to the curves.
    fn simple(&self) -> Result<(), NotAnOutline> {
        let extents = self.extents();
        let size = extents.width().max(extents.height());
        if self.area() <= 1e-9 * size * size {
            return Err(no("has no area; an outline that goes round is needed"));
        }
        // Coarser where there is much to compare: the work is the square of
        // the corners.
        let corners = self.corners(1e-4 * size, MOST_COMPARED);
        match super::crossing::first_crossing(&corners) {
            None => Ok(()),
            Some(p) => Err(no(format!(
                "crosses itself near ({:.3}, {:.3}) in",
                p.u, p.v
            ))),
        }
    }
}

fn no(what: impl Into<String>) -> NotAnOutline {
    NotAnOutline(what.into())
}

/// Refuses what is not finite or out of bounds.
fn bounded(curve: &Curve) -> Result<(), String> {
    let inside =
        |p: &SectionPoint| p.is_finite() && p.u.abs() <= MAX_REACH && p.v.abs() <= MAX_REACH;
    let near = |places: &[SectionPoint]| {
        if places.iter().all(inside) {
            Ok(())
        } else {
            Err(format!(
                "reaches beyond {MAX_REACH} in, the most that is allowed"
            ))
        }
    };
    match *curve {
        Curve::Line { from, to } => near(&[from, to]),
        Curve::Arc { from, to, bulge } => {
            if !bulge.is_finite() || bulge.abs() > 1000.0 {
                return Err("sweeps a whole turn; less is allowed".to_owned());
            }
            near(&[from, to])?;
            let (high, _) = (from.distance(to) * (1.0 + bulge.abs()), ());
            if high <= MAX_REACH {
                Ok(())
            } else {
                Err(format!("swings out farther than {MAX_REACH} in"))
            }
        }
        Curve::Conic {
            from,
            control,
            to,
            weight,
        } => {
            if !(1e-4..=1e4).contains(&weight) {
                return Err(format!("has weight {weight}; 0.0001 to 10000 is allowed"));
            }
            near(&[from, control, to])
        }
        Curve::Cubic {
            from,
            first,
            second,
            to,
        } => near(&[from, first, second, to]),
    }
}

/// Joins ends that all but meet and leaves out curves of no length.
fn joined(curves: Vec<Curve>) -> Result<Vec<Curve>, NotAnOutline> {
    let size = curves
        .iter()
        .map(|c| c.from().distance(c.to()))
        .fold(0.0, f64::max);
    let near = 1e-6_f64.min(1e-3 * size);
    let mut kept: Vec<Curve> = curves.into_iter().filter(|c| !nothing(c)).collect();
    if kept.len() < 2 {
        return Err(no(
            "has too few curves; an outline that goes round is needed",
        ));
    }
    let first = kept.first().map(Curve::from);
    let starts: Vec<SectionPoint> = kept.iter().skip(1).map(Curve::from).chain(first).collect();
    for (i, (curve, next)) in kept.iter_mut().zip(starts).enumerate() {
        let gap = curve.to().distance(next);
        if gap > near {
            return Err(no(format!(
                "is open: after curve {} there is a gap of {gap:.6} in",
                i + 1
            )));
        }
        *curve = curve.with_ends(curve.from(), next);
    }
    Ok(kept)
}

/// Whether a curve has no length.
fn nothing(curve: &Curve) -> bool {
    let from = curve.from();
    let far = match *curve {
        Curve::Line { to, .. } | Curve::Arc { to, .. } => from.distance(to),
        Curve::Conic { control, to, .. } => from.distance(to).max(from.distance(control)),
        Curve::Cubic {
            first, second, to, ..
        } => from
            .distance(to)
            .max(from.distance(first))
            .max(from.distance(second)),
    };
    far < 1e-12
}
