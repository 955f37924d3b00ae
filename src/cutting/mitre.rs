//! Ends that are not square: how close two pieces may lie on the stick.
//!
//! A cut at the section point (u, v) lies o(u, v) = `per_u`·u + `per_v`·v along
//! the stick from the piece's reference point. Behind a piece with right end r
//! comes one with left end l; the saw needs
//! max over the section of (r(u, v) − l(u, v)) + kerf / cos(steeper cut)
//! between their reference points: two half-spaces that may not overlap, the
//! kerf lying in what is wasted between. A plane's largest value over a section
//! is taken at a corner, so corners are enough. Own derivation; its flat case
//! with half width W/2 is (W/2)·|tan t − tan u| + kerf·max(sec t, sec u).
//!
//! Lengths here are *overall*, so the same distance is kept as a **gap**
//! between the overall lengths of the two pieces: the kerf for square ends,
//! less than nothing where parallel ends nest.

use super::order::{EndCut, PieceLine, Poses};

/// Nanometres in an inch.
const INCH: f64 = 25_400_000.0;

/// Two ends alike have slopes within this of each other.
const ALIKE: f64 = 1e-9;

/// Ways round, as (turned end for end, other face up).
pub type Way = (bool, bool);

/// The slopes of an end as it lies on the stick.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct End {
    /// Along u.
    pub per_u: f64,
    /// Along v.
    pub per_v: f64,
}

impl From<Option<EndCut>> for End {
    fn from(cut: Option<EndCut>) -> Self {
        let cut = cut.unwrap_or_default();
        End {
            per_u: cut.per_u,
            per_v: cut.per_v,
        }
    }
}

impl End {
    fn at(self, corner: &[f64; 2]) -> f64 {
        self.per_u * corner[0] + self.per_v * corner[1]
    }

    /// Least and largest offset over the section, in inches.
    fn span(self, section: &[[f64; 2]]) -> (f64, f64) {
        section
            .iter()
            .map(|c| self.at(c))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |a, o| {
                (a.0.min(o), a.1.max(o))
            })
    }

    /// 1 / cos of the angle of the cut from square.
    fn secant(self) -> f64 {
        (1.0 + self.per_u * self.per_u + self.per_v * self.per_v).sqrt()
    }

    /// Whether both ends are the same cut.
    pub fn like(self, other: End) -> bool {
        (self.per_u - other.per_u).abs() <= ALIKE && (self.per_v - other.per_v).abs() <= ALIKE
    }
}

/// The ends (left, right) of a piece taken `way` round. Turned end for end is
/// a half turn about the u axis: along and v change sign, so the ends change
/// places, slopes along v stay and slopes along u change sign. Other face up
/// is a half turn about the stick: both slopes change sign, the ends stay.
pub fn taken(left: End, right: End, way: Way) -> (End, End) {
    let (mut l, mut r) = (left, right);
    if way.0 {
        let turn = |e: End| End {
            per_u: -e.per_u,
            per_v: e.per_v,
        };
        (l, r) = (turn(r), turn(l));
    }
    if way.1 {
        let flip = |e: End| End {
            per_u: -e.per_u,
            per_v: -e.per_v,
        };
        (l, r) = (flip(l), flip(r));
    }
    (l, r)
}

/// The ways round allowed, and whether the section is too uneven for some of
/// what was asked.
pub fn ways(poses: Poses, section: &[[f64; 2]]) -> (Vec<Way>, bool) {
    let mut out = vec![(false, false)];
    let asked: &[Way] = match poses {
        Poses::Fixed => &[],
        Poses::Turn => &[(true, false)],
        Poses::Any => &[(true, false), (false, true), (true, true)],
    };
    let mut uneven = false;
    for &(turned, flipped) in asked {
        // Where the section's corners go: u changes sign with the face, v with
        // either, twice if both.
        if even(section, flipped, turned != flipped) {
            out.push((turned, flipped));
        } else {
            uneven = true;
        }
    }
    (out, uneven)
}

/// Whether mirroring u or v about the middle of the section's box maps its
/// corners onto each other.
fn even(section: &[[f64; 2]], u: bool, v: bool) -> bool {
    let bounds = |k: usize| {
        section
            .iter()
            .map(|c| c[k])
            .fold((f64::INFINITY, f64::NEG_INFINITY), |a, x| {
                (a.0.min(x), a.1.max(x))
            })
    };
    let (bu, bv) = (bounds(0), bounds(1));
    section.iter().all(|c| {
        let x = if u { bu.0 + bu.1 - c[0] } else { c[0] };
        let y = if v { bv.0 + bv.1 - c[1] } else { c[1] };
        section
            .iter()
            .any(|d| (d[0] - x).abs() < 1e-6 && (d[1] - y).abs() < 1e-6)
    })
}

/// The gap from the overall end of a piece with right end `right` to the
/// overall start of the next with left end `left`, in nanometres: (rounded
/// down, rounded up). Less than nothing where they nest.
pub fn gap(right: End, left: End, section: &[[f64; 2]], kerf_nm: i64) -> (i64, i64) {
    let most = section
        .iter()
        .map(|c| right.at(c) - left.at(c))
        .fold(f64::NEG_INFINITY, f64::max);
    let kerf = kerf_nm as f64 * right.secant().max(left.secant());
    let apart = (most + left.span(section).0 - right.span(section).1) * INCH + kerf;
    // A whole number spoilt by rounding is taken for itself.
    let near = apart.round();
    if (apart - near).abs() < 1e-2 {
        (near as i64, near as i64)
    } else {
        (apart.floor() as i64, apart.ceil() as i64)
    }
}

/// What the saw takes beyond a last right end, in nanometres, rounded up.
pub fn last_kerf(right: End, kerf_nm: i64) -> i64 {
    (kerf_nm as f64 * right.secant() - 1e-2).ceil() as i64
}

/// By how much a piece's mean length over the section is less than its overall
/// length, in nanometres: the length at the middle of the section's area,
/// which makes it a measure of wood. On a flat board it is the mid-line.
pub fn less_than_overall(piece: &PieceLine, section: &[[f64; 2]]) -> i64 {
    let Some(middle) = middle(section) else {
        return 0;
    };
    let (l, r): (End, End) = (piece.left.into(), piece.right.into());
    let right = r.span(section).1 - r.at(&middle);
    let left = l.at(&middle) - l.span(section).0;
    (((right + left) * INCH).round() as i64).max(0)
}

/// The middle of the section's area; of its corners where it has none.
fn middle(section: &[[f64; 2]]) -> Option<[f64; 2]> {
    let first = section.first()?;
    let (mut area, mut sum) = (0.0, [0.0, 0.0]);
    for (i, a) in section.iter().enumerate() {
        let b = section.get(i + 1).unwrap_or(first);
        let cross = a[0] * b[1] - b[0] * a[1];
        area += cross / 2.0;
        sum[0] += (a[0] + b[0]) * cross / 6.0;
        sum[1] += (a[1] + b[1]) * cross / 6.0;
    }
    if area.abs() > 1e-12 {
        return Some([sum[0] / area, sum[1] / area]);
    }
    let n = section.len() as f64;
    let mean = |k: usize| section.iter().map(|c| c[k]).sum::<f64>() / n;
    Some([mean(0), mean(1)])
}
